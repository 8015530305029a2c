"""Maps: the same things as a picture, a list and files; outlines taken or refused whole."""

import json

import pytest
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import override_settings
from django.urls import reverse

from claims.models import SiteShape
from claims.rules.outline import read_outline
from tests import factories as make
from tests.claims.pages import SCRIPTS, assert_sorts, queries_of, text_of
from tests.trips.test_tracks import day_out
from trips.calc.gpx_read import read_gpx
from trips.services import derive

pytestmark = pytest.mark.django_db
SQUARE = "46.50, 7.90\n46.50, 7.91\n46.51, 7.91\n46.51, 7.90"


@pytest.fixture(autouse=True)
def media(tmp_path):
    with override_settings(MEDIA_ROOT=tmp_path):
        yield tmp_path


@pytest.fixture
def party():
    return make.make_party()


@pytest.fixture
def site(party):
    return make.make_site(party, "Old bend", latitude_udeg=46_500_000, longitude_udeg=7_900_000)


@pytest.fixture
def keeper(client, party):
    return make.signed_in(client, party)


def url(name, *args):
    return reverse(f"trips:{name}", args=args)


def features(client, address):
    response = client.get(address)
    assert response["Content-Type"] == "application/geo+json"
    assert response["Content-Disposition"].startswith("attachment")
    return [each["properties"]["kind"] for each in json.loads(response.content)["features"]]


def fill(party, site, count=1):
    """Everything a map can show, at one site; the trip."""
    SiteShape.objects.get_or_create(site=site, defaults={"outline": read_outline(SQUARE)})
    for n in range(count):
        place = {"latitude_udeg": 46_501_000 + n, "longitude_udeg": 7_901_000}
        spot = make.make_spot(site, **place)
        make.make_hole(site, spot=spot)
        photo = make.make_file(spot, make.picture_bytes((20 + site.spots.count(), 20)))
        type(photo).objects.filter(pk=photo.pk).update(**place)
        trip = make.make_trip(party, site, state="wrapped_up")
        trip.trip_sites.update(was_visited=True)
        make.make_track(trip, day_out(name=f"Track {party.tracks.count()}"))
    derive.rebuild_party(party)
    return trip


def test_a_site_a_trip_and_the_record_show_the_same_things(keeper, party, site):
    trip = fill(party, site)
    whole = ["site", "outline", "spot", "hole", "photo", "track"]
    assert features(keeper, url("site_map_file", site.pk, "geojson")) == whole
    assert features(keeper, url("trip_map_file", trip.pk, "geojson")) == whole
    assert features(keeper, url("party_map_file", "geojson")) == whole
    track = party.tracks.get()
    expected = [*whole, "waypoint"]
    assert features(keeper, url("track_map_file", track.pk, "geojson")) == expected


def test_the_list_under_the_map_has_everything_that_is_on_it(keeper, party, site):
    trip = fill(party, site)
    for address in (url("site_map", site.pk), url("trip_map", trip.pk), url("party_map")):
        text = text_of(keeper.get(address))
        for words in ("Old bend", "Outline of Old bend", "Spot 1", "Hole of 3 May 2031", "Track 0"):
            assert words in text, (address, words)
        assert "46.50000, 7.90000" in text


def test_the_list_sorts_and_has_pages(keeper, party, site):
    fill(party, site)
    assert_sorts(keeper, url("site_map", site.pk))
    for n in range(30):
        make.make_spot(site, f"Bar {n:02d}", latitude_udeg=46_500_000 + n, longitude_udeg=7_900_000)
    text = text_of(keeper.get(url("site_map", site.pk)))
    assert "Page 1 of 2" in text
    assert "Bar 29" in text_of(keeper.get(url("site_map", site.pk) + "?page=2"))


def test_gpx_out_is_read_by_our_own_reader(keeper, party, site):
    trip = fill(party, site)
    for address in (
        url("site_map_file", site.pk, "gpx"),
        url("trip_map_file", trip.pk, "gpx"),
        url("party_map_file", "gpx"),
    ):
        response = keeper.get(address)
        assert response["Content-Type"] == "application/gpx+xml"
        read = read_gpx(response.content)
        assert {waypoint.name for waypoint in read.waypoints} >= {"Old bend", "Spot 1"}
        assert len(read.segments) == 2  # the outline's edge and the track


def test_an_unknown_kind_of_file_is_not_there(keeper, site):
    assert keeper.get(url("site_map_file", site.pk, "kml")).status_code == 404


def test_without_positions_the_page_says_what_to_do(keeper, party):
    site = make.make_site(party)
    make.make_spot(site)
    assert "Nothing has a position yet" in text_of(keeper.get(url("site_map", site.pk)))
    assert features(keeper, url("site_map_file", site.pk, "geojson")) == []


def test_nothing_of_another_party_is_on_any_map(keeper, party, site):
    other = make.make_party()
    fill(other, make.make_site(other, "Theirs", latitude_udeg=46_500_000, longitude_udeg=7_900_000))
    assert features(keeper, url("party_map_file", "geojson")) == ["site"]
    assert "Theirs" not in text_of(keeper.get(url("party_map")))


