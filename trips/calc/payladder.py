"""Does it pay: its fuel, its outlay, its wear, the party's own figure for an hour?

Each rung holds the rungs below it. A rung is reached, not reached, or not known; where part of a
cost is unknown a rung can still be surely missed, but never surely reached.
"""

from dataclasses import dataclass
from decimal import Decimal, localcontext
from fractions import Fraction
from math import ceil
from typing import Literal, NamedTuple

from trips.calc.costs import Layer, TripCost
from trips.calc.errors import OutOfRange
from trips.calc.gold import UG_PER_G, PricePoint, Unknown, check_shares, minor_per_ug
from trips.calc.money import minor_per_main, round_minor
from trips.calc.units import PRECISION
from trips.calc.words import Spoken, marked, say

RungKey = Literal["fuel", "outlay", "wear", "hours"]
LABELS = Spoken(
    {
        "fuel": marked("its fuel"),
        "outlay": marked("its outlay"),
        "wear": marked("its wear"),
        "hours": marked("your own figure per hour"),
    }
)


class Rung(NamedTuple):
    """One rung: what must come in (minor units, None if not known) and whether it did."""

    key: RungKey
    threshold_minor: int | None
    reached: bool | None
    reason: str


@dataclass(frozen=True)
class BreakEven:
    """The least that pays: micrograms, or None with the reason why there is no such mass."""

    mass_ug: int | None
    reason: str


@dataclass(frozen=True)
class BreakEvenPrice:
    """The price per gram of pure gold that pays, in the main unit; None with the reason."""

    per_g: Decimal | None
    currency: str
    reason: str


def rungs(
    value_minor: int | None,
    cost: TripCost,
    hours_minutes: int | None,
    hourly_figure_minor: int | None,
    value_reason: str = "",
) -> tuple[Rung, ...]:
    """The four rungs in order, thresholds in minor units of the cost's currency.

    Args: value_minor: what the gold is worth, None if not known (then `value_reason` says why,
        otherwise that it isn't known);
        hours_minutes: all person-time of the trip; hourly_figure_minor: for one hour.
    Raises: OutOfRange for negative time or a negative figure per hour.
    """
    if (hours_minutes or 0) < 0 or (hourly_figure_minor or 0) < 0:
        raise OutOfRange(
            f"{hours_minutes} minutes at {hourly_figure_minor} an hour: zero or more was expected."
        )
    if value_minor is None and not value_reason:
        value_reason = say("The value of the gold is not known.")
    all_in = cost.outlay_minor + cost.wear_minor
    steps: list[tuple[RungKey, Layer, int, str]] = [
        ("fuel", "fuel", cost.fuel_minor, ""),
        ("outlay", "outlay", cost.outlay_minor, ""),
        ("wear", "wear", all_in, ""),
    ]
    if hourly_figure_minor is None:
        steps.append(("hours", "wear", all_in, say("No figure for an hour is set.")))
    elif hours_minutes is None:
        steps.append(("hours", "wear", all_in, say("The hours are not recorded.")))
    else:
        hours = round_minor(Fraction(hours_minutes * hourly_figure_minor, 60))
        steps.append(("hours", "wear", all_in + hours, ""))
    all_known = cost.is_known("wear")
    built = []
    for key, layer, known_minor, gap in steps:
        if not gap and not all_known and not cost.is_known(layer):
            gap = say("Part of the cost is not known: ") + " ".join(cost.unknown)
        built.append(_rung(key, known_minor, gap, value_minor, value_reason))
    return tuple(built)


def _rung(
    key: RungKey, known_minor: int, gap: str, value_minor: int | None, value_reason: str
) -> Rung:
    """One rung; `gap` says what is not known of its threshold, empty if all is known."""
    threshold = None if gap else known_minor
    if value_minor is None:
        return Rung(key, threshold, None, " ".join(filter(None, [value_reason, gap])))
    if not gap:
        return Rung(key, threshold, value_minor >= known_minor, "")
    if value_minor < known_minor:
        return Rung(key, None, False, say("The known part alone is more. {gap}", gap=gap))
    return Rung(key, None, None, gap)


def break_even_ug(
    cost_minor: int | None,
    price: PricePoint | Unknown,
    fineness: int | None,
    payable_ratio: Decimal = Decimal(1),
) -> BreakEven:
    """The least raw gold in µg whose value covers a cost, rounded up so that it does pay.

    Returns: 0 for a cost of zero or less; None with the reason where something is not known or
        where no amount would do because nothing is paid for gold.
    Raises: OutOfRange for a fineness or payable share outside its range.
    """
    check_shares(fineness, payable_ratio)
    if cost_minor is None:
        return BreakEven(None, say("The cost is not known."))
    if isinstance(price, Unknown):
        return BreakEven(None, price.reason)
    if fineness is None:
        return BreakEven(None, say("The fineness is not known."))
    if cost_minor <= 0:
        return BreakEven(0, say("There is no cost to cover."))
    per_ug = minor_per_ug(price, fineness, payable_ratio)
    if per_ug <= 0:
        return BreakEven(None, say("No amount would do: nothing is paid for the gold."))
    return BreakEven(
        ceil(cost_minor / per_ug), say("At the price of {day}.", day=price.day.isoformat())
    )


def break_even_price_per_g(
    cost_minor: int | None,
    currency: str,
    mass_ug: int | None,
    fineness: int | None,
    payable_ratio: Decimal = Decimal(1),
) -> BreakEvenPrice:
    """Price per gram of pure gold at which this gold covers a cost, in the currency's main unit.

    Returns: None with the reason where something is not known or the mass is zero.
    Raises: OutOfRange for a fineness or payable share outside its range; UnknownCurrency.
    """
    check_shares(fineness, payable_ratio)
    scale = minor_per_main(currency)
    if cost_minor is None:
        return BreakEvenPrice(None, currency, say("The cost is not known."))
    if mass_ug is None:
        return BreakEvenPrice(None, currency, say("The gold has not been weighed."))
    if fineness is None:
        return BreakEvenPrice(None, currency, say("The fineness is not known."))
    if cost_minor <= 0:
        return BreakEvenPrice(Decimal(0), currency, say("There is no cost to cover."))
    paid = Fraction(mass_ug * fineness, 1000 * UG_PER_G) * Fraction(payable_ratio)
    if paid <= 0:
        return BreakEvenPrice(
            None, currency, say("No price would do: there is no gold to be paid for.")
        )
    exact = Fraction(cost_minor, scale) / paid
    with localcontext() as ctx:
        ctx.prec = PRECISION
        per_g = Decimal(exact.numerator) / Decimal(exact.denominator)
    return BreakEvenPrice(per_g, currency, "")
