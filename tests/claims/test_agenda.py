"""What is next, by when holes are to be filled, and work against the record."""

import datetime as dt

import pytest

from claims import hooks
from claims.agenda import Item
from tests import factories as make
from tests.claims.pages import (
    SCRIPTS,
    assert_sorts,
    csv_rows,
    queries_of,
    text_of,
    url,
    xlsx_rows,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def party():
    return make.make_party()


@pytest.fixture
def keeper(client, party):
    return make.signed_in(client, party)


def d(text: str) -> dt.date:
    return dt.date.fromisoformat(text)


# --- the lists


def test_an_empty_list_teaches(keeper, party):
    page = text_of(keeper.get(url("duty_list")))
    assert "No duty yet" in page
    assert "Add the first duty" in page
    assert "what is due next" in text_of(keeper.get(url("paper_list")))


@pytest.mark.parametrize("title", SCRIPTS)
def test_a_title_may_be_in_any_script(keeper, party, title):
    make.make_duty(party, title)
    for page in ("duty_list", "paper_list", "month_page"):
        answer = keeper.get(url(page), {"as_of": "2031-12-01"})
        assert title in text_of(answer)
        assert b"<b>bold</b>" not in answer.content


def test_the_list_sorts_by_every_column_and_leaves_as_files(keeper, party):
    make.make_duty(party, "Second", first_due=d("2031-06-01"))
    make.make_duty(party, "First", first_due=d("2031-05-10"), measure="hours", work_amount=600)
    assert_sorts(keeper, f"{url('duty_list')}?as_of=2031-05-03")
    rows = csv_rows(keeper.get(url("duty_list"), {"as_of": "2031-05-03", "export": "csv"}))
    assert [row[0] for row in rows] == ["duty", "First", "Second"]
    assert rows[1][3] == "2031-05-10"
    book = xlsx_rows(keeper.get(url("duty_list"), {"as_of": "2031-05-03", "export": "xlsx"}))
    assert book[1][3] == dt.datetime(2031, 5, 10)  # noqa: DTZ001


def test_what_is_next_comes_in_the_order_of_days_late_things_first(keeper, party):
    site = make.make_site(party, "Upper bend")
    paper = make.make_paper(party, [site], name="Reach permit", apply_by_span="P3M")
    make.make_duty(party, "Later duty", first_due=d("2032-05-01"))
    make.make_duty(party, "Late duty", first_due=d("2031-04-30"))
    make.make_condition(paper, "Fill", kind="fill_in", fill_due="within", fill_span="P14D")
    make.make_hole(site, opened_on=d("2031-04-20"))
    page = text_of(keeper.get(url("paper_list"), {"as_of": "2031-05-03"}))
    order = [
        "Late duty",
        "Fill the hole at Upper bend",
        "Ask for the renewal of Reach permit",
        "Reach permit runs out",
        "Later duty",
    ]
    places = [page.index(title) for title in order]
    assert places == sorted(places)
    assert "1 late" in page
    assert "due in 1 day Fill the hole" in page
    assert "Within 14 days: Reach permit." in page


def test_a_paper_that_another_follows_asks_for_nothing(keeper, party):
    site = make.make_site(party)
    make.make_paper(party, [site], name="Permit 2031", issuer="Board", apply_by_span="P1M")
    make.make_paper(party, [site], name="Permit 2032", issuer="Board", expires_on=d("2032-12-31"))
    page = text_of(keeper.get(url("paper_list"), {"as_of": "2031-12-20"}))
    assert "Permit 2031 runs out" not in page
    assert "renewal of Permit 2031" not in page
    assert "Permit 2032 runs out" in page


def test_a_renewal_made_a_duty_replaces_the_reminder(keeper, party):
    paper = make.make_paper(party, name="Reach permit", apply_by_span="P1M")
    asked = "Ask for the renewal of Reach permit"
    assert asked in text_of(keeper.get(url("paper_list"), {"as_of": "2031-11-20"}))
    duty = make.make_duty(party, "Send the form", kind="renewal", paper=paper)
    duty.first_due = d("2031-11-30")
    duty.save()
    page = text_of(keeper.get(url("paper_list"), {"as_of": "2031-11-20"}))
    assert asked not in page
    assert "Send the form" in page


def test_holes_without_a_noted_day_are_asked_about(keeper, party):
    site = make.make_site(party, "Upper bend")
    make.make_hole(site)
    make.make_hole(site, opened_on=d("2031-04-30"))
    page = text_of(keeper.get(url("paper_list"), {"as_of": "2031-05-03"}))
    assert "Fill 2 holes at Upper bend" in page
    assert "open for 3 days; no day is noted: ask" in page


@pytest.mark.parametrize(
    ("code", "more", "due"),
    [
        ("same_day", {}, "3 May 2031"),
        ("leaving", {}, "4 May 2031"),
        ("within", {"fill_span": "P14D"}, "17 May 2031"),
        ("fixed", {"fill_by": "10-31"}, "31 Oct 2031"),
    ],
)
def test_a_hole_is_due_as_the_papers_condition_says(keeper, party, code, more, due):
    site = make.make_site(party)
    make.make_trip(party, site, starts_on=d("2031-05-02"), ends_on=d("2031-05-04"))
    paper = make.make_paper(party, [site])
    make.make_condition(paper, "Fill", kind="fill_in", fill_due=code, **more)
    hole = make.make_hole(site)
    page = text_of(keeper.get(url("hole_list"), {"as_of": "2031-05-03"}))
    assert due in page
    assert due in text_of(keeper.get(url("hole_detail", hole.pk), {"as_of": "2031-05-03"}))


def test_of_several_conditions_the_earliest_counts_and_a_paper_out_of_term_does_not(keeper, party):
    site = make.make_site(party)
    strict = make.make_paper(party, [site], expires_on=d("2031-05-02"))
    make.make_condition(strict, "Fill", kind="fill_in", fill_due="same_day")
    for span in ("P30D", "P7D"):
        paper = make.make_paper(party, [site])
        make.make_condition(paper, "Fill", kind="fill_in", fill_due="within", fill_span=span)
    make.make_hole(site)
    assert "10 May 2031" in text_of(keeper.get(url("hole_list"), {"as_of": "2031-05-03"}))


def test_twice_the_rows_cost_the_same_queries(keeper, party):
    def fill(count):
        for number in range(count):
            site = make.make_site(party)
            paper = make.make_paper(party, [site])
            make.make_condition(paper, "Fill", kind="fill_in", fill_due="same_day")
            make.make_mark(make.make_condition(paper))
            duty = make.make_duty(
                party, paper=paper, site=site, measure="hours", work_amount=60 + number
            )
            make.make_done(make.make_duty(party, paper=paper))
            assert duty.pk
            make.make_hole(site)
            trip = make.make_trip(party, site, state="wrapped_up")
            make.make_hours(trip, "dig", site=site)

    fill(2)
    pages = ("paper_list", "duty_list", "month_page", "hole_list")
    few = {page: queries_of(keeper, f"{url(page)}?as_of=2031-06-01") for page in pages}
    fill(2)
    assert {p: queries_of(keeper, f"{url(p)}?as_of=2031-06-01") for p in pages} == few


# --- work


def worked(party, minutes=300, **more):
    site = make.make_site(party, "Upper bend")
    paper = make.make_paper(party, [site])
    trip = make.make_trip(party, site, state="wrapped_up", name="May trip", **more)
    trip.trip_sites.update(was_visited=True)
    person = make.make_person(party)
    make.make_hours(trip, "dig", minutes=minutes, person=person, site=site)
    make.make_hours(trip, "drive", minutes=90, person=person)
    return site, paper, trip


@pytest.mark.parametrize(
    ("due", "missing"), [(301, "1 min"), (300, "nothing"), (299, "nothing"), (600, "5 h")]
)
def test_hours_of_work_count_against_what_is_due_with_their_evidence(keeper, party, due, missing):
    _, paper, trip = worked(party)
    duty = make.make_duty(party, "Work", paper=paper, kind="work", measure="hours", work_amount=due)
    answer = keeper.get(url("duty_detail", duty.pk), {"as_of": "2031-06-01"})
    page = text_of(answer)
    assert "In the record 5 h" in page
    assert f"Still missing {missing}" in page
    assert "3 May 2031 May trip: digging 5 h" in page
    assert f"/trips/{trip.pk}/" in answer.content.decode()


def test_work_of_nobody_is_unknown_and_not_zero(keeper, party):
    site, paper, trip = worked(party)
    trip.hours.all().delete()
    make.make_run(trip, make.make_spot(site), volume_ml=None)
    for measure in ("hours", "volume"):
        duty = make.make_duty(party, paper=paper, measure=measure, work_amount=100)
        page = text_of(keeper.get(url("duty_detail", duty.pk), {"as_of": "2031-06-01"}))
        assert "In the record unknown" in page
        assert "Still missing unknown" in page


def test_without_anybody_who_keeps_the_work_it_is_unknown(keeper, party, monkeypatch):
    monkeypatch.setattr(hooks, "work_found", [])
    duty = make.make_duty(party, measure="hours", work_amount=100)
    page = text_of(keeper.get(url("duty_detail", duty.pk)))
    assert "In the record unknown" in page


def test_a_day_that_is_due_soon_never_stands_before_an_earlier_one():
    def item(state, day):
        return Item(day and d(day), "other", "T", "", state, "", "")

    late, asked = item("late", "2031-09-27"), item("ask", None)
    later, due = item("later", "2031-11-15"), item("due", "2031-11-30")
    in_order = sorted([due, later, asked, late], key=lambda each: each.rank)
    assert in_order == [late, asked, later, due]
