"""Does it pay: how many trips reached each rung, and what came in against what went out?"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from reports.figures.facts import PartyFacts, TripFacts
from reports.figures.returns import Gap, Outing, PastShare, past_share, whole_trips
from reports.figures.value import ValuedTrip
from trips.calc.costs import CostKind, CostLine, TripCost
from trips.calc.payladder import LABELS, Rung, rungs
from trips.calc.words import Spoken, marked

KIND_WORDS = Spoken(
    {
        "fuel": marked("Fuel"),
        "consumables": marked("Consumables"),
        "fee": marked("Fees and shares of papers' fees"),
        "food": marked("Food"),
        "camp": marked("Camp"),
        "gear_hire": marked("Hired gear"),
        "other": marked("Other"),
        "wear": marked("Wear"),
    }
)


@dataclass(frozen=True)
class RungCount:
    """One rung over many trips: how many reached it, how many can't be told, and why not.

    `threshold_minor` is what the rung asks for over the ladder's `common` trips; None when the
    rung can't be worked out for any trip.
    """

    key: str
    label: str
    share: PastShare
    not_known: int
    threshold_minor: int | None
    reasons: tuple[str, ...]


@dataclass(frozen=True)
class Ladder:
    """The four rungs; `common` trips have value and every cost known, worth `value_minor`."""

    rungs: tuple[RungCount, ...]
    common: int
    value_minor: int | None


@dataclass(frozen=True)
class Step:
    """Running totals in minor units after a trip."""

    day: date
    name: str
    value_minor: int
    outlay_minor: int
    full_minor: int | None


@dataclass(frozen=True)
class Spent:
    """What one kind of cost came to: known lines in minor units, and lines without an amount."""

    label: str
    amount_minor: int
    lines: int
    not_known: int


def trip_rungs(each: ValuedTrip, party: PartyFacts) -> tuple[Rung, ...]:
    """The four rungs of one trip, thresholds in minor units."""
    [outing] = whole_trips([each])
    return outing_rungs(outing, party)


def outing_rungs(outing: Outing, party: PartyFacts) -> tuple[Rung, ...]:
    """The four rungs of a trip or of its part somewhere, thresholds in minor units."""
    return rungs(
        outing.value_minor,
        cost_of(outing, party.currency),
        outing.person_minutes,
        party.hourly_figure_minor,
        outing.value_reason,
    )


def cost_of(outing: Outing, currency: str) -> TripCost:
    """The kept totals of a trip as a cost; a total that is None stays not known."""
    other = None
    if outing.outlay_minor is not None:
        other = outing.outlay_minor - (outing.fuel_minor or 0)
    totals: tuple[tuple[CostKind, int | None], ...] = (
        ("fuel", outing.fuel_minor),
        ("other", other),
        ("wear", outing.wear_minor),
    )
    return TripCost(
        # Nobody reads these lines; they say which of the totals isn't known.
        lines=tuple(CostLine(kind, "", None, "", False) for kind, total in totals if total is None),
        fuel_minor=outing.fuel_minor or 0,
        outlay_minor=(outing.fuel_minor or 0) + (other or 0),
        wear_minor=outing.wear_minor or 0,
        unknown=outing.unknown,
        currency=currency,
    )


def ladder(valued: Sequence[ValuedTrip], party: PartyFacts) -> Ladder:
    """How many of the trips reached each rung; trips that can't be told are counted apart."""
    by_trip = [(each.value_minor, trip_rungs(each, party)) for each in valued]
    asked = [
        any(rungs[at].threshold_minor is not None for _, rungs in by_trip)
        for at in range(len(LABELS))
    ]
    common = [
        (value, [rung.threshold_minor for rung in rungs])
        for value, rungs in by_trip
        if value is not None
        and all(
            rung.threshold_minor is not None
            for rung, wanted in zip(rungs, asked, strict=True)
            if wanted
        )
    ]
    counts = []
    for at, (key, label) in enumerate(LABELS.items()):
        same = [rungs[at] for _, rungs in by_trip]
        counts.append(
            RungCount(
                key=key,
                label=label,
                share=past_share(rung.reached for rung in same),
                not_known=sum(rung.reached is None for rung in same),
                threshold_minor=sum(thresholds[at] or 0 for _, thresholds in common)
                if common and asked[at]
                else None,
                reasons=tuple(dict.fromkeys(r.reason for r in same if r.reached is None)),
            )
        )
    value = sum(value for value, _ in common) if common else None
    return Ladder(tuple(counts), len(common), value)


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


def hours_of(trips: Sequence[TripFacts]) -> dict[str, int]:
    """Person minutes by activity over the trips."""
    totals: dict[str, int] = {}
    for trip in trips:
        for activity, minutes in trip.activity_minutes:
            totals[activity] = totals.get(activity, 0) + minutes
    return totals


def spent(lines: Sequence[CostLine]) -> tuple[Spent, ...]:
    """Outlay by kind in minor units, largest first."""
    outlay = [line for line in lines if line.kind != "wear"]
    return _grouped([(KIND_WORDS[line.kind], line) for line in outlay])


def worn(lines: Sequence[CostLine]) -> tuple[Spent, ...]:
    """Wear by car and gear in minor units, largest first."""
    return _grouped([(line.label, line) for line in lines if line.kind == "wear"])


def _grouped(labelled: Sequence[tuple[str, CostLine]]) -> tuple[Spent, ...]:
    groups: dict[str, list[CostLine]] = {}
    for label, line in labelled:
        groups.setdefault(label, []).append(line)
    rows = [
        Spent(
            label=label,
            amount_minor=sum(line.amount_minor or 0 for line in lines),
            lines=len(lines),
            not_known=sum(line.amount_minor is None for line in lines),
        )
        for label, lines in groups.items()
    ]
    return tuple(sorted(rows, key=lambda row: (-row.amount_minor, row.label)))
