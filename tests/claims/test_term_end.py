"""The last day of a paper, counted the way the text says, against worked examples."""

import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from claims.rules.spans import Span, from_iso, read_span
from claims.rules.term_end import TermRule, last_day_counting_first, renewal, term_end


def d(text: str) -> dt.date:
    return dt.date.fromisoformat(text)


def end_of(issued: str, length: str, first_day: str = "", printed: str = "") -> str:
    rule = TermRule("from_issue", read_span(length), first_day)
    found = term_end(d(issued), d(printed) if printed else None, rule)
    return str(found.last_day)


# --- published worked examples


@pytest.mark.outside("dateutil documentation 2.9.0, Examples, relativedelta examples (seen)")
@pytest.mark.parametrize(
    ("first", "length", "later"),
    [
        ("2003-01-27", "1 month", "2003-02-27"),
        ("2003-01-31", "1 month", "2003-02-28"),
        ("2003-01-31", "2 months", "2003-03-31"),
        ("2000-02-28", "1 year", "2001-02-28"),
        ("2000-02-29", "1 year", "2001-02-28"),
        ("1999-02-28", "1 year", "2000-02-28"),
        ("1999-03-01", "1 year", "2000-03-01"),
    ],
)
def test_months_and_years_are_counted_as_the_library_documents(first, length, later):
    assert read_span(length).after(d(first)) == d(later)


@pytest.mark.outside("dateutil documentation 2.9.0, Examples, relativedelta examples (seen)")
def test_a_year_back_from_1_march_is_1_march():
    assert read_span("1 year").before(d("2001-03-01")) == d("2000-03-01")
    assert read_span("1 year").before(d("2001-02-28")) == d("2000-02-28")


@pytest.mark.outside(
    "Dodds v Walker [1981] 1 WLR 1027, House of Lords: four months from 30 September end on the "
    "corresponding date, 30 January (memory)"
)
def test_four_months_from_30_september_end_on_30_january():
    assert end_of("1978-09-30", "4 months", "not_counted") == "1979-01-30"


@pytest.mark.outside(
    "Dodds v Walker [1981] 1 WLR 1027, Lord Diplock: one month from 31 January ends on the last "
    "day of February, from 30 December on 30 January (memory)"
)
@pytest.mark.parametrize(
    ("issued", "last"),
    [("1979-01-31", "1979-02-28"), ("1980-01-31", "1980-02-29"), ("1978-12-30", "1979-01-30")],
)
def test_one_month_ends_on_the_corresponding_date_or_the_months_last(issued, last):
    assert end_of(issued, "one month", "not_counted") == last


@pytest.mark.outside(
    "German Civil Code (BGB) s 188(2) second case and (3): a period whose first day counts ends "
    "with the day before the corresponding one; a day the last month lacks is its last (memory)"
)
@pytest.mark.parametrize(
    ("issued", "length", "last"),
    [
        ("2031-01-01", "1 year", "2031-12-31"),
        ("2031-03-01", "1 year", "2032-02-29"),
        ("2032-03-01", "1 year", "2033-02-28"),
        ("2032-02-29", "1 year", "2033-02-28"),
        ("2032-02-29", "4 years", "2036-02-28"),
        ("2031-11-30", "3 months", "2032-02-29"),
        ("2031-11-29", "3 months", "2032-02-28"),
        ("2031-01-31", "1 month", "2031-02-28"),
        ("2031-05-03", "14 days", "2031-05-16"),
        ("2031-05-03", "2 weeks", "2031-05-16"),
    ],
)
def test_a_period_whose_first_day_counts(issued, length, last):
    assert end_of(issued, length, "counts") == last


