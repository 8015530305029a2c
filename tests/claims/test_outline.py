"""Outlines: typed, pasted and from files; read, or refused with the point and what was expected."""

import json
import time
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from claims.rules.outline import (
    OutlineError,
    area_m2,
    as_lines,
    check_stored,
    geojson_rings,
    read_outline,
)

SQUARE = "46.50, 7.90\n46.50, 7.91\n46.51, 7.91\n46.51, 7.90"
RINGS = [[[7.90, 46.50], [7.91, 46.50], [7.91, 46.51], [7.90, 46.51], [7.90, 46.50]]]
CUT_OUT = [[7.903, 46.503], [7.903, 46.507], [7.907, 46.507], [7.907, 46.503], [7.903, 46.503]]
HERE = (46_500_000, 7_900_000)


def polygon(*rings) -> str:
    return json.dumps({"type": "Polygon", "coordinates": list(rings)})


def test_typed_lines_are_corners():
    [[ring]] = read_outline(SQUARE, HERE)
    assert ring == [
        (46_500_000, 7_900_000), (46_500_000, 7_910_000),
        (46_510_000, 7_910_000), (46_510_000, 7_900_000),
    ]  # fmt: skip


@pytest.mark.parametrize(
    "text",
    [
        SQUARE.replace(", ", " "),
        SQUARE.replace(", ", ";").replace(".", ","),
        SQUARE.replace(", ", "\t"),
        f"\n{SQUARE}\n46.50, 7.90\n\n",
        SQUARE.replace("\n", "\r\n"),
        polygon(*RINGS),
        json.dumps({"type": "Feature", "properties": {}, "geometry": json.loads(polygon(*RINGS))}),
        json.dumps(
            {
                "type": "FeatureCollection",
                "features": [
                    {"type": "Feature", "geometry": {"type": "Point", "coordinates": [7.9, 46.5]}},
                    {"type": "Feature", "geometry": json.loads(polygon(*RINGS))},
                ],
            }
        ),
        json.dumps({"type": "MultiPolygon", "coordinates": [RINGS]}),
        "\ufeff" + polygon(*RINGS),
    ],
)
def test_every_way_of_giving_it_is_the_same_outline(text):
    assert read_outline(text) == read_outline(SQUARE)


def test_an_empty_line_begins_a_second_outline():
    second = SQUARE.replace("7.9", "7.8")
    assert len(read_outline(f"{SQUARE}\n\n{second}", HERE)) == 2
    assert read_outline("  \n ") == []


def test_what_is_cut_out_stays_cut_out():
    [[edge, hole]] = read_outline(polygon(RINGS[0], CUT_OUT))
    assert (len(edge), len(hole)) == (4, 4)
    assert area_m2([[edge, hole]]) == pytest.approx(area_m2([[edge]]) - area_m2([[hole]]))
    [[again, cut]] = read_outline(as_lines([[edge, hole]]))
    assert (set(again), set(cut)) == (set(edge), set(hole))


@pytest.mark.outside("GRS80/WGS 84 quadrangle 1° x 1° at the equator: 12 308.8 km² (memory)")
def test_the_area_of_a_degree_square_at_the_equator():
    square = [[(0, 0), (0, 1_000_000), (1_000_000, 1_000_000), (1_000_000, 0)]]
    # Edges here are geodesics and not parallels: on one degree that is 0.004 %.
    assert area_m2([square]) == pytest.approx(12_308.8e6, rel=0.0002)


