"""GPX 1.0 and 1.1 → fixes and waypoints, from bytes that nobody vouches for.

A hardened parser walks the file first: no document type, no entities, bounded depth, elements
and points. It takes out the little that is wanted here, and only that goes on to the GPX library,
so neither foreign namespaces nor extensions reach it. Standard: GPX 1.1 schema, topografix.com
(memory).
"""

from __future__ import annotations

import codecs
import datetime as dt
import io
import math
import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from trips.calc.words import marked, say, several

if TYPE_CHECKING:
    from collections.abc import Iterator

MAX_BYTES = 20 * 1024 * 1024
MAX_POINTS = 50_000
MAX_WAYPOINTS = 500
MAX_ELEMENTS = 750_000  # fifteen for each point
MAX_DEPTH = 32
NAME_CHARACTERS = 120
MILLION = 1_000_000
ENCODINGS = {"utf-8", "ascii", "iso8859-1", "iso8859-15", "cp1250", "cp1251", "cp1252"}
WHAT_TO_DO = marked("Save the track anew as GPX and choose it again.")
TIME = re.compile(r"^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d{1,9})?(Z|[+-]\d\d:?\d\d)?$")
POINTS = {"trkpt", "rtept", "wpt"}


class GpxError(ValueError):
    """A file that can't be taken; the message says what is wrong and what to do."""


@dataclass(frozen=True, slots=True)
class Fix:
    """A position in degrees (WGS 84) and its instant in seconds since 1970 UTC, if it has one."""

    latitude: float
    longitude: float
    at: int | None


@dataclass(frozen=True, slots=True)
class Waypoint:
    """A named position; degrees in millionths."""

    name: str
    latitude_udeg: int
    longitude_udeg: int
    note: str


@dataclass(frozen=True)
class GpxFile:
    """What a file holds. `left_out` are sentences about points that can't be used."""

    name: str
    segments: tuple[tuple[Fix, ...], ...]
    waypoints: tuple[Waypoint, ...]
    left_out: tuple[str, ...]


@dataclass
class _Walk:
    """What the walk through the file has found so far."""

    tracks: list[list[tuple[str, str, str]]] = field(default_factory=list)
    waypoints: list[tuple[str, str, str, str]] = field(default_factory=list)
    name: str = ""
    points: int = 0
    wrong_place: list[int] = field(default_factory=list)
    wrong_time: list[int] = field(default_factory=list)
    more_waypoints: int = 0


def read_gpx(content: bytes) -> GpxFile:
    """Read a GPX file. Raises: GpxError with a sentence for the person who chose it."""
    if not content:
        raise GpxError(say("It is empty. {what_to_do}", what_to_do=WHAT_TO_DO))
    if len(content) > MAX_BYTES:
        raise GpxError(
            say(
                "It has {content} MB; at most {max_bytes} MB are taken. Split the "
                "track by days, or save it with fewer points.",
                content=math.ceil(len(content) / 2**20),
                max_bytes=MAX_BYTES // 2**20,
            )
        )
    walk = _walk(_as_text(content))
    if not walk.points and not walk.waypoints:
        raise GpxError(
            say("It holds no track, route or waypoint. {what_to_do}", what_to_do=WHAT_TO_DO)
        )
    segments = tuple(part for part in _with_library(walk) if part)
    waypoints = tuple(_waypoint(each) for each in walk.waypoints)
    if not segments and not waypoints:
        raise GpxError(
            say(
                "None of its {points} points has a usable position: latitude is "
                "-90 to 90 and longitude -180 to 180 degrees. {what_to_do}",
                points=walk.points,
                what_to_do=WHAT_TO_DO,
            )
        )
    return GpxFile(walk.name, segments, waypoints, _left_out(walk))


def _as_text(content: bytes) -> str:
    """The file as text without its declaration; UTF-16 is known with and without a mark."""
    if content.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        name = "utf-16"
    elif content[:2] == b"<\x00":
        name = "utf-16-le"
    elif content[:2] == b"\x00<":
        name = "utf-16-be"
    else:
        told = re.search(rb"""<\?xml[^>]*encoding\s*=\s*["']([\w.-]{1,40})""", content[:200])
        name = _known_encoding(told.group(1).decode("ascii")) if told else "utf-8-sig"
    try:
        text = content.decode(name)
    except UnicodeDecodeError as error:
        raise GpxError(
            say(
                "Its text can't be read as {name} (byte {start}). Save the track "
                "as UTF-8 and choose it again.",
                name=name.upper(),
                start=error.start,
            )
        ) from error
    return re.sub(r"^\ufeff?\s*<\?xml[^>]*\?>", "", text)


def _known_encoding(name: str) -> str:
    try:
        known = codecs.lookup(name).name
    except LookupError:
        known = ""
    if known not in ENCODINGS:
        raise GpxError(
            say(
                "It is written as {name}, which isn't read here. Save the track as "
                "UTF-8 and choose it again.",
                name=name,
            )
        )
    return "utf-8-sig" if known == "utf-8" else known


def _walk(text: str) -> _Walk:
    from xml.etree.ElementTree import ParseError

    from defusedxml import DefusedXmlException

    try:
        return _walk_elements(text)
    except DefusedXmlException as error:
        raise GpxError(
            say(
                "It defines a document type or entities, which no GPX file needs "
                "and which can hide an attack. {what_to_do}",
                what_to_do=WHAT_TO_DO,
            )
        ) from error
    except ParseError as error:
        line = error.position[0]
        raise GpxError(
            say(
                "It isn't whole XML: line {line} can't be read, perhaps it is cut "
                "off. {what_to_do}",
                line=line,
                what_to_do=WHAT_TO_DO,
            )
        ) from error


