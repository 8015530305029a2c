"""What is each trip's gold worth: at the price of its own day, or at the day asked for?

The trip's day is its last one: the gold is in hand then. A specimen counts at the own price of its
lot on any day. A value that can't be worked out stays unknown with the reason; it is never zero.
"""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from typing import Literal, NamedTuple

from reports.figures.attribution import Share, attribute
from reports.figures.facts import PartyFacts, TripFacts
from reports.figures.words import NARROW
from trips.calc import local
from trips.calc.gold import PricePoint, Unknown, minor_per_ug, prices_of
from trips.calc.money import round_minor
from trips.calc.words import Spoken, marked, say

PriceBasis = Literal["trip", "today"]
BASIS_WORDS = Spoken(
    {
        "trip": marked("at the price of each trip's own day"),
        "today": marked("at the price of the day shown"),
    }
)


class ValuedTrip(NamedTuple):
    """A trip with its value in minor units (None with `reasons`), the price used, its parts."""

    trip: TripFacts
    value_minor: int | None
    price: PricePoint | None
    reasons: tuple[str, ...]
    shares: tuple[Share, ...]

    @property
    def net_minor(self) -> int | None:
        """Value less outlay in minor units; None when either is unknown."""
        if self.value_minor is None or self.trip.outlay_minor is None:
            return None
        return self.value_minor - self.trip.outlay_minor

    @property
    def net_reason(self) -> str:
        """Why the net is unknown; empty when it is known."""
        if self.net_minor is not None:
            return ""
        costs = self.trip.unknown if self.trip.outlay_minor is None else ()
        words = tuple(dict.fromkeys((*self.reasons, *costs)))
        return " ".join(words) or say("Its costs are not known.")


def value_trips(
    trips: Sequence[TripFacts],
    party: PartyFacts,
    prices: Sequence[PricePoint],
    *,
    as_of: date,
    basis: PriceBasis,
) -> tuple[ValuedTrip, ...]:
    """Every trip with its value in minor units of the party's currency, in the order given.

    Args: as_of: the day whose price counts when `basis` is "today".
    """
    price_of = prices_of(prices, party.currency)
    payable = Decimal(party.payable_ppt) / 1000
    valued = []
    for trip in trips:
        day = trip.ends_on if basis == "trip" else as_of
        worth, price, reasons = _worth(trip, payable, price_of(day))
        valued.append(ValuedTrip(trip, worth, price, reasons, attribute(trip, worth)))
    return tuple(valued)


def _worth(
    trip: TripFacts, payable: Decimal, price: PricePoint | Unknown
) -> tuple[int | None, PricePoint | None, tuple[str, ...]]:
    """Value in minor units, the price it rests on, and the reasons when it is unknown."""
    metal_ug, own_minor = trip.fine_ug, 0
    if trip.own is not None and metal_ug is not None:
        if trip.own.value_minor is None:
            return None, None, (trip.own.reason,)
        metal_ug, own_minor = max(0, metal_ug - trip.own.fine_ug), trip.own.value_minor
    known = price if isinstance(price, PricePoint) else None
    if metal_ug is None:
        return None, known, trip.unknown or (say("The gold has not been weighed."),)
    # No gold is worth nothing at any price, also at one that isn't known.
    if metal_ug == 0:
        return own_minor, known, ()
    if isinstance(price, Unknown):
        return None, None, (price.reason,)
    # Pure gold already: 1000 ‰.
    per_ug = minor_per_ug(price, 1000, payable)
    return round_minor(metal_ug * per_ug) + own_minor, price, ()


def price_words(point: PricePoint | Unknown) -> str:
    """A price with its unit, day and source in one line, or why there is none."""
    if isinstance(point, Unknown):
        return point.reason
    unit = say("troy ounce") if point.unit == "ozt" else say("gram")
    exponent = point.amount.normalize().as_tuple().exponent
    amount = local.fixed(point.amount, max(0, -int(exponent)), group=NARROW)
    return say(
        "{amount} {currency} per {unit} of {day} ({source})",
        amount=amount,
        currency=point.currency,
        unit=unit,
        day=local.day(point.day),
        source=point.source,
    )
