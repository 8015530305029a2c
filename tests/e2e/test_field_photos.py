"""Photos on the field page: shrunk, sent once; what is said of them changed before and after."""

import re

import pytest
from playwright.sync_api import expect

from claims.models import KeptFile
from tests import factories as make
from tests.e2e.field import button, go, lift_thumb, make_day, open_field, send_now, sent
from trips.sync.importing import LARGEST_FILE

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
    expect(page.get_by_role("heading", name="Change photo")).to_be_visible()
    page.get_by_label("Caption").fill("Cold water")
    page.get_by_label("Of what").select_option(label="the trip")
    button(page, "Keep the change").click()
    expect(page.locator("#said")).to_contain_text("Kept: the change of a photo")
    page.context.set_offline(False)
    sent(page)
    kept = KeptFile.objects.get()
    assert (kept.caption, kept.trip_file.trip) == ("Cold water", trip)


# Three pictures of 10 MB and 2,001 entries, as files: what each holds, and how long it is.
FILES = """async () => {
  const { makeFiles } = await import("/static/trips/field/savefile.js");
  const blob = new Blob([new Uint8Array(10 * 1024 * 1024)]);
  const photos = [1, 2, 3].map(id => ({ id, blob })).concat({ id: 4, blob: null });
  const entries = Array.from({ length: 2001 }, (_, number) => ({ id: String(number) }));
  const files = await makeFiles({ entries, photos, device: "a", party: 1 });
  return files.map(({ name, text }) => {
    const file = JSON.parse(text);
    const photos = file.photos.map(each => each.id);
    return { name, length: text.length, entries: file.entries.length, photos };
  });
}"""


def test_many_photos_make_several_files_that_the_desk_takes(phone):
    phone.goto("/field/")
    files = phone.evaluate(FILES)
    assert [each["entries"] for each in files] == [2_000, 1, 0, 0]
    # After the spots and holes they show, and only those that are still on the phone alone.
    assert [each["photos"] for each in files] == [[], [1], [2], [3]]
    assert len({each["name"] for each in files}) == 4
    assert max(each["length"] for each in files) < LARGEST_FILE


def test_a_photo_that_the_server_breaks_off_over_holds_up_no_other(
    phone, sign_in, tmp_path, problems
):
    problems.allow("413 (")
    problems.allow("ERR_INTERNET_DISCONNECTED")
    _, user, _, _ = make_day()
    page = open_field(sign_in(phone, user))
    page.context.set_offline(True)
    for caption, width in (("one", 40), ("two", 50)):
        path = tmp_path / f"{caption}.jpg"
        path.write_bytes(make.picture_bytes(size=(width, 30)))
        go(page, "photo")
        page.get_by_label("Take or choose").set_input_files(path)
        page.get_by_label("Caption").fill(caption)
        lift_thumb(page)
        button(page, "Keep").click()
        expect(page.locator("#said")).to_contain_text("Kept: photo")

    def too_large(route):
        if "one" in (route.request.post_data_buffer or b"").decode("latin-1"):
            route.fulfill(status=413, content_type="text/html", body="<h1>Too large</h1>")
        else:
            route.continue_()

    page.route("**/field/photo", too_large)
    page.context.set_offline(False)
    send_now(page)
    assert [kept.caption for kept in KeptFile.objects.all()] == ["two"]
    go(page, "photo")
    expect(page.locator("#content")).to_contain_text(
        "The server takes nothing that large. It stays"
    )
    page.unroute("**/field/photo")
    sent(page)
    assert KeptFile.objects.count() == 2


def test_a_photo_goes_by_itself_where_there_is_reception(phone, sign_in, tmp_path):
    _, user, _, _ = make_day()
    path = tmp_path / "small.jpg"
    path.write_bytes(make.picture_bytes())
    page = open_field(sign_in(phone, user))
    button(page, "Photo").click()
    page.get_by_label("Take or choose").set_input_files(path)
    button(page, "Keep").click()
    expect(page.locator("#bar")).to_contain_text("all sent")
    expect(page.locator("#content")).to_contain_text("Sent (1)")
    assert KeptFile.objects.count() == 1


