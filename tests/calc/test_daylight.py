"""Sunrise, sunset and the length of the day."""

from datetime import date, time
from itertools import pairwise

import pytest

from trips.calc.daylight import daylight
from trips.calc.errors import OutOfRange


def near(moment, hour, minute, within=3):
    got = moment.hour * 60 + moment.minute
    return abs(got - hour * 60 - minute) <= within


@pytest.mark.outside("Greenwich on midsummer day 2020: 04:43 to 21:21 summer time (memory)")
def test_midsummer_at_greenwich():
    got = daylight(51.4769, 0.0, date(2020, 6, 20), "Europe/London")
    assert near(got.sunrise, 4, 43)
    assert near(got.sunset, 21, 21)
    assert got.minutes == pytest.approx(16 * 60 + 38, abs=4)
    assert got.note == ""


@pytest.mark.outside("Day at the equator is about 12 h 7 min all year (memory)")
@pytest.mark.parametrize("month", [1, 4, 7, 10])
def test_the_equator_has_even_days(month):
    got = daylight(0.0, 0.0, date(2031, month, 15), "UTC")
    assert got.minutes == pytest.approx(727, abs=2)


@pytest.mark.parametrize(
    ("latitude", "longitude", "zone"),
    [
        (-45.0, 169.0, "Pacific/Auckland"),
        (37.8, -122.4, "America/Los_Angeles"),
        (61.2, -149.9, "America/Anchorage"),
        (-33.9, 151.2, "Australia/Sydney"),
        (1.9, -157.4, "Pacific/Kiritimati"),
    ],
)
@pytest.mark.parametrize("month", [1, 3, 10, 12])
def test_sunrise_and_sunset_carry_the_local_day(latitude, longitude, zone, month):
    day = date(2031, month, 21)
    got = daylight(latitude, longitude, day, zone)
    assert got.sunrise.date() == got.sunset.date() == day
    assert got.sunrise.time() < time(12) < got.sunset.time()


def test_a_sunset_after_midnight_counts_to_its_day():
    got = daylight(64.84, -147.72, date(2031, 6, 20), "America/Anchorage")
    assert got.sunrise.date() == date(2031, 6, 20)
    assert got.sunset.date() == date(2031, 6, 21)
    # 21 h 49 min at midsummer in Fairbanks (memory)
    assert got.minutes == pytest.approx(21 * 60 + 49, abs=6)


@pytest.mark.parametrize(
    ("latitude", "longitude", "zone", "month", "minutes", "note"),
    [
        (69.65, 18.96, "Europe/Oslo", 6, 1440, "sun does not set"),
        (69.65, 18.96, "Europe/Oslo", 12, 0, "sun does not rise"),
        (-77.85, 166.67, "Antarctica/McMurdo", 12, 1440, "sun does not set"),
        (-77.85, 166.67, "Antarctica/McMurdo", 6, 0, "sun does not rise"),
        (90.0, 0.0, "UTC", 6, 1440, "sun does not set"),
        (-90.0, 0.0, "UTC", 6, 0, "sun does not rise"),
    ],
)
def test_polar_day_and_night_are_said(latitude, longitude, zone, month, minutes, note):
    got = daylight(latitude, longitude, date(2031, month, 21), zone)
    assert (got.minutes, got.note, got.sunrise, got.sunset) == (minutes, note, None, None)


def test_every_day_of_a_polar_year_has_an_answer_and_no_jump_past_a_day():
    days = [
        daylight(69.65, 18.96, date.fromordinal(date(2031, 1, 1).toordinal() + n), "Europe/Oslo")
        for n in range(0, 365, 3)
    ]
    assert all(0 <= each.minutes <= 1440 for each in days)
    assert {each.note for each in days} == {"", "sun does not set", "sun does not rise"}
    steps = [abs(b.minutes - a.minutes) for a, b in pairwise(days)]
    assert max(steps) < 180


@pytest.mark.parametrize(
    ("latitude", "longitude", "zone"),
    [(91, 0, "UTC"), (0, 181, "UTC"), (0, 0, "Mars/Base"), (0, 0, ""), (0, 0, "../x")],
)
def test_places_and_zones_that_do_not_exist_are_refused(latitude, longitude, zone):
    with pytest.raises(OutOfRange):
        daylight(latitude, longitude, date(2031, 1, 1), zone)
