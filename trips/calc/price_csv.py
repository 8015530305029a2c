"""Which dated gold prices does a table of text hold, and which of its lines can't be used?

Nothing is guessed silently: what the headers suggest is offered as a `Guess`, and every line
left out says its number, its column and why. One physical line is one row, so that an open
quotation mark spoils one line and not the rest of the file.
"""

import calendar
import csv
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import ROUND_HALF_EVEN, Decimal
from typing import Literal

from trips.calc.errors import CalcError, NotANumber
from trips.calc.numbers import parse_decimal

# A form post may hold 5 MB in all (settings); the text travels through one with a little beside it.
MAX_BYTES = 4_500_000
MAX_LINES = 20_000
MAX_COLUMNS = 50
MAX_LINE = 2_000
MICROS = 1_000_000
HIGHEST = Decimal(10) ** 9
EARLIEST = date(1800, 1, 1)
DELIMITERS = (";", "\t", ",")
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
MonthDay = Literal["last", "first"]
Mark = Literal[".", ","]

_DAY = re.compile(r"(\d{4})([-/.])(\d{1,2})\2(\d{1,2})(?:[T ]00:00(?::00(?:\.0+)?)?Z?)?", re.ASCII)
# No point between year and month: 4175.50 is a price.
_MONTH = re.compile(r"(\d{4})[-/](\d{1,2})", re.ASCII)


class PriceFileError(CalcError):
    """The text as a whole can't be read as a table of prices."""


@dataclass(frozen=True)
class Guess:
    """What the headers and the first lines suggest; None where they say nothing."""

    date_column: int | None
    price_column: int | None
    per_unit: Unit | None
    currency: str | None
    decimal_mark: Mark
    is_monthly: bool


@dataclass(frozen=True)
class Refused:
    """A line that isn't used: its number in the file, the column's name, and the reason."""

    line: int
    column: str
    reason: str


@dataclass(frozen=True)
class Sheet:
    """Headers and the lines under them, each with its number in the file; blank lines are out."""

    headers: tuple[str, ...]
    rows: tuple[tuple[int, tuple[str, ...]], ...]
    refused: tuple[Refused, ...]
    guess: Guess


@dataclass(frozen=True)
class PriceLine:
    """One usable price: millionths of a currency unit on a day; `is_rounded` if it had more."""

    line: int
    day: date
    amount_micros: int
    is_rounded: bool = False


@dataclass(frozen=True)
class PriceLines:
    """Usable prices, one a day, oldest first; `repeated` lines said the same once more."""

    good: tuple[PriceLine, ...]
    refused: tuple[Refused, ...]
    repeated: int


@dataclass(frozen=True)
class Differing:
    """A day whose stored price differs from the file's."""

    line: PriceLine
    stored_micros: int
    stored_unit: str


@dataclass(frozen=True)
class ImportPlan:
    """What saving would do: add `new`, leave `same` alone, replace `differing` only if asked."""

    new: tuple[PriceLine, ...]
    same: tuple[PriceLine, ...]
    differing: tuple[Differing, ...]


def decode(data: bytes) -> str:
    """Text of a file in UTF-8 (with or without byte order mark) or UTF-16 with one.

    Raises: PriceFileError for another encoding, a spreadsheet file, or too many bytes.
    """
    if len(data) > MAX_BYTES:
        raise PriceFileError(
            f"The file has {len(data):,} bytes; at most {MAX_BYTES:,} were expected. "
            "Cut it into parts."
        )
    if data.startswith((b"PK\x03\x04", b"\xd0\xcf\x11\xe0")):
        raise PriceFileError(
            "This is a spreadsheet file, not text. Save it as CSV there, then bring that file."
        )
    wide = data.startswith((b"\xff\xfe", b"\xfe\xff"))
    try:
        return data.decode("utf-16" if wide else "utf-8-sig")
    except UnicodeDecodeError as error:
        raise PriceFileError(
            "The letters of this file can't be read: it is not in UTF-8. "
            "Save it once more as “CSV UTF-8”, or paste its text instead."
        ) from error