def test_a_change_of_a_photo_that_is_just_being_sent_isnt_lost(phone, sign_in, tmp_path):
    _, user, _, _ = make_day()
    path = tmp_path / "small.jpg"
    path.write_bytes(make.picture_bytes())
    page = open_field(sign_in(phone, user))
    held = []
    page.route("**/field/photo", lambda route: held.append(route))  # no answer yet
    button(page, "Photo").click()
    page.get_by_label("Take or choose").set_input_files(path)
    button(page, "Keep").click()
    page.get_by_role("button", name=re.compile("Photo of Bend")).click()
    expect(page.get_by_role("heading", name="Change photo")).to_be_visible()
    page.get_by_label("Caption").fill("Cold water")
    for _ in range(300):  # 15 s
        if held:
            break
        page.wait_for_timeout(50)
    assert held, "nothing was sent"
    button(page, "Keep the change").click()
    expect(page.locator("#said")).to_contain_text("just being sent")
    held[0].continue_()
    expect(page.locator("#bar")).to_contain_text("all sent")
    button(page, "Keep the change").click()
    sent(page)
    assert KeptFile.objects.get().caption == "Cold water"


def waiting_photo_in_two_tabs(phone, sign_in, tmp_path):
    """A photo that waits for reception, its form open in two tabs of one phone."""
    _, user, _, _ = make_day()
    path = tmp_path / "small.jpg"
    path.write_bytes(make.picture_bytes())
    one = open_field(sign_in(phone, user))
    one.context.set_offline(True)
    button(one, "Photo").click()
    one.get_by_label("Take or choose").set_input_files(path)
    button(one, "Keep").click()
    expect(one.locator("#said")).to_contain_text("Kept: photo")
    one.get_by_role("button", name=re.compile("Photo of Bend")).click()
    expect(one.get_by_role("heading", name="Change photo")).to_be_visible()
    other = one.context.new_page()
    other.goto(one.url)
    expect(other.get_by_role("heading", name="Change photo")).to_be_visible()
    other.get_by_label("Caption").fill("Warm")  # from here on its form isn't drawn anew
    return one, other


def keep_caption(page, words, says):
    page.get_by_label("Caption").fill(words)
    button(page, "Keep the change").click()
    expect(page.locator("#said")).to_contain_text(says)


def test_two_tabs_do_not_overwrite_what_is_said_of_a_waiting_photo(
    phone, sign_in, tmp_path, problems
):
    problems.allow("ERR_INTERNET_DISCONNECTED")
    one, other = waiting_photo_in_two_tabs(phone, sign_in, tmp_path)
    keep_caption(one, "Cold water", "Kept: the change of a photo")
    keep_caption(other, "Warm water", "another tab changed this photo")
    expect(other.locator("#content .warning")).to_contain_text("“Cold water”, Spot Bend")
    expect(other.get_by_label("Caption")).to_have_value("Warm water")
    button(other, "Keep the change").click()
    expect(other.locator("#said")).to_contain_text("Kept: the change of a photo")
    one.context.set_offline(False)
    sent(one)
    assert KeptFile.objects.get().caption == "Warm water"


def test_a_change_in_one_tab_of_what_another_has_sent_becomes_an_entry(
    phone, sign_in, tmp_path, problems
):
    problems.allow("ERR_INTERNET_DISCONNECTED")
    one, other = waiting_photo_in_two_tabs(phone, sign_in, tmp_path)
    one.context.set_offline(False)
    sent(one)
    assert KeptFile.objects.get().caption == ""
    keep_caption(other, "Warm water", "Kept: the change of a photo")
    sent(other)
    assert KeptFile.objects.get().caption == "Warm water"


def test_what_one_tab_discards_the_other_does_not_bring_back(phone, sign_in, tmp_path, problems):
    problems.allow("ERR_INTERNET_DISCONNECTED")
    one, other = waiting_photo_in_two_tabs(phone, sign_in, tmp_path)
    button(one, "Discard").click()
    expect(one.locator("#said")).to_contain_text("Photo discarded")
    keep_caption(other, "Warm water", "was discarded in another tab")
    one.context.set_offline(False)
    sent(one)
    assert not KeptFile.objects.exists()
