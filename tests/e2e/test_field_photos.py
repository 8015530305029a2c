"""Photos on the field page: shrunk, sent once; what is said of them changed before and after."""

import re

import pytest
from playwright.sync_api import expect

from claims.models import KeptFile
from tests import factories as make
from tests.e2e.field import button, go, make_day, open_field, sent

pytestmark = pytest.mark.django_db(transaction=True)


def test_a_photo_is_shrunk_and_sent_once(phone, sign_in, tmp_path):
    from PIL import Image

    _, user, trip, site = make_day()
    path = tmp_path / "big.jpg"
    exif = Image.Exif()
    exif[0x8825] = {1: "N", 2: (46.0, 30.0, 0.0), 3: "E", 4: (7.0, 15.0, 0.0)}
    Image.effect_noise((4000, 3000), 60).convert("RGB").save(path, exif=exif)
    page = open_field(sign_in(phone, user))
    button(page, "Photo").click()
    page.get_by_label("Take or choose").set_input_files(path)
    page.get_by_label("Caption").fill("The bend")
    button(page, "Keep").click()
    expect(page.locator("#said")).to_contain_text("Kept: photo", timeout=30_000)
    sent(page)
    kept = KeptFile.objects.get()
    assert (max(kept.width_px, kept.height_px), kept.caption) == (1600, "The bend")
    assert (kept.latitude_udeg, kept.spot) == (None, site.spots.get())
    sent(page)
    assert KeptFile.objects.count() == 1

    # What is said of it is changed after it was sent, changed back, and the photo taken away.
    go(page, "photo")
    page.get_by_role("button", name=re.compile("Photo: The bend")).click()
    page.get_by_label("Caption").fill("The bar")
    page.get_by_label("Of what").select_option(label="the trip")
    button(page, "Keep the change").click()
    sent(page)
    kept.refresh_from_db()
    assert (kept.caption, kept.spot, kept.trip_file.trip) == ("The bar", None, trip)
    button(page, "Undo").click()
    sent(page)
    kept.refresh_from_db()
    assert (kept.caption, kept.spot) == ("The bend", site.spots.get())
    go(page, "photo")
    page.get_by_role("button", name=re.compile("Photo: The bend")).click()
    button(page, "Remove").click()
    sent(page)
    assert KeptFile.objects.count() == 0


def test_a_photo_that_waits_can_be_changed_before_it_is_sent(phone, sign_in, tmp_path, problems):
    problems.allow("ERR_INTERNET_DISCONNECTED")
    _, user, trip, _ = make_day()
    path = tmp_path / "small.jpg"
    path.write_bytes(make.picture_bytes())
    page = open_field(sign_in(phone, user))
    page.context.set_offline(True)
    button(page, "Photo").click()
    page.get_by_label("Take or choose").set_input_files(path)
    button(page, "Keep").click()
    expect(page.locator("#said")).to_contain_text("Kept: photo")
    page.get_by_role("button", name=re.compile("Photo of Bend")).click()
    page.get_by_label("Caption").fill("Cold water")
    page.get_by_label("Of what").select_option(label="the trip")
    button(page, "Keep the change").click()
    expect(page.locator("#said")).to_contain_text("Kept: the change of a photo")
    page.context.set_offline(False)
    sent(page)
    kept = KeptFile.objects.get()
    assert (kept.caption, kept.trip_file.trip) == ("Cold water", trip)
