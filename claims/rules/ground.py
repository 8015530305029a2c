"""How much ground holes took, as boxes; by when each is to be filled; what a period restored."""

import calendar
import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from claims.rules.spans import Span
from trips.calc import local
from trips.calc.words import say

FillCode = Literal["same_day", "leaving", "within", "after_leaving", "fixed"]


def hole_volume_ml(length_mm: int | None, width_mm: int | None, depth_mm: int | None) -> int | None:
    """Length × width × depth in millilitres; None when a side isn't known.

    A hole with sloping sides holds less than its box.
    """
    if length_mm is None or width_mm is None or depth_mm is None:
        return None
    return length_mm * width_mm * depth_mm // 1000


@dataclass(frozen=True)
class FillRule:
    """By when a hole is to be filled, as a line of a paper or a rule says it; `source` names it."""

    code: FillCode
    span: Span | None
    by: str
    source: str


@dataclass(frozen=True)
class FillDue:
    """The last day for filling a hole, in words with its source."""

    day: dt.date
    words: str
    source: str


def fill_due(
    opened_on: dt.date, left_on: dt.date | None, rules: Iterable[FillRule]
) -> FillDue | None:
    """The earliest day by which any of the rules wants a hole filled; None if none says a day.

    Args: left_on: the last day of the visit on which it was dug; the day itself if not known.
    """
    found = []
    for rule in rules:
        if rule.code == "same_day":
            found.append(FillDue(opened_on, say("the same day"), rule.source))
        elif rule.code == "leaving":
            found.append(FillDue(left_on or opened_on, say("before leaving"), rule.source))
        elif rule.code == "within" and rule.span is not None:
            words = say("within {words}", words=rule.span.words)
            found.append(FillDue(rule.span.after(opened_on), words, rule.source))
        elif rule.code == "after_leaving" and rule.span is not None:
            words = say("within {words} of leaving", words=rule.span.words)
            found.append(FillDue(rule.span.after(left_on or opened_on), words, rule.source))
        elif rule.code == "fixed" and rule.by:
            day = _next(opened_on, rule.by)
            words = say("by {day}", day=local.month_and_day(day.month, day.day))
            found.append(FillDue(day, words, rule.source))
    return min(found, key=lambda due: due.day, default=None)


def _next(day: dt.date, month_day: str) -> dt.date:
    """The first such month and day on or after a day; 29 February becomes the month's last."""
    month, number = (int(part) for part in month_day.split("-"))
    for year in (day.year, day.year + 1):
        last = calendar.monthrange(year, month)[1]
        found = dt.date(year, month, min(number, last))
        if found >= day:
            return found
    raise ValueError(say("No {month_day} follows {day}.", month_day=month_day, day=day))


@dataclass(frozen=True)
class HoleFact:
    """A hole as far as its ground is concerned: millimetres, None where not measured."""

    site_id: int
    opened_on: dt.date
    filled_on: dt.date | None
    length_mm: int | None
    width_mm: int | None
    depth_mm: int | None

    @property
    def area_mm2(self) -> int | None:
        """Length × width; None when a side isn't known."""
        if self.length_mm is None or self.width_mm is None:
            return None
        return self.length_mm * self.width_mm

    @property
    def volume_ml(self) -> int | None:
        """Length × width × depth; None when a side isn't known."""
        return hole_volume_ml(self.length_mm, self.width_mm, self.depth_mm)


@dataclass(frozen=True)
class Ground:
    """A number of holes with the area and volume of those that were measured."""

    holes: int = 0
    area_mm2: int = 0
    volume_ml: int = 0
    without_area: int = 0
    without_volume: int = 0


@dataclass(frozen=True)
class Disturbed:
    """Ground over a period, both days included: found open, opened, filled in, left open.

    Holes balance: open before + opened = filled + open at the end.
    """

    open_before: Ground
    opened: Ground
    filled: Ground
    open_after: Ground


def disturbed(holes: Iterable[HoleFact], first: dt.date, last: dt.date) -> Disturbed:
    """How much ground was disturbed and restored from `first` to `last`.

    A hole dug and filled within the period counts in both. Unknown sizes are counted, not guessed.
    """
    known = [hole for hole in holes if hole.opened_on <= last]
    before = [hole for hole in known if hole.opened_on < first]
    return Disturbed(
        open_before=ground(h for h in before if h.filled_on is None or h.filled_on >= first),
        opened=ground(hole for hole in known if hole.opened_on >= first),
        filled=ground(
            hole for hole in known if hole.filled_on is not None and first <= hole.filled_on <= last
        ),
        open_after=ground(h for h in known if h.filled_on is None or h.filled_on > last),
    )


def ground(holes: Iterable[HoleFact]) -> Ground:
    """The sum of holes; unknown sides stay apart."""
    rows = list(holes)
    areas = [hole.area_mm2 for hole in rows]
    volumes = [hole.volume_ml for hole in rows]
    return Ground(
        holes=len(rows),
        area_mm2=sum(area for area in areas if area is not None),
        volume_ml=sum(volume for volume in volumes if volume is not None),
        without_area=areas.count(None),
        without_volume=volumes.count(None),
    )
