"""Stored facts about gear, trips, gold and prices, and the rows derived from them.

Facts are integers in base units; null means "not known" or "not counted", never zero.
Derived rows live in `derived.py`, say so in their names, and are only written by
`trips.services.derive`.
"""

from trips.models.checks import SignOff, TripAnswer
from trips.models.derived import DerivedShare, DerivedTripFigures
from trips.models.field import Cost, HoursBlock, Run, TestPan
from trips.models.files import TripFile
from trips.models.flood import Flood, Gauge
from trips.models.gold import GoldLot, MergedLot, Price, WeighIn
from trips.models.importing import ImportBatch
from trips.models.kit import DistanceRate, Gear, Vehicle
from trips.models.notes import FieldNote
from trips.models.sync import FieldEntry, FieldRecord
from trips.models.tracks import Track
from trips.models.trip import Trip, TripPerson, TripSite

__all__ = [
    "Cost",
    "DerivedShare",
    "DerivedTripFigures",
    "DistanceRate",
    "FieldEntry",
    "FieldNote",
    "FieldRecord",
    "Flood",
    "Gauge",
    "Gear",
    "GoldLot",
    "HoursBlock",
    "ImportBatch",
    "MergedLot",
    "Price",
    "Run",
    "SignOff",
    "TestPan",
    "Track",
    "Trip",
    "TripAnswer",
    "TripFile",
    "TripPerson",
    "TripSite",
    "Vehicle",
    "WeighIn",
]
