"""Scouting and the season plan: what they advise, what they refuse, and what is missing."""

import datetime as dt
import re

import pytest

from reports.pages.asked import read_pins
from tests import factories as f
from tests.reports.asking import LATE, page, queries, words
from tests.reports.record import make_record
from trips.services.derive import rebuild_party

pytestmark = pytest.mark.django_db
MAY = "as_of=2031-06-01"


def rich(party, site, fine=30):
    trip = party.trips.filter(trip_sites__site=site).first()
    for _ in range(4):
        f.make_pan(trip, site.spots.get(), fine=fine)
    rebuild_party(party)


def test_scouting_without_two_sites_says_what_it_needs(keeper, party):
    text = words(keeper.get("/scouting/"))
    assert "No gold price has been entered yet." in text
    assert "two sites or more" in text
    make_record(party)
    assert page(keeper, f"/scouting/?{LATE}").rows == ()


def test_an_untried_site_is_worth_more_of_a_look_than_a_known_one(keeper, party):
    known = make_record(party, sites=2, trips=6)
    rich(party, known[0], 10)
    new = f.make_site(party, "Untried")
    asked = page(keeper, f"/scouting/?{LATE}&later=20")
    values = {row.site_id: row for row in asked.rows}
    assert asked.rows[0].site_id == new.pk
    assert values[new.pk].evidence == 0
    assert values[known[0].pk].evidence == 10
    assert all(" and " in day.names for day in asked.days)
    assert asked.days
    assert asked.verdict
    text = words(keeper.get(f"/scouting/?{LATE}&later=20"))
    assert "Pans enough" in text


def test_more_later_trips_make_a_look_worth_more(keeper, party):
    make_record(party, sites=2, trips=4)
    f.make_site(party, "Untried")
    few, many = (page(keeper, f"/scouting/?{LATE}&later={n}") for n in (1, 40))
    assert many.later == 40
    few_more, many_more = (
        float(re.search(r"([\d.]+)\sEUR more than working", each.verdict)[1])
        for each in (few, many)
    )
    assert 0 < few_more < many_more


@pytest.mark.parametrize(
    "asked", ["pans=0", "pans=x", "pans=41", "later=0", "later=999", "day=soon"]
)
def test_scouting_says_what_was_expected_and_takes_the_usual(keeper, party, asked):
    make_record(party, sites=2)
    address = f"/scouting/?{asked}&{LATE}"
    assert "was taken" in words(keeper.get(address))
    assert (page(keeper, address).pans, page(keeper, address).later) == (10, 6)


def test_season_plan_spends_the_days_on_what_pays(keeper, party):
    sites = make_record(party, sites=2, trips=3)
    rich(party, sites[0])
    rich(party, sites[1], 12)
    asked = page(keeper, f"/season-plan/?{MAY}&until=2031-08-31&free=4")
    assert asked.rows
    assert asked.days <= asked.free == 12
    text = words(keeper.get(f"/season-plan/?{MAY}&until=2031-08-31&free=4"))
    assert "One more free day would" in text
    assert "80 % range" in text
    first = asked.rows[0]
    pinned = page(keeper, f"/season-plan/?{MAY}&until=2031-08-31&free=4&pin={first.pin}")
    assert any(row.pinned for row in pinned.rows)


def test_sites_beyond_forty_are_named_and_the_most_promising_planned(keeper, party):
    [best] = make_record(party, trips=3, names="Zircon reach")
    rich(party, best)
    for number in range(41):
        f.make_site(party, f"Site {number:02}", drive_minutes=60 + number)
    f.make_site(party, "Unreachable", drive_minutes=None)
    asked = page(keeper, f"/season-plan/?{MAY}&until=2031-06-30&free=2")
    assert {row.site for row in asked.rows} == {best.name}  # the last by its name
    [unknown, beyond] = sorted(asked.missing, key=lambda line: "a plan takes" in line)
    assert "Unreachable" in unknown
    assert beyond.endswith("a plan takes 40 sites at most, and these bring least on a first trip.")
    assert beyond.count("Site ") == 2
    assert best.name not in beyond


def test_a_closed_month_gets_no_trip_there(keeper, party):
    [site] = make_record(party, trips=3)
    rich(party, site)
    address = f"/season-plan/?{MAY}&until=2031-08-31&free=4"
    assert {row.month for row in page(keeper, address).rows} <= {
        "June 2031", "July 2031", "August 2031"
    }  # fmt: skip
    site.closed_from, site.closed_until = "06-01", "07-31"
    site.save()
    assert {row.month for row in page(keeper, address).rows} == {"August 2031"}
    site.closed_until = "12-31"
    site.save()
    asked = page(keeper, address)
    assert asked.rows == ()
    assert "stopped by its checklist all of the time" in " ".join(asked.closed)


def test_a_pin_that_cannot_be_is_said_and_left_out(keeper, party):
    [site] = make_record(party, trips=3)
    rich(party, site)
    address = f"/season-plan/?{MAY}&until=2031-06-30&free=1&pin=2031-06:{site.pk}:6"
    asked = page(keeper, address)
    assert "left out" in asked.refused
    assert asked.days <= 1
    other = f.make_site(f.make_party(), "Elsewhere")
    assert "left out" in page(keeper, f"/season-plan/?{MAY}&pin=2031-06:{other.pk}:1").refused


@pytest.mark.parametrize("asked", ["until=2020-01-01", "until=2099-01-01", "free=0", "keep=5"])
def test_season_plan_says_what_was_expected(keeper, party, asked):
    make_record(party)
    address = f"/season-plan/?{asked}&{MAY}"
    assert "was taken" in words(keeper.get(address))
    assert page(keeper, address).last == dt.date(2031, 11, 30)


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("2031-05:12:2", {("2031-05", 12): 2}),
        ("2031-05:12:9", {}),
        ("x", {}),
        ("2031-05:-1:1", {}),
        ("2031-05:１:1", {}),
    ],
)
def test_pins_in_the_address(text, found):
    assert read_pins([text]) == found


@pytest.mark.parametrize("address", ["/scouting/", "/season-plan/"])
def test_more_rows_take_no_more_queries(keeper, party, address):
    make_record(party, sites=2, trips=2)
    keeper.get(f"{address}?{LATE}")
    before = queries(keeper, f"{address}?{LATE}")
    make_record(party, sites=4, trips=4, names="More")
    keeper.get(f"{address}?{LATE}")
    assert queries(keeper, f"{address}?{LATE}") == before


def test_a_reader_may_look_ahead(client, party):
    reader = f.signed_in(client, party, "reader")
    make_record(party, sites=2)
    for address in ("/scouting/", "/season-plan/"):
        assert reader.get(f"{address}?{LATE}").status_code == 200
