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
from trips.calc.price_columns import (
    DAY,
    MONTH,
    Guess,
    Mark,
    Unit,
    guess_of,
    looks_like_date,
)
from trips.calc.words import say, several

# A form post may hold 5 MB in all (settings); the text travels through one with a little beside it.
MAX_BYTES = 4_500_000
MAX_LINES = 20_000
MAX_COLUMNS = 50
MAX_LINE = 2_000
MICROS = 1_000_000
HIGHEST = Decimal(10) ** 9
EARLIEST = date(1800, 1, 1)
DELIMITERS = (";", "\t", ",")
MonthDay = Literal["last", "first"]


class PriceFileError(CalcError):
    """The text as a whole can't be read as a table of prices."""


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
            say(
                "The file has {data:,} bytes; at most {max_bytes:,} were expected. "
                "Cut it into parts.",
                data=len(data),
                max_bytes=MAX_BYTES,
            )
        )
    if data.startswith((b"PK\x03\x04", b"\xd0\xcf\x11\xe0")):
        raise PriceFileError(
            say("This is a spreadsheet file, not text. Save it as CSV there, then bring that file.")
        )
    wide = data.startswith((b"\xff\xfe", b"\xfe\xff"))
    try:
        return data.decode("utf-16" if wide else "utf-8-sig")
    except UnicodeDecodeError as error:
        raise PriceFileError(
            say(
                "The letters of this file can't be read: it is not in UTF-8. Save "
                "it once more as “CSV UTF-8”, or paste its text instead."
            )
        ) from error


def read_sheet(text: str) -> Sheet:
    """Split text into headers and numbered rows, and guess what the columns mean.

    Raises: PriceFileError for an empty text, no header line, no line below it, one column
        only, or more than the allowed lines or columns.
    """
    if "\x00" in text:
        raise PriceFileError(say("This is not a text file: it has zero bytes in it."))
    if len(text.encode("utf-8", "surrogatepass")) > MAX_BYTES:
        raise PriceFileError(
            say(
                "The text is too long; at most {max_bytes:,} bytes were expected.",
                max_bytes=MAX_BYTES,
            )
        )
    lines = re.split(r"\r\n|\r|\n", text.removeprefix("\ufeff"))
    filled = [(number, line) for number, line in enumerate(lines, start=1) if line.strip()]
    if not filled:
        raise PriceFileError(say("There is nothing in it: no line with text was found."))
    if len(filled) > MAX_LINES:
        raise PriceFileError(
            say(
                "It has {filled:,} lines; at most {max_lines:,} were expected. Cut it into parts.",
                filled=len(filled),
                max_lines=MAX_LINES,
            )
        )
    delimiter = max(DELIMITERS, key=lambda mark: filled[0][1].count(mark))
    headers = _headers(filled[0][1], delimiter)
    rows: list[tuple[int, tuple[str, ...]]] = []
    refused: list[Refused] = []
    for number, line in filled[1:]:
        cells = _cells(line, delimiter) if len(line) <= MAX_LINE else ()
        if not cells and cells is not None:
            reason = say(
                "It has {line:,} characters; at most {max_line:,} were expected.",
                line=len(line),
                max_line=MAX_LINE,
            )
            refused.append(Refused(number, "", reason))
        elif cells is None:
            refused.append(Refused(number, "", say("A quotation mark is opened and not closed.")))
        elif any(cells[len(headers) :]) or len(cells) < len(headers):
            have = several("{n} column", "{n} columns", len(cells))
            reason = say(
                "It has {have} where the header has {headers}.", have=have, headers=len(headers)
            )
            if len(cells) > len(headers) and delimiter == ",":
                reason += say(
                    " If its numbers have decimal commas, part the columns by semicolons."
                )
            refused.append(Refused(number, "", reason))
        elif any(cells):
            rows.append((number, cells[: len(headers)]))
    if not rows and not refused:
        raise PriceFileError(say("Under the line of column names there is no line with a price."))
    return Sheet(headers, tuple(rows), tuple(refused), guess_of(headers, rows, delimiter))


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
        reason = say(
            "{day} has different prices in lines {numbers}; none is taken.",
            day=day.isoformat(),
            numbers=numbers,
        )
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
            say(
                "The first line has {line:,} characters; at most {max_line:,} were expected.",
                line=len(line),
                max_line=MAX_LINE,
            )
        )
    cells = _cells(line, delimiter)
    if cells is None:
        raise PriceFileError(say("The first line opens a quotation mark and does not close it."))
    if len(cells) > MAX_COLUMNS:
        raise PriceFileError(
            say(
                "It has {cells:,} columns; at most {max_columns} were expected.",
                cells=len(cells),
                max_columns=MAX_COLUMNS,
            )
        )
    if len(cells) < 2:
        raise PriceFileError(
            say(
                "Only one column was found. Two are needed, a date and a price, "
                "parted by commas, semicolons or tabs, with their names in the "
                "first line."
            )
        )
    if any(looks_like_date(cell) for cell in cells):
        raise PriceFileError(
            say(
                "The first line, “{line}”, is a price already. Put a line with the "
                "names of the columns above it, for example: "
                "month,usd_per_troy_ounce",
                line=line.strip()[:60],
            )
        )
    return tuple(cell or say("column {at}", at=at) for at, cell in enumerate(cells, start=1))


def _cells(line: str, delimiter: str) -> tuple[str, ...] | None:
    """Cells of one line without the blanks round them; None if a quotation mark stays open."""
    try:
        return tuple(
            cell.strip() for cell in next(csv.reader([line], delimiter=delimiter, strict=True))
        )
    except csv.Error:
        return None


def _day(cell: str, month_day: MonthDay, latest: date) -> date:
    problem = PriceFileError(
        say(
            "“{cell}” is not a date; 2031-05-03 or a month like 2031-05 was expected.",
            cell=cell[:40],
        )
        if cell
        else say("The date is missing.")
    )
    found = DAY.fullmatch(cell)
    month = None if found else MONTH.fullmatch(cell)
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
        raise PriceFileError(
            say(
                "{cell}: a month's price stands on {day}, which is still to come.",
                cell=cell,
                day=day,
            )
        )
    if day > latest:
        raise PriceFileError(say("{cell} is still to come; a price can't be known yet.", cell=cell))
    if day < EARLIEST:
        raise PriceFileError(
            say(
                "{cell} is before {year}; a later year was expected.", cell=cell, year=EARLIEST.year
            )
        )
    return day


def _micros(cell: str, mark: Mark) -> tuple[int, bool]:
    """Millionths of the currency unit and whether rounding was needed, half to even."""
    if not cell:
        raise PriceFileError(say("The price is missing."))
    other = "," if mark == "." else "."
    if cell.count(mark) > 1 or (mark in cell and cell.rfind(other) > cell.find(mark)):
        raise NotANumber(
            say(
                "“{cell}” has its marks in another order than “{mark}” last.",
                cell=cell[:40],
                mark=mark,
            )
        )
    # With the decimal mark written out, the other mark can only part thousands.
    amount = parse_decimal(cell if mark in cell or other not in cell else f"{cell}{mark}0")
    if amount <= 0:
        raise PriceFileError(say("“{cell}” is not more than zero.", cell=cell))
    if amount > HIGHEST:
        raise PriceFileError(say("“{cell}” is more than {highest:,}.", cell=cell, highest=HIGHEST))
    exact = amount * MICROS
    whole = exact.to_integral_value(ROUND_HALF_EVEN)
    if whole == 0:
        raise PriceFileError(say("“{cell}” is less than a millionth.", cell=cell))
    return int(whole), whole != exact
