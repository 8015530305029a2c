"""How many digits does a figure deserve, and one that comes with a range?

A range knows two digits of its own width; neither its ends nor the figure within it are shown
with more. Pages, PDFs and charts all ask here; files for machines keep every digit.
"""

import math
from decimal import ROUND_HALF_EVEN, Decimal, localcontext
from typing import NamedTuple

from trips.calc import local
from trips.calc.errors import OutOfRange
from trips.calc.money import exponent, from_minor
from trips.calc.words import marked, say

PRECISION = 50
UNKNOWN = marked("unknown")


class Ranged(NamedTuple):
    """A figure and the ends of its range as text; "unknown" for what isn't known."""

    low: str
    best: str
    high: str


def sensible(value: Decimal, sig: int = 3) -> Decimal:
    """Round to `sig` significant digits, half to even, written without an exponent."""
    if value == 0 or not value.is_finite():
        return value
    rounded = to_places(value, sig - 1 - value.adjusted())
    # 9.996 rounds up to 10.0, one digit longer before the point and so one fewer after it.
    return to_places(rounded, sig - 1 - rounded.adjusted())


def places_known(low: float | Decimal, high: float | Decimal) -> int:
    """Decimals that a range from low to high supports; negative for tens, hundreds and so on.

    Raises: OutOfRange for infinities and not-a-number.
    """
    width = abs(float(high) - float(low)) or abs(float(high)) or 1.0
    if not math.isfinite(width):
        raise OutOfRange(f"A range from {low} to {high} was given; finite ends were expected.")
    return max(-15, min(15, 1 - math.floor(math.log10(width))))


def to_places(value: Decimal, places: int) -> Decimal:
    """Rounded half to even, without an exponent and without a sign before zero.

    Args: places: decimals; negative rounds to tens, hundreds and so on.
    """
    with localcontext() as ctx:
        ctx.prec = PRECISION + abs(value.adjusted())
        rounded = value.quantize(Decimal(1).scaleb(-places), ROUND_HALF_EVEN)
        whole = rounded.quantize(Decimal(1)) if places < 0 else rounded
        return abs(whole) if whole == 0 else whole


def known_digits(low: Decimal, best: Decimal, high: Decimal) -> tuple[Decimal, Decimal, Decimal]:
    """A range and the figure in it, rounded to what the range knows; never longer than given.

    A range without width is exact and stays as it is.
    """
    if low == high:
        return low, best, high
    given = max(0, *(-_exponent(each) for each in (low, best, high)))
    places = min(given, places_known(low, high))
    return to_places(low, places), to_places(best, places), to_places(high, places)


def money_range(
    low_minor: int | None, best_minor: int | None, high_minor: int | None, currency: str
) -> Ranged:
    """An amount with its range in words; without a range the amount is whole.

    Args: minor units of `currency`; None is not known.
    """
    ends = (low_minor, best_minor, high_minor)
    if low_minor is None or best_minor is None or high_minor is None:
        return Ranged(
            *(_money(None if n is None else from_minor(n, currency), currency) for n in ends)
        )
    low, best, high = (from_minor(n, currency) for n in (low_minor, best_minor, high_minor))
    return Ranged(*(_money(each, currency) for each in known_digits(low, best, high)))


def number_range(low: float, best: float, high: float) -> Ranged:
    """A worked-out figure with its range in words, in the unit of all three."""
    places = places_known(low, high)
    return Ranged(
        *(local.number(to_places(Decimal(str(float(n))), places)) for n in (low, best, high))
    )


def main_money_range(low: float, best: float, high: float, currency: str) -> Ranged:
    """A forecast in the main unit of its currency, with its range in words."""
    scale = 10 ** exponent(currency)
    return money_range(round(low * scale), round(best * scale), round(high * scale), currency)


def _money(amount: Decimal | None, currency: str) -> str:
    return say(UNKNOWN) if amount is None else local.money(amount, currency)


def _exponent(value: Decimal) -> int:
    found = value.as_tuple().exponent
    return found if isinstance(found, int) else 0
