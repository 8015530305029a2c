"""Published distance rates: those that come along, and the party's own."""

import datetime as dt
import tomllib
from decimal import Decimal
from functools import cache
from pathlib import Path

from claims.models import Party
from trips.calc.kmrates import Driven, RateTable, Tier
from trips.calc.ratefile import rate_tables
from trips.models import DistanceRate, Trip
from trips.selectors.costing import legs_of

FILE = Path(__file__).resolve().parent.parent / "data" / "km_rates.toml"


@cache
def published() -> tuple[RateTable, ...]:
    """The rates that come along; the file is read once."""
    return rate_tables(tomllib.loads(FILE.read_text(encoding="utf-8")))


def own_rates(party: Party) -> tuple[RateTable, ...]:
    """The rates the party typed in; one query."""
    return tuple(as_table(row) for row in DistanceRate.objects.filter(party=party))


def as_table(row: DistanceRate) -> RateTable:
    """One typed rate as a table."""
    first = Decimal(row.rate_milli) / 1000
    if row.first_tier_upto is None:
        tiers: tuple[Tier, ...] = (Tier(None, first),)
    else:
        tiers = (Tier(Decimal(row.first_tier_upto), first),)
        if row.second_rate_milli is not None:
            tiers += (Tier(None, Decimal(row.second_rate_milli) / 1000),)
    return RateTable(
        row.name, row.first_day, row.last_day, row.unit, row.currency, tiers, row.source
    )


def driven_by_car(party: Party, until: dt.date) -> dict[str, tuple[list[Driven], int]]:
    """Car → its drives on wrapped-up trips, and how many drives aren't known; two queries."""
    trips = (
        Trip.objects.filter(party=party, state=Trip.State.WRAPPED_UP, ends_on__lte=until)
        .filter(vehicle__isnull=False)
        .select_related("vehicle")
        .prefetch_related("trip_sites__site")
        .order_by("starts_on", "pk")
    )
    found: dict[str, tuple[list[Driven], int]] = {}
    for trip in trips:
        legs = legs_of(trip)
        drives, unknown = found.get(trip.vehicle.name, ([], 0))
        if legs is None:
            unknown += 1
        else:
            drives.append(Driven(trip.starts_on, sum(leg.distance_m for leg in legs)))
        found[trip.vehicle.name] = (drives, unknown)
    return found
