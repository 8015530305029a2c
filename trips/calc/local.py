"""Numbers, dates and money as text in the manner of the person who reads them.

The program's own manner misleads nobody anywhere: 3 May 2031, 1 234.50 with a point and narrow
spaces, the currency's code. Whoever names a region reads its digits, marks, groups, month names
and currency signs instead; the data of regions come from Unicode's CLDR through Babel. A request
sets the manner once (`use`), everything below reads it, so that no sum carries it along. Files
for machines never ask here. Babel is imported only when somebody has named a region.
"""

import calendar
import copy
import datetime as dt
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from babel import Locale

MINUS, NARROW = "\u2212", "\u202f"
OWN_MANNER = ""
# Where a numbering system's digits begin in Unicode: CLDR names the system, Babel writes 0 to 9.
_ZEROS = {"arab": 0x660, "arabext": 0x6F0, "beng": 0x9E6, "deva": 0x966, "mymr": 0x1040}
Dates = Literal["region", "words", "iso"]


@dataclass(frozen=True)
class Manner:
    """A region as CLDR names it ("de_DE"; "" is the program's own manner) and the way of dates.

    `dates` is "region" (as the region writes), "words" (3 May 2031) or "iso" (2031-05-03).
    """

    region: str = OWN_MANNER
    dates: Dates = "region"


OWN = Manner()
_current: ContextVar[Manner] = ContextVar("manner", default=OWN)


def current() -> Manner:
    """The manner that text is written in just now."""
    return _current.get()


def use(manner: Manner) -> None:
    """Write in this manner until told otherwise; each request starts with its own."""
    _current.set(manner)


@contextmanager
def written(manner: Manner) -> Iterator[None]:
    """Write in this manner within the block."""
    token = _current.set(manner)
    try:
        yield
    finally:
        _current.reset(token)


def number(value: Decimal | int, group: str = NARROW) -> str:
    """A number with all its decimals, grouped. `group` is used in the program's own manner."""
    region = current().region
    if not region:
        return f"{value:,}".replace(",", group).replace("-", MINUS)
    from babel.numbers import parse_pattern

    locale = _locale(region)
    pattern = copy.copy(parse_pattern(locale.decimal_formats[None].pattern))
    pattern.frac_prec = (_decimals(value),) * 2
    return _in_digits(pattern.apply(value, locale, numbering_system="default"), locale)


def fixed(value: float | Decimal, places: int, group: str = "") -> str:
    """A worked-out number rounded to `places` decimals."""
    if not current().region:
        return f"{value:,.{places}f}".replace(",", group).replace("-", MINUS if group else "-")
    return number(Decimal(f"{value:.{places}f}"))


def money(amount: Decimal, currency: str, group: str = NARROW) -> str:
    """An amount with its currency, in as many decimals as it has; nothing is rounded here."""
    region = current().region
    if not region:
        return f"{number(amount, group)}{NARROW}{currency}"
    from babel.numbers import parse_pattern

    locale = _locale(region)
    pattern = copy.copy(parse_pattern(locale.currency_formats["standard"].pattern))
    # CLDR shows some currencies with fewer decimals than ISO 4217 gives them: amounts stay whole.
    pattern.frac_prec = (_decimals(amount),) * 2
    text = pattern.apply(
        amount, locale, currency=currency, currency_digits=False, numbering_system="default"
    )
    return _in_digits(text, locale)


def day(value: dt.date) -> str:
    """A date with its year, e.g. "3 May 2031"."""
    manner = current()
    if manner.dates == "iso":
        return f"{value:%Y-%m-%d}"
    if not manner.region:
        return f"{value.day} {value:%b %Y}"
    if manner.dates == "words":
        return _by_skeleton("yMMMd", value)
    from babel.dates import format_date

    locale = _locale(manner.region)
    return _in_digits(format_date(value, "medium", locale=locale), locale)


def day_of_month(value: dt.date) -> str:
    """A date without its year, e.g. "3 May"."""
    if current().dates == "iso":
        return f"{value:%m-%d}"
    if not current().region:
        return f"{value.day} {value:%b}"
    return _by_skeleton("MMMd", value)


def month_and_day(month: int, number_: int) -> str:
    """A day of every year with its month in full, e.g. "31 October"."""
    if current().dates == "iso":
        return f"{month:02d}-{number_:02d}"
    if not current().region:
        return f"{number_} {calendar.month_name[month]}"
    return _by_skeleton("MMMMd", dt.date(2000, month, number_))


def month_of_year(value: dt.date) -> str:
    """A month with its year, e.g. "May 2031"."""
    if current().dates == "iso":
        return f"{value:%Y-%m}"
    if not current().region:
        return f"{value:%B %Y}"
    return _by_skeleton("yMMMM", value)


def month_name(month: int) -> str:
    """A month's name by itself."""
    if not current().region:
        return calendar.month_name[month]
    names = _locale(current().region).months["stand-alone"]["wide"]
    return str(names[month])


def weekday_names() -> tuple[tuple[str, str], ...]:
    """Monday to Sunday, short and in full."""
    if not current().region:
        return tuple((name[:2], name) for name in calendar.day_name)
    days = _locale(current().region).days["stand-alone"]
    return tuple((str(days["abbreviated"][n]), str(days["wide"][n])) for n in range(7))


def decimal_mark() -> str:
    """The mark that this person's numbers are typed with: "." or ","."""
    region = current().region
    if not region:
        return "."
    symbols = _locale(region).number_symbols
    # Native marks are read as well; on a keyboard with other digits the comma stands for them.
    mark = symbols["latn"]["decimal"] if "latn" in symbols else "."
    return mark if mark in (".", ",") else ","


def _by_skeleton(skeleton: str, value: dt.date) -> str:
    from babel.dates import format_skeleton

    locale = _locale(current().region)
    return _in_digits(format_skeleton(skeleton, value, locale=locale), locale)


def _in_digits(text: str, locale: "Locale") -> str:
    zero = _ZEROS.get(locale.default_numbering_system or "")
    return text.translate({48 + n: zero + n for n in range(10)}) if zero else text


def _decimals(value: Decimal | int) -> int:
    exponent = value.as_tuple().exponent if isinstance(value, Decimal) else 0
    return max(0, -exponent) if isinstance(exponent, int) else 0


@lru_cache(maxsize=64)
def _locale(region: str) -> "Locale":
    from babel import Locale

    return Locale.parse(region)
