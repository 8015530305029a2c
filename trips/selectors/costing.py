"""Rows of a trip → inputs of the cost sums. Reads only; `trips.calc.costs` does the arithmetic.

What stands in for what isn't recorded, each said in the line's basis or its reason:
a drive that wasn't noted is twice the farthest access leg of the sites visited (of the first
choice while planned); engine fuel that wasn't noted is the runs' minutes times the gear's use; on
days that a car's published rate doesn't hold, its own wear figure.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from claims.models import Paper, Party, Site
from claims.whole import Part, wholes
from trips.calc.costs import Leg, PaidLine, TripCost
from trips.calc.costs import trip_cost as cost_sum
from trips.calc.fees import fee_basis, fee_by_days, fee_by_trips
from trips.calc.gold import Unknown
from trips.calc.kmrates import CarRates, Driven, RatedDrive, rated_drive
from trips.calc.wear import GearUse
from trips.calc.words import say
from trips.models import Cost, Gear, HoursBlock, Trip, TripSite

WORK = {
    HoursBlock.Activity.TEST,
    HoursBlock.Activity.STRIP,
    HoursBlock.Activity.DIG,
    HoursBlock.Activity.RUN,
    HoursBlock.Activity.CLEAN_UP,
    HoursBlock.Activity.FILL_IN,
}
HAPPENED = (Trip.State.WRAPPED_UP, Trip.State.UNDER_WAY)
KIND_WORDS = dict(Cost.Kind.choices)
KIND_IN_SUMS = {Cost.Kind.HIRE: "gear_hire"}


@dataclass(frozen=True)
class FeeShare:
    """A paper's fee on one trip; `amount_minor` None with the reason in `basis`."""

    paper: Paper
    amount_minor: int | None
    basis: str


@dataclass(frozen=True)
class PaperTrips:
    """Papers with a fee; by paper its sites, and the trips made under it, oldest first."""

    papers: tuple[Paper, ...]
    site_ids: dict[int, frozenset[int]]
    trip_ids: dict[int, tuple[int, ...]]


def trips_for_costing(
    party: Party, trip_ids: Iterable[int] | None = None, *, with_spots: bool = False
) -> list[Trip]:
    """Trips with everything that their sums read; two queries, one more a thousand trips.

    Args: with_spots: whether runs and pans come with their spots and worked-out shares.
    """
    washed = ("spot", "derived_share") if with_spots else ()
    trips = Trip.objects.filter(party=party).select_related("vehicle", "party")
    if trip_ids is not None:
        trips = trips.filter(pk__in=list(trip_ids))
    parts = (
        *(Part("gear"), Part("costs"), Part("runs", ("gear", *washed)), Part("hours")),
        *(Part("pans", washed), Part("weigh_ins"), Part("trip_people")),
        Part("trip_sites", ("site",)),
    )
    return wholes(list(trips), *parts)


def paper_trips(party: Party, papers: Iterable[Paper] | None = None) -> PaperTrips:
    """Papers with a fee, and which trips went to their sites within their terms.

    Three queries; one where the party's papers are given, with their sites prefetched.
    """
    if papers is None:
        papers = Paper.objects.filter(party=party).prefetch_related("sites")
    papers = tuple(
        paper
        for paper in papers
        if paper.fee_minor is not None and paper.fee_spread != Paper.FeeSpread.NONE
    )
    if not papers:
        return PaperTrips((), {}, {})
    made = (
        TripSite.objects.filter(trip__party=party, trip__state__in=HAPPENED)
        .exclude(was_visited=False)
        .order_by("trip__starts_on", "trip_id", "rank")
        .values_list("trip_id", "trip__starts_on", "trip__state", "site_id", "rank", "was_visited")
    )
    went = [
        (trip, day, site)
        for trip, day, state, site, rank, visited in made
        if visited or (rank == 0 and state == Trip.State.UNDER_WAY)
    ]
    site_ids = {paper.pk: frozenset(site.pk for site in paper.sites.all()) for paper in papers}
    under: dict[int, tuple[int, ...]] = {}
    for paper in papers:
        sites = site_ids[paper.pk]
        trips = [t for t, day, site in went if site in sites and in_term(paper, day)]
        under[paper.pk] = tuple(dict.fromkeys(trips))
    return PaperTrips(papers, site_ids, under)


def in_term(paper: Paper, day: dt.date) -> bool:
    """Whether `day` lies in the paper's term; an end that isn't noted is open."""
    return (paper.issued_on is None or paper.issued_on <= day) and (
        paper.last_day is None or day <= paper.last_day
    )


