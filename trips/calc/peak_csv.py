"""Which flood peaks does a table of a gauge hold, and which of its lines can't be used?

Two columns are looked for by their names: a day and a peak. A line left out says its number, its
column and why; nothing is guessed.
"""

import re
from dataclasses import dataclass
from datetime import date
from decimal import ROUND_HALF_EVEN, Decimal

from trips.calc.errors import CalcError
from trips.calc.numbers import parse_decimal
from trips.calc.sheet_file import SheetError, SheetText
from trips.calc.words import say

DAY_WORDS = frozenset(["date", "day", "peak_date", "datetime", "time"])
PEAK_WORDS = frozenset(
    ["peak", "flow", "discharge", "q", "stage", "height", "value", "peak_va", "level"]
)
HIGHEST = Decimal(10) ** 9
EARLIEST = date(1500, 1, 1)
MILLI = 1000
_DAY = re.compile(r"(\d{4})-(\d{1,2})-(\d{1,2})(?:[T ].*)?", re.ASCII)


@dataclass(frozen=True)
class Peak:
    """One usable line: thousandths of the gauge's unit on a day."""

    line: int
    day: date
    peak_milli: int


@dataclass(frozen=True)
class RefusedLine:
    """A line that isn't used: its number in the file, the column's name, and the reason."""

    line: int
    column: str
    reason: str


@dataclass(frozen=True)
class Peaks:
    """Usable peaks, one a day, oldest first, and the lines left out."""

    good: tuple[Peak, ...]
    refused: tuple[RefusedLine, ...]
    repeated: int


def read_peaks(sheet: SheetText, latest: date) -> Peaks:
    """Read days and peaks; days after `latest` are refused.

    Raises: SheetError when the line of headers names no day or no peak.
    """
    day_at = _column(sheet, DAY_WORDS, "a day")
    peak_at = _column(sheet, PEAK_WORDS, "a peak", apart_from=day_at)
    read: dict[date, list[Peak]] = {}
    refused: list[RefusedLine] = []
    for line in sheet.lines:
        if line.problem:
            refused.append(RefusedLine(line.number, "", line.problem))
            continue
        at = day_at
        try:
            day = _day(line.cells[day_at], latest)
            at = peak_at
            peak = Peak(line.number, day, _milli(line.cells[peak_at]))
        except CalcError as error:
            refused.append(RefusedLine(line.number, sheet.headers[at], str(error)))
        else:
            read.setdefault(day, []).append(peak)
    good, repeated = [], 0
    for _, same_day in sorted(read.items()):
        # Of one day the highest is the flood's peak.
        good.append(max(same_day, key=lambda peak: peak.peak_milli))
        repeated += len(same_day) - 1
    return Peaks(tuple(good), tuple(sorted(refused, key=lambda each: each.line)), repeated)


def _column(
    sheet: SheetText, words: frozenset[str], what: str, apart_from: int | None = None
) -> int:
    for at, header in enumerate(sheet.headers):
        if at == apart_from:
            continue
        plain = header.casefold().strip()
        if plain in words or words.intersection(re.findall(r"[a-z]+", plain)):
            return at
    shown = ", ".join(sheet.headers[:6])
    raise SheetError(
        say(
            "No column is named as {what}; the headers are: {shown}. Write a "
            "first line like “date,peak”.",
            what=what,
            shown=shown,
        )
    )


def _day(cell: str, latest: date) -> date:
    found = _DAY.fullmatch(cell)
    try:
        day = date(int(found[1]), int(found[2]), int(found[3])) if found else None
    except ValueError:
        day = None
    if day is None:
        told = say("“{cell}” is not a day", cell=cell[:40]) if cell else say("The day is missing")
        raise CalcError(say("{told}; 2031-05-03 was expected.", told=told))
    if day > latest:
        raise CalcError(say("{cell} is still to come.", cell=cell[:40]))
    if day < EARLIEST:
        raise CalcError(
            say(
                "{cell} is before {year}; a later year was expected.",
                cell=cell[:40],
                year=EARLIEST.year,
            )
        )
    return day


def _milli(cell: str) -> int:
    if not cell:
        raise CalcError(say("The peak is missing; such a year is left out."))
    peak = parse_decimal(cell)
    if peak <= 0:
        raise CalcError(
            say("A peak of {cell} is not above zero; such a year is left out.", cell=cell[:40])
        )
    if peak > HIGHEST:
        raise CalcError(say("“{cell}” is more than {highest:,}.", cell=cell[:40], highest=HIGHEST))
    whole = int((peak * MILLI).to_integral_value(ROUND_HALF_EVEN))
    if not whole:
        raise CalcError(say("“{cell}” is less than a thousandth.", cell=cell[:40]))
    return whole