def read_sheet(text: str) -> Sheet:
    """Split text into headers and numbered rows, and guess what the columns mean.

    Raises: PriceFileError for an empty text, no header line, no line below it, one column
        only, or more than the allowed lines or columns.
    """
    if "\x00" in text:
        raise PriceFileError("This is not a text file: it has zero bytes in it.")
    if len(text.encode("utf-8", "surrogatepass")) > MAX_BYTES:
        raise PriceFileError(f"The text is too long; at most {MAX_BYTES:,} bytes were expected.")
    lines = re.split(r"\r\n|\r|\n", text.removeprefix("\ufeff"))
    filled = [(number, line) for number, line in enumerate(lines, start=1) if line.strip()]
    if not filled:
        raise PriceFileError("There is nothing in it: no line with text was found.")
    if len(filled) > MAX_LINES:
        raise PriceFileError(
            f"It has {len(filled):,} lines; at most {MAX_LINES:,} were expected. Cut it into parts."
        )
    delimiter = max(DELIMITERS, key=lambda mark: filled[0][1].count(mark))
    headers = _headers(filled[0][1], delimiter)
    rows: list[tuple[int, tuple[str, ...]]] = []
    refused: list[Refused] = []
    for number, line in filled[1:]:
        cells = _cells(line, delimiter) if len(line) <= MAX_LINE else ()
        if not cells and cells is not None:
            reason = f"It has {len(line):,} characters; at most {MAX_LINE:,} were expected."
            refused.append(Refused(number, "", reason))
        elif cells is None:
            refused.append(Refused(number, "", "A quotation mark is opened and not closed."))
        elif any(cells[len(headers) :]) or len(cells) < len(headers):
            have = "1 column" if len(cells) == 1 else f"{len(cells)} columns"
            reason = f"It has {have} where the header has {len(headers)}."
            if len(cells) > len(headers) and delimiter == ",":
                reason += " If its numbers have decimal commas, part the columns by semicolons."
            refused.append(Refused(number, "", reason))
        elif any(cells):
            rows.append((number, cells[: len(headers)]))
    if not rows and not refused:
        raise PriceFileError("Under the line of column names there is no line with a price.")
    return Sheet(headers, tuple(rows), tuple(refused), _guess(headers, rows, delimiter))


def read_prices(
    sheet: Sheet,
    *,
    date_column: int,
    price_column: int,
    decimal_mark: Mark,
    month_day: MonthDay,
    latest: date,
) -> PriceLines:
    """Read the two chosen columns of every line.

    Args: month_day: where a whole month's figure stands. A month's average is not known before
        the month is over, so "last" never values gold with a price nobody could know.
        latest: days after it are refused.
    Returns: one price a day in micros of the currency unit; of a day with two different
        prices none is taken.
    """
    read: dict[date, list[PriceLine]] = {}
    refused = list(sheet.refused)
    for number, cells in sheet.rows:
        try:
            at = date_column
            day = _day(cells[at], month_day, latest)
            at = price_column
            amount_micros, is_rounded = _micros(cells[at], decimal_mark)
        except CalcError as error:
            refused.append(Refused(number, sheet.headers[at], str(error)))
        else:
            read.setdefault(day, []).append(PriceLine(number, day, amount_micros, is_rounded))
    good, repeated = [], 0
    for day, same_day in sorted(read.items()):
        if len({line.amount_micros for line in same_day}) == 1:
            good.append(same_day[0])
            repeated += len(same_day) - 1
            continue
        numbers = ", ".join(str(line.line) for line in same_day[:5])
        reason = f"{day.isoformat()} has different prices in lines {numbers}; none is taken."
        refused += [Refused(line.line, sheet.headers[price_column], reason) for line in same_day]
    return PriceLines(tuple(good), tuple(sorted(refused, key=lambda each: each.line)), repeated)


def plan_import(
    lines: Sequence[PriceLine], per_unit: Unit, stored: Mapping[date, tuple[int, str]]
) -> ImportPlan:
    """Compare with what is stored: day → (micros, unit) of the same currency."""
    new, same, differing = [], [], []
    for line in lines:
        known = stored.get(line.day)
        if known is None:
            new.append(line)
        elif known == (line.amount_micros, per_unit):
            same.append(line)
        else:
            differing.append(Differing(line, *known))
    return ImportPlan(tuple(new), tuple(same), tuple(differing))


