"""The list of trips: one row each, values worked out at the price of the trip's last day."""

import datetime as dt
from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

from django.db.models import QuerySet

from claims.models import Party, Site
from trips.calc.gold import PricePoint, Unknown, prices_of
from trips.models import Trip, TripPerson, TripSite
from trips.models.trip import title_of
from trips.selectors import trip_parts as parts
from trips.selectors.costing import HAPPENED
from trips.selectors.prices import price_points

COLUMNS = (
    *("pk", "name", "starts_on", "ends_on", "state"),
    *("derived_figures__mass_ug", "derived_figures__fine_ug"),
    *("derived_figures__door_minutes", "derived_figures__outlay_minor"),
)


@dataclass(frozen=True)
class TripRow:
    """A trip in the list; None is unknown.

    A list shows 25 of many trips: the net is worked out of those that are shown, or of all when
    they are sorted by it.
    """

    pk: int
    starts_on: dt.date
    ends_on: dt.date
    name: str
    sites: str
    state: str
    state_code: str
    people: str
    mass_ug: int | None
    fine_ug: int | None
    door_minutes: int | None
    outlay_minor: int | None
    party: Party
    price_of: Callable[[dt.date], PricePoint | Unknown]

    @property
    def title(self) -> str:
        """The trip's own name, or its day."""
        return title_of(self.name, self.starts_on)

    @cached_property
    def net_minor(self) -> int | None:
        """Value less outlay in minor units; None when either is unknown."""
        return parts.worth(
            title="",
            fine_ug=self.fine_ug,
            price=self.price_of(self.ends_on),
            outlay_minor=self.outlay_minor,
            outlay_reason="",
            door_minutes=self.door_minutes,
            party=self.party,
        ).net_minor


def trip_rows(
    party: Party, *, state: str = "", year: int | None = None, site: Site | None = None
) -> list[TripRow]:
    """Rows of a party's trips, newest first; four queries however many there are."""
    trips: QuerySet[Trip] = Trip.objects.filter(party=party)
    if state:
        trips = trips.filter(state=state)
    if year:
        trips = trips.filter(starts_on__year=year)
    if site is not None:
        trips = trips.filter(trip_sites__site=site)
    sites, people = _sites(party), _people(party)
    price_of = prices_of(price_points(party), party.currency)
    states = {code: str(words) for code, words in Trip.State.choices}
    rows = []
    for pk, name, starts_on, ends_on, code, *figures in trips.values_list(*COLUMNS):
        mass_ug, fine_ug, door_minutes, outlay_minor = figures
        happened = code in HAPPENED
        rows.append(
            TripRow(
                pk=pk,
                starts_on=starts_on,
                ends_on=ends_on,
                name=name,
                sites=", ".join(_listed(sites[pk], code)),
                state=states[code],
                state_code=code,
                people=", ".join(people[pk]),
                mass_ug=mass_ug if happened else None,
                fine_ug=fine_ug if happened else None,
                door_minutes=door_minutes if happened else None,
                outlay_minor=outlay_minor,
                party=party,
                price_of=price_of,
            )
        )
    return rows


def _sites(party: Party) -> dict[int, list[tuple[str, bool | None]]]:
    """Trip → names of its sites in the order of the plan, with whether each was visited."""
    found: dict[int, list[tuple[str, bool | None]]] = defaultdict(list)
    rows = TripSite.objects.filter(trip__party=party).order_by("rank")
    for trip_id, name, was_visited in rows.values_list("trip_id", "site__name", "was_visited"):
        found[trip_id].append((name, was_visited))
    return found


def _people(party: Party) -> dict[int, list[str]]:
    """Trip → names of who was on it."""
    found: dict[int, list[str]] = defaultdict(list)
    rows = TripPerson.objects.filter(trip__party=party).order_by("person__name", "person_id")
    for trip_id, name in rows.values_list("trip_id", "person__name"):
        found[trip_id].append(name)
    return found


def _listed(rows: list[tuple[str, bool | None]], state: str) -> list[str]:
    """Visited sites of a trip that is over; else its first choice."""
    visited = [name for name, was_visited in rows if was_visited]
    if state == Trip.State.WRAPPED_UP and visited:
        return visited
    return [name for name, _ in rows[:1]]


def trip_years(party: Party) -> list[int]:
    """Years in which there are trips, newest first."""
    days = Trip.objects.filter(party=party).dates("starts_on", "year", order="DESC")
    return [day.year for day in days]
