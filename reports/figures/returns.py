"""What does a set of trips return for an hour door to door, and how sure is that?

Ratio of sums over the trips whose net and hours are known; the others are counted and named.
Ranges are 80 %: none up to two trips, rough from three, resampled from eight.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple

from reports.figures.attribution import Share
from reports.figures.facts import TripFacts
from reports.figures.value import ValuedTrip
from trips.calc.counts import Interval
from trips.calc.money import minor_per_main, round_minor
from trips.calc.returns import interval, jeffreys, seed_from
from trips.calc.words import say

CONFIDENCE = 0.80


@dataclass(frozen=True)
class Gap:
    """A trip that a figure leaves out, with the reason."""

    trip_id: int
    name: str
    reason: str


class Outing(NamedTuple):
    """A `whole` trip, or its part at one site: money in minor units, minutes door to door.

    `washed_ml` went through boxes, or through pans where no box ran; `part_reason` says why the
    gold is unknown here alone.
    """

    whole: ValuedTrip
    mass_ug: int | None
    fine_ug: int | None
    value_minor: int | None
    fuel_minor: int | None
    outlay_minor: int | None
    wear_minor: int | None
    minutes: int | None
    person_minutes: int | None
    washed_ml: int | None
    part_reason: str = ""

    @property
    def trip_id(self) -> int:
        """The whole trip's number."""
        return self.whole.trip.trip_id

    @property
    def name(self) -> str:
        """The whole trip's name."""
        return self.whole.trip.name

    @property
    def unknown(self) -> tuple[str, ...]:
        """What of the whole trip's costs isn't known."""
        return self.whole.trip.unknown

    @property
    def reason(self) -> str:
        """Why the net is unknown; empty when it is known."""
        return " ".join(filter(None, (self.whole.net_reason, self.part_reason)))

    @property
    def value_reason(self) -> str:
        """Why the value is unknown; empty when it is known."""
        return " ".join(filter(None, (*self.whole.reasons, self.part_reason)))

    @property
    def net_minor(self) -> int | None:
        """Value less outlay in minor units; None when either is unknown."""
        if self.value_minor is None or self.outlay_minor is None:
            return None
        return self.value_minor - self.outlay_minor

    @property
    def per_hour_minor(self) -> int | None:
        """This trip's own net per hour in minor units; None when unknown or without time."""
        if self.net_minor is None or not self.minutes:
            return None
        return round_minor(Fraction(60 * self.net_minor, self.minutes))


_Counted = tuple[Outing, int, int]  # with its net in minor units and its minutes


@dataclass(frozen=True)
class PastShare:
    """In how many of the trips where one can tell something was reached, with its 80 % range."""

    reached: int
    known: int
    range: Interval | None

    @property
    def low_pct(self) -> int | None:
        """Lower end of the range in per cent."""
        return None if self.range is None else round(100 * self.range.low)

    @property
    def high_pct(self) -> int | None:
        """Upper end of the range in per cent."""
        return None if self.range is None else round(100 * self.range.high)


@dataclass(frozen=True)
class Return:
    """Sums over the `known` of `trips`, and net per door-to-door hour in minor units.

    `per_hour_minor` is None without known trips or hours; `low_minor` and `high_minor` are None
    where `method` gives no range; `note` says why.
    """

    trips: int
    known: int
    gaps: tuple[Gap, ...]
    mass_ug: int | None
    value_minor: int | None
    outlay_minor: int | None
    net_minor: int | None
    minutes: int
    per_hour_minor: int | None
    low_minor: int | None
    high_minor: int | None
    method: str
    note: str
    fuel: PastShare


def whole_trips(valued: Iterable[ValuedTrip]) -> tuple[Outing, ...]:
    """Whole trips as outings."""
    return tuple(
        Outing(
            whole=each,
            mass_ug=each.trip.mass_ug,
            fine_ug=each.trip.fine_ug,
            value_minor=each.value_minor,
            fuel_minor=each.trip.fuel_minor,
            outlay_minor=each.trip.outlay_minor,
            wear_minor=each.trip.wear_minor,
            minutes=each.trip.door_minutes,
            person_minutes=each.trip.person_minutes,
            washed_ml=washed_ml(each.trip),
        )
        for each in valued
    )


def washed_ml(trip: TripFacts) -> int | None:
    """What the trip washed at all its sites; None if that isn't noted everywhere."""
    parts = [part.washed_ml for part in trip.parts]
    known = [ml for ml in parts if ml is not None]
    return sum(known) if known and len(known) == len(parts) else trip.washed_ml


