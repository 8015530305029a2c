"""What would a published distance rate charge for these kilometres? Dated tables, tiered rates.

The rates are for claims against tax and hold all costs of a car; a hobby trip's own cost is nearer
the running-cost tier. A table with no row for a day gives Unknown, never the nearest year.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Literal

from trips.calc.errors import OutOfRange
from trips.calc.gold import Unknown


@dataclass(frozen=True)
class Tier:
    """A rate per unit of distance up to a limit of the year's distance; None is no limit."""

    limit: Decimal | None
    rate: Decimal


@dataclass(frozen=True)
class RateTable:
    """One published rate: its days (last included), unit, currency, tiers and where it stood."""

    name: str
    first_day: date
    last_day: date
    unit: Literal["km", "mi"]
    currency: str
    tiers: tuple[Tier, ...]
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
        return Unknown(f"There is no distance rate called {name}.")
    spans = ", ".join(f"{table.first_day} to {table.last_day}" for table in named)
    return Unknown(f"No {name} rate for {day}; there are rates for {spans}.")
