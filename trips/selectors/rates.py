"""Published distance rates: those that come along, and the party's own."""

import datetime as dt
import tomllib
from collections.abc import Iterable
from decimal import Decimal
from functools import cache
from pathlib import Path

from claims.models import Party
from trips.calc.kmrates import CarDrive, CarRates, Driven, RateTable, Tier
from trips.calc.ratefile import rate_tables
from trips.models import DistanceRate, Trip
from trips.selectors.costing import HAPPENED, legs_of

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
        row.name,
        row.first_day,
        row.last_day,
        row.unit,
        row.currency,
        tiers,
        row.source,
        row.year_starts,
        row.holds_fuel,
    )


def car_rates(party: Party, trips: Iterable[Trip]) -> CarRates:
    """What the published rates of these trips' cars need; no query when no car has one."""
    cars = {trip.vehicle_id for trip in trips if trip.vehicle and trip.vehicle.rate_name}
    if not cars:
        return CarRates()
    rows = (
        Trip.objects.filter(party=party, state__in=HAPPENED, vehicle__in=cars)
        .select_related("vehicle")
        .prefetch_related("trip_sites__site")
        .order_by("starts_on", "pk")
    )
    drives: dict[int, list[CarDrive]] = {}
    for trip in rows:
        if use := rate_use(trip):
            driven = Driven(trip.starts_on, use["metres"])
            drives.setdefault(trip.vehicle_id, []).append(CarDrive(trip.pk, driven))
    tables = (*own_rates(party), *published())
    return CarRates(tables, {car: tuple(each) for car, each in drives.items()})


def rate_use(trip: Trip) -> dict:
    """What a trip's drive fills of its car's published rate: car, day, metres; empty for nothing.

    Kept with the trip's figures, so that a change shows whose later trips are charged anew.
    """
    if not (trip.vehicle and trip.vehicle.rate_name) or trip.state not in HAPPENED:
        return {}
    metres = sum(leg.distance_m for leg in legs_of(trip) or ())
    if not metres:
        return {}
    return {"car": trip.vehicle_id, "day": trip.starts_on.isoformat(), "metres": metres}


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
