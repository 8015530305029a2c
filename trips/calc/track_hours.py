"""Pieces of a track → blocks of hours by local day, and the drive's length by kind of road."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from trips.calc.tracks import DRIVE, GAP, Piece

LEAST_S = 30


@dataclass(frozen=True)
class Block:
    """Time of one kind on one local day, put together over its pieces.

    `place` indexes the sites for time on site. Minutes are rounded to the nearest one.
    """

    day: dt.date
    kind: str
    place: int | None
    minutes: int
    distance_m: int
    begins: dt.datetime
    ends: dt.datetime


def blocks(pieces: Sequence[Piece], zone: dt.tzinfo, shift_s: int = 0) -> tuple[Block, ...]:
    """Blocks in the order in which they begin; a piece over midnight is split there.

    Gaps are left out: nobody knows what happened in them.

    Args:
        zone: the time zone of the place, which says when a day ends.
        shift_s: seconds to add where the recorder's clock was off.
    """
    found: dict[tuple[dt.date, str, int | None], list[tuple[int, int, float]]] = {}
    for piece in pieces:
        if piece.kind == GAP:
            continue
        for day, begins, ends in _by_day(piece.begins + shift_s, piece.ends + shift_s, zone):
            part = (ends - begins) / piece.seconds if piece.seconds else 1.0
            key = (day, piece.kind, piece.place)
            found.setdefault(key, []).append((begins, ends, piece.distance_m * part))
    made = []
    for (day, kind, place), parts in found.items():
        seconds = sum(ends - begins for begins, ends, _ in parts)
        if seconds < LEAST_S:
            continue
        made.append(
            Block(
                day,
                kind,
                place,
                max(1, (seconds + 30) // 60),
                round(sum(metres for _, _, metres in parts)),
                dt.datetime.fromtimestamp(parts[0][0], zone),
                dt.datetime.fromtimestamp(parts[-1][1], zone),
            )
        )
    return tuple(sorted(made, key=lambda block: block.begins))


def _by_day(begins: int, ends: int, zone: dt.tzinfo) -> list[tuple[dt.date, int, int]]:
    """(local day, begin, end) of each day that an interval touches."""
    parts = []
    while True:
        day = dt.datetime.fromtimestamp(begins, zone).date()
        midnight = dt.datetime.combine(day + dt.timedelta(days=1), dt.time(), zone)
        end = min(ends, int(midnight.timestamp()))
        parts.append((day, begins, end))
        if end >= ends:
            return parts
        begins = end


def driven_m(pieces: Sequence[Piece]) -> int:
    """Metres driven."""
    return sum(piece.distance_m for piece in pieces if piece.kind == DRIVE)


def is_one_way(
    total_m: int, sealed_m: int | None, unsealed_m: int | None, track_m: int | None
) -> bool:
    """Whether a drive is about as long as the known way there, so that the way back is missing."""
    if sealed_m is None or unsealed_m is None or track_m is None:
        return False
    return 0 < total_m < 1.5 * (sealed_m + unsealed_m + track_m)


def by_road(
    total_m: int, sealed_m: int | None, unsealed_m: int | None, track_m: int | None
) -> tuple[int, int, int]:
    """A drive's length over sealed road, unsealed road and track, as the known leg is made up.

    Unsealed stretches and tracks lie at the site's end, so they are taken whole, there and back,
    and sealed road gets what is left. Without a known leg everything is sealed road.
    """
    unsealed = min(2 * (unsealed_m or 0), total_m)
    track = min(2 * (track_m or 0), total_m - unsealed)
    if sealed_m == 0 and unsealed + track:
        # No sealed road on the way: what is left belongs to the two kinds there are.
        rest = total_m - unsealed - track
        more = round(rest * unsealed / (unsealed + track))
        return 0, unsealed + more, track + rest - more
    return total_m - unsealed - track, unsealed, track
