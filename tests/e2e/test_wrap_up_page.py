"""Wrapping up on a phone: parts that are done are closed, and nothing in them is lost."""

import pytest
from playwright.sync_api import expect

from tests import factories as make
from trips.models import Cost, Trip

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def trip():
    party = make.make_party()
    trip = make.make_trip(party, people=[make.make_person(party, "Ada")], state="wrapped_up")
    trip.story = "High water until noon."
    trip.save()
    for activity in ("drive", "dig", "run", "rest"):
        make.make_hours(trip, activity=activity, minutes=60)
    make.make_cost(trip, stage=Cost.Stage.PAID, note="bread")
    run = make.make_run(trip)
    make.make_weigh_in(trip, runs=[run])
    return trip


@pytest.fixture
def keeper(trip):
    return make.make_member(trip.party).user


def test_done_parts_are_closed_and_kept_as_they_are(phone, sign_in, keeper, trip, axe, fits):
    sign_in(phone, keeper).goto(f"/trips/{trip.pk}/wrap-up/")
    assert phone.locator("details.fold").count() == 7
    assert phone.locator("details.fold[open]").count() == 0
    assert phone.evaluate("document.documentElement.scrollHeight") < 2 * 844
    fits(phone)
    axe(phone)
    before = _rows(trip)
    phone.get_by_role("button", name="Save", exact=True).click()
    expect(phone.locator(".messages")).to_contain_text("is wrapped up")
    assert _rows(trip) == before


def test_a_part_opens_by_key_and_says_that_it_was_changed(phone, sign_in, keeper, trip, axe, fits):
    sign_in(phone, keeper).goto(f"/trips/{trip.pk}/wrap-up/")
    line = phone.locator("section[aria-labelledby=hours-title] > details > summary")
    expect(line).to_contain_text("4 blocks; 4 h")
    line.focus()
    phone.keyboard.press("Enter")
    how_long = phone.locator('[name="hours-1-minutes"]')
    expect(how_long).to_be_visible()
    # The day of a row waits behind what it holds, and the empty rows behind a line.
    expect(phone.locator('[name="hours-1-day"]')).not_to_be_visible()
    expect(phone.locator('[name="hours-4-minutes"]')).not_to_be_visible()
    phone.locator("details.rest > summary").nth(1).click()
    expect(phone.locator('[name="hours-1-day"]')).to_be_visible()
    fits(phone)
    axe(phone)
    how_long.fill("1:20")
    expect(line).to_contain_text("changed, not saved yet")
    line.focus()
    phone.keyboard.press("Enter")
    expect(how_long).not_to_be_visible()
    phone.get_by_role("button", name="Save", exact=True).click()
    expect(phone.locator(".messages")).to_contain_text("is wrapped up")
    assert sorted(trip.hours.values_list("minutes", flat=True)) == [60, 60, 60, 80]


def test_without_script_all_of_it_works(open_page, sign_in, keeper, trip):
    page = sign_in(open_page(java_script_enabled=False), keeper)
    page.goto(f"/trips/{trip.pk}/wrap-up/")
    page.locator("section[aria-labelledby=story-title] > details > summary").click()
    page.locator('[name="incidents"]').fill("A torn glove.")
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.locator(".messages")).to_contain_text("is wrapped up")
    assert Trip.objects.get(pk=trip.pk).incidents == "A torn glove."


def test_the_desk_shows_a_row_in_one_line(desk, sign_in, keeper, trip):
    sign_in(desk, keeper).goto(f"/trips/{trip.pk}/wrap-up/")
    desk.locator("section[aria-labelledby=hours-title] > details > summary").click()
    boxes = [
        desk.locator(f'[name="hours-1-{name}"]').bounding_box()
        for name in ("activity", "minutes", "day", "person", "site", "note")
    ]
    assert len({round(box["y"]) for box in boxes}) == 1
    assert [box["x"] for box in boxes] == sorted(box["x"] for box in boxes)


def _rows(trip):
    kept = (trip.hours, trip.costs, trip.runs)
    rows = [sorted(each.values(), key=lambda row: row["id"]) for each in kept]
    for row in (row for each in rows for row in each):
        row.pop("version")
    return rows, Trip.objects.get(pk=trip.pk).story
