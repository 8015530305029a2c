"""On which days does a duty fall? RFC 5545 recurrence rules of whole days, always with an end.

A rule is kept without DTSTART: the first due day stands beside it and must itself be a day of the
rule, so that every calendar program counts alike. Counting stops at `MOST` days.
"""

import calendar
import datetime as dt
import re
from functools import lru_cache
from itertools import islice
from typing import Literal

from dateutil.rrule import rrule, rrulestr

from trips.calc.words import Spoken, marked, say

MOST = 400
MOST_YEARS = 60
LONGEST = 200
PARTS = Spoken(
    {
        "FREQ": marked("how often"),
        "INTERVAL": marked("every how many"),
        "COUNT": marked("how many times"),
        "UNTIL": marked("the last day"),
        "BYMONTH": marked("months"),
        "BYMONTHDAY": marked("days of the month"),
        "BYDAY": marked("weekdays"),
        "BYSETPOS": marked("which of them"),
        "WKST": marked("first day of the week"),
    }
)
FREQUENCIES = ("DAILY", "WEEKLY", "MONTHLY", "YEARLY")
EXAMPLE = "FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=-1;COUNT=10"
BYDAY = re.compile(r"^([+-]?([1-9]|[1-4]\d|5[0-3]))?(MO|TU|WE|TH|FR|SA|SU)$", re.ASCII)
UNTIL = re.compile(r"^\d{8}$")

Often = Literal["yearly", "half_yearly", "quarterly", "monthly"]
MONTHS_BETWEEN: dict[str, int] = {"yearly": 12, "half_yearly": 6, "quarterly": 3, "monthly": 1}


class RepeatError(ValueError):
    """A rule that can't be used; the message says why and what to write instead."""


def plain_repeat(often: Often, first_due: dt.date, last_due: dt.date) -> str:
    """The rule for the same day of every so many months, up to a last day.

    A day that a month lacks (the 31st, 29 February) becomes the month's last day instead of
    being left out, as RFC 5545 would do.
    """
    if last_due < first_due:
        raise RepeatError(
            say(
                "The last day {last_due} comes before the first, {first_due}.",
                last_due=last_due.isoformat(),
                first_due=first_due.isoformat(),
            )
        )
    months = MONTHS_BETWEEN[often]
    parts = ["FREQ=YEARLY" if months == 12 else "FREQ=MONTHLY"]
    if months not in (1, 12):
        parts.append(f"INTERVAL={months}")
    if months == 12 and (first_due.month, first_due.day) == (2, 29):
        parts.append("BYMONTH=2")
    if first_due.day > 28 and (months != 12 or first_due.month == 2):
        days = ",".join(str(day) for day in range(28, first_due.day + 1))
        parts += [f"BYMONTHDAY={days}", "BYSETPOS=-1"]
    parts.append(f"UNTIL={last_due:%Y%m%d}")
    return ";".join(parts)


def read_repeat(text: str, first_due: dt.date) -> str:
    """A rule as typed, tidied; it must have an end and hold the first due day.

    Raises: RepeatError in words for anything that can't be counted, never ends, falls on more
    than `MOST` days or never on the first due day.
    """
    line = "".join(text.split()).upper().removeprefix("RRULE:")
    if len(line) > LONGEST:
        raise RepeatError(
            say(
                "Expected at most {longest} characters, not {line}.",
                longest=LONGEST,
                line=len(line),
            )
        )
    parts = _parts(line)
    if "COUNT" not in parts and "UNTIL" not in parts:
        raise RepeatError(
            say(
                "This never ends. Add ;COUNT= with a number of times or ;UNTIL= "
                "with the last day, for example {example}.",
                example=EXAMPLE,
            )
        )
    latest = first_due.year + MOST_YEARS
    if int(parts.get("UNTIL", "0000")[:4]) > latest:
        raise RepeatError(
            say(
                "UNTIL lies more than {most_years} years ahead: end it by {latest}.",
                most_years=MOST_YEARS,
                latest=latest,
            )
        )
    line = ";".join(f"{name}={value}" for name, value in parts.items())
    try:
        days = list(islice(_days(line, first_due), MOST + 1))
    except IndexError as error:  # a twentieth Monday of a month
        raise RepeatError(
            say("BYDAY names a weekday that no month has: {parts}.", parts=parts["BYDAY"])
        ) from error
    if len(days) > MOST:
        raise RepeatError(
            say("This falls on more than {most} days. Let it end earlier.", most=MOST)
        )
    if not days:
        raise RepeatError(say("This rule falls on no day at all. Check its months and days."))
    if days[0] != first_due:
        raise RepeatError(
            say(
                "By this rule the first day is {days}, not the first due day "
                "{first_due}. Change one of them.",
                days=days[0].isoformat(),
                first_due=first_due.isoformat(),
            )
        )
    return line


@lru_cache(maxsize=256)
def due_days(repeat: str, first_due: dt.date) -> tuple[dt.date, ...]:
    """Every due day in order; only the first where nothing repeats. At most `MOST`."""
    if not repeat:
        return (first_due,)
    return tuple(islice(_days(repeat, first_due), MOST))