@pytest.mark.outside(
    "EEC Euratom Regulation 1182/71 art 3(2)(c): years and months end on the same date, or on the "
    "last day of the month that lacks it (memory)"
)
@pytest.mark.parametrize(
    ("issued", "length", "last"),
    [
        ("2032-02-29", "1 year", "2033-02-28"),
        ("2031-02-28", "1 year", "2032-02-28"),
        ("2031-05-31", "1 month", "2031-06-30"),
        ("2031-12-31", "2 months", "2032-02-29"),
    ],
)
def test_a_period_whose_first_day_is_not_counted(issued, length, last):
    assert end_of(issued, length, "not_counted") == last


@pytest.mark.outside(
    "Mineral Resources Tasmania, Prospecting and fossicking: 1 to 5 years from the date of issue "
    "(seen, undated copy); day of issue counted or not isn't said there"
)
@pytest.mark.parametrize("years", [1, 2, 3, 4, 5])
def test_years_from_issue_show_the_earlier_reading_and_name_the_later(years):
    rule = TermRule("from_issue", Span(years, "Y"))
    found = term_end(d("2031-07-15"), None, rule)
    assert found.last_day == dt.date(2031 + years, 7, 14)
    assert f"15 Jul {2031 + years}" in found.remark
    assert "isn't noted" in found.words


@pytest.mark.outside(
    "14 CCR 228 (California): permits ran to the end of the calendar year, whenever issued "
    "(seen, copy of 2024-09-20)"
)
@pytest.mark.parametrize("issued", ["2008-01-01", "2008-06-15", "2008-12-31"])
def test_a_permit_to_the_years_end_ends_the_same_day_whenever_issued(issued):
    assert str(term_end(d(issued), None, TermRule("year_end")).last_day) == "2008-12-31"


@pytest.mark.outside(
    "Montana DEQ fact sheet MTG370000: the permit of 1 July 2015 ended with its cycle on "
    "31 March 2019, four cycle years on (seen)"
)
@pytest.mark.parametrize("issued", ["2015-07-01", "2016-03-31", "2015-04-01"])
def test_cover_ends_with_its_cycle_for_all(issued):
    found = term_end(d(issued), None, TermRule("cycle", Span(4, "Y"), "", "03-31"))
    assert str(found.last_day) == "2019-03-31"


# --- our own statements


def test_a_fixed_cycle_ends_on_its_next_day_on_or_after_issue():
    rule = TermRule("cycle", None, "", "06-30")
    found = [term_end(d(day), None, rule) for day in ("2031-06-29", "2031-06-30", "2031-07-01")]
    assert [str(end.last_day) for end in found] == ["2031-06-30", "2031-06-30", "2032-06-30"]
    assert "30 Jun 2032" in found[1].remark
    assert found[0].remark == found[2].remark == ""


def test_a_cycle_that_ends_on_29_february_ends_with_february():
    rule = TermRule("cycle", None, "", "02-29")
    ends = [term_end(d(day), None, rule).last_day for day in ("2031-01-05", "2032-01-05")]
    assert [str(end) for end in ends] == ["2031-02-28", "2032-02-29"]


def test_the_printed_day_wins_and_a_difference_is_said():
    rule = TermRule("from_issue", read_span("2 years"), "counts")
    found = term_end(d("2031-05-01"), d("2033-05-31"), rule)
    assert (str(found.last_day), found.basis) == ("2033-05-31", "printed")
    assert "30 Apr 2033" in found.remark


@pytest.mark.parametrize("printed", ["2033-04-30", "2033-05-01"])
def test_a_printed_day_that_fits_either_reading_is_not_remarked_on(printed):
    rule = TermRule("from_issue", read_span("2 years"))
    assert term_end(d("2031-05-01"), d(printed), rule).remark == ""


def test_29_february_shows_the_earlier_day_and_names_1_march():
    found = term_end(d("2032-02-29"), None, TermRule("from_issue", read_span("1 year")))
    assert str(found.last_day) == "2033-02-28"
    assert "1 Mar 2033" in found.remark


