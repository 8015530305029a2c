"""Days on which programs stumble: the calendar's ends, leap days, nights of the clock change."""

import datetime as dt

import pytest
from django.test import RequestFactory, override_settings
from django.urls import reverse
from django.utils import timezone

from claims.models import Party
from claims.rules.spans import Span
from claims.rules.term_end import TermRule, term_end
from claims.web import asof
from tests import factories as make
from trips.calc.daylight import daylight
from trips.calc.track_hours import blocks
from trips.calc.tracks import Piece

# Pages whose figures look ahead of or behind their day.
DATED = (
    "trips:field_bundle",
    "claims:month_page",
    "reports:where_next",
    "reports:season_plan",
)
HARD = (
    "0001-01-01",  # nothing lies before
    "1900-02-28",  # no leap year, though divisible by four
    "2028-02-29",
    "2031-03-30",  # clocks go forward in Europe
    "2031-10-26",  # and back
    "2031-12-31",
    "2999-12-31",
    "9999-12-31",  # nothing lies after
)


@pytest.mark.django_db
def test_pages_that_look_ahead_bear_every_day(client):
    party = make.make_party(time_zone="Europe/Berlin")
    make.make_paper(party, [make.make_site(party)])
    make.make_trip(party)
    make.signed_in(client, party)
    found = {
        (name, day): client.get(reverse(name), {"as_of": day}).status_code
        for name in DATED
        for day in HARD
    }
    assert {key: code for key, code in found.items() if code != 200} == {}


@pytest.mark.parametrize(
    ("asked", "got"),
    [
        ("1799-12-31", None),
        ("1800-01-01", dt.date(1800, 1, 1)),
        ("2028-02-29", dt.date(2028, 2, 29)),
        ("2031-02-29", None),
        ("2999-12-31", dt.date(2999, 12, 31)),
        ("3000-01-01", None),
    ],
)
def test_a_day_out_of_reach_is_not_taken(asked, got):
    assert asof.chosen_day(RequestFactory().get("/", {"as_of": asked})) == got


@override_settings(TOLD_FOR=None)
@pytest.mark.parametrize(
    ("zone", "moment", "day"),
    [
        # At one moment it is three days on the globe; the record's own place says which.
        ("Pacific/Kiritimati", "2031-12-31T10:30", "2032-01-01"),
        ("Pacific/Pago_Pago", "2031-12-31T10:30", "2031-12-30"),
        ("Europe/Berlin", "2031-12-31T22:59", "2031-12-31"),
        ("Europe/Berlin", "2031-12-31T23:00", "2032-01-01"),
        # An hour later in summer: 22:30 in UTC is the next day already.
        ("Europe/Berlin", "2031-10-25T22:30", "2031-10-26"),
        ("Europe/Berlin", "2031-10-26T22:30", "2031-10-26"),
        ("Australia/Lord_Howe", "2028-02-28T13:00", "2028-02-29"),
        ("not/a zone", "2031-12-31T23:59", "2031-12-31"),
    ],
)
def test_today_is_the_day_of_the_records_own_place(monkeypatch, zone, moment, day):
    now = dt.datetime.fromisoformat(moment).replace(tzinfo=dt.UTC)
    monkeypatch.setattr(timezone, "now", lambda: now)
    request = RequestFactory().get("/")
    request.party = Party(name="x", time_zone=zone)
    assert asof.as_of(request) == dt.date.fromisoformat(day)


ZONES = ("Europe/Berlin", "America/Los_Angeles", "Australia/Lord_Howe", "Arctic/Longyearbyen")
DAY = 24 * 60
# Lord Howe Island moves its clocks by half an hour.
LENGTHS = {"Australia/Lord_Howe": {DAY - 30, DAY, DAY + 30}}


@pytest.mark.parametrize("name", ZONES)
def test_hours_are_neither_lost_nor_doubled_over_any_night_of_a_year(name):
    """A recording of 54 hours from noon of each day keeps its minutes, whatever the clocks do."""
    zone, whole_days = asof.zone(name), set()
    for number in range(366):
        begin = dt.datetime(2028, 1, 1, 12, tzinfo=dt.UTC) + dt.timedelta(days=number)
        start = int(begin.timestamp())
        parts = blocks([Piece("site", start, start + 54 * 3600, 0, 1)], zone)
        assert sum(part.minutes for part in parts) == 54 * 60
        first = begin.astimezone(zone).date()
        assert [part.day for part in parts] == [
            first + dt.timedelta(days=n) for n in range(len(parts))
        ]
        whole_days |= {part.minutes for part in parts[1:-1]}
    assert whole_days == LENGTHS.get(name, {DAY - 60, DAY, DAY + 60})


@pytest.mark.parametrize("name", ZONES)
def test_every_day_of_a_leap_year_has_its_sun_or_says_why_not(name):
    latitude = {"Arctic/Longyearbyen": 78.2, "Australia/Lord_Howe": -31.5}.get(name, 47.0)
    longitude = {
        "Arctic/Longyearbyen": 15.6, "Australia/Lord_Howe": 159.1, "America/Los_Angeles": -120.0,
    }.get(name, 10.0)  # fmt: skip
    for number in range(366):
        day = dt.date(2028, 1, 1) + dt.timedelta(days=number)
        got = daylight(latitude, longitude, day, name)
        assert (got.sunrise is None) == (got.sunset is None) == bool(got.note), day
        assert 0 <= got.minutes <= 24 * 60
        if got.sunrise is not None:
            assert got.sunrise < got.sunset, day


def test_a_year_from_each_day_ends_within_a_day_of_the_same_date():
    rule = TermRule(convention="from_issue", span=Span(1, "Y"))
    for number in range(366 * 4):
        issued = dt.date(2027, 1, 1) + dt.timedelta(days=number)
        last = term_end(issued, None, rule).last_day
        assert 364 <= (last - issued).days <= 366, issued
