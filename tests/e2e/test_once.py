"""A button pressed twice does its work once, and says that it is at work."""

import pytest
from playwright.sync_api import expect

from tests import factories as make
from trips.models import Cost

pytestmark = pytest.mark.django_db(transaction=True)


def test_a_double_click_saves_once_and_the_way_back_can_send_again(desk, sign_in):
    trip = make.make_trip(make.make_party())
    sign_in(desk, make.make_member(trip.party).user)
    desk.goto(f"/trips/{trip.pk}/costs/new/")
    desk.locator("[name=kind]").select_option("food")
    desk.locator("[name=amount_minor]").fill("7,50")
    desk.get_by_role("button", name="Save", exact=True).dblclick()
    expect(desk.locator(".messages")).to_be_visible()
    assert Cost.objects.count() == 1
    desk.go_back()
    desk.locator("[name=amount_minor]").fill("8,50")
    desk.get_by_role("button", name="Save", exact=True).click()
    expect(desk.locator(".messages")).to_contain_text("Cost saved.")
    assert sorted(Cost.objects.values_list("amount_minor", flat=True)) == [750, 850]
