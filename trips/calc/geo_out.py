"""Shapes of a record as GeoJSON (RFC 7946) and GPX 1.1, for maps and to take out."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

MILLION = 1_000_000
Position = tuple[int, int]
CREATOR = "Gravel Ledger"


@dataclass(frozen=True)
class Shape:
    """One thing on the map; positions are (latitude, longitude) in millionths of a degree.

    Exactly one of `point`, `lines` and `areas` is given. `areas` are coordinates of a GeoJSON
    MultiPolygon, ready made. `address` is the page about it on this site. `at` is when a line
    begins, as text.
    """

    kind: str
    name: str
    detail: str = ""
    address: str = ""
    point: Position | None = None
    lines: Sequence[Sequence[Position]] = ()
    areas: Sequence[Any] = ()


def geojson(shapes: Sequence[Shape]) -> str:
    """A FeatureCollection. A line over the date line is cut there (RFC 7946, 3.1.9)."""
    return json.dumps(
        {"type": "FeatureCollection", "features": [_feature(shape) for shape in shapes]},
        ensure_ascii=False,
        separators=(",", ":"),
    )


def _feature(shape: Shape) -> dict[str, Any]:
    told = {"kind": shape.kind, "name": shape.name, "detail": shape.detail}
    if shape.address:
        told["address"] = shape.address
    return {"type": "Feature", "properties": told, "geometry": _geometry(shape)}


def _geometry(shape: Shape) -> dict[str, Any]:
    if shape.point is not None:
        return {"type": "Point", "coordinates": _pair(shape.point)}
    if shape.areas:
        return {"type": "MultiPolygon", "coordinates": list(shape.areas)}
    parts = [part for line in shape.lines for part in cut_at_date_line(line) if len(part) > 1]
    return {
        "type": "MultiLineString",
        "coordinates": [[_pair(point) for point in part] for part in parts],
    }


def _pair(point: Sequence[float]) -> list[float]:
    return [point[1] / MILLION, point[0] / MILLION]


def cut_at_date_line(line: Sequence[Position]) -> Iterator[list[tuple[float, float]]]:
    """A line in parts that each stay on one side of the 180th meridian."""
    half = 180 * MILLION
    part: list[tuple[float, float]] = []
    for lat, lon in line:
        if part and abs(lon - part[-1][1]) > half:
            last_lat, last_lon = part[-1]
            side = half if last_lon > 0 else -half
            there = lon + 2 * side
            share = (side - last_lon) / (there - last_lon) if there != last_lon else 0.0
            crossing = last_lat + share * (lat - last_lat)
            yield [*part, (crossing, side)]
            part = [(crossing, -side)]
        part.append((lat, lon))
    if part:
        yield part


def gpx(shapes: Sequence[Shape]) -> str:
    """GPX 1.1: points as waypoints, lines and edges of areas as tracks. Written by gpxpy."""
    import gpxpy.gpx

    out = gpxpy.gpx.GPX()
    out.creator = CREATOR
    for shape in shapes:
        if shape.point is not None:
            lat, lon = shape.point
            out.waypoints.append(
                gpxpy.gpx.GPXWaypoint(
                    lat / MILLION,
                    lon / MILLION,
                    name=_text(shape.name),
                    description=_text(shape.detail) or None,
                    type=shape.kind,
                )
            )
            continue
        track = gpxpy.gpx.GPXTrack(name=_text(shape.name), description=_text(shape.detail) or None)
        track.type = shape.kind  # type: ignore[assignment]
        for line in _lines(shape):
            points = [gpxpy.gpx.GPXTrackPoint(lat, lon) for lat, lon in line]
            track.segments.append(gpxpy.gpx.GPXTrackSegment(points))
        out.tracks.append(track)
    return str(out.to_xml(version="1.1"))


def _lines(shape: Shape) -> Iterator[list[tuple[float, float]]]:
    """Degrees, latitude first."""
    for polygon in shape.areas:
        for ring in polygon:
            yield [(lat, lon) for lon, lat in ring]
    for line in shape.lines:
        yield [(lat / MILLION, lon / MILLION) for lat, lon in line]


def _text(words: str) -> str:
    """XML has no place for most control characters."""
    return "".join(c if c >= " " else " " for c in words if c not in "\ufffe\uffff").strip()
