"""Ground disturbed and restored: the balance of holes, unknown sizes, the page and its files."""

import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from claims.rules.ground import FillRule, HoleFact, disturbed, fill_due
from claims.rules.spans import Span
from tests import factories as make
from tests.claims.pages import csv_rows, queries_of, text_of, url, xlsx_rows


def d(text: str) -> dt.date:
    return dt.date.fromisoformat(text)


def hole(opened, filled=None, sides=(1000, 800, 500)) -> HoleFact:
    return HoleFact(1, d(opened), d(filled) if filled else None, *sides)


def test_each_hole_is_on_its_side_of_the_periods_days():
    found = disturbed(
        [
            hole("2031-04-30", "2031-04-30"),
            hole("2031-04-30", "2031-05-01"),
            hole("2031-05-01", "2031-05-31"),
            hole("2031-05-31", "2031-06-01"),
            hole("2031-06-01"),
        ],
        d("2031-05-01"),
        d("2031-05-31"),
    )
    counts = [
        ground.holes for ground in (found.open_before, found.opened, found.filled, found.open_after)
    ]
    assert counts == [1, 2, 2, 1]
    assert (found.opened.area_mm2, found.opened.volume_ml) == (1_600_000, 800_000)


def test_unknown_sides_are_counted_apart_and_never_as_nothing():
    found = disturbed(
        [hole("2031-05-03", sides=(1000, 800, None)), hole("2031-05-03", sides=(None, 1, 1))],
        d("2031-05-01"),
        d("2031-05-31"),
    )
    opened = found.opened
    assert (opened.holes, opened.without_area, opened.without_volume) == (2, 1, 2)
    assert (opened.area_mm2, opened.volume_ml) == (800_000, 0)


days = st.dates(d("2031-01-01"), d("2031-03-31"))


@given(
    st.lists(st.tuples(days, st.none() | st.integers(0, 60)), max_size=12), days, st.integers(0, 60)
)
def test_holes_balance_over_any_period(rows, first, length):
    holes = [
        HoleFact(
            1, opened, None if after is None else opened + dt.timedelta(days=after), 10, 10, 10
        )
        for opened, after in rows
    ]
    found = disturbed(holes, first, first + dt.timedelta(days=length))
    assert found.open_before.holes + found.opened.holes == (
        found.filled.holes + found.open_after.holes
    )


def test_the_earliest_rule_counts_and_a_rule_without_its_figure_says_nothing():
    rules = [
        FillRule("within", Span(1, "M"), "", "A"),
        FillRule("fixed", None, "05-20", "B"),
        FillRule("within", None, "", "C"),
    ]
    due = fill_due(d("2031-05-03"), None, rules)
    assert due is not None
    assert (due.day, due.source) == (d("2031-05-20"), "B")
    assert fill_due(d("2031-05-03"), None, rules[2:]) is None


@pytest.mark.parametrize(
    ("opened", "by", "due"),
    [
        ("2031-10-31", "10-31", "2031-10-31"),
        ("2031-11-01", "10-31", "2032-10-31"),
        ("2031-03-01", "02-29", "2032-02-29"),
        ("2032-03-01", "02-29", "2033-02-28"),
    ],
)
def test_a_fixed_day_is_the_next_one(opened, by, due):
    found = fill_due(d(opened), None, [FillRule("fixed", None, by, "A")])
    assert found is not None
    assert found.day == d(due)


# --- the page


@pytest.fixture
def party(db):
    return make.make_party()


@pytest.fixture
def reader(client, party):
    return make.signed_in(client, party, "reader")


def test_the_page_tells_by_site_and_in_all(reader, party):
    upper, lower = make.make_site(party, "Upper bend"), make.make_site(party, "Lower bend")
    make.make_hole(upper, filled_on=d("2031-05-04"))
    make.make_hole(lower, depth_mm=None)
    page = text_of(reader.get(url("ground_page"), {"as_of": "2031-06-01"}))
    assert "Upper bend 0 1 (0.80 m², 0.40 m³) 1 (0.80 m², 0.40 m³) 0 0" in page
    assert "Lower bend 0 1 (at least 0.80 m²) 0 1 (at least 0.80 m²) 1" in page
    assert "All sites 0 2" in page
    asked = {"as_of": "2031-06-01", "export": "csv"}
    rows = csv_rows(reader.get(url("ground_page"), asked))
    assert rows[1] == ["Lower bend", "0", "1", "0.80", "", "0", "0.00", "0.00", "1", "0.80", "1"]
    book = xlsx_rows(reader.get(url("ground_page"), asked | {"export": "xlsx"}))
    assert book[2][0] == "Upper bend"


def test_an_empty_period_teaches(reader, party):
    assert "No hole in this period" in text_of(reader.get(url("ground_page")))


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ({"first": "2031-05-03", "last": "2031-05-02"}, "ends before it starts"),
        ({"first": "spring", "last": "2031-05-02"}, "Expected a date such as"),
        ({"first": "", "last": "2031-05-02"}, "required"),
    ],
)
def test_a_period_that_cannot_be_read_is_said(reader, asked, said):
    assert said in text_of(reader.get(url("ground_page"), asked))


def test_another_partys_holes_are_not_in_it(reader):
    make.make_hole(make.make_site(make.make_party(), "Strange creek"))
    assert "Strange creek" not in text_of(reader.get(url("ground_page"), {"as_of": "2031-06-01"}))


def test_twice_the_holes_cost_the_same_queries(reader, party):
    make.make_hole(make.make_site(party))
    few = queries_of(reader, f"{url('ground_page')}?as_of=2031-06-01")
    for _ in range(3):
        make.make_hole(make.make_site(party))
    assert queries_of(reader, f"{url('ground_page')}?as_of=2031-06-01") == few
