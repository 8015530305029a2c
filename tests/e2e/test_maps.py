"""Maps in a real browser: drawn under the strict policy, without tiles, by keys and by pointer."""

import pytest
from django.test import override_settings
from playwright.sync_api import expect

from claims.models import SiteShape
from claims.rules.outline import read_outline
from tests import factories as make
from tests.trips.test_tracks import day_out
from trips.services import derive

SQUARE = "46.16, 7.995\n46.16, 8.005\n46.17, 8.005\n46.17, 7.995"


@pytest.fixture
def record(transactional_db, tmp_path):
    with override_settings(MEDIA_ROOT=tmp_path):
        party = make.make_party()
        site = make.make_site(
            party, "<b>Old</b> bend", latitude_udeg=46_165_000, longitude_udeg=8_000_000
        )
        SiteShape.objects.create(site=site, outline=read_outline(SQUARE))
        spot = make.make_spot(
            site, "<img src=x onerror=alert(1)>", latitude_udeg=46_190_000, longitude_udeg=8_001_000
        )
        make.make_hole(site, spot=spot)
        trip = make.make_trip(party, site, state="wrapped_up")
        trip.trip_sites.update(was_visited=True)
        make.make_track(trip, day_out())
        derive.rebuild_party(party)
        user = make.make_member(party).user
        yield {"site": site, "trip": trip, "user": user}


def ready(page):
    expect(page.locator(".map[data-ready=yes]")).to_be_visible()


def test_the_map_draws_everything_and_passes_the_checker(page_at, record, sign_in, axe, fits):
    page = sign_in(page_at, record["user"])
    page.goto(f"/sites/{record['site'].pk}/map/")
    ready(page)
    for shape in ("path.m-outline", "path.m-track", "path.m-grid", ".m-site", ".m-spot", ".m-hole"):
        assert page.locator(f".map {shape}").count() >= 1, shape
    assert page.locator(".map .leaflet-control-scale-line").count() == 2  # kilometres and miles
    assert page.locator(".map img").count() == 0  # no tiles and no stock pictures
    axe(page)
    fits(page)
    box = page.locator(".map .leaflet-control-zoom-in").bounding_box()
    assert min(box["width"], box["height"]) >= 44


def test_names_in_popups_are_text(desk, record, sign_in):
    page = sign_in(desk, record["user"])
    page.goto(f"/sites/{record['site'].pk}/map/")
    ready(page)
    page.locator(".map .m-spot").click()
    popup = page.locator(".leaflet-popup-content")
    expect(popup).to_contain_text("<img src=x onerror=alert(1)>")
    assert popup.locator("img").count() == 0


def test_keys_move_and_zoom_the_map(desk, record, sign_in):
    page = sign_in(desk, record["user"])
    page.goto(f"/trips/{record['trip'].pk}/map/")
    ready(page)
    grid = page.locator(".map .m-grid-label").all_text_contents()
    page.locator(".map").focus()
    page.keyboard.press("+")
    labels = page.locator(".map .m-grid-label")
    expect(labels).not_to_have_text(grid)
    closer = labels.all_text_contents()
    for _ in range(6):
        page.keyboard.press("ArrowUp")
    expect(labels).not_to_have_text(closer)


def test_an_outline_is_drawn_with_the_pointer_and_by_typing(desk, record, sign_in, axe):
    page = sign_in(desk, record["user"])
    page.goto(f"/sites/{record['site'].pk}/shape/")
    expect(page.locator(".drawing")).to_be_visible()
    box = page.get_by_label("Corners of the outline")
    assert len(box.input_value().splitlines()) == 4
    page.get_by_role("button", name="Begin anew").click()
    assert box.input_value() == ""
    place = page.locator(".map").bounding_box()
    for right, down in ((200, 80), (400, 90), (300, 200)):
        page.mouse.click(place["x"] + right, place["y"] + down)
    assert len(box.input_value().splitlines()) == 3
    box.press("End")
    box.fill(SQUARE)
    expect(page.locator(".drawing [role=status]")).to_have_text("Corners: 4")
    axe(page)
    page.get_by_role("button", name="Save outline").click()
    page.wait_for_url(f"**/sites/{record['site'].pk}/")
    assert len(SiteShape.objects.get().outline[0][0]) == 4


def test_tiles_are_asked_for_only_where_they_are_set(desk, record, sign_in, live_server):
    asked = []
    desk.context.route(
        "**/tiles-of-the-test/**",
        lambda route: (
            asked.append(route.request.headers.get("referer", "")),
            route.fulfill(body=make.picture_bytes((256, 256), "PNG"), content_type="image/png"),
        ),
    )
    page = sign_in(desk, record["user"])
    page.goto(f"/sites/{record['site'].pk}/map/")
    ready(page)
    assert asked == []
    with override_settings(
        TILE_URL=f"{live_server.url}/tiles-of-the-test/{{z}}/{{x}}/{{y}}.png",
        TILE_ATTRIBUTION="Words of <the> makers",
    ):
        page.goto(f"/sites/{record['site'].pk}/map/")
        ready(page)
        expect(page.locator(".map .m-words")).to_have_text("Words of <the> makers")
        # Tiles are asked for after the map is ready.
        expect(page.locator(".map .leaflet-tile-loaded").first).to_be_attached()
    assert asked
