"""Daylight at a site on a day, in words."""

import datetime as dt

from django.utils.translation import gettext

from claims.models import Party, Site
from claims.web import show
from trips.calc.daylight import daylight
from trips.calc.errors import CalcError

PER_DEGREE = 1_000_000


def sun_words(party: Party, site: Site, day: dt.date) -> str:
    """Daylight hours with sunrise and sunset in the site's zone, or why they aren't known."""
    if site.latitude_udeg is None or site.longitude_udeg is None:
        return gettext("unknown: the site's position is not noted")
    zone = site.time_zone or party.time_zone
    try:
        light = daylight(
            site.latitude_udeg / PER_DEGREE, site.longitude_udeg / PER_DEGREE, day, zone
        )
    except CalcError as error:
        return gettext("unknown: {error}").format(error=error)
    if light.sunrise is None or light.sunset is None:
        return light.note
    return gettext("{minutes}, {sunrise:%H:%M} to {sunset:%H:%M} ({zone})").format(
        minutes=show.minutes(light.minutes), sunrise=light.sunrise, sunset=light.sunset, zone=zone
    )


def sun_minutes(party: Party, site: Site, day: dt.date) -> int | None:
    """Minutes between sunrise and sunset; None where the position or the zone isn't known."""
    if site.latitude_udeg is None or site.longitude_udeg is None:
        return None
    zone = site.time_zone or party.time_zone
    try:
        return daylight(
            site.latitude_udeg / PER_DEGREE, site.longitude_udeg / PER_DEGREE, day, zone
        ).minutes
    except CalcError:
        return None
