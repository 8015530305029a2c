"""What is this gold worth on a day, and at which price was it valued?

Value = mass × fineness × price × payable share − fee, exact fractions, rounded once at the end.
The price of a day is the latest on or before it, in that currency, never the next one. Without a
price the value is unknown and the reason says what exists; it is never zero.
"""

from bisect import bisect_right
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal, localcontext
from fractions import Fraction
from functools import lru_cache
from typing import Literal, NamedTuple

from trips.calc.errors import OutOfRange
from trips.calc.money import minor_per_main, round_minor
from trips.calc.units import OZT_G, PRECISION
from trips.calc.words import say

UG_PER_G = 1_000_000


@dataclass(frozen=True)
class Unknown:
    """A figure that is not known, with the reason in words."""

    reason: str


@dataclass(frozen=True)
class PricePoint:
    """Price of pure gold on a day: `amount` of the currency's main unit per oz t or per g."""

    day: date
    amount: Decimal
    unit: Literal["ozt", "g"]
    currency: str
    source: str

    @property
    def exact_per_g(self) -> Fraction:
        """Price per gram in the main unit, exactly."""
        per_unit = Fraction(self.amount)
        return per_unit / Fraction(OZT_G) if self.unit == "ozt" else per_unit

    @property
    def price_per_g(self) -> Decimal:
        """Price per gram in the main unit, to 50 significant digits; sums use `exact_per_g`."""
        with localcontext() as ctx:
            ctx.prec = PRECISION
            return self.amount / OZT_G if self.unit == "ozt" else self.amount


class Valuation(NamedTuple):
    """A value in minor units, or None with the reason; `price` is the one it rests on."""

    amount_minor: int | None
    currency: str | None
    price: PricePoint | None
    reason: str


def price_on(points: Sequence[PricePoint], day: date, currency: str) -> PricePoint | Unknown:
    """The latest price on or before `day` in `currency`; of two on one day, the later in order.

    Returns: Unknown with a reason naming the currencies or dates that do exist.
    """
    if not points:
        return Unknown(say("No gold price has been entered yet."))
    same = [point for point in points if point.currency == currency]
    if not same:
        have = ", ".join(sorted({point.currency for point in points}))
        return Unknown(
            say(
                "No gold price in {currency}; prices exist in {have}.", currency=currency, have=have
            )
        )
    past = [point for point in same if point.day <= day]
    if not past:
        first = min(point.day for point in same)
        return Unknown(
            say(
                "No gold price in {currency} on or before {day}; the first is of {first}.",
                currency=currency,
                day=day.isoformat(),
                first=first.isoformat(),
            )
        )
    latest = max(point.day for point in past)
    return [point for point in past if point.day == latest][-1]


def prices_of(
    points: Sequence[PricePoint], currency: str
) -> Callable[[date], PricePoint | Unknown]:
    """`price_on` for many days: the points are put in order once."""
    latest = {point.day: point for point in points if point.currency == currency}
    days = sorted(latest)

    def on(day: date) -> PricePoint | Unknown:
        past = bisect_right(days, day)
        return latest[days[past - 1]] if past else price_on(points, day, currency)

    return on


def value_gold(
    *,
    mass_ug: int | None,
    fineness: int | None,
    price: PricePoint | Unknown,
    payable_ratio: Decimal = Decimal(1),
    fee_minor: int = 0,
) -> Valuation:
    """Value of gold in minor units of the price's currency, below zero if the fee exceeds it.

    Args: mass_ug: gross, None if not weighed; fineness: 0–1000 ‰; payable_ratio: 0–1;
        fee_minor: flat charge, zero or more.
    Raises: OutOfRange for a negative mass, or a fineness, share or fee outside its range.
    """
    check_shares(fineness, payable_ratio)
    if mass_ug is not None and mass_ug < 0:
        raise OutOfRange(f"A mass of {mass_ug} µg was given; zero or more was expected.")
    if fee_minor < 0:
        raise OutOfRange(f"A fee of {fee_minor} was given; zero or more was expected.")
    known = price if isinstance(price, PricePoint) else None
    currency = known.currency if known else None
    if mass_ug is None:
        return Valuation(None, currency, known, say("The gold has not been weighed."))
    if fineness is None:
        return Valuation(None, currency, known, say("The fineness is not known."))
    if isinstance(price, Unknown):
        return Valuation(None, None, None, price.reason)
    per_ug = minor_per_ug(price, fineness, payable_ratio)
    amount_minor = round_minor(mass_ug * per_ug - fee_minor)
    day = price.day.isoformat()
    return Valuation(
        amount_minor,
        price.currency,
        price,
        say("At the price of {day}, {source}.", day=day, source=price.source),
    )


@lru_cache(maxsize=1024)
def minor_per_ug(price: PricePoint, fineness: int, payable_ratio: Decimal) -> Fraction:
    """What one microgram of raw gold brings, in minor units, exactly."""
    paid = Fraction(fineness, 1000) * Fraction(payable_ratio)
    return price.exact_per_g / UG_PER_G * paid * minor_per_main(price.currency)


def check_shares(fineness: int | None, payable_ratio: Decimal) -> None:
    """Refuse a fineness outside 0–1000 ‰ or a payable share outside 0–1 (OutOfRange)."""
    if fineness is not None and not 0 <= fineness <= 1000:
        raise OutOfRange(f"A fineness of {fineness} was given; 0 to 1000 ‰ was expected.")
    if not 0 <= payable_ratio <= 1:
        raise OutOfRange(f"A payable share of {payable_ratio} was given; 0 to 1 was expected.")


def fine_mass_ug(mass_ug: int, fineness: int) -> int:
    """Micrograms of pure gold in raw gold, half to even."""
    return round(Fraction(mass_ug * fineness, 1000))


def fineness_from_analysis(gold_pct: Decimal, silver_pct: Decimal) -> Decimal:
    """Fineness in ‰ from an analysis: 1000·Au/(Au+Ag), other metals left out.

    Raises: OutOfRange unless both are at least zero and together above zero.
    Source: Hough, Butt & Fischer-Buehner, Elements 5, 2009, p. 297 (seen).
    """
    if gold_pct < 0 or silver_pct < 0 or gold_pct + silver_pct == 0:
        raise OutOfRange(f"Au {gold_pct} % and Ag {silver_pct} % do not make an analysis.")
    return 1000 * gold_pct / (gold_pct + silver_pct)
