"""What would a published distance rate charge for these kilometres? Dated tables, tiered rates.

The rates are for claims against tax and hold all costs of a car; a hobby trip's own cost is nearer
the running-cost tier. A table with no row for a day gives Unknown, never the nearest year.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from trips.calc.errors import OutOfRange
from trips.calc.gold import Unknown
from trips.calc.money import minor_per_main, round_minor
from trips.calc.units import MI_KM
from trips.calc.words import say


@dataclass(frozen=True)
class Tier:
    """A rate per unit of distance up to a limit of the year's distance; None is no limit."""

    limit: Decimal | None
    rate: Decimal


@dataclass(frozen=True)
class RateTable:
    """One published rate: its days (last included), unit, currency, tiers and where it stood.

    The distance that fills the tiers begins anew each year on `year_starts` (month-day); empty:
    on the month and day of `first_day`. `holds_fuel`: the fuel of the drive is in the rate.
    """

    name: str
    first_day: date
    last_day: date
    unit: Literal["km", "mi"]
    currency: str
    tiers: tuple[Tier, ...]
    source: str
    year_starts: str = ""
    holds_fuel: bool = True

    def year_of(self, day: date) -> date:
        """The first day of the rate's own year that a day lies in."""
        month_day = self.year_starts or self.first_day.strftime("%m-%d")
        month, number = int(month_day[:2]), int(month_day[3:])
        start = date(day.year, month, number)
        return start if start <= day else date(day.year - 1, month, number)


@dataclass(frozen=True)
class Driven:
    """Metres driven on a day."""

    day: date
    distance_m: int


@dataclass(frozen=True)
class Charge:
    """What a rate would charge, in the main unit of its currency; None with the reason."""

    amount: Decimal | None
    currency: str
    distance: Decimal
    unit: str
    reason: str


@dataclass(frozen=True)
class RatedDrive:
    """What a published rate charges for one drive, in minor units, and from what, in words."""

    amount_minor: int
    basis: str
    holds_fuel: bool
    source: str


def distance_charge(
    tiers: Sequence[Tier], distance: Decimal, already: Decimal = Decimal(0)
) -> Decimal:
    """Charge in the main currency unit for a distance after `already` driven in the same year.

    A distance beyond the last limit is charged nothing: the published caps work so.
    Raises: OutOfRange for negative distances or limits that do not rise.
    """
    limits = [tier.limit for tier in tiers if tier.limit is not None]
    open_end = all(tier.limit is not None for tier in tiers[:-1])
    if limits != sorted(set(limits)) or not open_end or any(limit <= 0 for limit in limits):
        raise OutOfRange(f"The limits {limits} of a rate table must rise, open only at the end.")
    if distance < 0 or already < 0:
        raise OutOfRange(f"A distance of {distance} after {already}: zero or more was expected.")
    return _up_to(tiers, already + distance) - _up_to(tiers, already)


def _up_to(tiers: Sequence[Tier], distance: Decimal) -> Decimal:
    total, start = Decimal(0), Decimal(0)
    for tier in tiers:
        end = distance if tier.limit is None else min(distance, tier.limit)
        total += max(Decimal(0), end - start) * tier.rate
        start = tier.limit if tier.limit is not None else start
    return total


def table_on(tables: Sequence[RateTable], name: str, day: date) -> RateTable | Unknown:
    """The table of a name that holds on a day, or why none does."""
    named = [table for table in tables if table.name == name]
    for table in named:
        if table.first_day <= day <= table.last_day:
            return table
    if not named:
        return Unknown(say("There is no distance rate called {name}.", name=name))
    spans = ", ".join(
        say("{first_day} to {last_day}", first_day=table.first_day, last_day=table.last_day)
        for table in named
    )
    return Unknown(
        say(
            "No {name} rate for {day}; there are rates for {spans}.",
            name=name,
            day=day,
            spans=spans,
        )
    )


