"""Every query behind the answers: one grouped query a fact table, merged in Python.

The number of queries doesn't depend on how many trips, sites or pans there are.
"""

import datetime as dt
from collections import defaultdict

from django.db.models import Count, OuterRef, Q, Subquery, Sum

from claims.models import Hole, Party
from reports.figures.facts import PanFacts, PartyFacts, RunFacts, SitePart, TripFacts
from trips.calc.costs import CostLine
from trips.models import HoursBlock, Run, TestPan, Trip, TripPerson, TripSite
from trips.selectors.costing import cost_of, paper_trips, trips_for_costing

ON_THE_WAY = (HoursBlock.Activity.DRIVE, HoursBlock.Activity.WALK)


def party_facts(party: Party) -> PartyFacts:
    """What a valuation needs to know of the party; no query."""
    return PartyFacts(
        currency=party.currency,
        payable_ppt=party.payable_ppt,
        fineness=party.fineness,
        hourly_figure_minor=party.hourly_figure_minor,
    )


def _wrapped(party: Party, until: dt.date, prefix: str = "", year: int | None = None) -> Q:
    """Wrapped-up trips over by `until`, seen from a table that reaches trips by `prefix`."""
    conditions = {"party": party, "state": Trip.State.WRAPPED_UP, "ends_on__lte": until}
    if year is not None:
        conditions["ends_on__year"] = year
    return Q(**{f"{prefix}{key}": value for key, value in conditions.items()})


def trip_facts(party: Party, until: dt.date) -> tuple[TripFacts, ...]:
    """Every wrapped-up trip that was over on `until`, earliest first; six queries."""
    parts = _site_parts(party, until)
    trips = (
        Trip.objects.filter(_wrapped(party, until))
        .select_related("derived_figures")
        .order_by("ends_on", "pk")
    )
    return tuple(_trip_facts(trip, party, parts.get(trip.pk, {})) for trip in trips)


def _trip_facts(trip: Trip, party: Party, parts: dict[int, SitePart]) -> TripFacts:
    figures = getattr(trip, "derived_figures", None)
    in_currency = figures is not None and figures.currency == party.currency

    def money(name: str) -> int | None:
        return getattr(figures, name) if in_currency else None

    def figure(name: str) -> int | None:
        return getattr(figures, name) if figures is not None else None

    if figures is None:
        unknown = ("The trip's figures have not been worked out yet.",)
    elif not in_currency:
        unknown = (f"Its costs are in {figures.currency}, the record is in {party.currency}.",)
    else:
        unknown = tuple(str(reason) for reason in figures.unknown)
    return TripFacts(
        trip_id=trip.pk,
        name=trip_name(trip.name, trip.starts_on),
        starts_on=trip.starts_on,
        ends_on=trip.ends_on,
        mass_ug=figure("mass_ug"),
        fine_ug=figure("fine_ug"),
        fuel_minor=money("fuel_minor"),
        outlay_minor=money("outlay_minor"),
        wear_minor=money("wear_minor"),
        door_minutes=figure("door_minutes"),
        person_minutes=figure("person_minutes"),
        washed_ml=figure("washed_ml"),
        unknown=unknown,
        parts=tuple(part for _, part in sorted(parts.items())),
    )


def trip_name(name: str, day: dt.date) -> str:
    """A trip's own name, or its day."""
    return name or f"Trip of {day.day} {day:%b %Y}"


def _site_parts(party: Party, until: dt.date) -> dict[int, dict[int, SitePart]]:
    """trip → site → what is recorded there, of the sites that were visited; five queries."""
    of_trip = _wrapped(party, until, "trip__")
    minutes = _minutes_on_the_ground(of_trip)
    places = set(minutes)
    places.update(
        TripSite.objects.filter(of_trip, was_visited=True).values_list("trip_id", "site_id")
    )
    gold: dict[tuple[int, int], list[int]] = defaultdict(list)
    unweighed: dict[tuple[int, int], int] = {}

    alone = Q(weigh_in__isnull=True)
    no_colour = Q(coarse=0, medium=0, fine=0)
    runs = _by_site(Run, of_trip).annotate(
        shared=Sum("derived_share__mass_ug"), count=Count("pk", filter=alone & ~no_colour)
    )
    for trip_id, site_id, shared_ug, count in runs:
        place = (trip_id, site_id)
        gold[place] += [] if shared_ug is None else [shared_ug]
        unweighed[place] = count
    pans = _by_site(TestPan, of_trip).annotate(
        shared=Sum("derived_share__mass_ug"), own=Sum("mass_ug", filter=alone)
    )
    for trip_id, site_id, *masses in pans:
        gold[trip_id, site_id] += [mass for mass in masses if mass is not None]

    parts: dict[int, dict[int, SitePart]] = defaultdict(dict)
    for place in places | gold.keys():
        trip_id, site_id = place
        found = gold.get(place)
        parts[trip_id][site_id] = SitePart(
            site_id=site_id,
            minutes=minutes.get(place, 0),
            mass_ug=sum(found) if found else None,
            unweighed=unweighed.get(place, 0),
        )
    return parts


