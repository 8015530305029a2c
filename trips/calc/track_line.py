"""A track as a line for a map: fewer points, the same way."""

from collections.abc import Sequence

from trips.calc.gpx_read import Fix
from trips.calc.tracks import near_m


def thinned(segments: Sequence[Sequence[Fix]], most: int) -> list[list[tuple[int, int]]]:
    """The track's line for a map: (latitude, longitude) in millionths, at most about `most`.

    Fixes closer than a growing distance to the last one kept are left out; ends stay.
    """
    least = 0.0
    while True:
        lines = [_line(part, least) for part in segments if part]
        if sum(len(line) for line in lines) <= max(most, 2 * len(lines)):
            return lines
        least = least * 2 or 5.0


def _line(part: Sequence[Fix], least_m: float) -> list[tuple[int, int]]:
    kept = [part[0]]
    for fix in part[1:-1]:
        last = kept[-1]
        if near_m(last.latitude, last.longitude, fix.latitude, fix.longitude) >= least_m:
            kept.append(fix)
    if len(part) > 1:
        kept.append(part[-1])
    return [(round(f.latitude * 1_000_000), round(f.longitude * 1_000_000)) for f in kept]
