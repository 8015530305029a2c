"""What a rule leaves to be done, neutral enough for a calendar: due point, text, rule, source.

`due_on` is worked out where a plan and papers give it; None stays "not known yet". Where a law's
way with weekends isn't known, the day itself is kept: the earlier one.
"""

import datetime as dt
from dataclasses import dataclass


@dataclass(frozen=True)
class DutyDue:
    """One duty of one rule.

    `point` is a word of `words.DUE_POINTS`; `days` and `month_day` complete it. `repeats` is
    "yearly" for a date of every year. `work_minor` is work due, in minor units of `currency`.
    """

    key: str
    pack_id: str
    rule_id: str
    kind: str
    text: str
    point: str
    due_on: dt.date | None
    repeats: str = "none"
    lead_days: int = 0
    days: int | None = None
    month_day: str = ""
    paper_code: str = ""
    about_holes: bool = False
    work_minor: int | None = None
    currency: str = ""
    period: str = "none"
    blocks_renewal: bool = False
    roll: str = "none"
    source: str = ""
    confirm_with: str = ""


@dataclass(frozen=True)
class TermRule:
    """How long a paper of a code runs by a rule; a printed last day always comes first."""

    paper_code: str
    years: tuple[int, ...]
    months: tuple[int, ...]
    days: tuple[int, ...]
    until: str
    fixed_day: dt.date | None
    renewals: int | None
    key: str
    text: str
    source: str


def working_days_before(day: dt.date, count: int) -> dt.date:
    """The day that lies so many working days before; Saturdays and Sundays don't count.

    Public holidays aren't known here: ask earlier.
    """
    while count:
        day -= dt.timedelta(days=1)
        if day.weekday() < 5:
            count -= 1
    return day


def months_before(day: dt.date, months: int) -> dt.date:
    """The same day of an earlier month; a day that month lacks becomes its last one."""
    index = day.year * 12 + day.month - 1 - months
    year, month = divmod(index, 12)
    after = dt.date(year + (month == 11), (month + 1) % 12 + 1, 1)
    last = (after - dt.timedelta(days=1)).day
    return dt.date(year, month + 1, min(day.day, last))


def next_business_day(day: dt.date) -> dt.date:
    """The day itself, or the Monday after it; public holidays aren't known here."""
    return day + dt.timedelta(days=max(0, 7 - day.weekday()) if day.weekday() >= 5 else 0)
