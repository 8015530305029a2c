"""The demo's outlines and the one track that a receiver wrote: all invented, in the open ocean."""

import datetime as dt
import math

from trips.demo.chance import Chance
from trips.demo.places import SITES

DAY = dt.date(2031, 10, 11)
TRIP = "T2031-24"
TRACK_FILE = f"track_{TRIP}.gpx"
TRACK_NAME = "Saturday on the claim (invented)"
LEFT_HOME = dt.datetime.combine(DAY, dt.time(7, 10), dt.UTC)
ADDED_AT = dt.datetime.combine(DAY, dt.time(20, 15), dt.UTC)
HOME = (45.98, -7.93)
# Corners in metres north and east of the site's position.
OSSALINE_M = ((-160, -150), (-120, 60), (40, 110), (220, 20), (250, -160), (60, -190))
MARRABLE_M = ((-110, -140), (-130, 120), (90, 150), (120, -100))
METRE = 1 / 111_200  # of latitude, in degrees


def shape_rows() -> list[dict]:
    """Outlines of the claim and the meadow: rings of corners around the site's middle."""
    return [
        _shape("OSS", 250, OSSALINE_M),
        _shape("MAR", 200, MARRABLE_M),
    ]


def _shape(code: str, radius_m: int, corners) -> dict:
    site = next(each for each in SITES if each["code"] == code)
    lat, lon = site["latitude_udeg"], site["longitude_udeg"]
    width = math.cos(math.radians(lat / 1e6))
    ring = [
        [lat + round(north * METRE * 1e6), lon + round(east * METRE / width * 1e6)]
        for north, east in corners
    ]
    return {"site": site["name"], "radius_m": radius_m, "latitude_longitude_udeg": ring}


def track_gpx() -> str:
    """The way there, the walk in and the hours around three spots, a fix a minute or so."""
    chance = Chance("track of the last days")
    site = next(each for each in SITES if each["code"] == "OSS")
    spots = [(each["latitude_udeg"] / 1e6, each["longitude_udeg"] / 1e6) for each in site["spots"]]
    parking = (site["latitude_udeg"] / 1e6 - 0.0065, site["longitude_udeg"] / 1e6 + 0.0035)
    fixes = []
    at = LEFT_HOME
    # A road bends; the drive of 55 minutes has a fix a minute.
    for n in range(56):
        share = n / 55
        bend = 0.03 * math.sin(7 * share) * (1 - share)
        fixes.append((*_between(HOME, parking, share, bend), at))
        at += dt.timedelta(seconds=60)
    for n in range(1, 13):
        fixes.append((*_between(parking, spots[0], n / 12, 0.0004 * math.sin(n)), at))
        at += dt.timedelta(seconds=60)
    for spot, minutes in ((spots[2], 150), (spots[0], 45), (spots[1], 60)):
        for _ in range(minutes // 5):
            wander = [chance.normal(0, 4) * METRE for _ in range(2)]
            fixes.append((spot[0] + wander[0], spot[1] + wander[1], at))
            at += dt.timedelta(seconds=290)
    points = "\n".join(
        f'<trkpt lat="{lat:.6f}" lon="{lon:.6f}"><time>{when:%Y-%m-%dT%H:%M:%SZ}</time></trkpt>'
        for lat, lon, when in fixes
    )
    bar = (spots[3][0] + 60 * METRE, spots[3][1] - 90 * METRE)
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        '<gpx version="1.1" creator="demo" xmlns="http://www.topografix.com/GPX/1/1">\n'
        f'<wpt lat="{bar[0]:.6f}" lon="{bar[1]:.6f}"><name>New bar above the slate</name></wpt>\n'
        f"<trk><name>{TRACK_NAME}</name><trkseg>\n{points}\n</trkseg></trk>\n</gpx>\n"
    )


def _between(one, other, share: float, aside: float) -> tuple[float, float]:
    return (
        one[0] + share * (other[0] - one[0]) + aside,
        one[1] + share * (other[1] - one[1]) - aside,
    )
