"""On which day does a paper end, by which convention, and when must its renewal be asked for?

The day printed on the paper always wins. Only where none is printed is the end counted, from the
first day and never from an earlier result, and the convention is said in words. Where a
convention leaves two readings, the earlier day is taken and the later one named.
"""

import calendar
import datetime as dt
from dataclasses import dataclass
from typing import Literal

from claims.rules.spans import Span
from trips.calc import local
from trips.calc.words import remembered, say, several

Convention = Literal["", "from_issue", "year_end", "cycle", "life"]
FirstDay = Literal["", "counts", "not_counted"]
Basis = Literal["printed", "counted", "life", "unknown"]


@dataclass(frozen=True)
class TermRule:
    """How a paper's length is written. Empty convention: nothing but the printed day is known.

    `span` is the length from issue, or the number of years of a cycle or calendar-year term.
    `first_day`: whether the day of issue is itself the first day of the term, if that is known.
    `cycle_end`: "MM-DD", the fixed day on which the cover of everybody ends.
    """

    convention: Convention = ""
    span: Span | None = None
    first_day: FirstDay = ""
    cycle_end: str = ""


@dataclass(frozen=True)
class TermEnd:
    """The last day on which the paper holds; None for life or when it isn't known.

    `words` say how the day was found; `remark` what the person should compare or ask.
    """

    last_day: dt.date | None
    basis: Basis
    words: str
    remark: str = ""
    counted: dt.date | None = None


@remembered(2048)
def term_end(issued_on: dt.date | None, printed: dt.date | None, rule: TermRule) -> TermEnd:
    """The last day of a paper's term, with the convention in words.

    Raises: ValueError if counting leaves the calendar.
    """
    counted, words, other = _counted(issued_on, rule)
    if printed is not None:
        remark = ""
        if counted is not None and counted != printed and other != printed:
            remark = say(
                "By the length noted ({words}) it would be {counted}. The printed "
                "day counts; ask the issuer about the difference.",
                words=words,
                counted=_day(counted),
            )
        return TermEnd(printed, "printed", say("as printed on the paper"), remark, counted)
    if rule.convention == "life":
        return TermEnd(None, "life", say("for life: it has no last day"))
    if counted is None:
        missing = say("no end is printed") if not rule.convention else words
        return TermEnd(None, "unknown", missing)
    remark = ""
    if other is not None:
        remark = say(
            "Read the other way it would be {other}. The earlier day is shown; "
            "the issuer knows which one holds.",
            other=_day(other),
        )
    return TermEnd(counted, "counted", words, remark, counted)


def _counted(
    issued_on: dt.date | None, rule: TermRule
) -> tuple[dt.date | None, str, dt.date | None]:
    """Last day, the convention in words, and the later reading if there are two."""
    if rule.convention in ("", "life"):
        return None, "", None
    if issued_on is None:
        return None, say("the first day isn't noted, so the end can't be counted"), None
    if rule.convention == "from_issue":
        return _from_issue(issued_on, rule)
    years = rule.span.count if rule.span is not None and rule.span.unit == "Y" else 1
    if rule.convention == "year_end":
        last = _year_day(issued_on.year + years - 1, 12, 31)
        if years == 1:
            return last, say("to the end of the year of issue, whenever it was issued"), None
        words = say(
            "to the end of the {nth} calendar year of issue, whenever it was issued",
            nth=_nth(years),
        )
        return last, words, None
    if not rule.cycle_end:
        return None, say("the fixed day on which the cycle ends isn't noted"), None
    return _cycle(issued_on, rule.cycle_end, years)


