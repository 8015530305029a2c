"""A recorded track → distance, moving time, stops, and pieces of drive, walk and time on site.

Distances are geodesics on WGS 84 (geographiclib, C. F. F. Karney); the quick flat-earth distance
below only decides whether two fixes are near each other. The limits are our own starts, common
practice, no source: they say what counts as driving, stopping or a gap.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from trips.calc.gpx_read import Fix
from trips.calc.words import say, several

DRIVE_M_PER_S = 4.0  # 14 km/h: faster than anyone walks with gear
JUMP_M_PER_S = 60.0  # 216 km/h: not on the way to a creek
JUMP_M = 200.0
GAP_S = 300
STOP_M = 40.0
STOP_S = 180
STAY_M = 100.0
SHORT_S = 120
WINDOW_S = 45
RADIUS_M = 300

DRIVE, WALK, SITE, STOP, GAP = "drive", "walk", "site", "stop", "gap"


@dataclass(frozen=True)
class Place:
    """A site: its middle in degrees, the radius that counts as there, its outline if drawn.

    `rings` are closed or open lists of (latitude, longitude) in degrees.
    """

    latitude: float
    longitude: float
    radius_m: float = RADIUS_M
    rings: tuple[tuple[tuple[float, float], ...], ...] = ()


@dataclass(frozen=True)
class Piece:
    """A stretch of one kind. Instants in seconds since 1970 UTC; `place` indexes the sites."""

    kind: str
    begins: int
    ends: int
    distance_m: int
    place: int | None = None

    @property
    def seconds(self) -> int:
        return self.ends - self.begins


@dataclass(frozen=True)
class TrackSums:
    """What a track tells. Times are None where no fix has one.

    `distance_m` leaves out jumps and what lies between recordings; where every fix has a time, the
    pieces add up to it.
    `remarks` are sentences about gaps and faults of the clock.
    """

    points: int
    distance_m: int
    begins: int | None
    ends: int | None
    moving_s: int
    stopped_s: int
    pieces: tuple[Piece, ...]
    remarks: tuple[str, ...]


@dataclass(frozen=True)
class _Node:
    """A fix with a usable time and the distance gone until it."""

    fix: Fix
    at: int
    gone_m: float
    opens: bool  # first of its recording: nothing is known between it and the node before


def distance_m(one: Fix, other: Fix) -> float:
    """Metres along the geodesic between two positions."""
    from geographiclib.geodesic import Geodesic

    return float(
        Geodesic.WGS84.Inverse(
            one.latitude, one.longitude, other.latitude, other.longitude, Geodesic.DISTANCE
        )["s12"]
    )


def near_m(lat1: float, lon1: float, lat2: float, lon2: float) -> float:
    """Metres on a flat earth: good to a thousandth over a kilometre, also over the date line."""
    east = (lon2 - lon1 + 180) % 360 - 180
    width = math.cos(math.radians((lat1 + lat2) / 2))
    return 111_320.0 * math.hypot(lat2 - lat1, east * width)


def inside(lat: float, lon: float, rings: Sequence[Sequence[tuple[float, float]]]) -> bool:
    """Whether a position lies inside an outline, holes taken out (even-odd rule)."""
    odd = False
    for ring in rings:
        for (lat1, lon1), (lat2, lon2) in zip(ring, [*ring[1:], ring[0]], strict=True):
            if (lat1 > lat) != (lat2 > lat):
                crossing = lon1 + (lat - lat1) / (lat2 - lat1) * (lon2 - lon1)
                odd ^= lon < crossing
    return odd


def at_place(fix: Fix, places: Sequence[Place]) -> int | None:
    """The first site at which a fix lies: within its outline or its radius."""
    for number, place in enumerate(places):
        if near_m(fix.latitude, fix.longitude, place.latitude, place.longitude) <= place.radius_m:
            return number
        if place.rings and inside(fix.latitude, fix.longitude, place.rings):
            return number
    return None


def sum_up(segments: Sequence[Sequence[Fix]], places: Sequence[Place] = ()) -> TrackSums:
    """All sums of a track. Args: segments: recordings without a break, as the file has them."""
    remarks: list[str] = []
    parts = _in_order(_mended([list(part) for part in segments if part], remarks))
    nodes, total, jumps, jumped = _nodes(parts)
    points = sum(len(part) for part in parts)
    if jumps:
        remarks.append(
            several(
                "{n} jump faster than {jump_m_per_s:.0f} km/h, {jumped} in all, "
                "left out of the distance.",
                "{n} jumps faster than {jump_m_per_s:.0f} km/h, {jumped} in all, "
                "left out of the distance.",
                jumps,
                jump_m_per_s=JUMP_M_PER_S * 3.6,
                jumped=_km(jumped),
            )
        )
    untimed = sum(fix.at is None for part in parts for fix in part)
    if not points:
        remarks.append(say("It holds waypoints only, no way between them."))
    elif not nodes:
        remarks.append(say("No point has a time: only the distance can be worked out."))
    elif untimed:
        remarks.append(
            say(
                "{untimed} of {points} points have no usable time: they count in "
                "the distance only.",
                untimed=untimed,
                points=points,
            )
        )
    moving, stopped, pieces = _pieces(nodes, places, remarks) if len(nodes) > 1 else (0, 0, [])
    return TrackSums(
        points=points,
        distance_m=round(total),
        begins=nodes[0].at if nodes else None,
        ends=nodes[-1].at if nodes else None,
        moving_s=moving,
        stopped_s=stopped,
        pieces=tuple(pieces),
        remarks=tuple(remarks),
    )


def _mended(parts: list[list[Fix]], remarks: list[str]) -> list[list[Fix]]:
    """The same fixes; times that run backwards are taken away, their positions stay."""
    faults: list[int] = []
    number = 0
    for part in parts:
        good: list[int] = []
        for i, fix in enumerate(part):
            if fix.at is None:
                continue
            wrong = i if good and fix.at < (part[good[-1]].at or 0) else None
            if wrong is not None and _leapt(part, good, i):
                wrong = good.pop()
            if wrong != i:
                good.append(i)
            if wrong is not None:
                faults.append(number + wrong + 1)
                part[wrong] = replace(part[wrong], at=None)
        number += len(part)
    if faults:
        remarks.append(
            several(
                "The clock runs backwards at {n} point, the first is point "
                "{first}: those times aren't used.",
                "The clock runs backwards at {n} points, the first is point "
                "{first}: those times aren't used.",
                len(faults),
                first=min(faults),
            )
        )
    return parts


def _leapt(part: list[Fix], good: list[int], i: int) -> bool:
    """Whether the last good fix leapt ahead, and the clock goes on from before the leap."""
    leap, at = part[good[-1]].at or 0, part[i].at or 0
    before = part[good[-2]].at if len(good) > 1 else None
    following = next((fix.at for fix in part[i + 1 : i + 20] if fix.at is not None), None)
    return (before is None or at >= before) and following is not None and following < leap


def _in_order(parts: list[list[Fix]]) -> list[list[Fix]]:
    """Recordings by their first time, if each has one; files hold them in any order."""
    firsts = [next((fix.at for fix in part if fix.at is not None), None) for part in parts]
    if any(at is None for at in firsts):
        return parts
    order = sorted(range(len(parts)), key=lambda n: firsts[n] or 0)
    return [parts[n] for n in order]


def _nodes(parts: list[list[Fix]]) -> tuple[list[_Node], float, int, float]:
    """Timed fixes with the way until each, the whole way, the jumps and their length."""
    nodes: list[_Node] = []
    gone, jumps, jumped = 0.0, 0, 0.0
    for part in parts:
        opens = True
        last_at: int | None = None
        for number, fix in enumerate(part):
            if number:
                step = distance_m(part[number - 1], fix)
                seconds = None if fix.at is None or last_at is None else fix.at - last_at
                if seconds is not None and step > max(JUMP_M, JUMP_M_PER_S * seconds):
                    jumps, jumped = jumps + 1, jumped + step
                else:
                    gone += step
            if fix.at is None:
                continue
            last_at = fix.at
            if nodes and (fix.at < nodes[-1].at or (fix.at == nodes[-1].at and not opens)):
                continue  # several fixes in a second, or recordings that overlap: time counts once
            nodes.append(_Node(fix, fix.at, gone, opens))
            opens = False
    return nodes, gone, jumps, jumped


def _pieces(
    nodes: list[_Node], places: Sequence[Place], remarks: list[str]
) -> tuple[int, int, list[Piece]]:
    resting = _resting(nodes)
    where = [at_place(node.fix, places) for node in nodes]
    speeds = _speeds(nodes)
    steps: list[tuple[str, int | None]] = []
    moving = stopped = gaps = gap_s = 0
    gap_m = 0.0
    for i in range(len(nodes) - 1):
        seconds = nodes[i + 1].at - nodes[i].at
        place = where[i] if where[i] == where[i + 1] else None
        if _breaks(nodes, i):
            straight = distance_m(nodes[i].fix, nodes[i + 1].fix)
            kind = STOP if straight <= STAY_M else GAP
            if seconds and straight / seconds >= DRIVE_M_PER_S:
                kind = DRIVE
            if kind == STOP:
                stopped += seconds
            elif seconds > GAP_S:
                gaps, gap_s, gap_m = gaps + 1, gap_s + seconds, gap_m + straight
        elif resting[i]:
            kind = STOP
            stopped += seconds
        else:
            kind = DRIVE if speeds[i] >= DRIVE_M_PER_S else WALK
            moving += seconds
        if place is not None and kind != DRIVE:
            kind = SITE
        steps.append((kind, place if kind == SITE else None))
    if gaps:
        remarks.append(
            several(
                "{n} gap of more than {gap_s} minutes, {gap_s_2} min in all and "
                "{gap_m} in straight lines: what happened there isn't known, and "
                "the real way is longer.",
                "{n} gaps of more than {gap_s} minutes, {gap_s_2} min in all and "
                "{gap_m} in straight lines: what happened there isn't known, and "
                "the real way is longer.",
                gaps,
                gap_s=GAP_S // 60,
                gap_s_2=gap_s // 60,
                gap_m=_km(gap_m),
            )
        )
    return moving, stopped, _joined(nodes, steps)


def _breaks(nodes: list[_Node], i: int) -> bool:
    return nodes[i + 1].opens or nodes[i + 1].at - nodes[i].at > GAP_S


def _resting(nodes: list[_Node]) -> list[bool]:
    """For each step: is it part of a stay of at least `STOP_S` within `STOP_M` of its start."""
    resting = [False] * len(nodes)
    i = 0
    while i < len(nodes) - 1:
        j = i
        here = nodes[i].fix
        while (
            j + 1 < len(nodes)
            and not _breaks(nodes, j)
            and near_m(
                here.latitude,
                here.longitude,
                nodes[j + 1].fix.latitude,
                nodes[j + 1].fix.longitude,
            )
            <= STOP_M
        ):
            j += 1
        if j > i and nodes[j].at - nodes[i].at >= STOP_S:
            resting[i:j] = [True] * (j - i)
            i = j
        else:
            # A start between these two would end near the same place: an eighth of the way on
            # keeps many fixes in one spot from being compared with each other over and over.
            i += max(1, (j - i) // 8)
    return resting


def _speeds(nodes: list[_Node]) -> list[float]:
    """Metres a second of each step, over the steps within `WINDOW_S` of it and no break."""
    speeds = []
    run = low = high = 0
    for i in range(len(nodes) - 1):
        if i and _breaks(nodes, i - 1):
            run = i
        low, high = max(low, run), max(high, i + 1)
        while nodes[i].at - nodes[low].at > WINDOW_S:
            low += 1
        while (
            high + 1 < len(nodes)
            and nodes[high + 1].at - nodes[i + 1].at <= WINDOW_S
            and not _breaks(nodes, high)
        ):
            high += 1
        seconds = nodes[high].at - nodes[low].at
        speeds.append((nodes[high].gone_m - nodes[low].gone_m) / seconds if seconds else 0.0)
    return speeds


def _joined(nodes: list[_Node], steps: list[tuple[str, int | None]]) -> list[Piece]:
    """Steps of one kind as pieces; short ones go to the longer neighbour."""
    spans: list[tuple[str, int | None, int, int]] = []
    for i, (kind, place) in enumerate(steps):
        if spans and spans[-1][:2] == (kind, place):
            spans[-1] = (kind, place, spans[-1][2], i + 1)
        else:
            spans.append((kind, place, i, i + 1))
    spans = _without_short(nodes, spans)
    return [
        Piece(
            kind,
            nodes[first].at,
            nodes[last].at,
            # Rounded on the way from the start, so that the pieces add up to the whole.
            round(nodes[last].gone_m) - round(nodes[first].gone_m),
            place,
        )
        for kind, place, first, last in spans
    ]


def _without_short(
    nodes: list[_Node], spans: list[tuple[str, int | None, int, int]]
) -> list[tuple[str, int | None, int, int]]:
    def seconds(span: tuple[str, int | None, int, int]) -> int:
        return nodes[span[3]].at - nodes[span[2]].at

    done: list[tuple[str, int | None, int, int]] = []
    for number, span in enumerate(spans):
        after = spans[number + 1] if number + 1 < len(spans) else None
        short = seconds(span) < SHORT_S and span[0] != GAP
        before_fits = bool(done) and done[-1][0] != GAP
        after_fits = after is not None and after[0] != GAP
        if (
            short
            and before_fits
            and (not after_fits or seconds(done[-1]) >= seconds(after or span))
        ):
            span = (done[-1][0], done[-1][1], span[2], span[3])
        elif short and after_fits and after is not None:
            span = (after[0], after[1], span[2], span[3])
        if done and done[-1][:2] == span[:2]:
            done[-1] = (span[0], span[1], done[-1][2], span[3])
        else:
            done.append(span)
    return done


def _km(metres: float) -> str:
    return say("{metres:.1f} km", metres=metres / 1000)
