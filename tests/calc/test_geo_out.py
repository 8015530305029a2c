"""Map files: GeoJSON as its standard has it, GPX that readers read, both with the same things."""

import json

import pytest

from trips.calc.geo_out import Shape, cut_at_date_line, geojson, gpx
from trips.calc.gpx_read import read_gpx

SITE = Shape("site", "Marl Beck <b>&", "public area", "/sites/1/", point=(46_500_000, 7_900_000))
TRACK = Shape("track", "Morning", lines=[[(46_500_000, 7_900_000), (46_510_000, 7_910_000)]])
AREA = Shape(
    "outline",
    "Outline",
    areas=[[[[7.9, 46.5], [7.91, 46.5], [7.91, 46.51], [7.9, 46.5]]]],
)


def test_geojson_has_longitude_first_and_one_feature_a_thing():
    data = json.loads(geojson([SITE, TRACK, AREA]))
    assert data["type"] == "FeatureCollection"
    kinds = [each["geometry"]["type"] for each in data["features"]]
    assert kinds == ["Point", "MultiLineString", "MultiPolygon"]
    assert data["features"][0]["geometry"]["coordinates"] == [7.9, 46.5]
    assert data["features"][0]["properties"]["name"] == "Marl Beck <b>&"
    assert "crs" not in data
    for feature in data["features"]:
        assert set(feature) == {"type", "properties", "geometry"}


@pytest.mark.outside("RFC 7946, section 3.1.9, example of a cut line (memory)")
def test_a_line_over_the_date_line_is_cut_there():
    line = [(45_000_000, 170_000_000), (45_000_000, -170_000_000)]
    feature = json.loads(geojson([Shape("track", "t", lines=[line])]))["features"][0]
    assert feature["geometry"] == {
        "type": "MultiLineString",
        "coordinates": [[[170.0, 45.0], [180.0, 45.0]], [[-180.0, 45.0], [-170.0, 45.0]]],
    }


def test_a_line_on_one_side_stays_whole():
    line = [(0, 179_000_000), (0, 180_000_000), (1, 179_500_000)]
    assert list(cut_at_date_line(line)) == [line]
    assert list(cut_at_date_line([])) == []


def test_gpx_is_read_back_with_the_same_places():
    text = gpx([SITE, TRACK, AREA])
    assert 'version="1.1"' in text
    assert 'creator="Gravel Ledger"' in text
    read = read_gpx(text.encode())
    [waypoint] = read.waypoints
    assert waypoint.name == "Marl Beck <b>&"
    assert (waypoint.latitude_udeg, waypoint.longitude_udeg) == (46_500_000, 7_900_000)
    assert [len(part) for part in read.segments] == [2, 4]


@pytest.mark.parametrize("name", ["a\x00b\x0bc", "\ufffe", "]]>", "'\"", "金の小川", "x" * 5000])
def test_any_name_gives_a_whole_file(name):
    shape = Shape("spot", name, name, point=(1, 2))
    assert len(read_gpx(gpx([shape]).encode()).waypoints) == 1
    assert json.loads(geojson([shape]))["features"][0]["properties"]["name"] == name


def test_nothing_gives_an_empty_collection():
    assert json.loads(geojson([]))["features"] == []
    assert "<gpx" in gpx([])
