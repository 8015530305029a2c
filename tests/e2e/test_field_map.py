"""The map on the field page: drawn without a network from what the phone took along."""

import re

import pytest
from playwright.sync_api import expect

from claims.models import SiteShape
from claims.rules.outline import read_outline
from tests import factories as make
from tests.e2e.conftest import PHONE
from tests.e2e.field import box, button, make_day, open_field, send_now
from tests.trips.test_tracks import day_out

pytestmark = pytest.mark.django_db(transaction=True)
HERE = {"latitude": 46.1652, "longitude": 8.0004, "accuracy": 9}
SQUARE = "46.164, 7.998\n46.164, 8.003\n46.167, 8.003\n46.167, 7.998"


@pytest.fixture
def ground(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    _, user, trip, site = make_day()
    site.latitude_udeg, site.longitude_udeg = 46_165_000, 8_000_000
    site.save()
    SiteShape.objects.create(site=site, outline=read_outline(SQUARE))
    spot = make.make_spot(
        site, "Bar <b>head</b>", latitude_udeg=46_166_000, longitude_udeg=8_001_500
    )
    make.make_hole(site, spot=spot)
    make.make_track(trip, day_out())
    return user


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_map_works_without_a_network(open_page, sign_in, ground, axe, fits, problems, scheme):
    problems.allow("ERR_INTERNET_DISCONNECTED")
    page = open_page(**PHONE, geolocation=HERE, permissions=["geolocation"], color_scheme=scheme)
    open_field(sign_in(page, ground))
    send_now(page)
    page.context.set_offline(True)
    page.goto("/field/")
    button(page, "Map").click()
    board = page.locator("svg.map")
    expect(board).to_be_visible()
    for shape in (".g-outline", ".g-track", ".g-grid", ".g-cross", ".g-round", "rect.g-mark"):
        expect(board.locator(shape).first).to_be_attached()
    expect(board.locator(".g-bar text").first).to_have_text(re.compile(r"^\d+(\.\d)? k?m$"))
    expect(page.locator("#content")).to_contain_text("Bar <b>head</b>")  # as typed

    button(page, "Where am I").click()
    expect(board.locator(".g-me")).to_be_attached()
    # 0.0002° south and 0.0004° west of here: 22 m and 31 m, by the sphere of 6371 km.
    expect(page.locator("#content li").first).to_contain_text("Site, 38 m SW")
    axe(page)
    fits(page)
    button(page, "Work here: Bar <b>head</b>").click()
    expect(page.get_by_label("Spot", exact=True).locator("option:checked")).to_contain_text("head")


def test_the_map_moves_by_finger_and_by_keys(phone, sign_in, ground):
    page = open_field(sign_in(phone, ground))
    send_now(page)
    button(page, "Map").click()
    board = page.locator("svg.map")
    outline = board.locator(".g-outline")

    def drawn():
        return outline.get_attribute("d")

    first = drawn()
    button(page, "Closer").click()
    expect(outline).not_to_have_attribute("d", first)
    closer = drawn()
    place = box(board)
    x, y = place["x"] + 150, place["y"] + 150
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 60, y + 40)
    page.mouse.up()
    expect(outline).not_to_have_attribute("d", closer)
    moved = drawn()
    board.focus()
    page.keyboard.press("ArrowUp")
    expect(outline).not_to_have_attribute("d", moved)
    expect(board).to_be_focused()
    button(page, "All of it").click()
    expect(board.locator(".g-track")).to_be_attached()
    # The drive of some 45 km is inside now; at first the map showed the ground alone.
    expect(board.locator(".g-bar text").first).to_have_text("10 km")


def test_without_any_position_it_says_what_to_do(phone, sign_in):
    _, user, _, _ = make_day()
    page = open_field(sign_in(phone, user))
    button(page, "Map").click()
    expect(page.locator("#content")).to_contain_text("Nothing of this trip has a position yet")
