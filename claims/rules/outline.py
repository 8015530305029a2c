"""Outlines of sites: typed coordinates or GeoJSON → checked polygons, and back.

GeoJSON is RFC 7946: longitude before latitude, WGS 84, no other coordinate system. Positions are
kept as (latitude, longitude) in millionths of a degree, rings open and without repeats.
"""

from __future__ import annotations

import json
import math
import re
from collections.abc import Iterator, Sequence
from typing import Any, NoReturn

MAX_CHARACTERS = 2_000_000
MAX_POINTS = 1_000
MAX_POLYGONS = 20
MAX_DEPTH = 12
FAR_M = 100_000
MILLION = 1_000_000
EXPECTED = "Expected lines of latitude and longitude, or GeoJSON with a Polygon or MultiPolygon."
WGS84 = ("CRS84", "EPSG::4326", "EPSG:4326", "OGC:1.3:CRS84")

Position = tuple[int, int]
Ring = list[Position]
Polygon = list[Ring]


class OutlineError(ValueError):
    """An outline that can't be taken; the message says where and what was expected."""


def read_outline(text: str, near: Position | None = None) -> list[Polygon]:
    """Polygons from typed lines or GeoJSON; nothing typed gives none.

    Args:
        near: the site's position; an outline far from it was likely typed the wrong way round.
    Raises: OutlineError with a sentence that names the point.
    """
    if len(text) > MAX_CHARACTERS:
        raise OutlineError(
            f"It has {len(text):,} characters; at most {MAX_CHARACTERS:,} are taken. "
            f"Save the outline with fewer points."
        )
    bare = text.lstrip("\ufeff").strip()
    if not bare:
        return []
    polygons = _from_json(bare) if bare[0] in "{[" else _from_lines(bare)
    if len(polygons) > MAX_POLYGONS:
        raise OutlineError(f"It has {len(polygons)} outlines; at most {MAX_POLYGONS} are taken.")
    checked = [_checked(polygon) for polygon in polygons]
    if near is not None:
        _check_near(checked, near)
    return checked


# ------------------------------------------------------------------- typed lines


def _from_lines(text: str) -> list[Polygon]:
    """One point a line, an empty line between two outlines."""
    rings: list[Ring] = [[]]
    points = 0
    for number, line in enumerate(text.splitlines(), start=1):
        if not line.strip():
            if rings[-1]:
                rings.append([])
            continue
        points += 1
        if points > MAX_POINTS:
            _too_many(points)
        rings[-1].append(_line(line, number))
    return [[ring] for ring in rings if ring]


def _line(line: str, number: int) -> Position:
    text = line.strip().replace("\u2212", "-")
    if ";" in text or "\t" in text:
        parts = [part.strip().replace(",", ".") for part in re.split(r"[;\t]+", text)]
    else:
        parts = re.split(r"[,\s]+", text.strip(" ,"))
    try:
        if len(parts) != 2 or not all(part.isascii() for part in parts):
            raise ValueError
        lat, lon = (float(part) for part in parts)
    except ValueError:
        raise OutlineError(
            f"Line {number}: expected latitude and longitude in degrees, such as 46.5012, 7.9034, "
            f"not {line.strip()[:60]}."
        ) from None
    return _position(lat, lon, f"Line {number}")


# ----------------------------------------------------------------------- GeoJSON


def _from_json(text: str) -> list[Polygon]:
    try:
        data = json.loads(text, parse_constant=_no_number)
    except json.JSONDecodeError as error:
        raise OutlineError(
            f"It isn't whole GeoJSON: line {error.lineno} can't be read. {EXPECTED}"
        ) from None
    except OutlineError:
        raise
    except ValueError:  # thousands of digits
        raise OutlineError(f"It holds a number that no position can have. {EXPECTED}") from None
    except RecursionError:
        raise OutlineError(f"It is nested as no outline is. {EXPECTED}") from None
    points = [0]
    return [
        [_ring(ring, points) for ring in rings]
        for rings in _polygons_of(data, 0)
        if isinstance(rings, list)
    ] or _nothing()


def _no_number(word: str) -> NoReturn:
    raise OutlineError(f"{word} is no number that a position can have. {EXPECTED}")


def _nothing() -> NoReturn:
    raise OutlineError(f"It holds no polygon. {EXPECTED}")


