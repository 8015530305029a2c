"""On which days a rule falls, and the rules that are refused."""

import datetime as dt
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from claims.rules.duties import next_due, weekend_words, work_period
from claims.rules.repeats import (
    MOST,
    RepeatError,
    due_days,
    plain_repeat,
    read_repeat,
    repeat_words,
)
from claims.rules.spans import Span


def d(text: str) -> dt.date:
    return dt.date.fromisoformat(text)


def texts(days) -> list[str]:
    return [day.isoformat() for day in days]


@pytest.mark.outside("RFC 5545, 3.8.5.3 Recurrence Rule, examples (seen second-hand in dateutil)")
@pytest.mark.parametrize(
    ("first", "rule", "days"),
    [
        (
            "1997-09-28",
            "FREQ=MONTHLY;BYMONTHDAY=-3;COUNT=6",
            "1997-09-28 1997-10-29 1997-11-28 1997-12-29 1998-01-29 1998-02-26",
        ),
        (
            "1997-06-10",
            "FREQ=YEARLY;COUNT=10;BYMONTH=6,7",
            "1997-06-10 1997-07-10 1998-06-10 1998-07-10 1999-06-10 1999-07-10 2000-06-10 "
            "2000-07-10 2001-06-10 2001-07-10",
        ),
        (
            "1997-09-05",
            "FREQ=MONTHLY;COUNT=10;BYDAY=1FR",
            "1997-09-05 1997-10-03 1997-11-07 1997-12-05 1998-01-02 1998-02-06 1998-03-06 "
            "1998-04-03 1998-05-01 1998-06-05",
        ),
        (
            "1997-09-29",
            "FREQ=MONTHLY;BYDAY=MO,TU,WE,TH,FR;BYSETPOS=-2;COUNT=7",
            "1997-09-29 1997-10-30 1997-11-27 1997-12-30 1998-01-29 1998-02-26 1998-03-30",
        ),
    ],
)
def test_rules_fall_on_the_days_of_the_standards_examples(first, rule, days):
    assert texts(due_days(read_repeat(rule, d(first)), d(first))) == days.split()


def test_every_year_from_29_february_keeps_to_the_end_of_february():
    rule = plain_repeat("yearly", d("2032-02-29"), d("2036-12-31"))
    found = texts(due_days(rule, d("2032-02-29")))
    assert found == ["2032-02-29", "2033-02-28", "2034-02-28", "2035-02-28", "2036-02-29"]


def test_every_month_from_the_31st_keeps_to_the_months_end():
    rule = plain_repeat("monthly", d("2031-12-31"), d("2032-04-30"))
    found = texts(due_days(rule, d("2031-12-31")))
    assert found == ["2031-12-31", "2032-01-31", "2032-02-29", "2032-03-31", "2032-04-30"]


@given(
    st.sampled_from(["yearly", "half_yearly", "quarterly", "monthly"]),
    st.dates(dt.date(2020, 1, 1), dt.date(2050, 12, 31)),
)
def test_a_plain_rule_misses_no_month_and_never_leaves_it(often, first):
    step = {"yearly": 12, "half_yearly": 6, "quarterly": 3, "monthly": 1}[often]
    rule = plain_repeat(often, first, first + dt.timedelta(days=1500))
    days = due_days(rule, first)
    assert read_repeat(rule, first) == rule
    months = [day.year * 12 + day.month for day in days]
    assert [b - a for a, b in pairwise(months)] == [step] * (len(days) - 1)
    assert days[0] == first
    assert all(day.day <= first.day for day in days)


@pytest.mark.parametrize(
    ("rule", "said"),
    [
        ("", "FREQ must be"),
        ("every spring", "can't be read"),
        ("FREQ=HOURLY;COUNT=2", "FREQ must be"),
        ("FREQ=YEARLY", "never ends"),
        ("FREQ=DAILY;COUNT=10000", "from 1 to 400"),
        ("FREQ=DAILY;COUNT=99999999999999999999", "from 1 to 400"),
        ("FREQ=DAILY;UNTIL=20991231", "more than"),
        ("FREQ=YEARLY;UNTIL=99991231", "60 years"),
        ("FREQ=YEARLY;UNTIL=20310230", "UNTIL is a day"),
        ("FREQ=YEARLY;UNTIL=soon", "UNTIL is a day"),
        ("FREQ=YEARLY;COUNT=2;UNTIL=20401231", "not both"),
        ("FREQ=YEARLY;COUNT=2;COUNT=3", "stands twice"),
        ("FREQ=YEARLY;COUNT=0", "from 1 to 400"),
        ("FREQ=YEARLY;INTERVAL=0;COUNT=2", "INTERVAL"),
        ("FREQ=YEARLY;BYMONTH=13;COUNT=2", "BYMONTH"),
        ("FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=30;COUNT=2", "no day at all"),
        ("FREQ=DAILY;BYMONTH=2;BYMONTHDAY=30;COUNT=2", "no day at all"),
        ("FREQ=YEARLY;BYMONTHDAY=0;COUNT=2", "BYMONTHDAY"),
        ("FREQ=YEARLY;BYDAY=XX;COUNT=2", "BYDAY"),
        ("FREQ=MONTHLY;BYDAY=50MO;COUNT=2", "BYDAY"),
        ("FREQ=YEARLY;BYSETPOS=0;COUNT=2", "can't be read"),
        ("FREQ=YEARLY;BYHOUR=9;COUNT=2", "BYHOUR"),
        ("FREQ=YEARLY;BYMONTH=3;COUNT=2", "first day is 2031-03-28"),
        ("DTSTART:20310101\nRRULE:FREQ=YEARLY;COUNT=2", "isn't understood"),
        ("FREQ=YEARLY;COUNT=2" + ";" * 300, "at most 200"),
        ("FREQ=YEARLY;BYMONTH=²;COUNT=2", "BYMONTH"),
    ],
)
def test_a_rule_that_cannot_be_used_is_refused_in_words(rule, said):
    with pytest.raises(RepeatError, match=said):
        read_repeat(rule, d("2031-02-28"))


