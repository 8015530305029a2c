"""When does the sun rise and set at a place on a day, and how much daylight is there?

Times carry the site's zone. Where the sun does not set or rise that day the note says so. Hills
and gorges are not in it: a creek's own light is shorter.
"""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from trips.calc.errors import OutOfRange
from trips.calc.words import remembered, say

if TYPE_CHECKING:
    from astral import Observer

DAY_MINUTES = 24 * 60


@dataclass(frozen=True)
class Daylight:
    """Sunrise and sunset in the site's zone (None if there is none) and minutes between them."""

    sunrise: datetime | None
    sunset: datetime | None
    minutes: int
    note: str


@remembered(4096)
def daylight(latitude_deg: float, longitude_deg: float, day: date, zone_name: str) -> Daylight:
    """Daylight of a local day at a place, in minutes; a sunset after midnight counts to its day.

    Args: latitude_deg: -90 to 90, south below zero; longitude_deg: -180 to 180, west below zero.
    Raises: OutOfRange for a place not on the globe or a zone that does not exist.
    """
    if not -90 <= latitude_deg <= 90 or not -180 <= longitude_deg <= 180:
        raise OutOfRange(
            say(
                "{latitude_deg}, {longitude_deg} is not a place; latitude -90 to "
                "90 and longitude -180 to 180 were expected.",
                latitude_deg=latitude_deg,
                longitude_deg=longitude_deg,
            )
        )
    try:
        zone = ZoneInfo(zone_name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        raise OutOfRange(
            say("“{zone_name}” is not a time zone like Europe/Oslo.", zone_name=zone_name)
        ) from None
    from astral import Observer
    from astral.sun import elevation, noon

    place = Observer(latitude_deg, longitude_deg)
    # Where zone and longitude lie on two sides of the date line, the sun's noon of "day" may come
    # back a day off: the one nearest to noon by the clock is meant.
    clock = datetime(day.year, day.month, day.day, 12, tzinfo=zone)
    noons = [noon(place, date=day + timedelta(days=n), tzinfo=zone) for n in (-1, 0, 1)]
    middle = min(noons, key=lambda each: abs(each - clock))
    rise, fall = _nearest(place, middle, zone)
    if rise is not None and fall is not None:
        seconds = (fall - rise).total_seconds()
        return Daylight(rise, fall, min(DAY_MINUTES, round(seconds / 60)), "")
    if elevation(place, middle + timedelta(hours=12)) > -0.833:
        return Daylight(None, None, DAY_MINUTES, say("sun does not set"))
    return Daylight(None, None, 0, say("sun does not rise"))


def _nearest(
    place: "Observer", middle: datetime, zone: ZoneInfo
) -> tuple[datetime | None, datetime | None]:
    """The last sunrise before and the first sunset after the sun's noon, within half a day."""
    from astral.sun import sunrise, sunset

    half, around = timedelta(hours=12), [middle.date() + timedelta(days=n) for n in (-1, 0, 1)]
    rises, falls = [], []
    for day in around:
        try:
            rises.append(sunrise(place, date=day, tzinfo=zone))
            falls.append(sunset(place, date=day, tzinfo=zone))
        except ValueError:  # astral's way to say that the sun stays up or down that day
            continue
    before = [each for each in rises if middle - half <= each <= middle]
    after = [each for each in falls if middle <= each <= middle + half]
    return max(before, default=None), min(after, default=None)
