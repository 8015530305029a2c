"""The list of trips: one row each, values worked out at the price of the trip's last day."""

import datetime as dt
from dataclasses import dataclass

from django.db.models import Prefetch, QuerySet

from claims.models import Party, Person, Site
from trips.calc.gold import price_on
from trips.models import Trip, TripSite
from trips.selectors import trip_parts as parts
from trips.selectors.prices import price_points

NOT_LISTED = (
    *("plan_note", "story", "incidents"),
    *("derived_figures__cost_lines", "derived_figures__fee_parts", "derived_figures__unknown"),
)


@dataclass(frozen=True)
class TripRow:
    """A trip in the list; None is unknown."""

    pk: int
    starts_on: dt.date
    name: str
    title: str
    sites: str
    state: str
    state_code: str
    people: str
    mass_ug: int | None
    door_minutes: int | None
    outlay_minor: int | None
    net_minor: int | None


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
    # Long texts and lines of costs aren't listed; reading them took most of the page's time.
    named = TripSite.objects.select_related("site").only(
        "trip_id", "rank", "was_visited", "site__name"
    )
    trips = (
        trips.select_related("derived_figures")
        .defer(*NOT_LISTED)
        .prefetch_related(
            Prefetch("people", Person.objects.only("name")),
            Prefetch("trip_sites", named.order_by("rank")),
        )
    )
    points = price_points(party)
    return [_row(trip, party, points) for trip in trips]


def trip_years(party: Party) -> list[int]:
    """Years in which there are trips, newest first."""
    days = Trip.objects.filter(party=party).dates("starts_on", "year", order="DESC")
    return [day.year for day in days]


def _row(trip: Trip, party: Party, points) -> TripRow:
    figures = getattr(trip, "derived_figures", None)
    happened = trip.state in (Trip.State.WRAPPED_UP, Trip.State.UNDER_WAY)
    rows = list(trip.trip_sites.all())
    if trip.state == Trip.State.WRAPPED_UP:
        rows = [row for row in rows if row.was_visited] or rows[:1]
    else:
        rows = rows[:1]
    worth = parts.worth(
        title="",
        fine_ug=figures.fine_ug if figures and happened else None,
        price=price_on(points, trip.ends_on, party.currency),
        outlay_minor=figures.outlay_minor if figures else None,
        outlay_reason="",
        door_minutes=figures.door_minutes if figures else None,
        party=party,
    )
    return TripRow(
        pk=trip.pk,
        starts_on=trip.starts_on,
        name=trip.name,
        title=str(trip),
        sites=", ".join(row.site.name for row in rows),
        state=trip.get_state_display(),
        state_code=trip.state,
        people=", ".join(person.name for person in trip.people.all()),
        mass_ug=figures.mass_ug if figures and happened else None,
        door_minutes=figures.door_minutes if figures and happened else None,
        outlay_minor=figures.outlay_minor if figures else None,
        net_minor=worth.net_minor,
    )
