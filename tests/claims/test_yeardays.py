"""A day of every year as people type it, and what its box shows of what was understood."""

import calendar

import pytest
from django.core.exceptions import ValidationError

from claims.web.tongues import region_choices
from claims.web.yeardays import MonthDayField, read_year_day, year_day_words
from tests import factories as f
from trips.calc import local


@pytest.mark.parametrize(
    ("typed", "read"),
    [
        ("15 April", "04-15"),
        ("April 15", "04-15"),
        ("15. april", "04-15"),
        ("15th of April", "04-15"),
        ("15 apr", "04-15"),
        ("1 Sept", "09-01"),
        ("15.4.", "04-15"),
        ("15.4", "04-15"),
        ("1.4.", "04-01"),
        ("12.31", "12-31"),
        ("04-15", "04-15"),
        ("04-05", "04-05"),
        ("31-12", "12-31"),
        ("15/4", "04-15"),
        ("4/15", "04-15"),
        ("4/4", "04-04"),
        (" 2-29 ", "02-29"),
        ("١١-٠١", "11-01"),
    ],
)
def test_a_day_of_the_year_is_read_as_people_write_it(typed, read):
    assert read_year_day(typed) == read


@pytest.mark.parametrize(
    ("typed", "message"),
    [
        ("4/5", "“4/5” can be 4 May or 5 April: write the month in letters"),
        ("30 February", "February has the days 01 to 29"),
        ("31.4.", "April has the days 01 to 30"),
        ("02-30", "February has the days 01 to 29"),
        ("0 June", "June has the days 01 to 30"),
        ("13-13", "month comes first"),
        ("April", "such as 15 April, 15.4. or 04-15, not “April”"),
        ("15", "Expected a day and a month"),
        ("15 ma", "Expected a day and a month"),
        ("2031-11-01", "Expected a day and a month"),
        ("15 April 2031", "Expected a day and a month"),
        ("²-1", "Expected a day and a month"),
    ],
)
def test_what_is_no_day_or_can_mean_two_is_refused_in_words(typed, message):
    with pytest.raises(ValueError, match=message):
        read_year_day(typed)


def test_a_readers_own_month_is_read():
    with local.written(local.Manner("de_DE")):
        assert read_year_day("15. März") == "03-15"
        assert year_day_words("03-15") == "15. März"


@pytest.mark.parametrize("dates", ["region", "words", "iso"])
def test_what_a_box_shows_is_read_back_as_the_same_day_in_every_region(dates):
    for region in [code for code, _ in region_choices()][::9]:
        with local.written(local.Manner(region, dates)):
            for month in range(1, 13):
                for day in (1, 11, calendar.monthrange(2000, month)[1]):
                    stored = f"{month:02d}-{day:02d}"
                    assert read_year_day(year_day_words(stored)) == stored, (region, stored)


def test_a_box_shows_what_was_understood_and_knows_what_changed():
    field = MonthDayField(required=False)
    assert field.clean("15.4.") == "04-15"
    assert field.prepare_value("04-15") == "15 April"
    for wrong in ("soon", "13-13", "00-10", "02-30"):
        assert field.prepare_value(wrong) == wrong
    assert not field.has_changed("04-15", "15 April")
    assert field.has_changed("04-15", "16 April")
    assert field.has_changed("04-15", "soon")
    with pytest.raises(ValidationError):
        field.clean("soon")


@pytest.mark.django_db
def test_a_closed_window_is_typed_in_words_and_shown_in_words(client):
    party = f.make_party()
    keeper = f.signed_in(client, party)
    site = f.make_site(party, closed_from="04-01", closed_until="05-31")
    page = keeper.get(f"/sites/{site.pk}/edit/").content.decode()
    assert 'value="1 April"' in page
    assert 'value="31 May"' in page