def visited_sites(trip: Trip) -> list[Site]:
    """Sites that were visited; while planned or not said yet, the first choice."""
    rows = list(trip.trip_sites.all())
    visited = [row.site for row in rows if row.was_visited]
    if visited or trip.state == Trip.State.WRAPPED_UP:
        return visited
    return [row.site for row in rows[:1]]


def legs_of(trip: Trip) -> list[Leg] | None:
    """The drive in all, by kind of road; None when no distance is known."""
    vehicle = trip.vehicle
    driven = (trip.driven_sealed_m, trip.driven_unsealed_m, trip.driven_track_m)
    if all(part is None for part in driven):
        if trip.state == Trip.State.CALLED_OFF:
            return []
        known = [leg for site in visited_sites(trip) if (leg := access_leg(site))]
        if not known:
            return None
        driven = tuple(2 * part for part in max(known, key=sum))
    use = (
        (vehicle.sealed_ml_per_100km, vehicle.unsealed_ml_per_100km, vehicle.track_ml_per_100km)
        if vehicle
        else (None, None, None)
    )
    towing = vehicle.towing_pct - 100 if vehicle and trip.is_towing else 0
    names = (say("sealed road"), say("unsealed road"), "track")
    return [
        Leg(name, metres or 0, ml, towing)
        for name, metres, ml in zip(names, driven, use, strict=True)
    ]


def access_leg(site: Site) -> tuple[int, int, int] | None:
    """Metres one way by kind of road; a kind left empty beside a filled one is none of it."""
    parts = (site.sealed_m, site.unsealed_m, site.track_m)
    if all(part is None for part in parts):
        return None
    return tuple(part or 0 for part in parts)


def engine_fuel_ml(trip: Trip) -> int | None:
    """Fuel for engines at the creek; 0 without one, None when it can't be known."""
    if trip.engine_fuel_ml is not None:
        return trip.engine_fuel_ml
    total = 0
    if trip.state == Trip.State.PLANNED:
        uses = [(gear, trip.planned_work_minutes) for gear in trip.gear.all()]
    else:
        uses = [(run.gear, run.minutes) for run in trip.runs.all() if run.gear]
    for gear, minutes in uses:
        if gear.power != Gear.Power.ENGINE:
            continue
        if minutes is None or gear.fuel_ml_per_h is None:
            return None
        total += round(gear.fuel_ml_per_h * minutes / 60)
    return total


def gear_uses(trip: Trip) -> list[GearUse]:
    """What each piece of gear did. Gear with neither price nor life isn't counted at all.

    A box or pump works while it runs; other gear works for the trip's working hours.
    """
    run_minutes: dict[int, int | None] = {}
    all_runs: int | None = 0
    for run in trip.runs.all():
        all_runs = None if all_runs is None or run.minutes is None else all_runs + run.minutes
        if run.gear_id:
            before = run_minutes.get(run.gear_id, 0)
            lost = before is None or run.minutes is None
            run_minutes[run.gear_id] = None if lost else before + run.minutes
    worked = elapsed_minutes(trip, WORK)
    brought = {gear.pk: gear for gear in trip.gear.all()}
    brought |= {run.gear_id: run.gear for run in trip.runs.all() if run.gear}
    uses = []
    for gear in brought.values():
        if gear.price_minor is None and gear.life_minutes is None:
            continue
        if trip.state == Trip.State.PLANNED:
            minutes = trip.planned_work_minutes
        elif trip.state == Trip.State.CALLED_OFF:
            minutes = 0
        elif gear.pk in run_minutes:
            minutes = run_minutes[gear.pk]
        elif gear.power == Gear.Power.ENGINE or gear.kind == Gear.Kind.PUMP:
            minutes = all_runs
        else:
            minutes = worked
        uses.append(
            GearUse(
                gear.name, gear.price_minor, gear.residual_minor or 0, gear.life_minutes, minutes
            )
        )
    return uses


def elapsed_minutes(trip: Trip, activities: set[str] | None = None) -> int | None:
    """Minutes by the clock: the longest total of one person; None without any hours noted."""
    blocks = list(trip.hours.all())
    if not blocks:
        return None
    return max(minutes_by_person(trip, activities).values(), default=0)


