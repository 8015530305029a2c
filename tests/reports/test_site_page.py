"""A site's own page: its gravel, papers, holes and trips."""

import csv
import datetime as dt
import io
from decimal import Decimal

import pytest

from reports.tables import SiteTripsTable
from tests import factories as f
from tests.reports.asking import LATE, page, words
from tests.reports.record import make_record
from trips.services.derive import rebuild_party

pytestmark = pytest.mark.django_db


def test_a_new_site_teaches_and_offers_a_plan(keeper, party):
    site = f.make_site(party)
    text = words(keeper.get(f"/sites/{site.pk}/"))
    assert "No wrapped-up trip here yet" in text
    assert f"/trips/plan/?site={site.pk}" in text


def test_a_site_shows_grade_papers_holes_and_trips(keeper, party):
    [site] = make_record(party, trips=3)
    f.make_paper(party, [site], name="Permit of the reach")
    f.make_hole(site)
    f.make_hole(site, opened_on=dt.date(2031, 4, 1), filled_on=dt.date(2031, 4, 2))
    f.make_trip(party, site, starts_on=dt.date(2032, 1, 3), name="Soon")
    shown = page(keeper, f"/sites/{site.pk}/?{LATE}")
    [grade] = shown.pans
    assert (grade.pans, grade.rate.best) == (3, pytest.approx(1.0))
    # 1 medium (2.5 mg) and 4 fine (0.5 mg) in 5 L: 0.9 mg a litre.
    assert grade.mg_per_l == Decimal("0.9")
    [run_grade] = shown.runs
    assert run_grade.mass_ug == 1_200_000
    assert run_grade.mg_per_l == 4  # 1 200 mg from 300 L
    assert [row.is_open for row in shown.holes] == [True, False]
    assert shown.trips[0].name == "Soon"
    assert [row.net_minor for row in shown.trips] == [None, 3_484, 1_714, -56]
    assert shown.trips[0].note == "First choice."
    text = words(keeper.get(f"/sites/{site.pk}/?{LATE}"))
    assert "Permit of the reach" in text
    assert "1 filled" in text


def test_trips_that_only_had_it_as_a_fallback_are_one_line(keeper, party):
    [first] = make_record(party)
    spare = f.make_site(party, "Spare")
    address = f"/sites/{spare.pk}/?{LATE}"
    assert "as a fallback" not in words(keeper.get(address))
    for name, state, day in (
        ("Stayed", "wrapped_up", f.DAY),
        ("Rained off", "called_off", f.DAY),
        ("To come", "planned", dt.date(2032, 1, 3)),
        ("Over later", "wrapped_up", dt.date(2032, 2, 7)),
    ):
        trip = f.make_trip(party, first, fallbacks=[spare], state=state, name=name, starts_on=day)
        trip.trip_sites.filter(rank=0).update(was_visited=state == "wrapped_up")
    went = f.make_trip(party, first, fallbacks=[spare], state="wrapped_up", name="Went over")
    went.trip_sites.filter(rank=1).update(was_visited=True)
    rebuild_party(party)
    shown = page(keeper, address)
    assert [row.name for row in shown.trips] == ["To come", "Went over"]
    assert shown.passed_by == 2
    text = words(keeper.get(address))
    assert "2 trips had it as a fallback and didn't go there." in text
    assert "Stayed" not in text
    assert "Stayed" in words(keeper.get(f"/sites/{first.pk}/?{LATE}"))


def test_a_trip_over_two_sites_shows_its_part_at_each(keeper, party):
    first, second = make_record(party, sites=2, trips=1)
    trip = f.make_trip(party, first, fallbacks=[second], state="wrapped_up", name="Both")
    trip.trip_sites.update(was_visited=True)
    run = f.make_run(trip, second.spots.first())
    f.make_hours(trip, "test", 60, site=first)
    f.make_hours(trip, "run", 180, site=second)
    f.make_cost(trip, "fuel", 1_000)
    f.make_weigh_in(trip, runs=[run])
    rebuild_party(party)
    parts = {
        site: next(
            row for row in page(keeper, f"/sites/{site.pk}/?{LATE}").trips if row.name == "Both"
        )
        for site in (first, second)
    }
    # One gram at 88.50; 10.00 of fuel and 4 hours, one to three.
    assert (parts[first].mass_ug, parts[second].mass_ug) == (0, 1_000_000)
    assert (parts[first].net_minor, parts[second].net_minor) == (-250, 8_850 - 750)
    assert (parts[first].minutes, parts[second].minutes) == (60, 180)


def test_the_trips_of_a_site_come_as_files_too(keeper, party):
    [site] = make_record(party, trips=3)
    text = keeper.get(f"/sites/{site.pk}/?export=csv&{LATE}").content.decode("utf-8-sig")
    lines = text.splitlines()
    assert lines[0].startswith("Day,Trip,State,Gold here (g),Net here (EUR),Hours here (min)")
    assert len(lines) == 4
    assert "2031-05-17" in lines[1]
    assert "34.84" in lines[1]


