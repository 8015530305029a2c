"""Floods of each site, from the record."""

import datetime as dt

import pytest
from django.core.exceptions import ValidationError
from django.db import connection
from django.test.utils import CaptureQueriesContext

from tests import factories as f
from trips.models import Flood
from trips.selectors.floods import floods_by_site, since_last_visit, water_year, yearly_peaks

pytestmark = pytest.mark.django_db
LATE = dt.date(2031, 12, 31)


@pytest.fixture
def party():
    return f.make_party()


@pytest.fixture
def site(party):
    return f.make_site(party)


def days(number):
    return f.DAY + dt.timedelta(days=number)


def visited(party, site, day=f.DAY):
    trip = f.make_trip(party, site, starts_on=day, state="wrapped_up")
    trip.trip_sites.update(was_visited=True)
    return trip


def test_floods_reach_the_sites_of_their_gauge_only(party, site):
    dry = f.make_site(party)
    f.make_flood(f.make_gauge(party, [site]))
    found = floods_by_site(party, LATE)
    assert set(found) == {site.pk}
    assert found[site.pk][0].spot_ratio == 0.25
    assert dry.pk not in since_last_visit(party, LATE)


def test_later_floods_others_and_switched_off_ones_do_not_count(party, site):
    gauge = f.make_gauge(party, [site])
    f.make_flood(gauge, days(10))
    f.make_flood(gauge, days(2), counts=False)
    theirs = f.make_party()
    f.make_flood(f.make_gauge(theirs, [f.make_site(theirs)]))
    assert floods_by_site(party, days(9)) == {}
    assert [each.day for each in floods_by_site(party, days(10))[site.pk]] == [days(10)]


def test_since_the_last_visit(party, site):
    gauge = f.make_gauge(party, [site])
    f.make_flood(gauge, days(-5))
    f.make_flood(gauge, days(5), own_return_tenths=20)
    f.make_flood(gauge, days(7), spot_keep_pct=40, site_keep_pct=60)
    visited(party, site)
    found = since_last_visit(party, LATE)[site.pk]
    assert found.last_visit == f.DAY
    assert len(found.kept.floods) == 2
    assert found.kept.spot_ratio == pytest.approx(0.5 * 0.4)
    assert found.kept.site_ratio == pytest.approx(0.9 * 0.6)
    assert "own judgement" in found.kept.floods[1].basis


def test_a_pan_counts_as_a_visit_and_a_site_never_visited_loses_nothing(party, site):
    f.make_flood(f.make_gauge(party, [site]), days(1))
    assert since_last_visit(party, LATE)[site.pk].last_visit is None
    assert since_last_visit(party, LATE)[site.pk].kept.spot_ratio == 1
    trip = f.make_trip(party, site, state="under_way")
    f.make_pan(trip, f.make_spot(site))
    assert since_last_visit(party, LATE)[site.pk].kept.spot_ratio == 0.25


def test_peaks_give_the_return_period(party, site):
    gauge = f.make_gauge(party, [site])
    for year, peak in enumerate((90_000, 40_000, 60_000, 50_000)):
        f.make_flood(gauge, dt.date(2027 + year, 3, 1), peak_milli=peak)
    found = floods_by_site(party, LATE)[site.pk]
    assert [round(each.return_years, 2) for each in found] == [5, 1.25, 2.5, 1.67]
    assert [each.spot_ratio for each in found] == [0.25, 1, 0.5, 1]


def test_too_few_years_leave_the_size_unknown(party, site):
    f.make_flood(f.make_gauge(party, [site]), peak_milli=90_000)
    [found] = floods_by_site(party, LATE)[site.pk]
    assert found.return_years is None
    assert "too few" in found.basis
    assert not found.resets_spots


def test_two_gauges_of_one_day_are_one_flood(party, site):
    f.make_flood(f.make_gauge(party, [site]), own_return_tenths=20)
    f.make_flood(f.make_gauge(party, [site]), own_return_tenths=50)
    [found] = floods_by_site(party, LATE)[site.pk]
    assert found.return_years == 5


def test_water_years_and_years_of_zero(party):
    assert water_year(dt.date(2030, 9, 30), 10) == 2030
    assert water_year(dt.date(2030, 10, 1), 10) == 2031
    assert water_year(dt.date(2030, 12, 31), 1) == 2030
    gauge = f.make_gauge(party, year_starts_month=10)
    rows = [(dt.date(2030, 9, 30), 5_000), (dt.date(2030, 10, 1), 7_000), (dt.date(2031, 5, 1), 0)]
    floods = [f.make_flood(gauge, day, peak_milli=peak) for day, peak in rows]
    assert yearly_peaks(gauge, floods).by_year == {2030: 5.0, 2031: 7.0}
    assert yearly_peaks(gauge, [floods[2]]).dropped == (2031,)


@pytest.mark.parametrize(
    "values",
    [
        {"own_return_tenths": 9},
        {"spot_keep_pct": 50},
        {"spot_keep_pct": 60, "site_keep_pct": 50},
        {"spot_keep_pct": 60, "site_keep_pct": 101},
    ],
)
def test_impossible_floods_are_refused(party, values):
    flood = Flood(party=party, gauge=f.make_gauge(party), day=f.DAY, **values)
    with pytest.raises(ValidationError):
        flood.full_clean()


def test_the_same_queries_however_many(party, site):
    def count():
        with CaptureQueriesContext(connection) as caught:
            since_last_visit(party, LATE)
        return len(caught)

    visited(party, site)
    f.make_flood(f.make_gauge(party, [site]))
    before = count()
    for number in range(3):
        f.make_flood(f.make_gauge(party, [site, f.make_site(party)]), days(number))
    assert count() == before == 5
