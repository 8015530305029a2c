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

from claims.rules.rings import Position, Ring, crossing, turn, twice_area
from trips.calc.words import marked, say

MAX_CHARACTERS = 2_000_000
MAX_POINTS = 1_000
MAX_POLYGONS = 20
MAX_DEPTH = 12
FAR_M = 100_000
MILLION = 1_000_000
EXPECTED = marked(
    "Expected lines of latitude and longitude, or GeoJSON with a Polygon or MultiPolygon."
)
WGS84 = ("CRS84", "EPSG::4326", "EPSG:4326", "OGC:1.3:CRS84")

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
            say(
                "It has {text:,} characters; at most {max_characters:,} are taken. "
                "Save the outline with fewer points.",
                text=len(text),
                max_characters=MAX_CHARACTERS,
            )
        )
    bare = text.lstrip("\ufeff").strip()
    if not bare:
        return []
    polygons = _from_json(bare) if bare[0] in "{[" else _from_lines(bare)
    if len(polygons) > MAX_POLYGONS:
        raise OutlineError(
            say(
                "It has {polygons} outlines; at most {max_polygons} are taken.",
                polygons=len(polygons),
                max_polygons=MAX_POLYGONS,
            )
        )
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
            say(
                "Line {number}: expected latitude and longitude in degrees, such "
                "as 46.5012, 7.9034, not {line}.",
                number=number,
                line=line.strip()[:60],
            )
        ) from None
    return _position(lat, lon, say("Line {number}", number=number))


# ----------------------------------------------------------------------- GeoJSON


def _from_json(text: str) -> list[Polygon]:
    try:
        data = json.loads(text, parse_constant=_no_number)
    except json.JSONDecodeError as error:
        raise OutlineError(
            say(
                "It isn't whole GeoJSON: line {lineno} can't be read. {expected}",
                lineno=error.lineno,
                expected=say(EXPECTED),
            )
        ) from None
    except OutlineError:
        raise
    except ValueError:  # thousands of digits
        raise OutlineError(
            say("It holds a number that no position can have. {expected}", expected=say(EXPECTED))
        ) from None
    except RecursionError:
        raise OutlineError(
            say("It is nested as no outline is. {expected}", expected=say(EXPECTED))
        ) from None
    points = [0]
    return [
        [_ring(ring, points) for ring in rings]
        for rings in _polygons_of(data, 0)
        if isinstance(rings, list)
    ] or _nothing()


def _no_number(word: str) -> NoReturn:
    raise OutlineError(
        say(
            "{word} is no number that a position can have. {expected}",
            word=word,
            expected=say(EXPECTED),
        )
    )


def _nothing() -> NoReturn:
    raise OutlineError(say("It holds no polygon. {expected}", expected=say(EXPECTED)))


