"""Windows of days and of hours as packs write them.

A window of days is "11-01..05-31" (every year, may wrap the year's end) or "2031-05-01..2031-05-31"
(once). Both ends belong to it. A window of hours is "20:00..08:00" or sun-relative, for example
"earlier(20:00, sunset)..sunrise-30m", and may wrap midnight.
"""

import datetime as dt
import re
from dataclasses import dataclass

from claims.rules.terms import is_closed, month_day, window_words
from trips.calc import local
from trips.calc.words import say

MINUTES_A_DAY = 24 * 60
CLOCK = re.compile(r"^([01]\d|2[0-3]):([0-5]\d)$")
SUN = re.compile(r"^(sunrise|sunset)(?:([+-])(\d{1,3})m)?$")
CHOICE = re.compile(r"^(earlier|later)\(\s*([^(),]+)\s*,\s*([^(),]+)\s*\)$")


@dataclass(frozen=True)
class DayWindow:
    """Days from `first` to `last`, both included: two "MM-DD" or two dates."""

    first: str
    last: str

    @classmethod
    def parse(cls, text: str) -> "DayWindow":
        """Read a window; raises ValueError that says what was expected."""
        parts = text.split("..")
        if len(parts) != 2:
            raise ValueError(say("“{text}” is not a window such as 11-01..05-31", text=text))
        first, last = (part.strip() for part in parts)
        if len(first) == len(last) == 10:
            try:
                days = dt.date.fromisoformat(first), dt.date.fromisoformat(last)
            except ValueError:
                raise ValueError(
                    say("“{text}” holds a day that is not in the calendar", text=text)
                ) from None
            if days[0] > days[1]:
                raise ValueError(say("“{text}” ends before it begins", text=text))
            return cls(first, last)
        return cls(month_day(first), month_day(last))

    @property
    def is_yearly(self) -> bool:
        """Whether it comes back every year."""
        return len(self.first) == 5

    def holds(self, day: dt.date) -> bool:
        """Whether a day lies inside, ends included."""
        if self.is_yearly:
            return bool(is_closed(day, self.first, self.last))
        return self.first <= day.isoformat() <= self.last

    @property
    def words(self) -> str:
        """The window for people, e.g. "1 Nov to 31 May"."""
        if self.is_yearly:
            return window_words(self.first, self.last)
        first, last = (dt.date.fromisoformat(end) for end in (self.first, self.last))
        return say(
            "{first} to {last}",
            first=local.day(first),
            last=local.day(last),
        )


class MonthDay(str):
    """A day of every year as "MM-DD"."""

    __slots__ = ()

    @classmethod
    def parse(cls, text: str) -> "MonthDay":
        """Read a month and day; raises ValueError for one that no year has."""
        return cls(month_day(text))

    def in_year(self, year: int) -> dt.date:
        """The day in a year; 29 February falls on the 28th in a common year, the earlier day."""
        month, day = (int(part) for part in self.split("-"))
        if (month, day) == (2, 29) and not _is_leap(year):
            day = 28
        return dt.date(year, month, day)


def _is_leap(year: int) -> bool:
    return year % 4 == 0 and (year % 100 != 0 or year % 400 == 0)


@dataclass(frozen=True)
class Sun:
    """Minutes after local midnight at which the sun rises and sets; None is not known."""

    sunrise: int | None = None
    sunset: int | None = None


@dataclass(frozen=True)
class HourWindow:
    """Hours of a day from `first` to before `last`; the ends may hang on the sun."""

    first: str
    last: str

    @classmethod
    def parse(cls, text: str) -> "HourWindow":
        """Read a window; raises ValueError that says what was expected."""
        parts = text.split("..")
        if len(parts) != 2:
            raise ValueError(
                say("“{text}” is not a window of hours such as 20:00..08:00", text=text)
            )
        first, last = (part.strip() for part in parts)
        for end in (first, last):
            _check_end(end)
        return cls(first, last)

    def minutes(self, sun: Sun) -> tuple[int, int] | None:
        """Both ends in minutes after midnight; None while the sun's times aren't known."""
        first, last = _end(self.first, sun), _end(self.last, sun)
        return None if first is None or last is None else (first, last)

    def meets(self, begin: int, end: int, sun: Sun) -> bool | None:
        """Whether work from `begin` to `end` (minutes after midnight) touches the window."""
        ends = self.minutes(sun)
        if ends is None:
            return None
        first, last = ends
        spans = [(first, last)] if first < last else [(first, MINUTES_A_DAY), (0, last)]
        work = [(begin, end)] if begin < end else [(begin, MINUTES_A_DAY), (0, end)]
        return any(low < b and a < high for low, high in spans for a, b in work)

    def words(self, sun: Sun) -> str:
        """The window for people, with the sun's times of the day where they are known."""
        ends = self.minutes(sun)
        plain = say("{first} to {last}", first=_end_words(self.first), last=_end_words(self.last))
        if ends is None or not any(word in f"{self.first}{self.last}" for word in ("sun",)):
            return plain
        return say(
            "{plain} (on this day {ends} to {ends_2})",
            plain=plain,
            ends=clock_words(ends[0]),
            ends_2=clock_words(ends[1]),
        )


def clock_words(minutes: int) -> str:
    """Minutes after midnight as "HH:MM"."""
    minutes %= MINUTES_A_DAY
    return f"{minutes // 60:02d}:{minutes % 60:02d}"


def clock_minutes(text: str) -> int:
    """Minutes after midnight of "HH:MM"; raises ValueError for anything else."""
    found = CLOCK.match(text.strip())
    if not found:
        raise ValueError(say("“{text}” is not a time such as 08:30", text=text))
    return int(found.group(1)) * 60 + int(found.group(2))


def _check_end(text: str) -> None:
    choice = CHOICE.match(text)
    for part in (choice.group(2), choice.group(3)) if choice else (text,):
        if not (CLOCK.match(part.strip()) or SUN.match(part.strip())):
            raise ValueError(
                say(
                    "“{part}” is not a time such as 08:30, sunset, sunrise-30m or "
                    "earlier(20:00, sunset)",
                    part=part,
                )
            )


def _end(text: str, sun: Sun) -> int | None:
    choice = CHOICE.match(text)
    if choice:
        both = [_end(choice.group(n).strip(), sun) for n in (2, 3)]
        known = [end for end in both if end is not None]
        if len(known) < 2:
            return None
        return min(known) if choice.group(1) == "earlier" else max(known)
    by_sun = SUN.match(text)
    if not by_sun:
        return clock_minutes(text)
    base = sun.sunrise if by_sun.group(1) == "sunrise" else sun.sunset
    if base is None:
        return None
    shift = int(by_sun.group(3) or 0) * (-1 if by_sun.group(2) == "-" else 1)
    return min(MINUTES_A_DAY, max(0, base + shift))


def _end_words(text: str) -> str:
    choice = CHOICE.match(text)
    if choice:
        ends = {"one": _end_words(choice[2].strip()), "other": _end_words(choice[3].strip())}
        if choice[1] == "earlier":
            return say("the earlier of {one} and {other}", **ends)
        return say("the later of {one} and {other}", **ends)
    by_sun = SUN.match(text)
    if by_sun and by_sun.group(3):
        sun = say("sunrise") if by_sun.group(1) == "sunrise" else say("sunset")
        if by_sun.group(2) == "-":
            return say("{minutes} min before {sun}", minutes=by_sun.group(3), sun=sun)
        return say("{minutes} min after {sun}", minutes=by_sun.group(3), sun=sun)
    return {"sunrise": say("sunrise"), "sunset": say("sunset")}.get(text, text)