def _polygons_of(data: Any, depth: int) -> Iterator[Any]:
    """The coordinate lists of every polygon in a GeoJSON object."""
    if not isinstance(data, dict) or depth > MAX_DEPTH:
        raise OutlineError(f"It isn't GeoJSON. {EXPECTED}")
    crs = json.dumps(data["crs"]) if data.get("crs") else ""
    if crs and not any(name in crs for name in WGS84):
        raise OutlineError(
            f"It is in another coordinate system ({crs[:80]}). Save it as WGS 84, longitude and "
            f"latitude in degrees."
        )
    kind, coordinates = data.get("type"), data.get("coordinates")
    if kind == "FeatureCollection" or kind == "GeometryCollection":
        parts = data.get("features" if kind == "FeatureCollection" else "geometries")
        for part in parts if isinstance(parts, list) else []:
            yield from _polygons_of(part, depth + 1)
    elif kind == "Feature":
        if data.get("geometry") is not None:
            yield from _polygons_of(data["geometry"], depth + 1)
    elif kind == "Polygon":
        yield coordinates
    elif kind == "MultiPolygon":
        yield from coordinates if isinstance(coordinates, list) else []
    elif kind not in ("Point", "MultiPoint", "LineString", "MultiLineString"):
        raise OutlineError(f"It isn't GeoJSON: its type is {str(kind)[:40]}. {EXPECTED}")


def _ring(ring: Any, points: list[int]) -> Ring:
    if not isinstance(ring, list):
        raise OutlineError(f"A ring of its polygon is no list of positions. {EXPECTED}")
    points[0] += len(ring)
    if points[0] > MAX_POINTS:
        _too_many(points[0])
    found = []
    for number, pair in enumerate(ring, start=1):
        where = f"Point {number}"
        if (
            not isinstance(pair, list)
            or not 2 <= len(pair) <= 4
            or not all(isinstance(c, int | float) and not isinstance(c, bool) for c in pair)
        ):
            raise OutlineError(f"{where} is no pair of numbers. {EXPECTED}")
        found.append(_position(pair[1], pair[0], where, is_geojson=True))
    return found


def _too_many(points: int) -> NoReturn:
    raise OutlineError(
        f"It has more than {MAX_POINTS:,} points. Save the outline with fewer; a creek's bank "
        f"doesn't stay where it is to the metre."
    )


def _position(lat: float, lon: float, where: str, *, is_geojson: bool = False) -> Position:
    if not (math.isfinite(lat) and math.isfinite(lon)):
        raise OutlineError(f"{where} is no position: {lat}, {lon}.")
    if abs(lat) > 90 or abs(lon) > 180:
        turned = abs(lon) <= 90 and abs(lat) <= 180
        order = "GeoJSON has longitude first" if is_geojson else "latitude comes first here"
        hint = f" It looks as if the two were the other way round: {order}." if turned else ""
        raise OutlineError(
            f"{where} is outside the world: latitude {lat:g}, longitude {lon:g}. Latitude is -90 "
            f"to 90, longitude -180 to 180.{hint}"
        )
    return round(lat * MILLION), round(lon * MILLION)


# ------------------------------------------------------------------------ checks


def check_stored(outline: Any) -> None:
    """Raise an OutlineError unless this is an outline as it is stored: it may come from a file."""
    try:
        polygons = [
            [[(_udeg(lat, 90), _udeg(lon, 180)) for lat, lon in ring] for ring in polygon]
            for polygon in outline
        ]
    except (TypeError, ValueError):
        raise OutlineError("An outline is a list of polygons of rings of positions.") from None
    if len(polygons) > MAX_POLYGONS or sum(len(r) for p in polygons for r in p) > MAX_POINTS:
        raise OutlineError(f"An outline has at most {MAX_POINTS:,} points.")
    for polygon in polygons:
        if not polygon:
            raise OutlineError("An outline needs at least three different points.")
        _checked(polygon)


def _udeg(value: Any, most: int) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or abs(value) > most * MILLION:
        raise ValueError
    return value


def _checked(polygon: Polygon) -> Polygon:
    rings = [_open(ring) for ring in polygon]
    for ring in rings:
        if len(ring) < 3:
            raise OutlineError("An outline needs at least three different points.")
        for (_, lon1), (_, lon2) in zip(ring, [*ring[1:], ring[0]], strict=True):
            if abs(lon1 - lon2) > 180 * MILLION:
                raise OutlineError(
                    "The outline crosses the date line. Give it as two outlines, one on each side."
                )
        if all(_turn(ring[0], ring[1], point) == 0 for point in ring):
            raise OutlineError("All points of an outline lie on one line: it has no area.")
    crossing = _crossing(rings)
    if crossing is not None:
        lat, lon = crossing
        raise OutlineError(
            f"The outline crosses itself after the point {lat / MILLION:.6f}, {lon / MILLION:.6f}. "
            f"Give its points in order, once around."
        )
    return rings


def _open(ring: Ring) -> Ring:
    """Without repeats in a row and without the first point once more at the end."""
    kept = [point for number, point in enumerate(ring) if number == 0 or point != ring[number - 1]]
    return kept[:-1] if len(kept) > 1 and kept[0] == kept[-1] else kept


def _twice_area(ring: Ring) -> int:
    """Twice the area in squared millionths of a degree; positive if counterclockwise on a map."""
    return sum(
        lon1 * lat2 - lon2 * lat1
        for (lat1, lon1), (lat2, lon2) in zip(ring, [*ring[1:], ring[0]], strict=True)
    )