def test_as_many_days_as_fit_are_taken_and_one_more_is_refused():
    first = d("2031-01-01")
    fits = (first + dt.timedelta(days=MOST - 1)).strftime("%Y%m%d")
    assert len(due_days(read_repeat(f"FREQ=DAILY;UNTIL={fits}", first), first)) == MOST
    over = (first + dt.timedelta(days=MOST)).strftime("%Y%m%d")
    with pytest.raises(RepeatError, match="more than"):
        read_repeat(f"FREQ=DAILY;UNTIL={over}", first)


def test_a_last_day_before_the_first_is_refused():
    with pytest.raises(RepeatError, match="before the first"):
        plain_repeat("yearly", d("2031-05-01"), d("2031-04-30"))


def test_how_often_is_said_in_words():
    rule = plain_repeat("half_yearly", d("2031-01-31"), d("2032-12-31"))
    assert (
        repeat_words(rule, due_days(rule, d("2031-01-31"))) == "every 6 months, up to 31 Jul 2032"
    )
    assert repeat_words("", (d("2031-01-31"),)) == "once"


@pytest.mark.parametrize(
    ("rule", "words"),
    [
        ("FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=-1;COUNT=3", "every year, up to 28 Feb 2034"),
        ("FREQ=MONTHLY;BYMONTHDAY=-1;COUNT=3", "every month, up to 30 Apr 2032"),
        (
            "FREQ=YEARLY;BYMONTH=2,5;BYMONTHDAY=29;COUNT=3",
            "3 times up to 29 May 2033 (FREQ=YEARLY;BYMONTH=2,5;BYMONTHDAY=29;COUNT=3)",
        ),
    ],
)
def test_one_named_day_is_said_in_words(rule, words):
    assert repeat_words(rule, due_days(rule, d("2032-02-29"))) == words


# --- how a duty stands

YEARS = tuple(dt.date(year, 3, 31) for year in (2030, 2031, 2032))


@pytest.mark.parametrize(
    ("today", "state", "words"),
    [
        ("2031-02-28", "later", "due in 31 days"),
        ("2031-03-01", "due", "due in 30 days"),
        ("2031-03-30", "due", "due in 1 day"),
        ("2031-03-31", "due", "due today"),
        ("2031-04-01", "late", "1 day late"),
        ("2032-04-01", "late", "367 days late, 2 due days open"),
    ],
)
def test_a_duty_on_both_sides_of_its_dates(today, state, words):
    found = next_due(YEARS, {YEARS[0]}, Span(30, "D"), d(today))
    assert (found.state, found.words, found.due_on) == (state, words, YEARS[1])


def test_a_duty_with_every_day_settled_is_over():
    assert next_due(YEARS, set(YEARS), None, d("2031-01-01")).state == "settled"


def test_a_day_settled_out_of_order_leaves_the_earlier_one_open():
    assert next_due(YEARS, {YEARS[1]}, None, d("2031-05-01")).due_on == YEARS[0]


def test_a_weekend_is_said_and_the_day_stays():
    assert weekend_words(d("2031-08-30")).startswith("Saturday")
    assert weekend_words(d("2031-08-31")).startswith("Sunday")
    assert weekend_words(d("2031-09-01")) == ""


# --- over which days work counts


@pytest.mark.outside(
    "43 CFR 3830.5 and 3836.11: the assessment year runs from noon of 1 September to noon of the "
    "next 1 September; 43 CFR 3835.16: the affidavit is due by 30 December (days seen in copies "
    "of 2025 and 2026; noon from memory)"
)
@pytest.mark.parametrize(
    ("due", "first", "last"),
    [
        ("2025-12-30", "2024-09-01", "2025-08-31"),
        ("2026-12-30", "2025-09-01", "2026-08-31"),
    ],
)
def test_an_assessment_year_ends_before_its_affidavit_is_due(due, first, last):
    days = (d("2025-12-30"), d("2026-12-30"))
    found = work_period(days, d(due), None, "08-31")
    assert (str(found.first), str(found.last)) == (first, last)


@pytest.mark.outside(
    "NZP&M, Complying with your mineral permit: the annual report by 31 March covers the previous "
    "calendar year (seen, undated)"
)
def test_a_report_by_31_march_covers_the_calendar_year_before():
    found = work_period(YEARS, d("2031-03-31"), None, "12-31")
    assert (str(found.first), str(found.last)) == ("2030-01-01", "2030-12-31")


@pytest.mark.parametrize(
    ("due", "work_from", "first"),
    [
        ("2030-03-31", None, "2029-04-01"),
        ("2030-03-31", "2029-11-01", "2029-11-01"),
        ("2031-03-31", "2029-11-01", "2030-04-01"),
    ],
)
def test_work_counts_from_the_day_after_the_due_day_before(due, work_from, first):
    found = work_period(YEARS, d(due), d(work_from) if work_from else None, "")
    assert (str(found.first), str(found.last)) == (first, due)


def test_a_work_year_that_ends_on_29_february_ends_with_february():
    found = work_period((d("2033-03-31"),), d("2033-03-31"), None, "02-29")
    assert (str(found.first), str(found.last)) == ("2032-03-01", "2033-02-28")
