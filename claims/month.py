"""One month of events as weeks of seven days, Monday first."""

import calendar
import datetime as dt
from dataclasses import dataclass

from claims import agenda
from claims.calendar_events import CalendarEvent, events
from claims.models import Party
from trips.calc import local

FIRST_YEAR, LAST_YEAR = 1900, 2199


@dataclass(frozen=True)
class MonthDay:
    """A day of the grid; `in_month` is false for days of the neighbours that fill the weeks."""

    day: dt.date
    in_month: bool
    is_today: bool
    events: tuple[CalendarEvent, ...]


@dataclass(frozen=True)
class MonthPage:
    """A month; `earlier` and `later` are its neighbours as "YYYY-MM", empty at the ends."""

    title: str
    month: str
    weekdays: tuple[tuple[str, str], ...]
    weeks: tuple[tuple[MonthDay, ...], ...]
    days: tuple[MonthDay, ...]
    earlier: str
    later: str
    earlier_words: str
    later_words: str


def month_of(raw: str, today: dt.date) -> tuple[int, int]:
    """The year and month that an address asks for; today's for anything else."""
    year, _, month = raw.partition("-")
    plain = raw.isascii() and year.isdigit() and month.isdigit() and len(raw) == 7
    if plain and 1 <= int(month) <= 12 and FIRST_YEAR <= int(year) <= LAST_YEAR:
        return int(year), int(month)
    return today.year, today.month


def month_page(party: Party, year: int, month: int, today: dt.date) -> MonthPage:
    """The month with every event on its day, as they stand on `today`."""
    grid = calendar.Calendar(firstweekday=calendar.MONDAY).monthdatescalendar(year, month)
    first, last = grid[0][0], grid[-1][-1]
    book = agenda.ledger(party, today, filled_since=first)
    by_day: dict[dt.date, list[CalendarEvent]] = {}
    for event in events(book, first, last):
        by_day.setdefault(event.day, []).append(event)
    weeks = tuple(
        tuple(
            MonthDay(day, day.month == month, day == today, tuple(by_day.get(day, ())))
            for day in week
        )
        for week in grid
    )
    earlier, later = _step(year, month, -1), _step(year, month, 1)
    return MonthPage(
        title=local.month_of_year(dt.date(year, month, 1)),
        month=f"{year:04d}-{month:02d}",
        weekdays=local.weekday_names(),
        weeks=weeks,
        days=tuple(day for week in weeks for day in week if day.in_month and day.events),
        earlier=earlier[0],
        later=later[0],
        earlier_words=earlier[1],
        later_words=later[1],
    )


def _step(year: int, month: int, step: int) -> tuple[str, str]:
    """The neighbouring month for an address and in words; empty beyond the ends."""
    year, month = year + (month - 1 + step) // 12, (month - 1 + step) % 12 + 1
    if not FIRST_YEAR <= year <= LAST_YEAR:
        return "", ""
    return f"{year:04d}-{month:02d}", local.month_of_year(dt.date(year, month, 1))