def _headers(line: str, delimiter: str) -> tuple[str, ...]:
    if len(line) > MAX_LINE:
        raise PriceFileError(
            f"The first line has {len(line):,} characters; at most {MAX_LINE:,} were expected."
        )
    cells = _cells(line, delimiter)
    if cells is None:
        raise PriceFileError("The first line opens a quotation mark and does not close it.")
    if len(cells) > MAX_COLUMNS:
        raise PriceFileError(f"It has {len(cells):,} columns; at most {MAX_COLUMNS} were expected.")
    if len(cells) < 2:
        raise PriceFileError(
            "Only one column was found. Two are needed, a date and a price, parted by commas, "
            "semicolons or tabs, with their names in the first line."
        )
    if any(_looks_like_date(cell) for cell in cells):
        raise PriceFileError(
            f"The first line, “{line.strip()[:60]}”, is a price already. Put a line with the "
            "names of the columns above it, for example: month,usd_per_troy_ounce"
        )
    return tuple(cell or f"column {at}" for at, cell in enumerate(cells, start=1))


def _cells(line: str, delimiter: str) -> tuple[str, ...] | None:
    """Cells of one line without the blanks round them; None if a quotation mark stays open."""
    try:
        return tuple(
            cell.strip() for cell in next(csv.reader([line], delimiter=delimiter, strict=True))
        )
    except csv.Error:
        return None


def _looks_like_date(cell: str) -> bool:
    return bool(_DAY.fullmatch(cell) or _MONTH.fullmatch(cell))


def _day(cell: str, month_day: MonthDay, latest: date) -> date:
    problem = PriceFileError(
        f"“{cell[:40]}” is not a date; 2031-05-03 or a month like 2031-05 was expected."
        if cell
        else "The date is missing."
    )
    found = _DAY.fullmatch(cell)
    month = None if found else _MONTH.fullmatch(cell)
    try:
        if found:
            day = date(int(found[1]), int(found[3]), int(found[4]))
        elif month:
            year, number = int(month[1]), int(month[2])
            last = calendar.monthrange(year, number)[1]
            day = date(year, number, last if month_day == "last" else 1)
        else:
            raise problem
    except (ValueError, calendar.IllegalMonthError) as error:
        raise problem from error
    if day > latest and month:
        raise PriceFileError(f"{cell}: a month's price stands on {day}, which is still to come.")
    if day > latest:
        raise PriceFileError(f"{cell} is still to come; a price can't be known yet.")
    if day < EARLIEST:
        raise PriceFileError(f"{cell} is before {EARLIEST.year}; a later year was expected.")
    return day


def _micros(cell: str, mark: Mark) -> tuple[int, bool]:
    """Millionths of the currency unit and whether rounding was needed, half to even."""
    if not cell:
        raise PriceFileError("The price is missing.")
    other = "," if mark == "." else "."
    if cell.count(mark) > 1 or (mark in cell and cell.rfind(other) > cell.find(mark)):
        raise NotANumber(f"“{cell[:40]}” has its marks in another order than “{mark}” last.")
    # With the decimal mark written out, the other mark can only part thousands.
    amount = parse_decimal(cell if mark in cell or other not in cell else f"{cell}{mark}0")
    if amount <= 0:
        raise PriceFileError(f"“{cell}” is not more than zero.")
    if amount > HIGHEST:
        raise PriceFileError(f"“{cell}” is more than {HIGHEST:,}.")
    exact = amount * MICROS
    whole = exact.to_integral_value(ROUND_HALF_EVEN)
    if whole == 0:
        raise PriceFileError(f"“{cell}” is less than a millionth.")
    return int(whole), whole != exact


def _guess(
    headers: tuple[str, ...], rows: Sequence[tuple[int, tuple[str, ...]]], delimiter: str
) -> Guess:
    first = [cells for _, cells in rows[:50]]
    words = [re.findall(r"[a-z]+|[€£]", header.casefold()) for header in headers]
    dates = [
        at
        for at in range(len(headers))
        if 2 * sum(_looks_like_date(cells[at]) for cells in first) > len(first)
    ] or [at for at, found in enumerate(words) if DATE_WORDS.intersection(found)]
    date_column = dates[0] if dates else None
    numeric = [
        at
        for at in range(len(headers))
        if at != date_column
        and any(re.search(r"\d", cells[at]) for cells in first)
        and not any(_looks_like_date(cells[at]) for cells in first)
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
        and any(_MONTH.fullmatch(row[date_column]) for row in first),
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