def _walk_elements(text: str) -> _Walk:
    from defusedxml.ElementTree import iterparse

    walk, path, elements = _Walk(), [], 0
    events: Iterator[tuple[str, Any]] = iterparse(
        io.BytesIO(text.encode("utf-8", "replace")), events=("start", "end"), forbid_dtd=True
    )
    for event, element in events:
        tag = element.tag.rpartition("}")[2]
        if event == "start":
            elements += 1
            path.append(tag)
            if elements == 1 and tag != "gpx":
                raise GpxError(
                    say("It is an XML file of another kind, <{tag}>. Expected <gpx>.", tag=tag[:40])
                )
            if len(path) > MAX_DEPTH or elements > MAX_ELEMENTS:
                raise GpxError(
                    say(
                        "It is nested or filled as no track is. {what_to_do}", what_to_do=WHAT_TO_DO
                    )
                )
            if tag in ("trkseg", "rte"):
                walk.tracks.append([])
            continue
        path.pop()
        if tag in POINTS:
            _take_point(walk, tag, element)
        elif tag == "name" and path[-1:] in (["trk"], ["metadata"], ["gpx"]) and not walk.name:
            walk.name = _plain(element.text)
        if not POINTS.intersection(path):
            element.clear()  # what is read is let go: memory stays with what is wanted
    return walk


def _take_point(walk: _Walk, tag: str, element: Any) -> None:
    lat, lon = element.get("lat", ""), element.get("lon", "")
    parts = {child.tag.rpartition("}")[2]: child.text for child in element}
    if tag == "wpt":
        if not _is_place(lat, lon):
            walk.wrong_place.append(0)
        elif len(walk.waypoints) >= MAX_WAYPOINTS:
            walk.more_waypoints += 1
        else:
            note = _plain(parts.get("desc") or parts.get("cmt"))
            walk.waypoints.append((lat, lon, _plain(parts.get("name")), note))
        return
    walk.points += 1
    if walk.points > MAX_POINTS:
        raise GpxError(
            say(
                "It has more than {max_points:,} points. Split the track by days, "
                "or save it with fewer points.",
                max_points=MAX_POINTS,
            )
        )
    if not _is_place(lat, lon):
        walk.wrong_place.append(walk.points)
        return
    time = (parts.get("time") or "").strip()
    if time and not _is_time(time):
        walk.wrong_time.append(walk.points)
        time = ""
    if not walk.tracks:
        walk.tracks.append([])
    walk.tracks[-1].append((lat.strip(), lon.strip(), time))


def _is_place(lat: str, lon: str) -> bool:
    if len(lat) > 40 or len(lon) > 40 or not (lat.isascii() and lon.isascii()):
        return False
    try:
        return abs(float(lat)) <= 90 and abs(float(lon)) <= 180  # false for NaN
    except ValueError:
        return False


def _is_time(text: str) -> bool:
    if not TIME.match(text):
        return False
    try:
        return dt.datetime.fromisoformat(text[:19]).year >= 1980
    except ValueError:
        return False


def _with_library(walk: _Walk) -> Iterator[tuple[Fix, ...]]:
    """The wanted points once more as plain GPX, read by the library: its times and offsets."""
    import gpxpy

    parts = ['<gpx version="1.1" creator="read"><trk>']
    for points in walk.tracks:
        parts.append("<trkseg>")
        for lat, lon, time in points:
            inside = f"<time>{time}</time>" if time else ""
            parts.append(f'<trkpt lat="{float(lat)!r}" lon="{float(lon)!r}">{inside}</trkpt>')
        parts.append("</trkseg>")
    parts.append("</trk></gpx>")
    for track in gpxpy.parse("".join(parts)).tracks:
        for segment in track.segments:
            yield tuple(
                Fix(point.latitude, point.longitude, _seconds(point.time))
                for point in segment.points
            )


def _seconds(instant: dt.datetime | None) -> int | None:
    if instant is None:
        return None
    # A time without an offset is UTC: the GPX schema says so.
    aware = instant if instant.tzinfo else instant.replace(tzinfo=dt.UTC)
    return int(aware.timestamp())


def _waypoint(found: tuple[str, str, str, str]) -> Waypoint:
    lat, lon, name, note = found
    return Waypoint(name, round(float(lat) * MILLION), round(float(lon) * MILLION), note)


def _plain(text: str | None) -> str:
    """A name on one line; control characters can't be part of it."""
    start = (text or "")[: 10 * NAME_CHARACTERS]  # a name may have megabytes
    words = "".join(c if c.isprintable() else " " for c in start)
    return " ".join(words.split())[:NAME_CHARACTERS]


def _left_out(walk: _Walk) -> tuple[str, ...]:
    said = []
    if walk.wrong_place:
        first = next((n for n in walk.wrong_place if n), 0)
        where = say(", the first is point {first}", first=first) if first else ""
        said.append(
            several(
                "{n} point left out: no position on earth{where}.",
                "{n} points left out: no position on earth{where}.",
                len(walk.wrong_place),
                where=where,
            )
        )
    if walk.wrong_time:
        said.append(
            several(
                "{n} time can't be read, the first at point {first}; the positions are kept.",
                "{n} times can't be read, the first at point {first}; the positions are kept.",
                len(walk.wrong_time),
                first=walk.wrong_time[0],
            )
        )
    if walk.more_waypoints:
        said.append(
            several(
                "{n} waypoint beyond the first {most} left out.",
                "{n} waypoints beyond the first {most} left out.",
                walk.more_waypoints,
                most=MAX_WAYPOINTS,
            )
        )
    return tuple(said)
