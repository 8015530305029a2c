"""From signing up to the first plan with the keyboard alone, counted."""

import pytest
from playwright.sync_api import expect

from claims.models import Party, Site
from tests.e2e.keys import Keys
from trips.models import Gear, Trip, Vehicle

pytestmark = pytest.mark.django_db(transaction=True)
PASSWORD = "long-grass-by-the-ford"


def test_from_sign_up_to_the_first_plan_by_keyboard(desk, capsys, axe, fits):
    page, keys = desk, Keys(desk)
    page.goto("/sign-up/")
    keys.fill(username="petra", password1=PASSWORD, password2=PASSWORD)
    keys.press("Enter")
    expect(page.get_by_role("heading", level=1)).to_have_text("Your record and your home")
    expect(page.locator(".steps [aria-current]")).to_have_text("1 Home")
    axe(page)
    fits(page)
    keys.fill(home_name="Home")
    keys.press("Enter")
    expect(page.get_by_role("heading", level=1)).to_have_text("Your car")
    axe(page)
    fits(page)
    keys.fill(price="1,80")
    keys.press("Enter")
    expect(page.get_by_role("heading", level=1)).to_have_text("Your gear")
    axe(page)
    fits(page)
    keys.to("[name=gear][value=sluice]")
    keys.press("Space")
    keys.press("Enter")
    expect(page.get_by_role("heading", level=1)).to_have_text("Your first site")
    axe(page)
    fits(page)
    keys.fill(name="Alder ford", sealed_m="40", unsealed_m="0", track_m="2", drive_minutes="0:50")
    keys.press("Enter")
    expect(page.get_by_role("heading", level=1)).to_have_text("Plan a trip")
    keys.to("[name=starts_on]")
    keys.press("Enter")
    expect(page.locator(".messages")).to_contain_text("is saved")
    trip = Trip.objects.get()
    assert trip.trip_sites.get().site == Site.objects.get()
    assert (trip.vehicle, trip.fuel_price_milli_per_l) == (Vehicle.objects.get(), 1800)
    assert Gear.objects.count() == 3
    # 40 km of sealed road at 7.5 L and 2 km of track at 13.1 L per 100 km, there and back, at
    # 1.80 a litre: 2 × (3.0 + 0.262) L × 1.80 = 11.743 (own computation).
    expect(page.get_by_role("main")).to_contain_text("11.7")
    with capsys.disabled():
        print(  # noqa: T201 (the count is what this test is asked for)
            f"\nsign-up to first plan: {keys}, 7 pages, no click"
        )
    assert keys.seconds < 180


def test_a_record_starts_in_the_browsers_time_zone(open_page):
    page = open_page(timezone_id="Pacific/Auckland")
    page.goto("/sign-up/")
    for name, value in (("username", "petra"), ("password1", PASSWORD), ("password2", PASSWORD)):
        page.locator(f"[name={name}]").fill(value)
    page.get_by_role("main").get_by_role("button", name="Sign up").click()
    expect(page.locator("[name=time_zone]")).to_have_value("Pacific/Auckland")
    page.get_by_role("button", name="Set up").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Your car")
    assert Party.objects.get().time_zone == "Pacific/Auckland"