def repeat_words(repeat: str, days: tuple[dt.date, ...]) -> str:
    """How often, in words; a rule of one's own is shown as it is."""
    if len(days) < 2:
        return say("once")
    last = f"{days[-1].day} {days[-1]:%b %Y}"
    parts = dict(part.split("=", 1) for part in repeat.split(";"))
    # One month and one day of it only name the day that the first due day shows already.
    named = {key for key in ("BYMONTH", "BYMONTHDAY") if "," not in parts.get(key, ",")}
    plain = set(parts) - named <= {"FREQ", "INTERVAL", "UNTIL", "COUNT"} or "BYSETPOS" in parts
    if "BYMONTH" in named and parts.get("FREQ") != "YEARLY":
        plain = False
    steps = {
        ("YEARLY", "1"): say("every year"),
        ("MONTHLY", "1"): say("every month"),
        ("MONTHLY", "3"): say("every 3 months"),
        ("MONTHLY", "6"): say("every 6 months"),
        ("WEEKLY", "1"): say("every week"),
        ("DAILY", "1"): say("every day"),
    }
    often = steps.get((parts.get("FREQ", ""), parts.get("INTERVAL", "1")))
    if plain and often:
        return say("{often}, up to {last}", often=often, last=last)
    return say("{days} times up to {last} ({repeat})", days=len(days), last=last, repeat=repeat)


def _parts(line: str) -> dict[str, str]:
    found: dict[str, str] = {}
    for part in filter(None, line.split(";")):
        name, mark, value = part.partition("=")
        if not mark or not value:
            raise RepeatError(
                say(
                    "“{part}” can't be read. Write NAME=VALUE, for example {example}.",
                    part=part,
                    example=EXAMPLE,
                )
            )
        if name not in PARTS:
            known = ", ".join(PARTS)
            raise RepeatError(
                say("“{name}” isn't understood. These parts are: {known}.", name=name, known=known)
            )
        if name in found:
            raise RepeatError(say("{name} stands twice.", name=name))
        found[name] = value
    if found.get("FREQ") not in FREQUENCIES:
        raise RepeatError(
            say(
                "FREQ must be {frequencies} or {frequencies_2}, for example {example}.",
                frequencies=", ".join(FREQUENCIES[:-1]),
                frequencies_2=FREQUENCIES[-1],
                example=EXAMPLE,
            )
        )
    if "COUNT" in found and "UNTIL" in found:
        raise RepeatError(say("Give COUNT or UNTIL, not both."))
    if "COUNT" in found:
        _whole(found, "COUNT", MOST)
    if "INTERVAL" in found:
        _whole(found, "INTERVAL", 1200)
    if "UNTIL" in found:
        found["UNTIL"] = _until(found["UNTIL"])
    for day in found["BYDAY"].split(",") if "BYDAY" in found else ():
        if not BYDAY.match(day):
            raise RepeatError(
                say("BYDAY takes MO, TU … SU, or 1MO, -1FR and so on, not {day}.", day=day)
            )
    _can_fall(found)
    return found


def _whole(parts: dict[str, str], name: str, most: int) -> None:
    value = parts[name]
    fits = value.isascii() and value.isdigit() and len(value) < 9 and 1 <= int(value) <= most
    if not fits:
        raise RepeatError(
            say(
                "{name} ({parts}) is a whole number from 1 to {most}, not {value}.",
                name=name,
                parts=PARTS[name],
                most=most,
                value=value,
            )
        )


def _can_fall(parts: dict[str, str]) -> None:
    """Refuse months and days that no year has: counting them would search to the year 9999."""
    months = _numbers(parts, "BYMONTH", 1, 12) or range(1, 13)
    days = _numbers(parts, "BYMONTHDAY", -31, 31)
    longest = [calendar.monthrange(2000, month)[1] for month in months]
    if days and not any(abs(day) <= length for day in days for length in longest):
        raise RepeatError(say("This rule falls on no day at all. Check its months and days."))


def _numbers(parts: dict[str, str], name: str, low: int, high: int) -> list[int]:
    values = parts[name].split(",") if name in parts else []
    found = [int(v) for v in values if re.fullmatch(r"[+-]?[0-9]{1,3}", v)]
    if len(found) != len(values) or not all(low <= n <= high and n for n in found):
        raise RepeatError(
            say(
                "{name} ({parts}) takes numbers from {low} to {high} with commas "
                "between, not {parts_2}.",
                name=name,
                parts=PARTS[name],
                low=low,
                high=high,
                parts_2=parts[name],
            )
        )
    return found


def _until(text: str) -> str:
    day = text.replace("-", "").partition("T")[0]
    try:
        dt.datetime.strptime(day, "%Y%m%d").replace(tzinfo=dt.UTC)
    except ValueError as error:
        raise RepeatError(say("UNTIL is a day such as 20351231, not {text}.", text=text)) from error
    if not UNTIL.match(day):
        raise RepeatError(say("UNTIL is a day such as 20351231, not {text}.", text=text))
    return day


def _days(line: str, first_due: dt.date) -> "islice[dt.date]":
    """The rule's days from the first due day on, lazily, no farther than `MOST_YEARS`."""
    start = dt.datetime.combine(first_due, dt.time())
    parts = dict(part.split("=", 1) for part in line.split(";"))
    count = parts.pop("COUNT", None)
    # A count can run into the year 9999 when the rule hits few days, so the search has an end.
    horizon = start.replace(year=min(start.year + MOST_YEARS, dt.MAXYEAR), day=min(start.day, 28))
    until = parts.pop("UNTIL", None)
    if until is not None:
        horizon = min(horizon, dt.datetime.strptime(until, "%Y%m%d"))  # noqa: DTZ007
    try:
        rule = rrulestr(";".join(f"{k}={v}" for k, v in parts.items()), dtstart=start)
        found = rule.replace(until=horizon) if isinstance(rule, rrule) else None
    except (ValueError, KeyError, TypeError, AttributeError, IndexError) as error:
        raise RepeatError(
            say(
                "This rule can't be read: {error}. For example {example}.",
                error=error,
                example=EXAMPLE,
            )
        ) from error
    if found is None:
        raise RepeatError(say("Write one rule only, for example {example}.", example=EXAMPLE))
    days = (moment.date() for moment in found)
    return islice(days, int(count) if count is not None else None)
