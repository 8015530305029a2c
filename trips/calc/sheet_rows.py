"""Which past trip does a line of somebody's spreadsheet tell of, and why can't others be used?

One converter a column; each gives a value or a reason in words. An empty cell is "not known",
never zero.
"""

import datetime as dt
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from trips.calc import money, units
from trips.calc.errors import CalcError
from trips.calc.numbers import parse_decimal
from trips.calc.sheet_file import SheetLine
from trips.calc.words import say, several

EXAMPLE = "EXAMPLE"
EARLIEST = dt.date(1900, 1, 1)
COSTS = ("fuel", "fee", "food", "camp", "consumables", "other")


@dataclass(frozen=True)
class Reading:
    """How the cells are to be read.

    `day_first` None: only YYYY-MM-DD is taken. Units are codes of `trips.calc.units`.
    """

    today: dt.date
    currency: str
    mass_unit: str = "g"
    volume_unit: str = "L"
    distance_unit: str = "km"
    day_first: bool | None = None


@dataclass(frozen=True)
class PastTrip:
    """One usable line, in stored units; None is "not known"."""

    line: int
    starts_on: dt.date
    ends_on: dt.date
    site: str
    spot: str = ""
    people: tuple[str, ...] = ()
    work_minutes: int | None = None
    drive_minutes: int | None = None
    driven_m: int | None = None
    volume_ml: int | None = None
    mass_ug: int | None = None
    coarse: int | None = None
    medium: int | None = None
    fine: int | None = None
    costs_minor: Mapping[str, int] = field(default_factory=dict)
    note: str = ""

    @property
    def has_run(self) -> bool:
        """Whether anything was washed or found, so that a run is told of."""
        counts = (self.volume_ml, self.mass_ug, self.coarse, self.medium, self.fine)
        return any(value is not None for value in counts)

    def canonical(self) -> str:
        """The facts of the line as one text, the same for the same facts in any file."""
        facts = {k: v for k, v in vars(self).items() if k not in ("line", "costs_minor")}
        return repr((sorted(facts.items()), sorted(self.costs_minor.items())))


@dataclass(frozen=True)
class RefusedLine:
    """A line that isn't used: number, header of the column, reason."""

    line: int
    column: str
    reason: str


def read_lines(
    lines: Sequence[SheetLine],
    headers: Sequence[str],
    columns: Mapping[str, int],
    reading: Reading,
) -> tuple[list[PastTrip], list[RefusedLine]]:
    """Usable lines and refused ones, both in the order of the file."""
    good, refused = [], []
    for line in lines:
        if line.problem:
            refused.append(RefusedLine(line.number, "", line.problem))
            continue
        try:
            good.append(_read_line(line, columns, reading))
        except _Refusal as refusal:
            column = headers[columns[refusal.key]] if refusal.key in columns else ""
            refused.append(RefusedLine(line.number, column, str(refusal)))
    return good, refused


class _Refusal(Exception):
    """Why a line can't be used; `key` is the target of the column."""

    def __init__(self, key: str, reason: str) -> None:
        super().__init__(reason)
        self.key = key


def _read_line(line: SheetLine, columns: Mapping[str, int], reading: Reading) -> PastTrip:
    cells = {key: line.cells[number] for key, number in columns.items()}
    if cells.get("note", "").startswith(EXAMPLE):
        raise _Refusal("note", say("an example line of the template; delete it"))
    values: dict[str, Any] = {}
    for key, cell in cells.items():
        if cell.startswith("="):
            raise _Refusal(key, say("a formula; a plain value was expected"))
        try:
            values[key] = CONVERTERS[key](cell, reading) if cell else None
        except CalcError as error:
            raise _Refusal(key, str(error)) from error
        except ValueError as error:
            raise _Refusal(key, f"{error}") from error
    return _past_trip(line.number, values, reading)


def _past_trip(number: int, values: dict[str, Any], reading: Reading) -> PastTrip:
    get = values.get
    if get("date") is None:
        raise _Refusal("date", say("empty; the day of the trip was expected"))
    if not get("site"):
        raise _Refusal("site", say("empty; the name of the site was expected"))
    ends_on = get("end") or values["date"]
    if ends_on < values["date"]:
        raise _Refusal(
            "end",
            say(
                "{ends_on} is before the first day, {first}",
                ends_on=ends_on,
                first=values["date"],
            ),
        )
    days = (ends_on - values["date"]).days + 1
    if days > 60:
        raise _Refusal(
            "end", say("the trip would last {days} days; at most 60 were expected", days=days)
        )
    if (get("work") or 0) + (get("drive") or 0) > days * 1440:
        raise _Refusal(
            "work",
            several(
                "more than 24 hours a day on {n} day", "more than 24 hours a day on {n} days", days
            ),
        )
    counted = any(get(key) is not None for key in ("coarse", "medium", "fine"))
    if counted and get("volume") is None:
        raise _Refusal("volume", say("empty; colours need the gravel that they came from"))
    return PastTrip(
        line=number,
        starts_on=values["date"],
        ends_on=ends_on,
        site=values["site"],
        spot=get("spot") or "",
        people=get("people") or (),
        work_minutes=get("work") or None,
        drive_minutes=get("drive") or None,
        driven_m=get("km"),
        volume_ml=get("volume"),
        mass_ug=get("mass"),
        coarse=get("coarse"),
        medium=get("medium"),
        fine=get("fine"),
        costs_minor={key: values[key] for key in COSTS if get(key) is not None},
        note=get("note") or "",
    )


