"""Wet, cold thumbs: taps that bounce, quick taps, forms left half filled in."""

import pytest
from playwright.sync_api import expect

from tests.e2e.field import box, button, entries, go, make_day, open_field, send_now, sent
from trips.models import HoursBlock, Run, TestPan

pytestmark = pytest.mark.django_db(transaction=True)
# Three tubs and the end, quicker than the page is drawn anew.
# Reads what drafts are written into, after every write that was begun.
WRITTEN = "async () => { await (await import('/static/trips/field/store.js')).getMeta(); }"
HURRY = """() => {
  const named = name => [...document.querySelectorAll("button")].find(b => b.textContent === name);
  const [more, end] = [named("+1 tub"), named("End")];
  for (const each of [more, more, more, end]) each.click();
}"""


def test_a_tap_that_bounces_keeps_one_pan_and_starts_one_clock(phone, sign_in):
    _, user, _, _ = make_day()
    page = open_field(sign_in(phone, user))
    button(page, "Dig").dblclick()
    expect(page.get_by_label("Clock", exact=True)).to_contain_text("Dig")
    button(page, "Test pan").click()
    button(page, "One fine more").dblclick()  # two colours
    button(page, "Keep, rest are 0").dblclick()
    expect(page.locator("#said")).to_contain_text("0 · 0 · 2")
    button(page, "‹ Back").click()
    page.get_by_text("Switch to").click()
    button(page, "Dig").click()
    expect(page.locator("#said")).to_contain_text("Dig runs already")
    assert sorted(each["kind"] for each in entries(page)) == ["hours", "pan"]
    button(page, "Pause").click()
    sent(page)
    assert TestPan.objects.get().fine == 2
    assert HoursBlock.objects.count() == 1


def test_quick_taps_lose_no_tub_and_dont_contradict_each_other(phone, sign_in):
    _, user, _, _ = make_day()
    page = open_field(sign_in(phone, user))
    button(page, "Box run").click()
    button(page, "Start the run").click()
    button(page, "+1 tub").wait_for()
    page.evaluate(HURRY)
    expect(page.locator("#said")).to_contain_text("run ended")
    sent(page)  # nothing needs a look: each tap knew of the one before
    assert Run.objects.get().volume_ml == 36_000


def test_undo_isnt_where_keep_was(phone, sign_in):
    _, user, _, _ = make_day()
    page = open_field(sign_in(phone, user))
    button(page, "Test pan").click()
    keep = button(page, "Keep, rest are 0")
    before = box(keep)
    keep.click()
    button(page, "Undo").wait_for()
    assert abs(box(keep)["y"] - before["y"]) < 10
    undo = box(button(page, "Undo"))
    assert undo["y"] + undo["height"] < before["y"] - 200


def test_all_counters_and_keep_are_on_one_small_screen(phone, sign_in):
    """A phone with the browser's own bars on: nothing has to be scrolled to count and keep."""
    _, user, _, _ = make_day()
    phone.set_viewport_size({"width": 390, "height": 700})
    page = open_field(sign_in(phone, user))
    button(page, "Test pan").click()
    button(page, "Keep, rest are 0").click()
    expect(page.locator("#said")).to_contain_text("Kept")
    bar = box(page.locator(".keepbar"))
    for name in ("coarse", "medium", "fine"):
        more = box(button(page, f"One {name} more"))
        assert more["y"] + more["height"] <= bar["y"], name
    assert bar["y"] + bar["height"] <= 700


def test_without_a_spot_it_says_so_and_keeps_what_was_counted(phone, sign_in):
    _, user, _, _ = make_day()
    page = open_field(sign_in(phone, user), spot=None)
    button(page, "Test pan").click()
    expect(page.locator("#verdict")).to_contain_text("Choose the spot")
    button(page, "One fine more").click()
    button(page, "Keep, rest are 0").click()
    expect(page.locator("#said")).to_contain_text("choose the spot first")
    expect(page.get_by_label("Fine colours")).to_have_value("1")
    expect(page.get_by_label("Coarse colours")).to_have_value("")
    assert entries(page) == []


def test_what_is_half_filled_in_outlives_back_and_a_reload(phone, sign_in):
    _, user, _, _ = make_day()
    page = open_field(sign_in(phone, user))
    button(page, "Note").click()
    page.get_by_label("Note", exact=True).fill("Water rose at n")
    button(page, "‹ Back").click()
    button(page, "Test pan").click()
    button(page, "One fine more").click()
    page.evaluate(WRITTEN)
    page.reload()
    expect(page.locator("#content")).to_contain_text("go on where you left off")
    expect(page.get_by_label("Fine colours")).to_have_value("1")
    button(page, "Start afresh").click()
    expect(page.get_by_label("Fine colours")).to_have_value("")
    go(page, "note")
    page.get_by_label("Note", exact=True).fill("Water rose at noon")
    button(page, "Keep").click()
    expect(page.locator("#said")).to_contain_text("Kept: Note: Water rose at noon")
    button(page, "Note").click()
    expect(page.get_by_label("Note", exact=True)).to_have_value("")
    expect(page.locator("#content")).not_to_contain_text("where you left off")


def test_a_change_left_half_way_is_named_and_doesnt_hide_what_the_record_says(phone, sign_in):
    _, user, _, _ = make_day()
    page = open_field(sign_in(phone, user))
    button(page, "Test pan").click()
    page.get_by_label("Fine colours").fill("3")
    button(page, "Keep").click()
    expect(page.locator("#said")).to_contain_text("Kept")
    [pan] = entries(page)
    go(page, f"pan/{pan['record']}")
    page.get_by_label("Fine colours").fill("7")
    button(page, "‹ Back").click()
    send_now(page)
    go(page, f"pan/{pan['record']}")
    expect(page.get_by_label("Fine colours")).to_have_value("7")
    expect(page.locator("#content")).to_contain_text("Not kept yet")
    assert TestPan.objects.get().fine == 3
    button(page, "Start afresh").click()
    expect(page.get_by_label("Fine colours")).to_have_value("3")
