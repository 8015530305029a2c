"""The demo's fixed part: its day, people and kit.

Every name and number is invented; figures of cars and gear are of a believable size.
"""

import datetime as dt

# The day the demo is told for. Pages take ?as_of=2031-10-12 to be read on it.
AS_OF = dt.date(2031, 10, 12)
SEED = 20311012
# A spring flood between the seasons moves the gravel: what a spot held before tells little.
FLOOD_ON = dt.date(2031, 4, 9)
CURRENCY = "EUR"
PRICE_SOURCE = "invented for the demo"
PARTY_NAME = "Velmarrow weekend party (demo)"
PASSWORD = "gravel-demo"

PARTY = {
    "name": PARTY_NAME,
    "as_of": AS_OF,
    "currency": CURRENCY,
    "time_zone": "UTC",
    "home_name": "Quillbeck (invented)",
    "hourly_figure_minor": 600,
    "fineness": 885,
    "payable_ppt": 920,
    "pan_volume_ml": 5500,
    "fuel_price_milli_per_l": 1720,
}

# username, name, role in the party
LOG_INS = (
    {"username": "robin", "first_name": "Robin", "last_name": "Vayle", "role": "keeper"},
    {"username": "mika", "first_name": "Mika", "last_name": "Tornell", "role": "hand"},
    {"username": "jonna", "first_name": "Jonna", "last_name": "Feldquist", "role": "reader"},
)
PEOPLE = (
    {"name": "Robin Vayle", "username": "robin", "phone": "000 0101"},
    {"name": "Mika Tornell", "username": "mika", "phone": "000 0102"},
    {"name": "Jonna Feldquist", "username": "jonna", "phone": "000 0103"},
)
PERSON_OF = {"R": "Robin Vayle", "M": "Mika Tornell", "J": "Jonna Feldquist"}


VEHICLES = (
    {
        "code": "van",
        "name": "Old van",
        "fuel": "diesel",
        "sealed_ml_per_100km": 9_200,
        "unsealed_ml_per_100km": 10_800,
        "track_ml_per_100km": 15_500,
        "towing_pct": 130,
        "wear_milli_per_km": 110,
        "wear_source": "Own guess from two years of tyres and repairs (invented)",
    },
    {
        "code": "car",
        "name": "Small estate car",
        "fuel": "petrol",
        "sealed_ml_per_100km": 6_400,
        "unsealed_ml_per_100km": 7_500,
        "track_ml_per_100km": 10_500,
        "towing_pct": 130,
        "wear_milli_per_km": 140,
        "wear_source": "Own guess from price and service book (invented)",
    },
)


def _gear(code, name, kind, price_minor, residual_minor, life_minutes, bought_on, **more):
    return {
        "code": code,
        "name": name,
        "kind": kind,
        "price_minor": price_minor,
        "residual_minor": residual_minor,
        "life_minutes": life_minutes,
        "bought_on": bought_on,
        **more,
    }


GEAR = (
    _gear("pan", "Pan 40 cm", "pan", 1900, 0, 60_000, dt.date(2029, 8, 4), volume_ml=5_500),
    _gear("half", "Pan 30 cm", "pan", 1400, 0, 60_000, dt.date(2029, 8, 4), volume_ml=2_500),
    _gear("shovel", "Long shovel", "hand_tool", 3400, 0, 48_000, dt.date(2029, 8, 4)),
    _gear("bar", "Crowbar", "hand_tool", 4200, 1000, 120_000, dt.date(2030, 5, 2)),
    _gear("sucker", "Crevice hand pump", "hand_pump", 3800, 0, 18_000, dt.date(2030, 6, 10)),
    _gear(
        "sluice",
        "Stream sluice",
        "sluice_stream_fed",
        14_500,
        3_000,
        36_000,
        dt.date(2030, 4, 6),
        length_mm=1_270,
        riffle_area_cm2=2_700,
        feed_ml_per_h=300_000,
    ),
    _gear(
        "box",
        "Pump-fed box",
        "sluice_pumped",
        62_000,
        20_000,
        48_000,
        dt.date(2031, 5, 15),
        power="engine",
        length_mm=1_600,
        riffle_area_cm2=5_100,
        feed_ml_per_h=650_000,
        # 0.060 US gal an hour per rated hp: average of a four-stroke engine over a year of varied
        # work, Iowa State Extension, Estimating Farm Machinery Costs, page 6 (seen); 2.5 hp.
        hp_hundredths=250,
        pump_flow_ml_per_min=150_000,
        fuel_ml_per_h=570,
        notes="Fuel of its pump is counted here, with the hours of the box.",
    ),
    _gear(
        "pump",
        "Engine pump 2.5 hp",
        "pump",
        28_000,
        6_000,
        60_000,
        dt.date(2031, 5, 15),
        power="engine",
        hp_hundredths=250,
        pump_flow_ml_per_min=150_000,
        # Zero and not empty: known to be counted elsewhere.
        fuel_ml_per_h=0,
        notes="Drives the pump-fed box; its fuel is counted there.",
    ),
    _gear("sieve", "Sieve 12 mm", "other", 2600, 0, 60_000, dt.date(2030, 4, 6)),
)
