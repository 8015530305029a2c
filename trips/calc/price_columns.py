"""Which columns of a table hold days and gold prices, by their headers and first cells."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

DATE_WORDS = frozenset(["date", "day", "month", "period", "time"])
PRICE_WORDS = frozenset(["price", "gold", "close", "fix", "value", "average", "rate"])
CURRENCIES = frozenset(
    [
        # The ones looked for in headers; any other can be typed.
        *("AUD", "BRL", "CAD", "CHF", "CNY", "CZK", "DKK", "EUR", "GBP", "HUF", "INR"),
        *("JPY", "MXN", "NOK", "NZD", "PLN", "RON", "RUB", "SEK", "TRY", "USD", "ZAR"),
    ]
)
Unit = Literal["ozt", "g"]
Mark = Literal[".", ","]

DAY = re.compile(r"(\d{4})([-/.])(\d{1,2})\2(\d{1,2})(?:[T ]00:00(?::00(?:\.0+)?)?Z?)?", re.ASCII)
# No point between year and month: 4175.50 is a price.
MONTH = re.compile(r"(\d{4})[-/](\d{1,2})", re.ASCII)


@dataclass(frozen=True)
class Guess:
    """What the headers and the first lines suggest; None where they say nothing."""

    date_column: int | None
    price_column: int | None
    per_unit: Unit | None
    currency: str | None
    decimal_mark: Mark
    is_monthly: bool


def looks_like_date(cell: str) -> bool:
    return bool(DAY.fullmatch(cell) or MONTH.fullmatch(cell))


def guess_of(
    headers: tuple[str, ...], rows: Sequence[tuple[int, tuple[str, ...]]], delimiter: str
) -> Guess:
    first = [cells for _, cells in rows[:50]]
    words = [re.findall(r"[a-z]+|[€£]", header.casefold()) for header in headers]
    dates = [
        at
        for at in range(len(headers))
        if 2 * sum(looks_like_date(cells[at]) for cells in first) > len(first)
    ] or [at for at, found in enumerate(words) if DATE_WORDS.intersection(found)]
    date_column = dates[0] if dates else None
    numeric = [
        at
        for at in range(len(headers))
        if at != date_column
        and any(re.search(r"\d", cells[at]) for cells in first)
        and not any(looks_like_date(cells[at]) for cells in first)
    ]
    named = [at for at in numeric if _unit(words[at]) or PRICE_WORDS.intersection(words[at])]
    price_column = next(iter(named or numeric), None)
    price_words = words[price_column] if price_column is not None else []
    cells = [row[price_column] for row in first] if price_column is not None else []
    return Guess(
        date_column=date_column,
        price_column=price_column,
        per_unit=_unit(price_words),
        currency=_currency(price_words),
        decimal_mark=_mark(cells, delimiter),
        is_monthly=date_column is not None
        and any(MONTH.fullmatch(row[date_column]) for row in first),
    )


def _unit(words: Sequence[str]) -> Unit | None:
    if {"ozt", "oz", "ounce", "ounces", "troy", "toz"}.intersection(words):
        return "ozt"
    return "g" if {"g", "gram", "grams", "gramme"}.intersection(words) else None


def _currency(words: Sequence[str]) -> str | None:
    signs = {"€": "EUR", "£": "GBP", "euro": "EUR", "dollar": None, "dollars": None}
    for word in words:
        code = signs.get(word, word.upper())
        if code in CURRENCIES:
            return code
    return None


def _mark(cells: Sequence[str], delimiter: str) -> Mark:
    """The decimal mark that most cells use last; a lone one before three digits says little."""
    commas = sum(cell.rfind(",") > cell.rfind(".") for cell in cells)
    points = sum(cell.rfind(".") > cell.rfind(",") for cell in cells)
    telling = [cell for cell in cells if not re.fullmatch(r"\d{1,3}(,\d{3})+", cell)]
    if delimiter == "," and not any("," in cell for cell in telling):
        return "."
    return "," if commas > points else "."
