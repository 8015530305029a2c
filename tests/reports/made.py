"""Facts for the pure figures: fixed values, name only what a test is about."""

import datetime as dt
from decimal import Decimal

from reports.figures.facts import PanFacts, PartyFacts, RunFacts, SitePart, TripFacts
from trips.calc.gold import PricePoint

DAY = dt.date(2031, 5, 3)
# 100 EUR a gram of pure gold, so that a gram is worth 10 000 minor units.
PRICE = PricePoint(dt.date(2031, 1, 1), Decimal(100), "g", "EUR", "made up for tests")


def party(**overrides) -> PartyFacts:
    values = {"currency": "EUR", "payable_ppt": 1000, "fineness": 885, "hourly_figure_minor": None}
    return PartyFacts(**values | overrides)


def trip(trip_id: int = 1, parts=((1, 60, None),), **overrides) -> TripFacts:
    """A day trip of ten hours to site 1: half a gram of pure gold, 20.00 out, 12.00 of it fuel."""
    values = {
        "own_name": f"Trip {trip_id}",
        "starts_on": DAY,
        "ends_on": DAY,
        "mass_ug": 600_000,
        "fine_ug": 500_000,
        "fuel_minor": 1_200,
        "outlay_minor": 2_000,
        "wear_minor": 500,
        "door_minutes": 600,
        "person_minutes": 1_200,
        "washed_ml": 100_000,
        "unknown": (),
    }
    values |= overrides
    return TripFacts(trip_id=trip_id, parts=tuple(SitePart(*part) for part in parts), **values)


def pan(**overrides) -> PanFacts:
    values = {
        "site_id": 1,
        "spot_id": 1,
        "spot": "Bend",
        "layer": "gravel",
        "day": DAY,
        "volume_ml": 10_000,
        "coarse": 0,
        "medium": 1,
        "fine": 4,
    }
    return PanFacts(**values | overrides)


def run(**overrides) -> RunFacts:
    values = {
        "spot_id": 1,
        "spot": "Bend",
        "layer": "gravel",
        "day": DAY,
        "volume_ml": 100_000,
        "minutes": 60,
        "share_ug": 50_000,
    }
    return RunFacts(**values | overrides)
