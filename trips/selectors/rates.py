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
from trips.models import DistanceRate, Trip, TripSite
from trips.selectors.costing import HAPPENED, legs_of

ROADS = ("sealed_m", "unsealed_m", "track_m")
DRIVEN = tuple(f"driven_{road}" for road in ROADS)
NOT_NOTED = [None, None, None]
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
    over = {"state": Trip.State.WRAPPED_UP, "ends_on__lte": until, "vehicle__isnull": False}
    trips = Trip.objects.filter(party=party, **over).order_by("starts_on", "pk")
    ways = _ways(party, {f"trip__{name}": value for name, value in over.items()})
    found: dict[str, tuple[list[Driven], int]] = {}
    for pk, day, car, *parts in trips.values_list("pk", "starts_on", "vehicle__name", *DRIVEN):
        metres = sum(part or 0 for part in parts) if parts != NOT_NOTED else ways.get(pk)
        drives, unknown = found.setdefault(car, ([], 0))
        if metres is None:
            found[car] = (drives, unknown + 1)
        else:
            drives.append(Driven(day, metres))
    return found


def _ways(party: Party, of_trips: dict) -> dict[int, int]:
    """Trip → metres there and back to the farthest site visited, where no drive was noted."""
    rows = TripSite.objects.filter(trip__party=party, was_visited=True, **of_trips).filter(
        **{f"trip__{name}__isnull": True for name in DRIVEN}
    )
    ways: dict[int, int] = {}
    for pk, *parts in rows.order_by().values_list("trip_id", *(f"site__{name}" for name in ROADS)):
        if parts != NOT_NOTED:
            metres = 2 * sum(part or 0 for part in parts)
            ways[pk] = max(metres, ways.get(pk, 0))
    return ways
