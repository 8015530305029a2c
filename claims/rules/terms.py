"""Is this day inside a closed window, and how far has a paper's term run? Days in, words out.

Both ends of a window and of a term belong to it. Nothing here says that something is allowed.
"""

import calendar
import datetime as dt
import re
import unicodedata
from dataclasses import dataclass
from typing import Literal

from claims.rules.spans import days_words
from trips.calc import local
from trips.calc.words import say

MONTH_DAY = re.compile(r"^(\d{1,2})\s*[-/.]\s*(\d{1,2})$")
LEAP_YEAR = 2000  # so that 29 February can be written

TermCode = Literal["not_begun", "runs", "runs_out", "no_end", "life", "ran_out"]


def month_day(text: str) -> str:
    """Read a month and day as people type them; the result is "MM-DD".

    Raises: ValueError saying what was expected, e.g. for "02-30" or "13-01".
    """
    plain = "".join(
        str(unicodedata.decimal(c)) if unicodedata.decimal(c, None) is not None else c
        for c in text.strip()
    )
    found = MONTH_DAY.match(plain)
    if not found:
        raise ValueError(
            say("Write month and day as MM-DD, for example 11-01, not “{text}”.", text=text)
        )
    month, day = int(found.group(1)), int(found.group(2))
    if not 1 <= month <= 12:
        raise ValueError(
            say("The month comes first and is 01 to 12, as in 11-01, not “{text}”.", text=text)
        )
    last = calendar.monthrange(LEAP_YEAR, month)[1]
    if not 1 <= day <= last:
        raise ValueError(
            say(
                "{month_name} has the days 01 to {last}, so there is no “{text}”.",
                month_name=local.month_name(month),
                last=last,
                text=text,
            )
        )
    return f"{month:02d}-{day:02d}"


def is_closed(day: dt.date, closed_from: str, closed_until: str) -> bool | None:
    """Whether a day lies in a yearly closed window; None when no window is noted.

    Args: closed_from, closed_until: "MM-DD", both closed; from after until wraps the year's end.
    """
    if not closed_from or not closed_until:
        return None
    today = f"{day:%m-%d}"
    if closed_from <= closed_until:
        return closed_from <= today <= closed_until
    return today >= closed_from or today <= closed_until


def first_closed_day(
    first: dt.date, last: dt.date, closed_from: str, closed_until: str
) -> dt.date | None:
    """The first closed day from `first` to `last`, both included; None if there is none noted."""
    if not closed_from or not closed_until:
        return None
    for step in range(min((last - first).days, 366) + 1):
        day = first + dt.timedelta(days=step)
        if is_closed(day, closed_from, closed_until):
            return day
    return None


def window_words(closed_from: str, closed_until: str) -> str:
    """A closed window as people say it, e.g. "1 Nov to 31 May"; empty when none is noted."""
    if not closed_from or not closed_until:
        return ""
    return say(
        "{closed_from} to {closed_until}",
        closed_from=_month_day_words(closed_from),
        closed_until=_month_day_words(closed_until),
    )


def _month_day_words(text: str) -> str:
    month, day = (int(part) for part in text.split("-"))
    return local.day_of_month(dt.date(LEAP_YEAR, month, day))


@dataclass(frozen=True)
class Term:
    """How a paper stands on a day: `days` are left, or since it ran out, or until it begins."""

    code: TermCode
    days: int | None
    words: str

    @property
    def covers(self) -> bool:
        """Whether the printed dates include the day; a paper without a printed end counts."""
        return self.code in ("runs", "runs_out", "no_end", "life")


def term_on(
    day: dt.date,
    issued_on: dt.date | None,
    expires_on: dt.date | None,
    lead_days: int,
    for_life: bool = False,
) -> Term:
    """How a paper's printed term stands on a day.

    Args: lead_days: days before the end from which renewal is due. for_life: known to have no end.
    Returns: code "runs_out" within the lead days, the last day (0 days left) included.
    """
    if issued_on is not None and day < issued_on:
        wait = (issued_on - day).days
        return Term(
            "not_begun", wait, say("not yet begun, begins in {wait}", wait=days_words(wait))
        )
    if expires_on is None and for_life:
        return Term("life", None, say("for life"))
    if expires_on is None:
        return Term("no_end", None, say("no end printed"))
    left = (expires_on - day).days
    if left < 0:
        return Term("ran_out", -left, say("ran out {left} ago", left=days_words(-left)))
    words = say("last day") if left == 0 else say("runs out in {left}", left=days_words(left))
    return Term("runs_out" if left <= lead_days else "runs", left, words)
