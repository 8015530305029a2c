"""Both sides of every date."""

import datetime as dt

import pytest

from claims.rules.terms import first_closed_day, is_closed, month_day, term_on, window_words


def d(text: str) -> dt.date:
    return dt.date.fromisoformat(text)


@pytest.mark.parametrize(
    ("day", "closed"),
    [
        ("2031-03-31", False),
        ("2031-04-01", True),
        ("2031-05-31", True),
        ("2031-06-01", False),
    ],
)
def test_a_window_within_the_year_includes_both_its_ends(day, closed):
    assert is_closed(d(day), "04-01", "05-31") is closed


@pytest.mark.parametrize(
    ("day", "closed"),
    [
        ("2031-10-31", False),
        ("2031-11-01", True),
        ("2031-12-31", True),
        ("2032-01-01", True),
        ("2032-02-29", True),
        ("2032-03-15", True),
        ("2032-03-16", False),
    ],
)
def test_a_window_over_new_year_wraps(day, closed):
    assert is_closed(d(day), "11-01", "03-15") is closed


@pytest.mark.parametrize(
    ("day", "closed"),
    [
        ("2032-02-28", False),
        ("2032-02-29", True),
        ("2032-03-01", True),
        ("2031-02-28", False),
        ("2031-03-01", True),
    ],
)
def test_a_window_from_29_february_begins_on_1_march_in_common_years(day, closed):
    assert is_closed(d(day), "02-29", "03-31") is closed


@pytest.mark.parametrize(
    ("day", "closed"),
    [("2032-02-29", True), ("2032-03-01", False), ("2031-02-28", True), ("2031-03-01", False)],
)
def test_a_window_until_29_february_ends_with_february(day, closed):
    assert is_closed(d(day), "12-01", "02-29") is closed


def test_a_window_of_one_day_closes_that_day_only():
    days = ["2031-06-30", "2031-07-01", "2031-07-02"]
    assert [is_closed(d(day), "07-01", "07-01") for day in days] == [False, True, False]


def test_no_window_is_unknown_and_not_open():
    assert is_closed(d("2031-05-03"), "", "") is None
    assert window_words("", "") == ""


@pytest.mark.parametrize(
    ("first", "last", "closed"),
    [
        ("2031-03-29", "2031-03-31", None),
        ("2031-03-29", "2031-04-01", "2031-04-01"),
        ("2031-05-31", "2031-06-02", "2031-05-31"),
        ("2031-06-01", "2031-06-02", None),
    ],
)
def test_a_trip_of_several_days_meets_the_first_closed_one(first, last, closed):
    assert first_closed_day(d(first), d(last), "04-01", "05-31") == (closed and d(closed))


@pytest.mark.parametrize(
    ("typed", "read"),
    [
        ("11-01", "11-01"),
        (" 2-29 ", "02-29"),
        ("4/1", "04-01"),
        ("12.31", "12-31"),
        ("١١-٠١", "11-01"),
    ],
)
def test_month_and_day_are_read_as_typed(typed, read):
    assert month_day(typed) == read


@pytest.mark.parametrize(
    ("typed", "message"),
    [
        ("02-30", "February has the days 01 to 29"),
        ("04-31", "April has the days 01 to 30"),
        ("06-00", "June has the days 01 to 30"),
        ("13-01", "month comes first"),
        ("00-10", "month comes first"),
        ("31-12", "month comes first"),
        ("November", "as MM-DD"),
        ("2031-11-01", "as MM-DD"),
        ("²-1", "as MM-DD"),
    ],
)
def test_a_month_and_day_that_does_not_exist_is_refused_in_words(typed, message):
    with pytest.raises(ValueError, match=message):
        month_day(typed)


@pytest.mark.parametrize(
    ("day", "code", "words", "covers"),
    [
        ("2030-12-30", "not_begun", "not yet begun, begins in 2 days", False),
        ("2030-12-31", "not_begun", "not yet begun, begins in 1 day", False),
        ("2031-01-01", "runs", "runs out in 364 days", True),
        ("2031-11-30", "runs", "runs out in 31 days", True),
        ("2031-12-01", "runs_out", "runs out in 30 days", True),
        ("2031-12-30", "runs_out", "runs out in 1 day", True),
        ("2031-12-31", "runs_out", "last day", True),
        ("2032-01-01", "ran_out", "ran out 1 day ago", False),
        ("2032-01-03", "ran_out", "ran out 3 days ago", False),
    ],
)
def test_a_term_on_both_sides_of_its_dates(day, code, words, covers):
    term = term_on(d(day), d("2031-01-01"), d("2031-12-31"), 30)
    assert (term.code, term.words, term.covers) == (code, words, covers)


def test_a_paper_without_an_end_says_so():
    term = term_on(d("2031-05-03"), None, None, 30)
    assert (term.code, term.days, term.words) == ("no_end", None, "no end printed")


def test_a_paper_that_ends_on_29_february_has_run_out_on_1_march():
    codes = [
        term_on(d(day), None, d("2032-02-29"), 0).code
        for day in ("2032-02-28", "2032-02-29", "2032-03-01")
    ]
    assert codes == ["runs", "runs_out", "ran_out"]


def test_a_window_is_told_in_words():
    assert window_words("11-01", "03-15") == "1 Nov to 15 Mar"