def at_site(valued: Iterable[ValuedTrip], site_id: int) -> tuple[Outing, ...]:
    """The parts of trips that belong to one site, as outings."""
    return tuple(
        of_share(each, share)
        for each in valued
        for share in each.shares
        if share.site_id == site_id
    )


def by_site(valued: Iterable[ValuedTrip]) -> dict[int, tuple[Outing, ...]]:
    """The same of every site that a trip visited."""
    found: dict[int, list[Outing]] = {}
    for each in valued:
        for share in each.shares:
            found.setdefault(share.site_id, []).append(of_share(each, share))
    return {site_id: tuple(outings) for site_id, outings in found.items()}


def of_share(each: ValuedTrip, share: Share) -> Outing:
    """A trip's part as an outing."""
    return Outing(
        whole=each,
        mass_ug=share.mass_ug,
        fine_ug=share.fine_ug,
        value_minor=share.value_minor,
        fuel_minor=share.fuel_minor,
        outlay_minor=share.outlay_minor,
        wear_minor=share.wear_minor,
        minutes=share.minutes,
        person_minutes=share.person_minutes,
        washed_ml=share.washed_ml,
        part_reason=share.reason,
    )


def past_share(outcomes: Iterable[bool | None]) -> PastShare:
    """Share of past trips that reached something, with its Jeffreys range; None is left out."""
    told = [outcome for outcome in outcomes if outcome is not None]
    return PastShare(sum(told), len(told), jeffreys(sum(told), len(told), CONFIDENCE))


def returns(outings: Sequence[Outing], currency: str) -> Return:
    """Sums and net per door-to-door hour of trips, in minor units of the currency.

    Trips whose net or hours are unknown are not in the sums; `gaps` names them. When no trip at
    all has hours, the sums are per trip only and `minutes` is 0.
    """
    known, gaps = _counted(outings)
    minutes = sum(each for _, _, each in known)
    net = sum(each for _, each, _ in known)
    pairs = _pairs(known)
    scale = minor_per_main(currency)
    nets, hours = [n / scale for n, _ in pairs], [m / 60 for _, m in pairs]
    found = interval(nets, hours, CONFIDENCE, seed_from(*(part for pair in pairs for part in pair)))
    return Return(
        trips=len(outings),
        known=len(known),
        gaps=tuple(gaps),
        mass_ug=sum(outing.mass_ug or 0 for outing, _, _ in known) if known else None,
        value_minor=sum(outing.value_minor or 0 for outing, _, _ in known) if known else None,
        outlay_minor=sum(outing.outlay_minor or 0 for outing, _, _ in known) if known else None,
        net_minor=net if known else None,
        minutes=minutes,
        per_hour_minor=round_minor(Fraction(60 * net, minutes)) if minutes else None,
        low_minor=None if found.low is None else round(found.low * scale),
        high_minor=None if found.high is None else round(found.high * scale),
        method=found.method,
        note=found.note if known else say("No trip with a known net yet."),
        fuel=past_share(
            None
            if outing.value_minor is None or outing.fuel_minor is None
            else outing.value_minor >= outing.fuel_minor
            for outing in outings
        ),
    )


def mean_of_ratios_minor(outings: Sequence[Outing]) -> int | None:
    """What the trips' own figures per hour come to on the mean, in minor units; shown as a warning.

    Returns: None without a trip whose net and hours are known.
    """
    known, _ = _counted(outings)
    ratios = [Fraction(60 * net, minutes) for net, minutes in _pairs(known) if minutes]
    return round_minor(sum(ratios, Fraction(0)) / len(ratios)) if ratios else None


def _counted(outings: Sequence[Outing]) -> tuple[list[_Counted], list[Gap]]:
    """The trips that sums are made of, with their net and minutes, and the others."""
    known, gaps = [], []
    # Without any hours the sums still hold for each trip; with some, the rest would skew them.
    timed = any(each.net_minor is not None and each.minutes is not None for each in outings)
    for outing in outings:
        net_minor = outing.net_minor
        if net_minor is None or (timed and outing.minutes is None):
            reason = outing.reason or say("No hours are recorded.")
            gaps.append(Gap(outing.trip_id, outing.name, reason))
        else:
            known.append((outing, net_minor, outing.minutes or 0))
    return known, gaps


def _pairs(known: Iterable[_Counted]) -> list[tuple[int, int]]:
    """Net and minutes of each trip, in order of size.

    A visit that took no time and moved no money says nothing about the spread.
    """
    return sorted((net, minutes) for _, net, minutes in known if net or minutes)
