"""Lengths of time as papers and laws write them: "2 years", "three months", "14 days".

Kept as an ISO 8601 duration of one unit ("P2Y", "P3M", "P2W", "P14D"), because three months are
no number of days. Counted with calendar months: a day that the target month lacks becomes its
last day, and every step is counted from the first date, never from the last result.
"""

import datetime as dt
import re
import unicodedata
from dataclasses import dataclass
from typing import Literal

from dateutil.relativedelta import relativedelta

from trips.calc.words import say, several

Unit = Literal["Y", "M", "W", "D"]

UNITS: dict[str, Unit] = {"year": "Y", "month": "M", "week": "W", "day": "D"}
WORDS: dict[Unit, str] = {letter: word for word, letter in UNITS.items()}
SHORT: dict[str, Unit] = {"y": "Y", "yr": "Y", "m": "M", "mo": "M", "w": "W", "d": "D"}
COUNTED = "one two three four five six seven eight nine ten eleven twelve"
NUMBERS = tuple(COUNTED.split(" "))
MOST: dict[Unit, int] = {"Y": 100, "M": 1200, "W": 520, "D": 3660}
ISO = re.compile(r"^P([1-9]\d{0,3})([YMWD])$")
TYPED = re.compile(r"^(\d{1,5}|[a-z]+)\s*([a-z]+)\.?$")


@dataclass(frozen=True)
class Span:
    """A whole number of years, months, weeks or days, at least one."""

    count: int
    unit: Unit

    @property
    def iso(self) -> str:
        """As stored, e.g. "P3M"."""
        return f"P{self.count}{self.unit}"

    @property
    def words(self) -> str:
        """As people say it, e.g. "3 months"."""
        return _words(self.count, self.unit)

    @property
    def delta(self) -> relativedelta:
        """For date arithmetic."""
        if self.unit == "Y":
            return relativedelta(years=self.count)
        if self.unit == "M":
            return relativedelta(months=self.count)
        if self.unit == "W":
            return relativedelta(weeks=self.count)
        return relativedelta(days=self.count)

    @property
    def is_calendar(self) -> bool:
        """Whether it is counted in calendar months or years, not in days."""
        return self.unit in ("Y", "M")

    def after(self, day: dt.date) -> dt.date:
        """The same day so much later. Raises: ValueError after the year 9999."""
        return shifted(day, self.delta)

    def before(self, day: dt.date) -> dt.date:
        """The same day so much earlier. Raises: ValueError before the year 1."""
        return shifted(day, -self.delta)


def _words(count: int, unit: Unit) -> str:
    if unit == "Y":
        return several("{n} year", "{n} years", count)
    if unit == "M":
        return several("{n} month", "{n} months", count)
    if unit == "W":
        return several("{n} week", "{n} weeks", count)
    return several("{n} day", "{n} days", count)


def days_words(count: int) -> str:
    """A number of days, e.g. "1 day", "3 days"; none is said too."""
    return _words(count, "D")


def shifted(day: dt.date, delta: relativedelta) -> dt.date:
    """A day moved by a delta. Raises: ValueError outside the calendar, in words."""
    try:
        moved = day + delta
    except (OverflowError, ValueError) as error:
        raise ValueError(
            say("Counted from {day}, that leaves the calendar.", day=day.isoformat())
        ) from error
    # dateutil's own types promise less than it does: a date stays a date.
    return dt.date(moved.year, moved.month, moved.day)


def from_iso(text: str) -> Span | None:
    """The span of a stored text; None for an empty one. Raises: ValueError for anything else."""
    if not text:
        return None
    found = ISO.match(text)
    if not found:
        raise ValueError(say("“{text}” is no stored length of time such as P3M.", text=text))
    return _span(int(found.group(1)), _letter(found.group(2)), text)


def read_span(text: str) -> Span:
    """A length of time as people type it.

    Raises: ValueError saying what was expected, e.g. for "soon" or "0 months".
    """
    plain = _ascii_digits(text).strip().casefold()
    if ISO.match(plain.upper()):
        plain = f"{plain[1:-1]} {plain[-1]}"
    found = TYPED.match(plain)
    expected = say(
        "Write a length of time such as 2 years, 3 months or 14 days, not “{text}”.",
        text=text.strip(),
    )
    if not found:
        raise ValueError(expected)
    number, word = found.groups()
    if number.isdigit():
        count = int(number)
    elif number in NUMBERS:
        count = NUMBERS.index(number) + 1
    else:
        raise ValueError(expected)
    unit = UNITS.get(word.removesuffix("s")) or SHORT.get(word)
    if unit is None:
        raise ValueError(expected)
    return _span(count, unit, text.strip())


def _span(count: int, unit: Unit, text: str) -> Span:
    if not 1 <= count <= MOST[unit]:
        raise ValueError(
            say(
                "Expected 1 to {most}, not “{text}”. Leave it empty for none.",
                most=_words(MOST[unit], unit),
                text=text,
            )
        )
    return Span(count, unit)


def _letter(text: str) -> Unit:
    for letter in WORDS:
        if letter == text:
            return letter
    raise ValueError(say("{text} is no unit of time.", text=text))


def _ascii_digits(text: str) -> str:
    return "".join(
        str(unicodedata.decimal(c)) if unicodedata.decimal(c, None) is not None else c for c in text
    )