def _day(cell: str, reading: Reading) -> dt.date:
    text = cell.split("T")[0].split(" ")[0] if re.match(r"\d{4}-", cell) else cell
    parts = re.fullmatch(r"(\d{1,4})([-./])(\d{1,2})\2(\d{1,4})", text.strip(), re.ASCII)
    expected = say("a day such as 2031-05-03 was expected")
    if parts is None:
        raise ValueError(f"“{cell}”: {expected}")
    first, middle, last = int(parts[1]), int(parts[3]), int(parts[4])
    if len(parts[1]) == 4:
        year, month, day = first, middle, last
    elif len(parts[4]) != 4 or reading.day_first is None:
        raise ValueError(
            say(
                "“{cell}”: {expected}, or say above in which order days are written",
                cell=cell,
                expected=expected,
            )
        )
    else:
        year = last
        day, month = (first, middle) if reading.day_first else (middle, first)
    try:
        value = dt.date(year, month, day)
    except ValueError:
        raise ValueError(
            say("“{cell}” is no day of the calendar; {expected}", cell=cell, expected=expected)
        ) from None
    if not EARLIEST <= value <= reading.today:
        raise ValueError(
            say(
                "{value} lies outside {earliest} to {today}",
                value=value,
                earliest=EARLIEST,
                today=reading.today,
            )
        )
    return value


def _name(limit: int) -> Callable[[str, Reading], str]:
    def read(cell: str, reading: Reading) -> str:
        if len(cell) > limit:
            raise ValueError(
                say("{cell} letters; at most {limit} were expected", cell=len(cell), limit=limit)
            )
        return cell

    return read


def _people(cell: str, reading: Reading) -> tuple[str, ...]:
    names = tuple(dict.fromkeys(part.strip() for part in cell.split(";") if part.strip()))
    if any(len(name) > 120 for name in names):
        raise ValueError(say("a name has more than 120 letters; part names by ;"))
    return names


def _minutes(cell: str, reading: Reading) -> int:
    clock = re.fullmatch(r"(\d{1,3}):([0-5]\d)", cell, re.ASCII)
    if clock:
        return int(clock[1]) * 60 + int(clock[2])
    hours = parse_decimal(cell.removesuffix("h").strip())
    if not 0 <= hours <= 1440:
        raise ValueError(say("{cell}: hours from 0 to 1440 were expected", cell=cell))
    return int((hours * 60).to_integral_value())


def _quantity(kind: units.Kind, setting: str, high: int) -> Callable[[str, Reading], int]:
    def read(cell: str, reading: Reading) -> int:
        unit = units.unit(kind, getattr(reading, setting))
        base = units.to_base(parse_decimal(cell), unit)
        if not 0 <= base <= high:
            top = units.from_base(high, unit, 0)
            raise ValueError(
                say(
                    "{cell}: a number from 0 to {top} {label} was expected",
                    cell=cell,
                    top=top,
                    label=unit.label,
                )
            )
        return base

    return read


def _volume(cell: str, reading: Reading) -> int | None:
    """Litres washed; nothing washed is no run, so a zero says nothing."""
    return _quantity("volume", "volume_unit", 50_000_000)(cell, reading) or None


def _count(cell: str, reading: Reading) -> int:
    number = parse_decimal(cell)
    if number != int(number) or not 0 <= number <= 100_000:
        raise ValueError(say("{cell}: a whole number from 0 to 100000 was expected", cell=cell))
    return int(number)


def _money(cell: str, reading: Reading) -> int:
    text = cell.removesuffix(reading.currency).removeprefix(reading.currency).strip()
    if re.search(r"[A-Za-z€$£¥]", text):
        raise ValueError(
            say(
                "“{cell}”: an amount in {currency} was expected",
                cell=cell,
                currency=reading.currency,
            )
        )
    minor = money.to_minor_exact(parse_decimal(text), reading.currency)
    if not 0 <= minor <= money.to_minor(Decimal(10) ** 7, reading.currency):
        raise ValueError(say("{cell}: an amount from 0 to 10000000 was expected", cell=cell))
    return minor


CONVERTERS: dict[str, Callable[[str, Reading], Any]] = {
    "date": _day,
    "end": _day,
    "site": _name(120),
    "spot": _name(120),
    "people": _people,
    "work": _minutes,
    "drive": _minutes,
    "km": _quantity("distance", "distance_unit", 20_000_000),
    "volume": _volume,
    "mass": _quantity("mass", "mass_unit", 10_000_000_000),
    "coarse": _count,
    "medium": _count,
    "fine": _count,
    "note": _name(1000),
    **dict.fromkeys(COSTS, _money),
}