def _crossing(rings: Sequence[Ring]) -> Position | None:
    """The start of an edge that meets another edge other than its neighbours; exact integers."""
    edges = []
    for number, ring in enumerate(rings):
        for i, point in enumerate(ring):
            edges.append((point, ring[(i + 1) % len(ring)], number, i, len(ring)))
    edges.sort(key=lambda edge: min(edge[0][0], edge[1][0]))
    for n, (a, b, ring_one, i, count) in enumerate(edges):
        top = max(a[0], b[0])
        for c, d, ring_two, j, _ in edges[n + 1 :]:
            if min(c[0], d[0]) > top:
                break
            beside = ring_one == ring_two and (abs(i - j) == 1 or abs(i - j) == count - 1)
            if beside:
                if _folds_back(a, b, c, d):
                    return a
            elif _meet(a, b, c, d):
                return a if i < j or ring_one != ring_two else c
    return None


def _folds_back(a: Position, b: Position, c: Position, d: Position) -> bool:
    """Whether two edges with a common end lie on each other."""
    common = b if b in (c, d) else a
    one, other = (a if common == b else b), (d if common == c else c)
    return (
        _turn(one, common, other) == 0
        and (one[0] - common[0]) * (other[0] - common[0])
        + (one[1] - common[1]) * (other[1] - common[1])
        > 0
    )


def _turn(a: Position, b: Position, c: Position) -> int:
    value = (b[1] - a[1]) * (c[0] - a[0]) - (b[0] - a[0]) * (c[1] - a[1])
    return (value > 0) - (value < 0)


def _meet(a: Position, b: Position, c: Position, d: Position) -> bool:
    one, two, three, four = _turn(a, b, c), _turn(a, b, d), _turn(c, d, a), _turn(c, d, b)
    if one != two and three != four:
        return True
    return any(
        turn == 0 and _between(p, q, r)
        for turn, p, q, r in ((one, a, b, c), (two, a, b, d), (three, c, d, a), (four, c, d, b))
    )


def _between(a: Position, b: Position, c: Position) -> bool:
    return min(a[0], b[0]) <= c[0] <= max(a[0], b[0]) and min(a[1], b[1]) <= c[1] <= max(a[1], b[1])


def _check_near(polygons: list[Polygon], near: Position) -> None:
    for polygon in polygons:
        lat, lon = polygon[0][0]
        away = _metres(lat, lon, *near)
        if away <= FAR_M:
            continue
        turned = (
            " The two numbers of each point look the other way round."
            if abs(lon) <= 90 * MILLION and _metres(lon, lat, *near) <= FAR_M
            else ""
        )
        raise OutlineError(
            f"The outline lies {away / 1000:,.0f} km from the site's position.{turned} Correct the "
            f"outline, or the site's position first."
        )


def _metres(lat1: int, lon1: int, lat2: int, lon2: int) -> float:
    from geographiclib.geodesic import Geodesic

    ends = (value / MILLION for value in (lat1, lon1, lat2, lon2))
    return float(Geodesic.WGS84.Inverse(*ends, Geodesic.DISTANCE)["s12"])


# -------------------------------------------------------------------------- out


def area_m2(polygons: Sequence[Polygon]) -> float:
    """Square metres on WGS 84 (geographiclib), what is cut out taken off."""
    from geographiclib.geodesic import Geodesic

    total = 0.0
    for polygon in polygons:
        for number, ring in enumerate(polygon):
            shape = Geodesic.WGS84.Polygon()
            for lat, lon in ring:
                shape.AddPoint(lat / MILLION, lon / MILLION)
            area = abs(float(shape.Compute()[2]))
            total += -area if number else area
    return total


def as_lines(polygons: Sequence[Polygon]) -> str:
    """The outline as it can be typed; with something cut out, as GeoJSON."""
    if any(len(polygon) > 1 for polygon in polygons):
        return json.dumps({"type": "MultiPolygon", "coordinates": geojson_rings(polygons)})
    return "\n\n".join(
        "\n".join(f"{lat / MILLION:.6f}, {lon / MILLION:.6f}" for lat, lon in polygon[0])
        for polygon in polygons
    )


def geojson_rings(polygons: Sequence[Polygon]) -> list[list[list[list[float]]]]:
    """Coordinates of a GeoJSON MultiPolygon: closed, edges counterclockwise, cut-outs clockwise."""
    return [
        [_turned(ring, counterclockwise=number == 0) for number, ring in enumerate(polygon)]
        for polygon in polygons
    ]


def _turned(ring: Ring, *, counterclockwise: bool) -> list[list[float]]:
    points = [tuple(point) for point in ring]
    if (_twice_area(ring) > 0) != counterclockwise:
        points.reverse()
    return [[lon / MILLION, lat / MILLION] for lat, lon in [*points, points[0]]]