def minutes_by_person(trip: Trip, activities: set[str] | None = None) -> dict[int | None, int]:
    """Minutes of each person; blocks without a person count for everybody on the trip.

    The key None stands for one unnamed person when nobody is listed.
    """
    people = [row.person_id for row in trip.trip_people.all()]
    named = [block.person_id for block in trip.hours.all() if block.person_id]
    keys: list[int | None] = list(dict.fromkeys([*people, *named])) or [None]
    totals = dict.fromkeys(keys, 0)
    for block in trip.hours.all():
        if activities is not None and block.activity not in activities:
            continue
        for key in [block.person_id] if block.person_id else (people or keys):
            totals[key] += block.minutes
    return totals


def fee_shares(trip: Trip, under: PaperTrips) -> list[FeeShare]:
    """The part of each paper's fee that this trip carries."""
    sites = {site.pk for site in visited_sites(trip)}
    shares = []
    for paper in under.papers:
        if not sites & under.site_ids[paper.pk] or not in_term(paper, trip.starts_on):
            continue
        if trip.state == Trip.State.CALLED_OFF:
            continue
        shares.append(_fee_share(paper, trip, under.trip_ids[paper.pk]))
    return shares


def _fee_share(paper: Paper, trip: Trip, made: Sequence[int]) -> FeeShare:
    if paper.fee_spread == Paper.FeeSpread.TERM:
        first, last = paper.issued_on, paper.last_day
        if first is None or last is None:
            return FeeShare(paper, None, say("its term has no beginning or no end noted"))
        amount = fee_by_days(paper.fee_minor, first, last, trip.starts_on, trip.ends_on)
        return FeeShare(paper, amount, fee_basis((last - first).days + 1, None))
    keys = [str(pk) for pk in made]
    if str(trip.pk) not in keys:
        keys.append(str(trip.pk))
    amount = fee_by_trips(paper.fee_minor, keys)[str(trip.pk)]
    return FeeShare(paper, amount, fee_basis(None, len(keys)))


def paid_lines(trip: Trip, shares: Sequence[FeeShare]) -> list[PaidLine]:
    """Costs that count in the trip's state, and its shares of fees."""
    rows = list(trip.costs.all())
    paid = [row for row in rows if row.stage == Cost.Stage.PAID]
    if trip.state == Trip.State.PLANNED:
        paid = rows
    elif trip.state == Trip.State.UNDER_WAY:
        kinds = {row.kind for row in paid}
        paid += [row for row in rows if row.stage == Cost.Stage.PLANNED and row.kind not in kinds]
    lines = [
        PaidLine(
            KIND_IN_SUMS.get(row.kind, row.kind),
            row.note or str(KIND_WORDS.get(row.kind, row.kind)),
            row.amount_minor,
            row.currency,
            say("planned") if row.stage == Cost.Stage.PLANNED else say("as entered"),
        )
        for row in paid
    ]
    for share in shares:
        label = say("Share of the fee of {name}", name=share.paper.name)
        if share.amount_minor is None:
            label += f" ({share.basis})"
        lines.append(PaidLine("fee", label, share.amount_minor, share.paper.currency, share.basis))
    return lines


def vehicle_rate(
    trip: Trip, legs: Sequence[Leg] | None, rates: CarRates
) -> RatedDrive | Unknown | None:
    """What the published rate of the trip's car charges; None when it has none or didn't drive."""
    car, metres = trip.vehicle, sum(leg.distance_m for leg in legs or ())
    if not metres or car is None or not car.rate_name:
        return None
    return rated_drive(
        rates.tables,
        car.rate_name,
        Driven(trip.starts_on, metres),
        rates.before(car.pk, trip.pk, trip.starts_on),
        trip.party.currency,
        car.rate_other_m or 0,
    )


def cost_of(trip: Trip, under: PaperTrips, rates: CarRates) -> TripCost:
    """Cost of a trip from `trips_for_costing`; no queries."""
    legs = legs_of(trip)
    return cost_sum(
        currency=trip.party.currency,
        legs=legs,
        engine_fuel_ml=engine_fuel_ml(trip),
        fuel_price_milli_per_l=(
            trip.fuel_price_milli_per_l
            if trip.fuel_price_milli_per_l is not None
            else trip.party.fuel_price_milli_per_l
        ),
        paid=paid_lines(trip, fee_shares(trip, under)),
        vehicle_wear_milli_per_km=trip.vehicle.wear_milli_per_km if trip.vehicle else None,
        gear=gear_uses(trip),
        rate=vehicle_rate(trip, legs, rates),
    )
