"""Stored integers as text for people. Unknown is the word, never a zero or a blank."""

import datetime as dt
from decimal import Decimal

from django.core.exceptions import ValidationError
from django.forms import DateField

from claims.web.asof import zone
from trips.calc import local
from trips.calc import money as money_calc
from trips.calc import units as units_calc
from trips.calc.words import marked, say

UNKNOWN = marked("unknown")
THIN = "\u2009"
DIGITS = {"g": 2, "dwt": 2, "grain": 1, "ozt": 4, "L": 1, "us_gal": 1, "imp_gal": 1, "km": 1}


def grouped(number: Decimal | int) -> str:
    """Digits grouped as the reader writes them; without a region in threes with a thin space."""
    return local.number(number, group=THIN)


def quantity(kind: str, base: int | None, unit: str, places: int | None = None) -> str:
    """A stored quantity in `unit`, e.g. "1.24 g"; small masses keep their milligrams."""
    if base is None:
        return say(UNKNOWN)
    chosen = units_calc.unit(kind, unit)
    if places is None:
        places = DIGITS.get(unit, 1)
        if unit == "g" and base < 100_000_000:
            places = 3
    return f"{grouped(units_calc.from_base(base, chosen, places))}\u202f{chosen.label}"


def grams(mass_ug: int) -> str:
    """Grams with as many decimals as the figure needs, e.g. "0.8 g"."""
    exact = units_calc.from_base(mass_ug, units_calc.unit("mass", "g"), 6)
    places = max(0, -int(exact.normalize().as_tuple().exponent))
    return quantity("mass", mass_ug, "g", places)


def money(minor: int | None, currency: str) -> str:
    """An amount with its currency, e.g. "12.50 EUR"."""
    if minor is None:
        return say(UNKNOWN)
    return local.money(money_calc.from_minor(minor, currency), currency, group=THIN)


def minutes(value: int | None) -> str:
    """A length of time, e.g. "3 h 20"."""
    if value is None:
        return say(UNKNOWN)
    hours, rest = divmod(value, 60)
    if not hours:
        return f"{rest}\u202fmin"
    return f"{grouped(hours)}\u202fh\u202f{rest:02d}" if rest else f"{grouped(hours)}\u202fh"


def counts(coarse: int | None, medium: int | None, fine: int | None) -> str:
    """Colours by class, e.g. "1 · 4 · 12"; a class that wasn't counted shows a dash."""
    if coarse is None and medium is None and fine is None:
        return say("not counted")
    return " · ".join("–" if n is None else str(n) for n in (coarse, medium, fine))


def day(value: dt.date | None) -> str:
    """A date that can't be misread, e.g. "3 May 2031"."""
    return say(UNKNOWN) if value is None else local.day(value)


def day_typed(field: DateField, value: object) -> str:
    """What stands in a box for a day, like every other day; as it was typed if it is none."""
    try:
        found = field.to_python(value)
    except ValidationError:
        return str(value)
    return day(found) if found else ""


def clock_span(began: dt.datetime | None, ended: dt.datetime | None, zone_name: str) -> str:
    """From when to when by the clock of a zone, e.g. "10:05–11:40"; empty for neither."""
    faces = [f"{each.astimezone(zone(zone_name)):%H:%M}" if each else "" for each in (began, ended)]
    if all(faces):
        return "–".join(faces)
    return (
        say("from {faces}", faces=faces[0])
        if faces[0]
        else say("until {faces}", faces=faces[1])
        if faces[1]
        else ""
    )


def position(latitude_udeg: int | None, longitude_udeg: int | None) -> str:
    """Degrees as they are typed, e.g. "46.5012, 7.9034"; five decimals are about a metre."""
    if latitude_udeg is None or longitude_udeg is None:
        return say(UNKNOWN)
    return f"{latitude_udeg / 1_000_000:.5f}, {longitude_udeg / 1_000_000:.5f}"


def month_day(text: str) -> str:
    """A stored "MM-DD" as people say it, e.g. "31 October"."""
    month, number = (int(part) for part in text.split("-"))
    return local.month_and_day(month, number)