def test_terms_are_counted_from_the_first_day_so_that_the_day_never_creeps():
    rule = TermRule("from_issue", read_span("1 month"), "not_counted")
    assert str(term_end(d("2031-01-31"), None, rule).last_day) == "2031-02-28"
    ends = [str(Span(months, "M").after(d("2031-01-31"))) for months in (1, 2, 3)]
    assert ends == ["2031-02-28", "2031-03-31", "2031-04-30"]


def test_for_life_and_nothing_known_are_two_things():
    assert term_end(d("2031-01-01"), None, TermRule("life")).basis == "life"
    unknown = term_end(d("2031-01-01"), None, TermRule())
    assert (unknown.last_day, unknown.basis) == (None, "unknown")


@pytest.mark.parametrize(
    ("rule", "said"),
    [
        (TermRule("from_issue"), "length of the term isn't noted"),
        (TermRule("cycle"), "fixed day"),
    ],
)
def test_a_convention_without_its_figures_is_unknown_and_says_why(rule, said):
    found = term_end(d("2031-01-01"), None, rule)
    assert (found.last_day, found.basis) == (None, "unknown")
    assert said in found.words


def test_without_the_day_of_issue_nothing_is_counted():
    found = term_end(None, None, TermRule("year_end"))
    assert found.last_day is None
    assert "first day isn't noted" in found.words


@given(
    st.dates(dt.date(1990, 1, 1), dt.date(2090, 12, 31)),
    st.builds(Span, st.integers(1, 40), st.sampled_from(["Y", "M", "W", "D"])),
)
def test_the_earlier_reading_is_never_later_and_a_longer_span_never_ends_sooner(first, span):
    inclusive = last_day_counting_first(first, span)
    assert first <= inclusive <= span.after(first)
    longer = Span(span.count + 1, span.unit)
    assert last_day_counting_first(first, longer) > inclusive


# --- renewal window


def test_a_window_is_counted_back_from_the_last_day_in_calendar_months():
    found = renewal(d("2032-05-31"), Span(6, "M"), Span(3, "M"), None)
    assert (str(found.opens_on), str(found.apply_by)) == ("2031-11-30", "2032-02-29")


def test_a_day_noted_in_full_wins():
    found = renewal(d("2031-12-31"), None, Span(3, "M"), d("2031-06-01"))
    assert str(found.apply_by) == "2031-06-01"


def test_a_window_that_closes_before_it_opens_says_so():
    found = renewal(d("2031-12-31"), Span(1, "M"), Span(3, "M"), None)
    assert found.opens_on is None
    assert "check both" in found.words


def test_without_a_last_day_nothing_is_counted_back():
    found = renewal(None, None, Span(3, "M"), None)
    assert found.apply_by is None
    assert "can't be counted" in found.words


# --- lengths of time


@pytest.mark.parametrize(
    ("typed", "stored", "words"),
    [
        ("2 years", "P2Y", "2 years"),
        ("three months", "P3M", "3 months"),
        ("1 Month", "P1M", "1 month"),
        ("14 days", "P14D", "14 days"),
        ("2w", "P2W", "2 weeks"),
        ("P3M", "P3M", "3 months"),
        ("٣ months", "P3M", "3 months"),
    ],
)
def test_a_length_of_time_is_read_and_said(typed, stored, words):
    span = read_span(typed)
    assert (span.iso, span.words) == (stored, words)
    assert from_iso(stored) == span


@pytest.mark.parametrize(
    "typed", ["soon", "3", "months", "0 months", "-1 year", "1.5 years", "200 years", "3 moons", ""]
)
def test_a_length_that_cannot_be_read_is_refused_with_what_was_expected(typed):
    with pytest.raises(ValueError, match=r"Write a length|Expected 1 to"):
        read_span(typed)


def test_counting_out_of_the_calendar_is_refused():
    with pytest.raises(ValueError, match="leaves the calendar"):
        Span(100, "Y").after(d("9950-01-01"))
