"""How much of a capped amount does the record hold for a period, and what is that read from?

A line of the record has a day and no clock, so that a rolling period counts whole days, which is
stricter. A line whose amount wasn't noted makes the sum "at least", never less.
"""

import datetime as dt
import math
from dataclasses import dataclass

from claims.rules.facts import AmountFact, Situation
from claims.rules.quantities import Bound, in_unit
from claims.rules.when import Period
from claims.rules.words import AMOUNTS, PER_WORDS
from trips.calc.words import say

UNIT = {"volume": "m3", "mass": "g", "days": "days", "time": "h"}


@dataclass(frozen=True)
class Tally:
    """`so_far` is from the record, `planned` what the plan adds (None: not said).

    `is_complete` is false when a line of the record lacks its amount. `could_be_free` is how much
    may be single pieces that don't count, `free` how much was said to be and is left out.
    """

    so_far: int
    planned: int | None
    is_complete: bool
    evidence: tuple[str, ...]
    unit: str
    could_be_free: int = 0
    free: int = 0

    @property
    def low(self) -> int:
        """The least the amount will be."""
        return self.so_far + (self.planned or 0)

    @property
    def is_closed(self) -> bool:
        """Whether nothing is open about it."""
        return self.is_complete and self.planned is not None

    def within(self, bound: Bound) -> bool | None:
        """Whether the amount lies in the bound; None while it may come to either."""
        if (bound.under and self.low >= bound.under.base) or (
            bound.at_most and self.low > bound.at_most.base
        ):
            return False
        below = (bound.over and self.low <= bound.over.base) or (
            bound.at_least and self.low < bound.at_least.base
        )
        if self.is_closed:
            return not below
        open_above = bound.under is not None or bound.at_most is not None
        return None if below or open_above else True

    @property
    def words(self) -> str:
        """The sum for people."""
        least = "" if self.is_complete else say("at least ")
        planned = (
            ""
            if not self.planned
            else say(", {planned} planned", planned=in_unit(self.planned, self.unit))
        )
        free = (
            say(" without {free} in big pieces", free=in_unit(self.free, self.unit))
            if self.free
            else ""
        )
        return say(
            "{least}{so_far} so far{free}{planned}",
            least=least,
            so_far=in_unit(self.so_far, self.unit),
            free=free,
            planned=planned,
        )


def tally(
    situation: Situation,
    day: dt.date,
    amount: str,
    per: str,
    period: Period,
    unit: str = "",
    free_pieces_from: int | None = None,
    free_base: int | None = None,
) -> Tally | None:
    """The amount for a day's period; None when there is no record to look at or no place.

    Args:
        free_pieces_from: single pieces of this many base units or more don't count.
        free_base: how much of the rest is such pieces by somebody's word. Lines that are too small
            to hold one stay counted, whatever was said.
    """
    is_kept = amount not in situation.uncounted
    if situation.amounts is None or not is_kept or not _place_is_known(situation, per):
        return None
    first, last = span(period, day, situation)
    lines = [
        line
        for line in situation.amounts
        if line.amount == amount
        and first <= line.day <= last
        and _here(line, situation, per)
        and not _is_free(line, free_pieces_from)
    ]
    so_far = sum(_share(line.base, line.people, per) for line in lines if line.base is not None)
    could_be_free = 0
    if free_pieces_from is not None:
        could_be_free = sum(
            _share(line.base, line.people, per)
            for line in lines
            if line.base is not None and line.base >= free_pieces_from
        )
    free = min(free_base or 0, could_be_free)
    planned = situation.planned.get(amount)
    if planned is not None:
        planned = _share(planned, len(situation.people or ()) or 1, per)
    shown = unit or UNIT[AMOUNTS[amount][1]]
    return Tally(
        so_far - free,
        planned,
        all(line.base is not None for line in lines),
        _evidence(lines, first, last, per, shown),
        shown,
        could_be_free,
        free,
    )


def span(period: Period, day: dt.date, situation: Situation) -> tuple[dt.date, dt.date]:
    """First and last day that a period takes in, both included."""
    match period.kind:
        case "trip":
            return situation.first_day, situation.last_day
        case "day":
            return day, day
        case "rolling":
            return day - dt.timedelta(days=math.ceil((period.hours or 24) / 24)), day
        case "calendar_year":
            return dt.date(day.year, 1, 1), dt.date(day.year, 12, 31)
        case "assessment_year":
            assert period.starts is not None
            begins = period.starts.in_year(day.year)
            if begins > day:
                begins = period.starts.in_year(day.year - 1)
            after = period.starts.in_year(begins.year + 1)
            return begins, after - dt.timedelta(days=1)
        case "total":
            return dt.date.min, dt.date.max


def period_words(period: Period) -> str:
    """A period for people."""
    match period.kind:
        case "trip":
            return say("on one trip")
        case "day":
            return say("in a day")
        case "rolling":
            return say("in any {hours} hours", hours=period.hours)
        case "calendar_year":
            return say("in a calendar year")
        case "assessment_year":
            return say("in a year from {starts}", starts=period.starts)
        case "total":
            return say("in total")


def _place_is_known(situation: Situation, per: str) -> bool:
    if per == "site":
        return bool(situation.place.name)
    return per != "water" or bool(situation.place.water)


def _here(line: AmountFact, situation: Situation, per: str) -> bool:
    if per == "site":
        return line.site == situation.place.name
    if per == "water":
        return line.water.casefold() == (situation.place.water or "").casefold()
    return True


def _is_free(line: AmountFact, free_pieces_from: int | None) -> bool:
    if free_pieces_from is None or line.base is None:
        return False
    return line.is_one_piece and line.base >= free_pieces_from


def _share(base: int, people: int, per: str) -> int:
    """An even share, rounded up: nobody can tell who dug which shovelful."""
    return -(-base // max(1, people)) if per == "person" else base


def _evidence(
    lines: list[AmountFact], first: dt.date, last: dt.date, per: str, unit: str
) -> tuple[str, ...]:
    whole = first == dt.date.min
    span_words = (
        say("all time")
        if whole
        else say("{first} to {last}", first=first.isoformat(), last=last.isoformat())
    )
    shared = say(", shared evenly among those who were there") if per == "person" else ""
    head = say(
        "{lines} lines of the record, {span_words}, {per_words}{shared}",
        lines=len(lines),
        span_words=span_words,
        per_words=PER_WORDS[per],
        shared=shared,
    )
    shown = sorted(lines, key=lambda line: (line.day, line.evidence))[-12:]
    rows = [
        f"{line.day.isoformat()} {line.evidence or line.site}: "
        + (say("not noted") if line.base is None else in_unit(line.base, unit))
        for line in shown
    ]
    return (head, *rows)