def test_both_files_hold_the_trips_of_the_page(keeper, party):
    from openpyxl import load_workbook

    [site] = make_record(party, trips=3)
    lost = f.make_trip(party, site, state="wrapped_up", name="Lost", starts_on=dt.date(2031, 7, 5))
    lost.trip_sites.update(was_visited=True)
    rebuild_party(party)
    address = f"/sites/{site.pk}/?{LATE}"
    shown = page(keeper, address).trips
    text = keeper.get(f"{address}&export=csv").content.decode("utf-8-sig")
    in_csv = list(csv.reader(io.StringIO(text)))
    book = load_workbook(io.BytesIO(keeper.get(f"{address}&export=xlsx").content))
    in_xlsx = list(book.active.iter_rows(values_only=True))
    assert in_csv[0] == list(in_xlsx[0])
    nets = [None if row.net_minor is None else Decimal(row.net_minor) / 100 for row in shown]
    assert nets[0] is None
    assert [Decimal(row[4]) if row[4] else None for row in in_csv[1:]] == nets
    assert [None if row[4] is None else Decimal(str(row[4])) for row in in_xlsx[1:]] == nets
    assert [row[1] for row in in_csv[1:]] == [row[1] for row in in_xlsx[1:]]
    assert [row[1] for row in in_csv[1:]] == [row.name for row in shown]


def test_gold_that_was_not_weighed_at_one_of_two_sites_is_unknown_there(keeper, party):
    first, second = make_record(party, sites=2, trips=1)
    trip = f.make_trip(party, first, fallbacks=[second], state="wrapped_up", name="Both")
    trip.trip_sites.update(was_visited=True)
    run = f.make_run(trip, first.spots.first())
    f.make_run(trip, second.spots.first())
    f.make_hours(trip, "run", 60, site=first)
    f.make_cost(trip, "fuel", 1_000)
    f.make_weigh_in(trip, runs=[run])
    rebuild_party(party)
    here, there = (
        next(row for row in page(keeper, f"/sites/{site.pk}/?{LATE}").trips if row.name == "Both")
        for site in (first, second)
    )
    assert here.mass_ug == 1_000_000
    assert (there.mass_ug, there.net_minor) == (None, None)
    assert there.note == "What the box gave there was not weighed."


@pytest.mark.parametrize("way", ["", "-"])
def test_the_trips_sort_by_every_column_with_and_without_rows(keeper, party, way):
    empty = f.make_site(party, "Empty")
    [site] = make_record(party, trips=3)
    f.make_trip(party, site, starts_on=dt.date(2032, 1, 3))
    keys = list(SiteTripsTable.base_columns)
    assert len(keys) == 8
    for key in keys:
        assert keeper.get(f"/sites/{empty.pk}/?sort={way}{key}").status_code == 200
        answer = keeper.get(f"/sites/{site.pk}/?sort={way}{key}&{LATE}")
        shown = [getattr(row.record, key) for row in answer.context["table"].rows]
        known = [value for value in shown if value is not None]
        assert len(shown) == 4
        assert known == sorted(known, reverse=bool(way))


def test_belief_before_and_after_with_whose_data(keeper, party):
    [site] = make_record(party, trips=2)
    spot = site.spots.get()
    asked = page(keeper, f"/sites/{site.pk}/?{LATE}").belief
    assert [row.name for row in asked.whole] == [
        "Before anything here", "Before 10 May 2031", "Now"
    ]  # fmt: skip
    before, then, now = asked.whole
    # Five colours in five litres and many in the runs: far above the start of 0.1.
    assert before.mean < now.mean
    assert now.high - now.low > 0
    assert then.evidence.startswith("54 colours in 1 pan and 1 run")
    assert now.evidence.startswith("108 colours in 2 pans and 2 runs")
    [row] = asked.spots
    assert row.name == spot.name
    text = words(keeper.get(f"/sites/{site.pk}/?{LATE}"))
    assert "is borrowed from your other sites" in text


def test_a_site_never_reached_shows_only_what_the_others_say(keeper, party):
    make_record(party, trips=2)
    site = f.make_site(party, "Never")
    asked = page(keeper, f"/sites/{site.pk}/?{LATE}").belief
    assert len(asked.whole) == 1
    assert asked.spots == ()
    assert "nothing was counted here" in asked.whose


def test_the_page_opens_what_matters_and_folds_the_rest(keeper, party):
    [site] = make_record(party, trips=7)
    f.make_paper(party, [site], name="Permit of the reach")
    f.make_hole(site, opened_on=dt.date(2031, 4, 1), filled_on=dt.date(2031, 4, 2))

    def sections(more=""):
        shown = keeper.get(f"/sites/{site.pk}/?{LATE}{more}").context["sections"]
        return {each.key: each for each in shown}

    shown = sections()
    assert list(shown)[:3] == ["return", "holes", "papers"]
    assert not shown["trips"].is_open
    assert shown["trips"].said.startswith("7 trips, the latest ")
    assert shown["holes"].said == "none open, 1 filled"
    assert (shown["return"].is_open, shown["holes"].is_open) == (True, False)
    # Whoever sorts or turns the pages of the list sees it; an open hole is never folded away.
    f.make_hole(site)
    again = sections("&sort=name")
    assert (again["trips"].is_open, again["holes"].is_open) == (True, True)


def test_a_folded_section_says_what_is_not_known(keeper, party):
    site = f.make_site(party, drive_minutes=None, walk_minutes=None)
    shown = {each.key: each for each in keeper.get(f"/sites/{site.pk}/").context["sections"]}
    assert shown["papers"].said.startswith("none noted for this site; ask")
    assert shown["place"].said == "drive not known, walk not known, no closed window noted; ask"
    assert shown["place"].is_open  # nothing else to read yet
