"""Every query behind the answers: one grouped query a fact table, merged in Python.

The number of queries doesn't depend on how many trips, sites or pans there are.
"""

import datetime as dt
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace

from django.db.models import Count, OuterRef, Q, Subquery, Sum

from claims.models import Hole, Party
from reports.figures.facts import (
    GearPart,
    OwnPriced,
    PanFacts,
    PartyFacts,
    RunFacts,
    SitePart,
    TripFacts,
)
from trips.calc import local
from trips.calc.costs import CostLine
from trips.calc.gold import fine_mass_ug
from trips.models import Gear, GoldLot, HoursBlock, Run, TestPan, Trip, TripPerson, TripSite
from trips.selectors.costing import cost_of, paper_trips, trips_for_costing
from trips.selectors.rates import car_rates

KIND_WORDS = dict(Gear.Kind.choices)
ON_THE_WAY = (HoursBlock.Activity.DRIVE, HoursBlock.Activity.WALK)


def party_facts(party: Party) -> PartyFacts:
    """What a valuation needs to know of the party; no query."""
    return PartyFacts(
        currency=party.currency,
        payable_ppt=party.payable_ppt,
        fineness=party.fineness,
        hourly_figure_minor=party.hourly_figure_minor,
    )


def _wrapped(party: Party, until: dt.date, prefix: str = "") -> Q:
    """Wrapped-up trips over by `until`, seen from a table that reaches trips by `prefix`."""
    conditions = {"party": party, "state": Trip.State.WRAPPED_UP, "ends_on__lte": until}
    return Q(**{f"{prefix}{key}": value for key, value in conditions.items()})


def trip_facts(party: Party, until: dt.date) -> tuple[TripFacts, ...]:
    """Every wrapped-up trip that was over on `until`, earliest first; six queries."""
    of_trip = _wrapped(party, until, "trip__")
    each = TripPerson.objects.filter(trip=OuterRef("pk")).order_by().values("trip")
    trips = list(
        Trip.objects.filter(_wrapped(party, until))
        .annotate(people_on_it=Subquery(each.annotate(number=Count("pk")).values("number")))
        .select_related("derived_figures")
        .defer(
            "plan_note",
            "story",
            "incidents",
            "derived_figures__fee_parts",
            "derived_figures__rate_use",
        )
        .order_by("ends_on", "pk")
    )
    minutes = _minutes(of_trip, {trip.pk: trip.people_on_it or 0 for trip in trips})
    gold = _gold(of_trip)
    parts = _site_parts(of_trip, minutes.on_the_ground, gold)
    own = own_priced(party, _wrapped(party, until, "weigh_in__trip__"))
    return tuple(
        replace(
            _trip_facts(trip, party, parts.get(trip.pk, {})),
            own=own.get(trip.pk),
            gear=gold.gear.get(trip.pk, ()),
            activity_minutes=tuple(minutes.by_activity.get(trip.pk, {}).items()),
        )
        for trip in trips
    )


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
        lines=_lines(figures) if in_currency else None,
        parts=tuple(part for _, part in sorted(parts.items())),
    )


def _lines(figures) -> tuple[CostLine, ...] | None:
    if figures.cost_lines is None:
        return None
    return tuple(CostLine(**line) for line in figures.cost_lines)


def trip_name(name: str, day: dt.date) -> str:
    """A trip's own name, or its day."""
    return name or f"Trip of {local.day(day)}"


@dataclass(frozen=True)
class _Gold:
    """Where runs and pans place gold: by (trip, site), and by trip and gear."""

    by_site: dict[tuple[int, int], list[int]]
    washed: dict[tuple[int, int], int | None]
    unweighed: dict[tuple[int, int], int]
    gear: dict[int, tuple[GearPart, ...]]


def _gold(of_trip: Q) -> _Gold:
    """What the shares of runs and pans, and pans weighed alone, say; two queries."""
    by_site: dict[tuple[int, int], list[int]] = defaultdict(list)
    unweighed: dict[tuple[int, int], int] = defaultdict(int)
    washed: dict[tuple[int, int], int | None] = {}
    gear: dict[int, list[GearPart]] = defaultdict(list)
    alone = Q(weigh_in__isnull=True)
    no_colour = Q(coarse=0, medium=0, fine=0)
    runs = (
        Run.objects.filter(of_trip)
        .order_by()
        .values_list("trip_id", "spot__site_id", "gear_id", "gear__name", "gear__kind")
        .annotate(
            shared=Sum("derived_share__mass_ug"),
            open=Count("pk", filter=alone & ~no_colour),
            timed=Sum("minutes"),
            untimed=Count("pk", filter=Q(minutes__isnull=True)),
            ml=Sum("volume_ml"),
            unmeasured=Count("pk", filter=Q(volume_ml__isnull=True)),
        )
    )
    for trip_id, site_id, gear_id, name, kind, *sums in runs:
        shared_ug, count, timed, untimed, ml, unmeasured = sums
        place = (trip_id, site_id)
        by_site[place] += [] if shared_ug is None else [shared_ug]
        unweighed[place] += count
        litres = None if unmeasured else ml
        before = washed.get(place, 0)
        washed[place] = None if before is None or litres is None else before + litres
        gear[trip_id].append(
            GearPart(
                gear_id=gear_id,
                name=name or "gear not noted",
                kind=KIND_WORDS.get(kind, ""),
                minutes=None if untimed else timed,
                mass_ug=shared_ug,
                unweighed=count,
                washed_ml=litres,
            )
        )
    pans = (
        TestPan.objects.filter(of_trip)
        .order_by()
        .values_list("trip_id", "spot__site_id")
        .annotate(
            shared=Sum("derived_share__mass_ug"),
            own=Sum("mass_ug", filter=alone),
            ml=Sum("volume_ml"),
        )
    )
    for trip_id, site_id, shared_ug, own_ug, ml in pans:
        by_site[trip_id, site_id] += [mass for mass in (shared_ug, own_ug) if mass is not None]
        washed.setdefault((trip_id, site_id), ml)
    return _Gold(by_site, washed, unweighed, {trip: tuple(found) for trip, found in gear.items()})