def charge(
    tables: Sequence[RateTable],
    name: str,
    driven: Sequence[Driven],
    other_km: Decimal = Decimal(0),
    as_if: RateTable | None = None,
) -> Charge:
    """What the rates of a name would charge for these drives, each at the rate of its own day.

    Args: other_km: driven otherwise in each year before these, which fills the first tiers;
        as_if: one table to take for every day instead, where no rate of the days is published.
    Returns: amount None, with the first reason, when a day has no rate or currencies differ.
    """
    filled: dict[date, Decimal] = {}
    total, distance = Decimal(0), Decimal(0)
    currency, unit = (as_if.currency, as_if.unit) if as_if else ("", "km")
    for each in sorted(driven, key=lambda one: one.day):
        table = as_if or table_on(tables, name, each.day)
        if isinstance(table, Unknown):
            return Charge(None, currency, distance, unit, table.reason)
        if currency and table.currency != currency:
            reason = say(
                "The rates are in {currency} and in {other}.",
                currency=currency,
                other=table.currency,
            )
            return Charge(None, currency, distance, unit, reason)
        currency, unit = table.currency, table.unit
        per_unit = Decimal(1000) if unit == "km" else MI_KM * 1000
        length = each.distance_m / per_unit
        year = table.year_of(each.day)
        before = filled.get(year, other_km * 1000 / per_unit)
        total += distance_charge(table.tiers, length, before)
        filled[year] = before + length
        distance += length
    return Charge(total, currency, distance, unit, "")


def rated_drive(
    tables: Sequence[RateTable],
    name: str,
    drive: Driven,
    before: Sequence[Driven],
    currency: str,
    other_m: int = 0,
) -> RatedDrive | Unknown:
    """One drive at the rate of its own day, after what fills the tiers of the rate's year.

    Args: before: earlier drives of the car, of any year; other_m: driven otherwise in each year.
    Returns: Unknown with the reason where no rate holds or its currency is another.
    Raises: OutOfRange for a negative distance; UnknownCurrency.
    """
    table = table_on(tables, name, drive.day)
    if isinstance(table, Unknown):
        return table
    if table.currency != currency:
        return Unknown(
            say(
                "The rate {name} is in {currency}, this record in {other}, "
                "and no exchange rate is kept.",
                name=name,
                currency=table.currency,
                other=currency,
            )
        )
    year = table.year_of(drive.day)
    filled_m = other_m + sum(one.distance_m for one in before if year <= one.day <= drive.day)
    per_unit = Decimal(1000) if table.unit == "km" else MI_KM * 1000
    length, filled = drive.distance_m / per_unit, filled_m / per_unit
    amount = distance_charge(table.tiers, length, filled)
    minor = round_minor(Fraction(amount) * minor_per_main(currency))
    after = ""
    if len(table.tiers) > 1:
        after = say(
            " after {filled:,.0f} {unit} since {year}", filled=filled, unit=table.unit, year=year
        )
    capped = table.tiers[-1].limit
    if capped is not None:
        after = say(
            " after {filled:,.0f} {unit} since {year}, nothing beyond {capped:,}",
            filled=filled,
            unit=table.unit,
            year=year,
            capped=capped,
        )
    basis = say(
        "{length:,.1f} {unit} by the rate {name} from {first_day}{after}",
        length=length,
        unit=table.unit,
        name=name,
        first_day=table.first_day,
        after=after,
    )
    return RatedDrive(minor, basis, table.holds_fuel, table.source)


@dataclass(frozen=True)
class CarDrive:
    """A car's drive on a trip that happened."""

    trip_id: int
    driven: Driven


@dataclass(frozen=True)
class CarRates:
    """The rates that a party's cars go by: all tables, and each car's drives, oldest first."""

    tables: tuple[RateTable, ...] = ()
    drives: Mapping[int, tuple[CarDrive, ...]] = field(default_factory=dict)

    def before(self, car_id: int, trip_id: int, day: date) -> list[Driven]:
        """What the car drove before a trip; of one day's trips the older row comes first."""
        return [
            each.driven
            for each in self.drives.get(car_id, ())
            if (each.driven.day, each.trip_id) < (day, trip_id)
        ]
