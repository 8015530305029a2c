"""What a row with a day calls itself: its day is written for the reader, and plainly where kept."""

import datetime as dt

import pytest
from django.urls import reverse

from tests import factories as f
from tests.reports.asking import words
from trips.calc import local

pytestmark = pytest.mark.django_db

DAY = dt.date(2031, 5, 3)


@pytest.fixture
def party():
    return f.make_party()


@pytest.fixture
def keeper(client, party):
    return f.signed_in(client, party)


def dated(party):
    site = f.make_site(party, "Ferry")
    spot = f.make_spot(site, "Bar head")
    trip = f.make_trip(party, site, starts_on=DAY)
    return (
        f.make_hole(site, spot=spot, opened_on=DAY),
        f.make_pan(trip, spot, day=DAY),
        f.make_run(trip, spot, day=DAY),
        f.make_weigh_in(trip, weighed_on=DAY),
        f.make_price(party, DAY),
        f.make_mark(f.make_condition(f.make_paper(party, [site])), day=DAY),
        f.make_done(f.make_duty(party, first_due=DAY), due_on=DAY),
        f.make_flood(f.make_gauge(party, [site]), DAY),
        f.make_rate(party, first_day=DAY),
    )


def test_a_day_in_a_name_is_written_as_on_the_page_around_it(party):
    for row in dated(party):
        assert "3 May 2031" in str(row)
        with local.written(local.Manner("de_DE")):
            assert "03.05.2031" in str(row)


def test_what_a_row_was_called_is_kept_in_the_programs_own_manner(party):
    with local.written(local.Manner("de_DE")):
        for row in dated(party):
            assert "3 May 2031" in row.history.latest().called


def test_titles_of_pages_show_the_day_for_the_reader(keeper, party):
    hole = dated(party)[0]
    page = words(keeper.get(reverse("claims:hole_files_create", args=[hole.pk])))
    assert "Hole at Bar head, 3 May 2031" in page
    assert "2031-05-03" not in page


def test_the_line_of_a_filter_shows_days_for_the_reader(keeper, party):
    page = words(keeper.get("/holes/ground/?first=2031-01-01&last=2031-10-12"))
    assert "From: 1 Jan 2031 · To: 12 Oct 2031" in page
    wrong = words(keeper.get("/holes/ground/?first=soon&last=2031-10-12"))
    assert "From: soon · To: 12 Oct 2031" in wrong