def _polygons_of(data: Any, depth: int) -> Iterator[Any]:
    """The coordinate lists of every polygon in a GeoJSON object."""
    if not isinstance(data, dict) or depth > MAX_DEPTH:
        raise OutlineError(say("It isn't GeoJSON. {expected}", expected=say(EXPECTED)))
    crs = json.dumps(data["crs"]) if data.get("crs") else ""
    if crs and not any(name in crs for name in WGS84):
        raise OutlineError(
            say(
                "It is in another coordinate system ({crs}). Save it as WGS 84, "
                "longitude and latitude in degrees.",
                crs=crs[:80],
            )
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
        raise OutlineError(
            say(
                "It isn't GeoJSON: its type is {kind}. {expected}",
                kind=str(kind)[:40],
                expected=say(EXPECTED),
            )
        )


def _ring(ring: Any, points: list[int]) -> Ring:
    if not isinstance(ring, list):
        raise OutlineError(
            say("A ring of its polygon is no list of positions. {expected}", expected=say(EXPECTED))
        )
    points[0] += len(ring)
    if points[0] > MAX_POINTS:
        _too_many(points[0])
    found = []
    for number, pair in enumerate(ring, start=1):
        where = say("Point {number}", number=number)
        if (
            not isinstance(pair, list)
            or not 2 <= len(pair) <= 4
            or not all(isinstance(c, int | float) and not isinstance(c, bool) for c in pair)
        ):
            raise OutlineError(
                say(
                    "{where} is no pair of numbers. {expected}", where=where, expected=say(EXPECTED)
                )
            )
        found.append(_position(pair[1], pair[0], where, is_geojson=True))
    return found


def _too_many(points: int) -> NoReturn:
    raise OutlineError(
        say(
            "It has more than {max_points:,} points. Save the outline with "
            "fewer; a creek's bank doesn't stay where it is to the metre.",
            max_points=MAX_POINTS,
        )
    )


def _position(lat: float, lon: float, where: str, *, is_geojson: bool = False) -> Position:
    if not (math.isfinite(lat) and math.isfinite(lon)):
        raise OutlineError(
            say("{where} is no position: {lat}, {lon}.", where=where, lat=lat, lon=lon)
        )
    if abs(lat) > 90 or abs(lon) > 180:
        turned = abs(lon) <= 90 and abs(lat) <= 180
        order = (
            say("GeoJSON has longitude first") if is_geojson else say("latitude comes first here")
        )
        hint = (
            say(" It looks as if the two were the other way round: {order}.", order=order)
            if turned
            else ""
        )
        raise OutlineError(
            say(
                "{where} is outside the world: latitude {lat:g}, longitude "
                "{lon:g}. Latitude is -90 to 90, longitude -180 to 180.{hint}",
                where=where,
                lat=lat,
                lon=lon,
                hint=hint,
            )
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
        raise OutlineError(say("An outline is a list of polygons of rings of positions.")) from None
    if len(polygons) > MAX_POLYGONS or sum(len(r) for p in polygons for r in p) > MAX_POINTS:
        raise OutlineError(
            say("An outline has at most {max_points:,} points.", max_points=MAX_POINTS)
        )
    for polygon in polygons:
        if not polygon:
            raise OutlineError(say("An outline needs at least three different points."))
        _checked(polygon)


def _udeg(value: Any, most: int) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or abs(value) > most * MILLION:
        raise ValueError
    return value


def _checked(polygon: Polygon) -> Polygon:
    rings = [_open(ring) for ring in polygon]
    for ring in rings:
        if len(ring) < 3:
            raise OutlineError(say("An outline needs at least three different points."))
        for (_, lon1), (_, lon2) in zip(ring, [*ring[1:], ring[0]], strict=True):
            if abs(lon1 - lon2) > 180 * MILLION:
                raise OutlineError(
                    say(
                        "The outline crosses the date line. Give it as two outlines, one "
                        "on each side."
                    )
                )
        if all(turn(ring[0], ring[1], point) == 0 for point in ring):
            raise OutlineError(say("All points of an outline lie on one line: it has no area."))
    where = crossing(rings)
    if where is not None:
        lat, lon = where
        raise OutlineError(
            say(
                "The outline crosses itself after the point {lat:.6f}, {lon:.6f}. "
                "Give its points in order, once around.",
                lat=lat / MILLION,
                lon=lon / MILLION,
            )
        )
    return rings


def _open(ring: Ring) -> Ring:
    """Without repeats in a row and without the first point once more at the end."""
    kept = [point for number, point in enumerate(ring) if number == 0 or point != ring[number - 1]]
    return kept[:-1] if len(kept) > 1 and kept[0] == kept[-1] else kept


def _check_near(polygons: list[Polygon], near: Position) -> None:
    for polygon in polygons:
        lat, lon = polygon[0][0]
        away = _metres(lat, lon, *near)
        if away <= FAR_M:
            continue
        turned = (
            say(" The two numbers of each point look the other way round.")
            if abs(lon) <= 90 * MILLION and _metres(lon, lat, *near) <= FAR_M
            else ""
        )
        raise OutlineError(
            say(
                "The outline lies {away:,.0f} km from the site's position.{turned} "
                "Correct the outline, or the site's position first.",
                away=away / 1000,
                turned=turned,
            )
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
        return json.dumps({"type": say("MultiPolygon"), "coordinates": geojson_rings(polygons)})
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
    if (twice_area(ring) > 0) != counterclockwise:
        points.reverse()
    return [[lon / MILLION, lat / MILLION] for lat, lon in [*points, points[0]]]