def test_it_goes_out_as_geojson_wants_it():
    [[ring]] = read_outline("46.50, 7.90\n46.51, 7.90\n46.51, 7.91\n46.50, 7.91")  # clockwise
    [[out]] = geojson_rings([[ring]])
    assert out[0] == out[-1]
    assert all(46 < lat < 47 and 7 < lon < 8 for lon, lat in out)
    turning = sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in pairwise(out))
    assert turning > 0  # counterclockwise, RFC 7946 section 3.1.6


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("46.5", "Line 1: expected latitude and longitude"),
        ("46.5, 7.9\nhere, there", "Line 2"),
        ("46,5, 7,9", "Line 1"),
        ("٤٦.٥, ٧.٩", "Line 1"),
        (f"{SQUARE}\nNaN, 7.9", "no position"),
        (f"{SQUARE}\n1e400, 7.9", "no position"),
        ("46.5, 7.9\n46.6, 7.9", "at least three different points"),
        ("46.5, 7.9\n46.5, 7.9\n46.5, 7.9", "at least three different points"),
        ("46.5, 7.9\n46.6, 7.9\n46.7, 7.9", "no area"),
        ("46.50, 7.90\n46.51, 7.91\n46.51, 7.90\n46.50, 7.91", "crosses itself"),
        ("46.50, 7.90\n46.50, 7.92\n46.50, 7.91\n46.51, 7.91", "crosses itself"),
        ("0, 179.9\n0, -179.9\n1, -179.9\n1, 179.9", "date line"),
        ("91, 7.9\n92, 7.9\n92, 8", "outside the world"),
        ("107.9, 46.5\n107.91, 46.5\n107.91, 46.51", "latitude comes first here"),
        (polygon([[46.5, 107.9], [46.6, 107.9], [46.6, 107.95]]), "GeoJSON has longitude first"),
        (polygon([[7.9, 46.5, "x"], [7.91, 46.5], [7.91, 46.51]]), "no pair of numbers"),
        (polygon([[True, False], [7.91, 46.5], [7.91, 46.51]]), "no pair of numbers"),
        (polygon("abc"), "no list of positions"),
        (polygon(RINGS[0], [[7.89, 46.505], [7.92, 46.505], [7.92, 46.506]]), "crosses itself"),
        ('{"type": "Polygon", "coordinates": [[[7.9, NaN]]]}', "NaN is no number"),
        ('{"type": "Polygon", "coordinates": [[[7.9, 46.5], ', "isn't whole GeoJSON"),
        ('{"type": "Polygon"}', "no polygon"),
        ('{"type": "Point", "coordinates": [7.9, 46.5]}', "no polygon"),
        ('{"type": "Topology"}', "its type is Topology"),
        ("[1, 2, 3]", "isn't GeoJSON"),
        ("[" * 100_000, "nested"),
        ('{"type": "Point", "coordinates": [%s]}' % ("9" * 5_000), "no position can have"),
        ('{"a":' * 50_000, "nested"),
        ('{"type":"FeatureCollection","features":[{"type":"FeatureCollection","features":[' * 9
         + "]}" * 18, "isn't GeoJSON"),
        (json.dumps({"type": "Polygon", "coordinates": RINGS,
                     "crs": {"properties": {"name": "urn:ogc:def:crs:EPSG::2056"}}}),
         "another coordinate system"),
        ("\x00", "Line 1"),
    ],
)  # fmt: skip
def test_what_is_no_outline_is_refused_with_a_reason(text, words):
    with pytest.raises(OutlineError) as refused:
        read_outline(text)
    assert words in str(refused.value)
    assert len(str(refused.value)) < 400


def test_far_from_the_site_or_turned_is_told():
    with pytest.raises(OutlineError, match=r"km from the site.*Correct the outline"):
        read_outline(SQUARE, (10_000_000, 10_000_000))
    turned = "\n".join(", ".join(reversed(line.split(", "))) for line in SQUARE.splitlines())
    with pytest.raises(OutlineError, match="the other way round"):
        read_outline(turned, HERE)


@pytest.mark.parametrize("form", ["geojson", "lines"])
def test_a_million_points_are_refused_soon(form):
    began = time.process_time()
    if form == "lines":
        text = "\n".join(f"46.{n:06d}, 7.9" for n in range(100_000))
    else:
        text = polygon([[7.9, 46.5]] * 100_000)
    with pytest.raises(OutlineError, match="more than 1,000 points"):
        read_outline(text)
    with pytest.raises(OutlineError, match="characters"):
        read_outline(polygon([[7.9, 46.5]] * 1_000_000))
    assert time.process_time() - began < 5


def test_the_most_points_there_may_be_are_checked_soon():
    import math

    began = time.process_time()
    ring = [
        [7.9 + 0.01 * math.cos(n / 500 * math.pi), 46.5 + 0.01 * math.sin(n / 500 * math.pi)]
        for n in range(999)
    ]
    assert len(read_outline(polygon(ring))[0][0]) == 999
    comb = [[7.9 + n / 1e5, 46.5 + (n % 2) / 10] for n in range(998)] + [[7.9, 46.7]]
    read_outline(polygon(comb))
    assert time.process_time() - began < 5


@given(
    st.lists(
        st.tuples(st.integers(-50, 50), st.integers(-50, 50)), min_size=3, max_size=8, unique=True
    )
)
@settings(max_examples=80)
def test_what_is_taken_comes_back_the_same(corners):
    text = "\n".join(f"{46 + lat / 1000}, {8 + lon / 1000}" for lat, lon in corners)
    try:
        polygons = read_outline(text)
    except OutlineError:
        return
    assert read_outline(as_lines(polygons)) == polygons
    again = json.dumps({"type": "MultiPolygon", "coordinates": geojson_rings(polygons)})
    assert area_m2(read_outline(again)) == pytest.approx(area_m2(polygons))
    assert area_m2(polygons) > 0


@pytest.mark.parametrize(
    "outline",
    [
        None, "x", {"a": 1}, [1], [[]], [[[]]], [[[[1, 2]]]], [[[[0, 0], [0, 1], [1, 1, 1]]]],
        [[[["a", "b"], [0, 1], [1, 1]]]], [[[[0.5, 0], [0, 1], [1, 1]]]],
        [[[[91_000_000, 0], [0, 1], [1, 1]]]], [[[[True, False], [0, 1], [1, 1]]]],
        [[[[0, 0], [1000, 1000], [1000, 0], [0, 1000]]]], [[[[0, n] for n in range(2000)]]],
    ],
)  # fmt: skip
def test_what_is_stored_is_an_outline_whatever_brought_it(outline):
    with pytest.raises(OutlineError):
        check_stored(outline)


def test_an_outline_that_was_read_may_be_stored():
    check_stored(read_outline(SQUARE))
    check_stored([[[[lat, lon] for lat, lon in ring] for ring in p] for p in read_outline(SQUARE)])
    check_stored([])
