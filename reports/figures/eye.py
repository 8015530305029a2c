"""The eye against the scale: what the counted colours promised, and what was weighed, by trip.

The promise is every colour at the mass the party set for its class. The party's own bias is all
that was weighed over all that was promised, a ratio of sums with the range that fits the number
of trips; above 1 the counts promise too little.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import NamedTuple

from reports.figures.report import Column, Report
from reports.figures.returns import CONFIDENCE
from trips.calc.counts import CLASS_WORDS, ClassCounts, ClassMasses, expected_mass_ug
from trips.calc.returns import interval, ratio_of_sums, seed_from
from trips.calc.units import from_base, unit
from trips.calc.words import say, several


class Promise(NamedTuple):
    """One weigh-in with its colours; a class not counted in all of it is None."""

    trip_id: int
    trip: str
    day: date
    counts: ClassCounts
    net_ug: int


class EyeTrip(NamedTuple):
    """A trip's promised and weighed micrograms; `promised_ug` None with the reason."""

    trip_id: int
    trip: str
    day: date
    promised_ug: int | None
    weighed_ug: int
    reason: str

    @property
    def ratio(self) -> float | None:
        """Weighed over promised."""
        return self.weighed_ug / self.promised_ug if self.promised_ug else None


@dataclass(frozen=True)
class Eye:
    """Trips from the oldest, and the bias over the `known` of them with its 80 % range."""

    trips: tuple[EyeTrip, ...]
    known: int
    bias: float | None
    low: float | None
    high: float | None
    note: str

    @property
    def words(self) -> str:
        """The bias in a sentence."""
        if self.bias is None:
            return say("No trip yet has both every colour counted and its gold weighed.")
        percent = round(100 * (self.bias - 1))
        said = (
            say("{percent} % more", percent=abs(percent))
            if percent > 0
            else say("{percent} % less", percent=abs(percent))
        )
        if not percent:
            said = say("just as much")
        return several(
            "Over {n} trip the scale showed {said}",
            "Over {n} trips the scale showed {said}",
            self.known,
            said=said,
        ) + (say(" as the counts promised.") if not percent else say(" than the counts promised."))


def eye_and_scale(promises: Sequence[Promise], masses: ClassMasses) -> Eye:
    """What each trip promised and weighed, and the party's own bias."""
    by_trip: dict[int, list[Promise]] = {}
    for each in promises:
        by_trip.setdefault(each.trip_id, []).append(each)
    trips = tuple(_trip(rows, masses) for rows in by_trip.values())
    pairs = sorted((each.weighed_ug, each.promised_ug) for each in trips if each.promised_ug)
    weighed = [float(mass) for mass, _ in pairs]
    promised = [float(mass or 0) for _, mass in pairs]
    found = interval(
        weighed, promised, CONFIDENCE, seed_from(*(part for pair in pairs for part in pair))
    )
    return Eye(
        trips=trips,
        known=len(pairs),
        bias=ratio_of_sums(weighed, promised),
        low=found.low,
        high=found.high,
        note=say("Every trip weighed what it promised, so there is no spread to show.")
        if pairs and found.method == "exact-equal"
        else found.note
        if pairs
        else "",
    )


def _trip(rows: Sequence[Promise], masses: ClassMasses) -> EyeTrip:
    first = rows[0]
    promised, reason = 0.0, ""
    for row in rows:
        if missing := row.counts.missing:
            words = ", ".join(CLASS_WORDS[name] for name in missing)
            reason = say("{words} colours were not counted in all of it", words=words)
        else:
            promised += expected_mass_ug(row.counts, masses)
    return EyeTrip(
        trip_id=first.trip_id,
        trip=first.trip,
        day=first.day,
        promised_ug=None if reason else round(promised),
        weighed_ug=sum(row.net_ug for row in rows),
        reason=reason,
    )


def eye_report(
    eye: Eye, *, party_name: str, currency: str, as_of: date, mass_unit: str = "mg"
) -> Report:
    """The same as a report: one row a trip, latest first."""
    chosen = unit("mass", mass_unit)

    def mass(value_ug: int | None) -> object:
        return None if value_ug is None else from_base(value_ug, chosen, 1)

    return Report(
        report_id="eye-and-scale",
        title=say("Your eye against the scale"),
        as_of=as_of,
        party_name=party_name,
        currency=currency,
        filters=(),
        columns=(
            Column("trip", say("Trip")),
            Column("day", say("Weighed on")),
            Column("promised", say("Counts promised"), mass_unit, "right"),
            Column("weighed", say("Scale showed"), mass_unit, "right"),
            Column("times", say("Scale over counts, %"), align="right"),
            Column("reason", say("Why unknown")),
        ),
        rows=tuple(
            (
                each.trip,
                each.day,
                mass(each.promised_ug),
                mass(each.weighed_ug),
                None if each.ratio is None else round(100 * each.ratio),
                each.reason or (say("no colour was counted") if each.promised_ug == 0 else ""),
            )
            for each in reversed(eye.trips)
        ),
        notes=(eye.words, eye.note),
    )
