"""Photos and tracks on the desk in a real browser: sent, shown to the party alone, taken over."""

import re

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from claims.models import KeptFile, Spot
from tests import factories as make
from tests.e2e.conftest import DESK
from tests.trips.test_tracks import day_out
from trips.models import HoursBlock, Track

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def trip(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    party = make.make_party()
    site = make.make_site(party, latitude_udeg=46_170_000, longitude_udeg=8_000_000)
    return make.make_trip(party, site, state="under_way")


def test_a_photo_is_sent_shown_small_and_only_to_the_party(
    page_at, trip, sign_in, open_page, tmp_path, fits, axe
):
    hole = make.make_hole(trip.trip_sites.get().site)
    path = tmp_path / "IMG_7.jpg"
    path.write_bytes(make.picture_bytes((1200, 900)))
    page = sign_in(page_at, make.make_member(trip.party, role="hand").user)
    page.goto(reverse("claims:hole_files_create", args=[hole.pk]))
    page.get_by_label("Files").set_input_files(path)
    page.get_by_label("What it shows").fill("Before the dig")
    page.locator("main").get_by_role("button", name=re.compile("^(Keep|Save|Add)")).click()
    small = page.get_by_role("img", name="Before the dig")
    expect(small).to_be_visible()
    small.scroll_into_view_if_needed()
    kept = KeptFile.objects.get()
    expect(small).to_have_attribute("src", reverse("claims:file_small", args=[kept.pk]))
    expect(small).to_have_js_property("naturalWidth", 480)
    fits(page)
    axe(page)

    stranger = sign_in(open_page(**DESK), make.make_member(make.make_party()).user)
    for name in ("file_show", "file_small"):
        address = reverse(f"claims:{name}", args=[kept.pk])
        assert page.request.get(address).status == 200
        assert stranger.request.get(address).status == 404
    nobody = open_page(**DESK)
    nobody.goto(reverse("claims:file_show", args=[kept.pk]))
    expect(nobody).to_have_url(re.compile("next="))


def test_a_track_is_read_offered_and_taken_over_with_clicks(
    desk, trip, sign_in, tmp_path, fits, axe
):
    path = tmp_path / "day.gpx"
    path.write_bytes(day_out(name="Day out"))
    page = sign_in(desk, make.make_member(trip.party, role="hand").user)
    page.goto(reverse("trips:track_create", args=[trip.pk]))
    page.get_by_label("GPX file").set_input_files(path)
    page.get_by_role("button", name="Read it").click()
    expect(page.locator("main")).to_contain_text("Drive")
    track = Track.objects.get()
    assert HoursBlock.objects.count() == 0  # offered, not booked
    expect(page.locator(".map[data-ready=yes]")).to_be_visible()
    fits(page)
    axe(page)
    page.get_by_label("split boulder at").check()
    page.get_by_role("button", name="Note what is ticked").click()
    expect(page.locator("main")).to_contain_text("noted from this track already")
    drive = HoursBlock.objects.get(activity="drive")
    assert abs(drive.minutes - 20) <= 1  # 18 km in 20 minutes, as the file was made
    assert Spot.objects.filter(name="split boulder", site=trip.trip_sites.get().site).exists()

    blocks = HoursBlock.objects.count()
    page.goto(reverse("trips:track_create", args=[trip.pk]))
    page.get_by_label("GPX file").set_input_files(path)
    page.get_by_role("button", name="Read it").click()
    expect(page.locator("main")).to_contain_text("This file was read before")
    assert (Track.objects.get(), HoursBlock.objects.count()) == (track, blocks)
