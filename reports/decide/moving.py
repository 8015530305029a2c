"""How long until one digs at the second choice? Walk out, drive, walk in; what isn't noted is said.

Times between two sites are hardly ever on record, so they are worked out from the ways home: by
the distance between them at the speed of their own roads, or, without positions, by the longer
of the two drives.
"""

from dataclasses import dataclass

from trips.calc.words import say

BEND = 1.4  # road over straight distance in hills (own judgement)
SPEED_M_PER_MIN = 40_000 / 60
WALK_MIN = 10
DRIVE_MIN = 45


@dataclass(frozen=True)
class WayHome:
    """One site's way home; None is not noted."""

    drive_minutes: int | None
    walk_minutes: int | None
    distance_m: int | None


@dataclass(frozen=True)
class Move:
    """Hours from digging here to digging there, with what they rest on."""

    hours: float
    words: str


def move_between(here: WayHome, there: WayHome, straight_m: float | None) -> Move:
    """The move from one site to another; straight_m is None where a position isn't noted."""
    walks = [way.walk_minutes for way in (here, there)]
    walked = sum(WALK_MIN if walk is None else walk for walk in walks)
    said = [say("a walk that isn't noted is taken as 10 minutes")] if None in walks else []
    drives = [way.drive_minutes for way in (here, there) if way.drive_minutes is not None]
    if straight_m is not None:
        timed = [
            (way.distance_m, way.drive_minutes)
            for way in (here, there)
            if way.distance_m and way.drive_minutes
        ]
        speed = (
            sum(metres for metres, _ in timed) / sum(minutes for _, minutes in timed)
            if timed
            else SPEED_M_PER_MIN
        )
        drive = straight_m * BEND / speed
        said.insert(
            0,
            say(
                "the drive from {straight_m:.0f} km as the crow flies", straight_m=straight_m / 1000
            ),
        )
    elif drives:
        drive = max(drives)
        said.insert(0, say("the drive as the longer of the two from home, for want of positions"))
    else:
        drive = DRIVE_MIN
        said.insert(0, say("the drive as 45 minutes, because none is noted"))
    return Move((drive + walked) / 60, "; ".join(said))
