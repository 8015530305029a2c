"""Does it pay: how many trips reached each rung, and what came in against what went out?"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from reports.figures.facts import GearFacts, PartyFacts, TripFacts
from reports.figures.returns import Gap, PastShare, past_share
from reports.figures.value import ValuedTrip
from trips.calc.costs import CostLine, TripCost
from trips.calc.gold import Unknown
from trips.calc.payladder import Rung, rungs
from trips.calc.wear import GearUse, gear_wear


@dataclass(frozen=True)
class RungCount:
    """One rung over many trips: how many reached it, what it asked for in all, what is not known.

    `threshold_minor` adds up the trips whose rung is known in full, `priced` of them.
    """

    key: str
    label: str
    share: PastShare
    not_known: int
    threshold_minor: int | None
    priced: int
    reasons: tuple[str, ...]


@dataclass(frozen=True)
class Step:
    """Running totals in minor units after a trip."""

    day: date
    name: str
    value_minor: int
    outlay_minor: int
    full_minor: int | None


@dataclass(frozen=True)
class GearWear:
    """Wear of one piece of gear in minor units; None with the reason in `basis`."""

    name: str
    runs: int
    minutes: int | None
    wear_minor: int | None
    basis: str


def trip_rungs(each: ValuedTrip, party: PartyFacts) -> tuple[Rung, ...]:
    """The four rungs of one trip, thresholds in minor units."""
    return rungs(
        each.value_minor,
        cost_of(each.trip, party.currency),
        each.trip.person_minutes,
        party.hourly_figure_minor,
        " ".join(each.reasons) or "The value of the gold is not known.",
    )


def cost_of(trip: TripFacts, currency: str) -> TripCost:
    """The kept totals of a trip as a cost; a total that is None stays not known."""
    other = None
    if trip.outlay_minor is not None:
        other = trip.outlay_minor - (trip.fuel_minor or 0)
    lines = (
        CostLine("fuel", "Fuel", trip.fuel_minor, "as kept", False),
        CostLine("other", "Other outlay", other, "as kept", False),
        CostLine("wear", "Wear", trip.wear_minor, "as kept", False),
    )
    return TripCost(
        lines=lines,
        fuel_minor=trip.fuel_minor or 0,
        outlay_minor=(trip.fuel_minor or 0) + (other or 0),
        wear_minor=trip.wear_minor or 0,
        unknown=trip.unknown,
        currency=currency,
    )


def ladder(valued: Sequence[ValuedTrip], party: PartyFacts) -> tuple[RungCount, ...]:
    """How many of the trips reached each rung; trips that can't be told are counted apart."""
    by_trip = [trip_rungs(each, party) for each in valued]
    counts = []
    for same in zip(*by_trip, strict=True):
        thresholds = [rung.threshold_minor for rung in same if rung.threshold_minor is not None]
        counts.append(
            RungCount(
                key=same[0].key,
                label=same[0].label,
                share=past_share(rung.reached for rung in same),
                not_known=sum(rung.reached is None for rung in same),
                threshold_minor=sum(thresholds) if thresholds else None,
                priced=len(thresholds),
                reasons=tuple(dict.fromkeys(rung.reason for rung in same if rung.reached is None)),
            )
        )
    return tuple(counts)


def stairs(valued: Sequence[ValuedTrip]) -> tuple[tuple[Step, ...], tuple[Gap, ...]]:
    """Running totals of value, outlay and outlay with wear, and the trips that can't be in them.

    `full_minor` is None from the first trip on whose wear is not known.
    """
    value, outlay, wear = 0, 0, 0
    wear_known = True
    steps, gaps = [], []
    for each in sorted(valued, key=lambda one: (one.trip.ends_on, one.trip.trip_id)):
        trip = each.trip
        if each.value_minor is None or trip.outlay_minor is None:
            gaps.append(Gap(trip.trip_id, trip.name, each.net_reason))
            continue
        value, outlay = value + each.value_minor, outlay + trip.outlay_minor
        wear, wear_known = wear + (trip.wear_minor or 0), wear_known and trip.wear_minor is not None
        full = outlay + wear if wear_known else None
        steps.append(Step(trip.ends_on, trip.name, value, outlay, full))
    return tuple(steps), tuple(gaps)


def worn(gear: Sequence[GearFacts]) -> tuple[GearWear, ...]:
    """Wear of each piece of gear by the minutes it ran, in minor units."""
    rows = []
    for each in gear:
        use = GearUse(
            label=each.name,
            price_minor=each.price_minor,
            residual_minor=each.residual_minor or 0,
            life_minutes=each.life_minutes,
            minutes_used=each.minutes_used,
        )
        found = gear_wear(use)
        wear, basis = (None, found.reason) if isinstance(found, Unknown) else found
        rows.append(GearWear(each.name, each.runs, each.minutes_used, wear, basis))
    return tuple(rows)