def _site_parts(
    of_trip: Q, minutes: dict[tuple[int, int], int], gold: _Gold
) -> dict[int, dict[int, SitePart]]:
    """trip → site → what is recorded there, of the sites that were visited; one query."""
    places = set(minutes)
    places.update(
        TripSite.objects.filter(of_trip, was_visited=True).values_list("trip_id", "site_id")
    )
    parts: dict[int, dict[int, SitePart]] = defaultdict(dict)
    for place in places | gold.by_site.keys():
        trip_id, site_id = place
        found = gold.by_site.get(place)
        parts[trip_id][site_id] = SitePart(
            site_id=site_id,
            minutes=minutes.get(place, 0),
            mass_ug=sum(found) if found else None,
            unweighed=gold.unweighed.get(place, 0),
            washed_ml=gold.washed.get(place),
        )
    return parts


@dataclass(frozen=True)
class _Minutes:
    """Person minutes: at a site neither driven nor walked in, and by activity of each trip."""

    on_the_ground: dict[tuple[int, int], int]
    by_activity: dict[int, dict[str, int]]


def _minutes(of_trip: Q, people: dict[int, int]) -> _Minutes:
    """Person minutes of every trip; one query. A block without a person counts for everybody."""
    blocks = (
        HoursBlock.objects.filter(of_trip)
        .order_by()
        .values_list("trip_id", "site_id", "activity")
        .annotate(
            alone=Sum("minutes", filter=Q(person__isnull=False)),
            together=Sum("minutes", filter=Q(person__isnull=True)),
        )
    )
    ground: dict[tuple[int, int], int] = defaultdict(int)
    activity: dict[int, dict[str, int]] = defaultdict(lambda: defaultdict(int))
    for trip_id, site_id, kind, alone, together in blocks:
        total = (alone or 0) + (together or 0) * max(1, people.get(trip_id, 0))
        activity[trip_id][kind] += total
        if site_id is not None and kind not in ON_THE_WAY:
            ground[trip_id, site_id] += total
    return _Minutes(ground, activity)


def own_priced(party: Party, of_lots: Q) -> dict[int, OwnPriced]:
    """Trip → its gold that counts at a lot's own price; one query."""
    found: dict[int, list] = defaultdict(list)
    rows = GoldLot.objects.filter(of_lots, own_value_minor__isnull=False).order_by("pk")
    for trip_id, fineness, mass_ug, value_minor, currency in rows.values_list(
        *("weigh_in__trip_id", "weigh_in__fineness", "mass_ug", "own_value_minor", "currency")
    ):
        fine_ug = fine_mass_ug(mass_ug, fineness or party.fineness)
        found[trip_id].append((fine_ug, value_minor, currency))
    return {trip_id: _own(rows, party.currency) for trip_id, rows in found.items()}


def _own(rows: list, currency: str) -> OwnPriced:
    fine_ug = sum(fine for fine, _, _ in rows)
    other = next((code for _, _, code in rows if code != currency), None)
    if other is not None:
        reason = f"A lot's own price is in {other}, the record is in {currency}."
        return OwnPriced(None, fine_ug, reason)
    return OwnPriced(sum(value for _, value, _ in rows), fine_ug)


def site_pans(site_id: int, until: dt.date) -> tuple[PanFacts, ...]:
    """Every test pan at a site; one query."""
    return _pans(TestPan.objects.filter(spot__site_id=site_id, day__lte=until))


def _pans(pans) -> tuple[PanFacts, ...]:
    rows = pans.order_by("day", "sequence", "pk").values_list(
        *("spot__site_id", "spot_id", "spot__name", "layer", "day"),
        *("volume_ml", "coarse", "medium", "fine", "trip_id"),
    )
    return tuple(PanFacts(*row) for row in rows)


def site_runs(site_id: int, until: dt.date) -> tuple[RunFacts, ...]:
    """Every run at a site with its worked-out share; one query."""
    rows = Run.objects.filter(spot__site_id=site_id, day__lte=until).order_by("day", "sequence")
    return tuple(
        RunFacts(*row)
        for row in rows.values_list(
            *("spot_id", "spot__name", "layer", "day", "volume_ml", "minutes"),
            *("derived_share__mass_ug", "trip_id"),
        )
    )


def open_holes(party: Party, day: dt.date) -> dict[int, int]:
    """Holes open on a day by site; one query."""
    still_open = Q(filled_on__isnull=True) | Q(filled_on__gt=day)
    rows = Hole.objects.filter(still_open, party=party, opened_on__lte=day).order_by()
    return dict(rows.values_list("site_id").annotate(Count("pk")))


def cost_lines(party: Party, trips: Sequence[TripFacts]) -> tuple[CostLine, ...]:
    """Every cost line of the trips, as their own pages show them.

    No query where the lines are kept with the trips; else a constant number of them.
    """
    if all(trip.lines is not None for trip in trips):
        return tuple(line for trip in trips for line in trip.lines or ())
    under = paper_trips(party)
    found = trips_for_costing(party, [trip.trip_id for trip in trips])
    rates = car_rates(party, found)
    return tuple(line for trip in found for line in cost_of(trip, under, rates).lines)
