"""What is due next, how late, and over which days work for it counts. Days in, words out.

A due day is never moved: some laws let one that falls on a weekend roll on and others don't, so
the weekday is said and the day stays. Nothing here says that a duty is fulfilled; a person does.
"""

import calendar
import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from claims.rules.spans import Span, days_words
from trips.calc import local
from trips.calc.words import say

State = Literal["late", "due", "later", "settled"]


@dataclass(frozen=True)
class NextDue:
    """How a duty stands on a day.

    `due_on` is the earliest due day that isn't settled, None when all are; `days` until it,
    negative after it; `late` how many unsettled due days have passed.
    """

    state: State
    due_on: dt.date | None
    remind_on: dt.date | None
    days: int
    late: int
    words: str


def next_due(
    days: Sequence[dt.date], settled: set[dt.date], lead: Span | None, today: dt.date
) -> NextDue:
    """The earliest unsettled due day as it stands on `today`.

    A duty is "due" from its lead time before the day on, the day itself included, and "late" from
    the day after it.
    """
    open_days = [day for day in days if day not in settled]
    if not open_days:
        return NextDue("settled", None, None, 0, 0, say("nothing more is due"))
    due_on = open_days[0]
    remind_on = due_on if lead is None else lead.before(due_on)
    left = (due_on - today).days
    late = sum(day < today for day in open_days)
    if left < 0:
        state: State = "late"
    elif today >= remind_on:
        state = "due"
    else:
        state = "later"
    return NextDue(state, due_on, remind_on, left, late, due_words(left, late))


def due_words(left: int, late: int = 0) -> str:
    """How long until a day, or since, e.g. "due in 3 days" or "5 days late, 2 due days open"."""
    if left == 0:
        return say("due today")
    if left > 0:
        return say("due in {days}", days=days_words(left))
    words = say("{days} late", days=days_words(-left))
    return words if late < 2 else say("{words}, {late} due days open", words=words, late=late)


def weekend_words(day: dt.date) -> str:
    """What to say of a due day on a weekend; empty on other days."""
    if day.weekday() < calendar.SATURDAY:
        return ""
    return say(
        "{weekday}: whether the day moves is for the office to say; before it is always in time.",
        weekday=local.weekday_names()[day.weekday()][1],
    )


@dataclass(frozen=True)
class WorkPeriod:
    """The days whose work counts for one due day, both included."""

    first: dt.date
    last: dt.date


def work_period(
    days: Sequence[dt.date],
    due_on: dt.date,
    work_from: dt.date | None,
    year_end: str,
) -> WorkPeriod:
    """Over which days work counts for the due day `due_on`.

    Args:
        days: every due day of the duty.
        work_from: the first day that counts for the first due day, if it is noted.
        year_end: "MM-DD", the last day of the work year where it isn't the due day itself: the
            period is then the last whole such year that had ended by the due day.
    Returns: without either, from the day after the due day before to the due day; for the first
        due day the year up to it.
    """
    if year_end:
        month, day = (int(part) for part in year_end.split("-"))
        last = _in_year(due_on.year, month, day)
        if last > due_on:
            last = _in_year(due_on.year - 1, month, day)
        first = _in_year(last.year - 1, month, day) + dt.timedelta(days=1)
        if work_from is not None and first < work_from <= last:
            first = work_from
        return WorkPeriod(first, last)
    before = [day for day in days if day < due_on]
    if before:
        return WorkPeriod(before[-1] + dt.timedelta(days=1), due_on)
    if work_from is not None and work_from <= due_on:
        return WorkPeriod(work_from, due_on)
    year = _in_year(due_on.year - 1, due_on.month, due_on.day)
    return WorkPeriod(year + dt.timedelta(days=1), due_on)


def _in_year(year: int, month: int, day: int) -> dt.date:
    return dt.date(year, month, min(day, calendar.monthrange(year, month)[1]))


def first_up(text: str) -> str:
    """A text with a capital first letter; the others stay as they are."""
    return text[:1].upper() + text[1:]
