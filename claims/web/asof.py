"""The one place that asks for today. Pages take ?as_of=YYYY-MM-DD to be read for another day."""

import datetime as dt
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from django.conf import settings
from django.utils import timezone

# Pages look some years back and ahead of their day, so it must lie well within the calendar.
EARLIEST, LATEST = dt.date(1800, 1, 1), dt.date(2999, 12, 31)


def zone(name: str) -> dt.tzinfo:
    """The time zone called `name`; UTC for a name that this machine doesn't know."""
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError):
        return dt.UTC


def moment() -> dt.datetime:
    """Now, for work that no request asks for in person."""
    return timezone.now()


def chosen_day(request) -> dt.date | None:
    """The day that the address asks for, if it asks, can be read and lies in 1800 to 2999."""
    raw = request.GET.get("as_of", "")
    try:
        day = dt.date.fromisoformat(raw) if len(raw) == 10 else None
    except ValueError:
        return None
    return day if day and EARLIEST <= day <= LATEST else None


def as_of(request) -> dt.date:
    """The chosen day, else the day that the demo is told for, else today at the party's."""
    party = getattr(request, "party", None)
    return (
        chosen_day(request)
        or settings.TOLD_FOR
        or timezone.now().astimezone(zone(party.time_zone if party else "UTC")).date()
    )