def _from_issue(issued_on: dt.date, rule: TermRule) -> tuple[dt.date | None, str, dt.date | None]:
    if rule.span is None:
        return None, say("the length of the term isn't noted"), None
    span = rule.span
    anniversary = span.after(issued_on)
    inclusive = last_day_counting_first(issued_on, span)
    length = say("{words} from {issued_on}", words=span.words, issued_on=_day(issued_on))
    if rule.first_day == "counts":
        return inclusive, say("{length}, the day of issue being its first day", length=length), None
    if rule.first_day == "not_counted":
        return anniversary, say("{length}, the day of issue not counted", length=length), None
    words = say("{length}; whether the day of issue counts isn't noted", length=length)
    if span.is_calendar and anniversary.day != issued_on.day:
        # 29 February in a common year: some laws take the last of the month, some the next day.
        return inclusive, words, anniversary + dt.timedelta(days=1)
    return inclusive, words, anniversary


def last_day_counting_first(first: dt.date, span: Span) -> dt.date:
    """The last day of a span that begins with `first` itself.

    It is the day before the same day of the later month; where that month has no such day, the
    month's last day. So a year beginning on 29 February ends on 28 February.
    """
    target = span.after(first)
    if span.is_calendar and target.day != first.day:
        return target
    return target - dt.timedelta(days=1)


def _cycle(issued_on: dt.date, cycle_end: str, years: int) -> tuple[dt.date, str, dt.date | None]:
    month, day = (int(part) for part in cycle_end.split("-"))
    first = _year_day(issued_on.year, month, day)
    if first < issued_on:
        first = _year_day(issued_on.year + 1, month, day)
    last = first if years == 1 else _year_day(first.year + years - 1, month, day)
    often = say("every year") if years == 1 else several("every {n} year", "every {n} years", years)
    words = say(
        "to the fixed day {day}, {often} the same for all",
        day=local.month_and_day(month, day),
        often=often,
    )
    # On the cycle's own last day it may be meant for the cycle that begins the next day.
    other = _year_day(last.year + years, month, day) if issued_on == first else None
    return last, words, other


def _year_day(year: int, month: int, day: int) -> dt.date:
    """A day of a year; one that the month lacks (29 February) becomes its last."""
    if not dt.MINYEAR <= year <= dt.MAXYEAR:
        raise ValueError(say("Counted that far, the year {year} leaves the calendar.", year=year))
    return dt.date(year, month, min(day, calendar.monthrange(year, month)[1]))


def _nth(number: int) -> str:
    ending = (
        "th" if 10 <= number % 100 <= 20 else {1: "st", 2: "nd", 3: "rd"}.get(number % 10, "th")
    )
    return f"{number}{ending}"


@dataclass(frozen=True)
class Renewal:
    """When a renewal may be asked for: from `opens_on`, at the latest on `apply_by`.

    None: nothing is noted about it. `words` say from what the days were counted.
    """

    opens_on: dt.date | None
    apply_by: dt.date | None
    words: str


def renewal(
    last_day: dt.date | None,
    opens_before: Span | None,
    apply_before: Span | None,
    apply_by_printed: dt.date | None,
) -> Renewal:
    """The renewal window of a paper that ends on `last_day`, both days included.

    Args: opens_before, apply_before: so long before the last day. apply_by_printed: wins.
    Returns: a window that would close before it opens has `opens_on` None, said in words.
    """
    said = []
    opens_on = None
    if opens_before is not None and last_day is not None:
        opens_on = opens_before.before(last_day)
        said.append(
            say("may be asked for from {words} before the last day", words=opens_before.words)
        )
    if apply_by_printed is not None:
        apply_by: dt.date | None = apply_by_printed
        said.append(say("to be asked for by the day noted from the paper or its issuer"))
    elif apply_before is not None and last_day is not None:
        apply_by = apply_before.before(last_day)
        said.append(
            say("to be asked for at least {words} before the last day", words=apply_before.words)
        )
    else:
        apply_by = None
    if opens_on is not None and apply_by is not None and apply_by < opens_on:
        opens_on = None
        said.append(say("the day from which it may be asked for would come later: check both"))
    if last_day is None and (opens_before or apply_before) and apply_by_printed is None:
        said.append(say("can't be counted without a last day"))
    return Renewal(opens_on, apply_by, "; ".join(said))


def _day(day: dt.date) -> str:
    return f"{day.day} {day:%b %Y}"
