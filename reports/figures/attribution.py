"""Which part of a trip belongs to which of the sites it visited?

Gold follows the runs and pans that gave it. Costs, gear wear and door-to-door time follow the
minutes spent on the ground at each site, evenly if none are recorded. Whole units are shared by
largest remainder, so the parts of a trip always add up to the trip.
"""

from collections.abc import Sequence
from typing import NamedTuple

from reports.figures.facts import SitePart, TripFacts
from trips.calc.shares import largest_remainder
from trips.calc.words import marked, say

NOT_WEIGHED = marked("What the box gave there was not weighed.")


class Share(NamedTuple):
    """One trip's part at one site; None stays None for every site of the trip.

    `basis` is empty for a trip to a single site, else says how the trip was parted. `reason` says
    why the gold is unknown here alone.
    """

    site_id: int
    trip: TripFacts
    mass_ug: int | None
    fine_ug: int | None
    value_minor: int | None
    fuel_minor: int | None
    outlay_minor: int | None
    wear_minor: int | None
    minutes: int | None
    person_minutes: int | None
    basis: str
    reason: str = ""
    washed_ml: int | None = None

    @property
    def net_minor(self) -> int | None:
        """Value less outlay in minor units; None when either is unknown."""
        if self.value_minor is None or self.outlay_minor is None:
            return None
        return self.value_minor - self.outlay_minor


def attribute(trip: TripFacts, value_minor: int | None) -> tuple[Share, ...]:
    """The trip's value, gold, costs and door-to-door minutes by site, in whole units.

    Args: value_minor: what the trip's gold is worth on the day asked for, None if unknown.
    Returns: one share per visited site, in order; none when no site is recorded. The gold of a
    site whose runs were not weighed is unknown when all that was weighed came from other sites.
    """
    if not trip.parts:
        return ()
    if len(trip.parts) == 1:
        return (_whole(trip, value_minor, trip.parts[0]),)
    by_time = time_weights(trip.parts)
    by_gold, follows_gold = gold_weights(trip.parts)
    gold = (
        say("Gold by its runs and pans") if follows_gold else say("Gold by time, as no share says")
    )
    timed = any(part.minutes for part in trip.parts)
    basis = say(
        "{gold}; costs and hours {words}",
        gold=gold,
        words=say("by time on the ground") if timed else say("evenly"),
    )
    columns = zip(
        _spread(trip.mass_ug, by_gold),
        _spread(trip.fine_ug, by_gold),
        _spread(value_minor, by_gold),
        _spread(trip.fuel_minor, by_time),
        _spread(trip.outlay_minor, by_time),
        _spread(trip.wear_minor, by_time),
        _spread(trip.door_minutes, by_time),
        _spread(trip.person_minutes, by_time),
        strict=True,
    )
    shares = tuple(
        Share(
            site_id=part.site_id,
            trip=trip,
            mass_ug=mass,
            fine_ug=fine,
            value_minor=value,
            fuel_minor=fuel,
            outlay_minor=outlay,
            wear_minor=wear,
            minutes=door,
            person_minutes=person,
            basis=basis,
            washed_ml=part.washed_ml,
        )
        for part, (mass, fine, value, fuel, outlay, wear, door, person) in zip(
            trip.parts, columns, strict=True
        )
    )
    if not follows_gold:
        return shares
    return tuple(
        share._replace(mass_ug=None, fine_ug=None, value_minor=None, reason=say(NOT_WEIGHED))
        if part.unweighed and part.mass_ug is None
        else share
        for part, share in zip(trip.parts, shares, strict=True)
    )


def _whole(trip: TripFacts, value_minor: int | None, part: SitePart) -> Share:
    """A trip to one site is all there, weighed or not."""
    return Share(
        site_id=part.site_id,
        trip=trip,
        mass_ug=trip.mass_ug,
        fine_ug=trip.fine_ug,
        value_minor=value_minor,
        fuel_minor=trip.fuel_minor,
        outlay_minor=trip.outlay_minor,
        wear_minor=trip.wear_minor,
        minutes=trip.door_minutes,
        person_minutes=trip.person_minutes,
        basis="",
        washed_ml=part.washed_ml,
    )


def time_weights(parts: Sequence[SitePart]) -> tuple[int, ...]:
    """Minutes on the ground per site, or one each when none are recorded."""
    minutes = tuple(part.minutes for part in parts)
    return minutes if any(minutes) else tuple(1 for _ in parts)


def gold_weights(parts: Sequence[SitePart]) -> tuple[tuple[int, ...], bool]:
    """Micrograms that the shares place at each site, and True; by time and False without any."""
    placed = tuple(part.mass_ug or 0 for part in parts)
    return (placed, True) if any(placed) else (time_weights(parts), False)


def _spread(total: int | None, weights: Sequence[int]) -> tuple[int | None, ...]:
    if total is None:
        return tuple(None for _ in weights)
    return largest_remainder(total, weights)
