"""A person's language, and numbers, dates and money in the manner of their region."""

import csv
import re

import pytest
from babel import Locale
from django.contrib.auth.models import AnonymousUser
from django.urls import reverse
from django.utils import translation

from claims.models import User
from claims.web import show, tongues
from claims.web.fields import MoneyField, PositionField, QuantityField, ValidationError
from tests import factories as make
from trips.calc import local

pytestmark = pytest.mark.django_db

SETTINGS = {"mass_unit": "g", "volume_unit": "L", "distance_unit": "km"}


@pytest.fixture
def party():
    return make.make_party()


@pytest.fixture
def keeper(client, party):
    return make.signed_in(client, party)


def choose(client, **values):
    return client.post(reverse("claims:own_settings"), SETTINGS | values)


def test_a_person_chooses_region_and_way_of_dates(keeper, party):
    assert choose(keeper, region="de_DE", date_style="words").status_code == 302
    user = party.memberships.get().user
    assert (user.region, user.date_style, user.language) == ("de_DE", "words", "")
    assert tongues.manner_of(user) == local.Manner("de_DE", "words")


@pytest.mark.parametrize("values", [{"region": "xx_QQ"}, {"language": "tlh"}, {"date_style": "no"}])
def test_what_is_not_offered_is_refused(keeper, values):
    form = choose(keeper, **values).context["page"].form
    assert list(form.errors) == list(values)


def test_a_page_is_written_in_the_readers_manner_and_the_next_persons_in_theirs(keeper, party):
    party.hourly_figure_minor = 123450
    party.save()
    page = reverse("claims:party_detail")
    own = keeper.get(page).content.decode()
    assert "1\u2009234.50\u202fEUR" in own
    choose(keeper, region="de_DE")
    assert "1.234,50\xa0€" in keeper.get(page).content.decode()
    assert local.current() == local.OWN


def test_a_region_that_is_no_longer_offered_falls_back_to_the_programs_own():
    assert tongues.manner_of(User(region="xx_QQ")) == local.OWN
    assert tongues.manner_of(AnonymousUser()) == local.OWN
    assert tongues.language_of(User(language="tlh")) == ""


def test_every_offered_region_is_known_and_shows_a_sample():
    choices = dict(tongues.region_choices())
    for code in filter(None, choices):
        assert Locale.parse(code).territory == code.split("_")[-1]
    assert choices["de_DE"] == "Deutsch (Deutschland): -1.234.567,5 · 03.05.2031"


def test_a_stored_amount_is_offered_as_the_reader_types_it():
    mass, money = QuantityField(kind="mass", unit="g", high=10**12), MoneyField()
    for manner, text in ((local.OWN, "1.234"), (local.Manner("fr_FR"), "1,234")):
        with local.written(manner):
            assert mass.prepare_value(1_234_000) == text
            assert mass.clean(text) == 1_234_000
            assert money.clean(money.prepare_value(123_450)) == 123_450


@pytest.mark.parametrize(
    ("region", "typed", "said"),
    [
        ("", "1,234", "“1,234” can mean two numbers. Write 1.234 or 1234."),
        ("de_DE", "1.234", "“1.234” can mean two numbers. Write 1,234 or 1234."),
    ],
)
def test_an_amount_with_two_meanings_is_refused(region, typed, said):
    with local.written(local.Manner(region)), pytest.raises(ValidationError) as caught:
        QuantityField(kind="mass", unit="g", high=10**12).clean(typed)
    assert caught.value.messages == [said]


def test_positions_are_read_and_shown_alike_everywhere():
    field = PositionField()
    with local.written(local.Manner("de_DE")):
        assert field.prepare_value((46_501_000, 7_903_000)) == "46.501, 7.903"
        assert field.clean("46.501, 7.903") == field.clean("46,501; 7,903")


def whole(response):
    return b"".join(response.streaming_content) if response.streaming else response.content


def test_files_for_other_programs_stay_as_they_are(keeper, party):
    make.make_trip(party)
    page = keeper.get(reverse("reports:export_list")).content.decode()
    found = sorted(set(re.findall(r'href="([^"]*/csv/?)"', page)))
    assert len(found) > 5
    before = [whole(keeper.get(one)) for one in found]
    choose(keeper, region="ar_EG")
    assert [whole(keeper.get(one)) for one in found] == before
    trips = next(text for one, text in zip(found, before, strict=True) if "/trips/" in one)
    [row] = csv.DictReader(trips.decode("utf-8-sig").splitlines())
    assert row["fuel price (thousandths of the currency per litre)"] == "1800"


def test_the_page_says_its_language_and_direction(keeper, settings):
    page = reverse("claims:own_settings")
    assert '<html lang="en" dir="ltr">' in keeper.get(page).content.decode()
    settings.LANGUAGES = [("en", "English"), ("ar", "Arabic")]
    assert choose(keeper, language="ar").status_code == 302
    assert '<html lang="ar" dir="rtl">' in keeper.get(page).content.decode()
    assert translation.get_language() == "en"


def test_without_a_choice_the_browsers_wish_counts(client, settings):
    settings.LANGUAGES = [("en", "English"), ("ar", "Arabic")]
    page = reverse("login")
    # Django leaves the last request's language on; the next request sets its own.
    with translation.override("en"):
        assert 'dir="rtl"' in client.get(page, headers={"accept-language": "ar"}).content.decode()
        assert 'lang="en"' in client.get(page, headers={"accept-language": "tlh"}).content.decode()


def test_show_writes_unknown_in_every_region():
    with local.written(local.Manner("ar_EG")):
        assert show.money(None, "EUR") == show.day(None) == "unknown"
