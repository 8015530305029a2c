"""The way back after signing out: no page of the record, and nothing typed lost before.

Browsers keep a page whole and show it again with an event; the tests fire that event, because a
browser that is driven from outside keeps none.
"""

import pytest
from playwright.sync_api import expect

from tests import factories as make

pytestmark = pytest.mark.django_db(transaction=True)
SHOWN_AGAIN = 'window.dispatchEvent(new PageTransitionEvent("pageshow", {persisted: true}))'


@pytest.fixture
def page(desk, sign_in):
    trip = make.make_trip(make.make_party())
    sign_in(desk, make.make_member(trip.party, make.make_user("robin")).user)
    desk.goto(f"/trips/{trip.pk}/costs/new/")
    desk.locator("[name=note]").fill("half typed")
    return desk


def test_who_is_still_signed_in_finds_what_was_typed(page):
    with page.expect_response("**/field/hello") as asked:
        page.evaluate(SHOWN_AGAIN)
    asked.value.finished()
    expect(page.locator("[name=note]")).to_have_value("half typed")


def test_after_signing_out_the_page_is_gone(page):
    page.context.clear_cookies()
    page.evaluate(SHOWN_AGAIN)
    page.wait_for_url("**/sign-in/**")


def test_somebody_else_does_not_get_the_page_of_the_one_before(page, sign_in, problems):
    problems.allow("404 (Not Found)")
    other = page.context.new_page()
    sign_in(other, make.make_member(make.make_party(), make.make_user("eve")).user)
    page.evaluate(SHOWN_AGAIN)
    expect(page.locator("h1")).to_have_text("There is nothing at this address")