def _by_site(model, of_trip: Q):
    return model.objects.filter(of_trip).order_by().values_list("trip_id", "spot__site_id")


def _minutes_on_the_ground(of_trip: Q) -> dict[tuple[int, int], int]:
    """(trip, site) → person minutes there, neither driven nor walked in; two queries."""
    people = dict(
        TripPerson.objects.filter(of_trip).order_by().values_list("trip_id").annotate(Count("pk"))
    )
    blocks = (
        HoursBlock.objects.filter(of_trip, site__isnull=False)
        .exclude(activity__in=ON_THE_WAY)
        .order_by()
        .values_list("trip_id", "site_id")
        .annotate(
            alone=Sum("minutes", filter=Q(person__isnull=False)),
            together=Sum("minutes", filter=Q(person__isnull=True)),
        )
    )
    return {
        (trip_id, site_id): (alone or 0) + (together or 0) * max(1, people.get(trip_id, 0))
        for trip_id, site_id, alone, together in blocks
    }


def latest_pans(party: Party, until: dt.date) -> tuple[PanFacts, ...]:
    """The test pans of the last day on which each site was tried; one query."""
    last_day = (
        TestPan.objects.filter(party=party, spot__site=OuterRef("spot__site"), day__lte=until)
        .order_by("-day")
        .values("day")[:1]
    )
    return _pans(TestPan.objects.filter(party=party, day=Subquery(last_day)))


def site_pans(site_id: int, until: dt.date) -> tuple[PanFacts, ...]:
    """Every test pan at a site; one query."""
    return _pans(TestPan.objects.filter(spot__site_id=site_id, day__lte=until))


def _pans(pans) -> tuple[PanFacts, ...]:
    rows = pans.order_by("day", "sequence", "pk").values_list(
        *("spot__site_id", "spot_id", "spot__name", "layer", "day"),
        *("volume_ml", "coarse", "medium", "fine"),
    )
    return tuple(PanFacts(*row) for row in rows)


def site_runs(site_id: int, until: dt.date) -> tuple[RunFacts, ...]:
    """Every run at a site with its worked-out share; one query."""
    rows = Run.objects.filter(spot__site_id=site_id, day__lte=until).order_by("day", "sequence")
    return tuple(
        RunFacts(*row)
        for row in rows.values_list(
            *("spot_id", "spot__name", "layer", "day", "volume_ml", "minutes"),
            "derived_share__mass_ug",
        )
    )


def open_holes(party: Party, day: dt.date) -> dict[int, int]:
    """Holes open on a day by site; one query."""
    still_open = Q(filled_on__isnull=True) | Q(filled_on__gt=day)
    rows = Hole.objects.filter(still_open, party=party, opened_on__lte=day).order_by()
    return dict(rows.values_list("site_id").annotate(Count("pk")))


def hours_by_activity(party: Party, until: dt.date, year: int | None) -> dict[str, int]:
    """Person minutes by activity over wrapped-up trips; two queries."""
    of_trip = _wrapped(party, until, "trip__", year)
    people = dict(
        TripPerson.objects.filter(of_trip).order_by().values_list("trip_id").annotate(Count("pk"))
    )
    rows = (
        HoursBlock.objects.filter(of_trip)
        .order_by()
        .values_list("trip_id", "activity")
        .annotate(
            alone=Sum("minutes", filter=Q(person__isnull=False)),
            together=Sum("minutes", filter=Q(person__isnull=True)),
        )
    )
    totals: dict[str, int] = defaultdict(int)
    for trip_id, activity, alone, together in rows:
        totals[activity] += (alone or 0) + (together or 0) * max(1, people.get(trip_id, 0))
    return dict(totals)


def cost_lines(party: Party, trip_ids: list[int]) -> tuple[CostLine, ...]:
    """Every cost line of the trips, as their own pages show them; a constant number of queries."""
    if not trip_ids:
        return ()
    under = paper_trips(party)
    trips = trips_for_costing(party, trip_ids)
    return tuple(line for trip in trips for line in cost_of(trip, under).lines)
