"""Spots as people add and change them at a site."""

import pytest
from django.urls import reverse

from claims.models import Spot
from tests import factories as make
from tests.claims.pages import LONG, assert_refused, text_of, url

pytestmark = pytest.mark.django_db


@pytest.fixture
def party():
    return make.make_party()


@pytest.fixture
def hand(client, party):
    return make.signed_in(client, party, "hand")


def test_a_spot_is_added_and_changed_at_its_site(hand, party):
    site = make.make_site(party)
    sent = {"name": "Below the split boulder", "feature": "behind_boulder", "position": "46.5 7.9"}
    response = hand.post(url("spot_create", site.pk), sent)
    assert response.url == reverse("reports:site_page", args=[site.pk])
    spot = site.spots.get()
    assert (spot.latitude_udeg, spot.longitude_udeg) == (46_500_000, 7_900_000)
    assert "46.5, 7.9" in hand.get(url("spot_edit", spot.pk)).content.decode()
    hand.post(url("spot_edit", spot.pk), {"name": "Lower", "feature": "bench"})
    spot.refresh_from_db()
    assert (spot.name, spot.latitude_udeg) == ("Lower", None)


@pytest.mark.parametrize(
    ("field", "typed"),
    [("name", ""), ("name", LONG), ("name", "Taken"), ("feature", "?"), ("position", "95, 0")],
)
def test_a_wrong_spot_is_refused_at_its_field(hand, party, field, typed):
    site = make.make_site(party)
    make.make_spot(site, "Taken")
    sent = {"name": "New", "feature": "bench", "notes": "keep me"} | {field: typed}
    response = hand.post(url("spot_create", site.pk), sent)
    assert_refused(response, field, "" if field == "feature" else typed)
    assert "keep me" in text_of(response)
    assert Spot.objects.count() == 1


def test_the_same_spot_name_is_free_at_another_site(hand, party):
    make.make_spot(make.make_site(party), "Bend")
    site = make.make_site(party)
    hand.post(url("spot_create", site.pk), {"name": "Bend", "feature": "bench"})
    assert site.spots.get().name == "Bend"