@pytest.mark.parametrize("name", SCRIPTS)
def test_names_are_data_and_never_markup(keeper, party, name):
    site = make.make_site(party, name, latitude_udeg=1, longitude_udeg=1)
    response = keeper.get(url("site_map_file", site.pk, "geojson"))
    assert json.loads(response.content)["features"][0]["properties"]["name"] == name
    assert "<b>bold" not in keeper.get(url("site_map", site.pk)).content.decode()


def test_the_map_is_on_the_pages_of_site_trip_and_track(keeper, party, site):
    trip = fill(party, site)
    pages = {
        reverse("reports:site_page", args=[site.pk]): url("site_map_file", site.pk, "geojson"),
        reverse("trips:trip_detail", args=[trip.pk]): url("trip_map_file", trip.pk, "geojson"),
        url("track_detail", party.tracks.get().pk): url(
            "track_map_file", party.tracks.get().pk, "geojson"
        ),
    }
    for page, source in pages.items():
        content = keeper.get(page).content.decode()
        assert f'data-source="{source}"' in content
        assert "leaflet.js" in content
        assert "data-tiles" not in content


def test_more_on_the_map_costs_no_more_queries(keeper, party, site):
    fill(party, site)
    addresses = [
        url("site_map", site.pk),
        url("party_map"),
        url("site_map_file", site.pk, "geojson"),
        url("party_map_file", "gpx"),
    ]
    few = [queries_of(keeper, address) for address in addresses]
    fill(party, site, 3)
    assert [queries_of(keeper, address) for address in addresses] == few
    assert max(few) <= 12


def test_tiles_come_from_the_settings_with_their_attribution(keeper, party, site):
    with override_settings(
        TILE_URL="https://tiles.example.org/{z}/{x}/{y}.png",
        TILE_ATTRIBUTION="<Maps> & makers",
        TILE_ATTRIBUTION_URL="https://example.org/terms",
    ):
        content = keeper.get(url("site_map", site.pk)).content.decode()
    assert 'data-tiles="https://tiles.example.org/{z}/{x}/{y}.png"' in content
    assert 'data-attribution="&lt;Maps&gt; &amp; makers"' in content


# ------------------------------------------------------------------------- outline


def shape_url(site):
    return reverse("claims:site_shape", args=[site.pk])


def save(client, site, text="", **extra):
    return client.post(shape_url(site), {"outline_text": text, "radius_m": "250"} | extra)


def test_an_outline_is_saved_shown_and_changed(keeper, site):
    assert save(keeper, site, SQUARE).status_code == 302
    shape = SiteShape.objects.get()
    assert shape.radius_m == 250
    assert len(shape.outline[0][0]) == 4
    content = keeper.get(shape_url(site)).content.decode()
    assert "46.500000, 7.910000" in content
    save(keeper, site, "")
    shape.refresh_from_db()
    assert shape.outline == []


def test_an_outline_comes_from_a_file(keeper, site):
    ring = [[7.9, 46.5], [7.91, 46.5], [7.91, 46.51], [7.9, 46.5]]
    data = json.dumps({"type": "Polygon", "coordinates": [ring]}).encode()
    file = SimpleUploadedFile("o.geojson", data)
    assert save(keeper, site, file=file).status_code == 302
    assert len(SiteShape.objects.get().outline[0][0]) == 3


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("46.5, 7.9\nhere", "Line 2: expected latitude and longitude"),
        ("46.50, 7.90\n46.51, 7.91\n46.51, 7.90\n46.50, 7.91", "crosses itself"),
        ("7.90, 46.50\n7.90, 46.51\n7.91, 46.51", "the other way round"),
        ("0, 0\n0, 1\n1, 1", "km from the site"),
    ],
)
def test_a_wrong_outline_stays_in_the_box_with_a_reason(keeper, site, text, words):
    response = save(keeper, site, text)
    assert words in text_of(response)
    assert text.splitlines()[-1] in response.content.decode()
    assert not SiteShape.objects.exists()


@pytest.mark.parametrize("content", [b"", b"\xff\xfe\x00", b"{" * 100_000, b"x" * 2_100_000])
def test_a_file_that_is_no_outline_is_refused(keeper, site, content):
    response = save(keeper, site, file=SimpleUploadedFile("o.geojson", content))
    assert response.status_code == 200
    assert response.context["page"].form.errors["file"]
    assert not SiteShape.objects.exists()


@pytest.mark.parametrize("radius", ["", "5", "90 km", "abc", "-1", "9" * 50])
def test_a_radius_that_cannot_be_is_refused(keeper, site, radius):
    response = save(keeper, site, SQUARE, radius_m=radius)
    assert response.context["page"].form.errors["radius_m"]
    assert not SiteShape.objects.exists()


@pytest.mark.parametrize("outline", ["x", [[["a"]]], [[[[0, 0], [0, 1]]]]])
def test_no_way_in_stores_what_is_no_outline(site, outline):
    with pytest.raises(ValidationError) as refused:
        SiteShape(site=site, outline=outline).full_clean()
    assert "outline" in refused.value.message_dict


def test_a_reader_draws_nothing(client, party, site):
    make.signed_in(client, party, "reader")
    assert save(client, site, SQUARE).status_code == 403
    assert "Outline and radius" not in text_of(client.get(url("site_map", site.pk)))
