"""The demo's fixed part: an invented district, its people, ground, papers and kit.

Every name and number here is invented. The positions lie in the open ocean, so that daylight
can be worked out and no real creek is meant. Figures of cars and gear are of a believable size.
"""

import datetime as dt

# The day the demo is told for. Pages take ?as_of=2031-10-12 to be read on it.
AS_OF = dt.date(2031, 10, 12)
SEED = 20311012
# A spring flood between the seasons moves the gravel: what a spot held before tells little.
FLOOD_ON = dt.date(2031, 4, 9)
CURRENCY = "EUR"
PRICE_SOURCE = "invented for the demo"
DISTRICT = "Velmarrow District (invented)"
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


def _spot(code, name, feature, latitude_udeg, longitude_udeg, notes=""):
    return {
        "code": code,
        "name": name,
        "feature": feature,
        "latitude_udeg": latitude_udeg,
        "longitude_udeg": longitude_udeg,
        "notes": notes,
    }


SITES = (
    {
        "code": "OSS",
        "name": "Ossaline claim",
        "land_kind": "claim",
        "water_name": "Ossaline Creek",
        "jurisdiction": DISTRICT,
        "latitude_udeg": 46_412_300,
        "longitude_udeg": -8_214_500,
        "sealed_m": 41_000,
        "unsealed_m": 9_000,
        "track_m": 2_500,
        "drive_minutes": 55,
        "walk_minutes": 12,
        "hazards": "Undercut outer bank below the log jam. Cold water until June.",
        "notes": "Our own claim. The inside bend has carried most of the gold.",
        "spots": [
            _spot("OSS-1", "Long inside bend", "inside_bend", 46_412_500, -8_214_300),
            _spot("OSS-2", "Split boulder", "behind_boulder", 46_412_900, -8_214_800),
            _spot("OSS-3", "Log jam", "log_jam", 46_413_400, -8_215_200),
            _spot("OSS-4", "Slate crevices", "crevice", 46_413_800, -8_215_900),
        ],
    },
    {
        "code": "VMR",
        "name": "Velmarrow middle reach",
        "land_kind": "permitted",
        "water_name": "Velmarrow River",
        "jurisdiction": DISTRICT,
        "latitude_udeg": 46_508_100,
        "longitude_udeg": -8_391_200,
        "sealed_m": 36_000,
        "unsealed_m": 4_000,
        "track_m": 0,
        "drive_minutes": 42,
        "walk_minutes": 8,
        "contact": "District office, counter 3 (invented), 000 0200",
        "hazards": "The river rises within an hour after rain in the hills.",
        "notes": "Hand tools and a stream-fed sluice only, says the permit.",
        "spots": [
            _spot("VMR-1", "Ferry bar head", "bar_head", 46_508_400, -8_391_000),
            _spot("VMR-2", "Ferry bar tail", "bar_tail", 46_507_700, -8_391_700),
            _spot("VMR-3", "Three alders", "inside_bend", 46_509_200, -8_390_100),
        ],
    },
    {
        "code": "VWR",
        "name": "Velmarrow weir reach",
        "land_kind": "permitted",
        "water_name": "Velmarrow River",
        "jurisdiction": DISTRICT,
        "latitude_udeg": 46_561_700,
        "longitude_udeg": -8_447_900,
        "sealed_m": 58_000,
        "unsealed_m": 2_000,
        "track_m": 0,
        "drive_minutes": 58,
        "walk_minutes": 5,
        "contact": "District office, counter 3 (invented), 000 0200",
        "hazards": "Strong pull towards the weir: nobody wades below the marker posts.",
        "notes": "Easy parking, much visited, little gold.",
        "spots": [
            _spot("VWR-1", "Weir pool bar", "bar_tail", 46_561_900, -8_447_700),
            _spot("VWR-2", "Mill race mouth", "confluence", 46_562_400, -8_448_300),
            _spot("VWR-3", "Old stone pier", "behind_boulder", 46_562_900, -8_449_000),
        ],
    },
    {
        "code": "PEL",
        "name": "Pelquin common",
        "land_kind": "public",
        "water_name": "Pelquin Creek",
        "jurisdiction": DISTRICT,
        "latitude_udeg": 46_473_600,
        "longitude_udeg": -8_102_800,
        "sealed_m": 14_000,
        "unsealed_m": 1_000,
        "track_m": 0,
        "drive_minutes": 18,
        "walk_minutes": 10,
        "notes": "Close to home, for an afternoon. Gold as fine as flour.",
        "spots": [
            _spot("PEL-1", "Footbridge bar", "bar_head", 46_473_700, -8_102_600),
            _spot("PEL-2", "Clay step", "bench", 46_474_300, -8_103_100),
        ],
    },
    {
        "code": "MAR",
        "name": "Marrable meadow",
        "land_kind": "private",
        "water_name": "Tillowey Brook",
        "jurisdiction": DISTRICT,
        "latitude_udeg": 46_371_200,
        "longitude_udeg": -8_306_400,
        "sealed_m": 29_000,
        "unsealed_m": 3_000,
        "track_m": 1_200,
        "drive_minutes": 36,
        "walk_minutes": 4,
        "contact": "Edda Marrable (owner), call the evening before: 000 0310",
        "hazards": "Cattle in the lower field. Electric fence along the brook.",
        "notes": "Edda wants every hole filled before we leave and the gate shut.",
        "spots": [
            _spot("MAR-1", "Cattle ford", "other", 46_371_300, -8_306_200),
            _spot("MAR-2", "Meadow bench", "bench", 46_371_800, -8_306_900),
            _spot("MAR-3", "Willow roots", "log_jam", 46_372_200, -8_307_300),
        ],
    },
    {
        "code": "DRE",
        "name": "Drennock bends",
        "land_kind": "public",
        "water_name": "Drennock Water",
        "jurisdiction": DISTRICT,
        "latitude_udeg": 46_644_900,
        "longitude_udeg": -8_233_300,
        "sealed_m": 47_000,
        "unsealed_m": 12_000,
        "track_m": 3_000,
        "drive_minutes": 68,
        "walk_minutes": 15,
        "closed_from": "10-15",
        "closed_until": "04-30",
        "closed_reason": "Spawning season, says the notice board at the car park.",
        "contact": "District office, counter 3 (invented), 000 0200",
        "notes": "Closed over the winter.",
        "spots": [
            _spot("DRE-1", "First bend", "inside_bend", 46_645_100, -8_233_100),
            _spot("DRE-2", "Second bend", "inside_bend", 46_645_800, -8_233_900),
            _spot("DRE-3", "Gneiss slab", "crevice", 46_646_300, -8_234_500),
        ],
    },
    {
        "code": "SKE",
        "name": "Skelvane gorge",
        "land_kind": "public",
        "water_name": "Skelvane Creek",
        "jurisdiction": DISTRICT,
        "latitude_udeg": 46_903_500,
        "longitude_udeg": -7_318_600,
        "sealed_m": 151_000,
        "unsealed_m": 18_000,
        "track_m": 8_000,
        "drive_minutes": 195,
        "walk_minutes": 50,
        "hazards": "No reception. One way in: leave at once when the water turns brown.",
        "notes": "Coarse gold, but a long way. Only worth it for two days.",
        "spots": [
            _spot("SKE-1", "Black ledge", "crevice", 46_903_700, -7_318_400),
            _spot("SKE-2", "Anvil boulder", "behind_boulder", 46_904_200, -7_319_000),
            _spot("SKE-3", "Upper plunge pool", "other", 46_904_900, -7_319_700),
        ],
    },
    {
        "code": "HAR",
        "name": "Harrowmist Burn",
        "land_kind": "unknown",
        "water_name": "Harrowmist Burn",
        "jurisdiction": DISTRICT,
        "latitude_udeg": 46_333_800,
        "longitude_udeg": -8_468_700,
        "sealed_m": 38_000,
        "unsealed_m": 6_000,
        "track_m": 1_500,
        "drive_minutes": 52,
        "walk_minutes": 20,
        "notes": "Never tried. An old map shows diggings; whose land it is we have to ask.",
        "spots": [_spot("HAR-1", "Mouth of the burn", "confluence", 46_334_000, -8_468_500)],
    },
)

PAPERS = (
    {
        "kind": "licence",
        "name": "District gold washing licence",
        "number": "VD-2214",
        "holder": "Robin Vayle",
        "issuer": "Velmarrow District Office (invented)",
        "issued_on": dt.date(2030, 4, 1),
        "expires_on": dt.date(2032, 3, 31),
        "renewal_lead_days": 60,
        "conditions": "Pan, hand tools and one sluice a person. Report what was moved each year.",
        "fee_minor": 4800,
        "fee_spread": "trips",
        "sites": ["Velmarrow middle reach", "Velmarrow weir reach", "Pelquin common"]
        + ["Drennock bends", "Skelvane gorge"],
    },
    {
        "kind": "claim",
        "name": "Ossaline claim",
        "number": "OC-118",
        "holder": "Robin Vayle",
        "issuer": "Velmarrow District Office (invented)",
        "issued_on": dt.date(2029, 11, 1),
        "expires_on": dt.date(2031, 10, 31),
        "renewal_lead_days": 60,
        "conditions": "One engine pump up to 3 hp. Holes filled by the end of October. "
        "Renewal asks for days on site, hours, gravel moved and gold found.",
        "fee_minor": 12000,
        "fee_spread": "term",
        "sites": ["Ossaline claim"],
    },
    {
        "kind": "permit",
        "name": "Middle reach permit 2030",
        "number": "MR-30-077",
        "holder": "Robin Vayle",
        "issuer": "Velmarrow River Board (invented)",
        "issued_on": dt.date(2030, 4, 1),
        "expires_on": dt.date(2031, 3, 31),
        "renewal_lead_days": 30,
        "conditions": "Hand tools and a stream-fed sluice. No engines.",
        "fee_minor": 3000,
        "fee_spread": "trips",
        "sites": ["Velmarrow middle reach"],
    },
    {
        "kind": "permit",
        "name": "Middle reach permit 2031",
        "number": "MR-31-052",
        "holder": "Robin Vayle",
        "issuer": "Velmarrow River Board (invented)",
        "issued_on": dt.date(2031, 4, 1),
        "expires_on": dt.date(2032, 3, 31),
        "renewal_lead_days": 30,
        "conditions": "Hand tools and a stream-fed sluice. No engines.",
        "fee_minor": 3200,
        "fee_spread": "trips",
        "sites": ["Velmarrow middle reach"],
    },
    {
        "kind": "permit",
        "name": "Weir reach permit",
        "number": "WR-30-019",
        "holder": "Mika Tornell",
        "issuer": "Velmarrow River Board (invented)",
        "issued_on": dt.date(2030, 4, 15),
        "expires_on": dt.date(2031, 12, 31),
        "renewal_lead_days": 60,
        "conditions": "Hand tools and a stream-fed sluice. Not below the marker posts.",
        "fee_minor": 4000,
        "fee_spread": "trips",
        "sites": ["Velmarrow weir reach"],
    },
    {
        "kind": "consent",
        "name": "Consent of Edda Marrable",
        "holder": "Robin Vayle and Mika Tornell",
        "issuer": "Edda Marrable",
        "issued_on": dt.date(2030, 5, 20),
        "renewal_lead_days": 60,
        "conditions": "Call the evening before. Fill every hole, shut the gate. No end is written.",
        "fee_spread": "none",
        "sites": ["Marrable meadow"],
    },
)

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
    _gear(
        "sucker", "Crevice hand pump", "hand_pump", 3800, 0, 18_000, dt.date(2030, 6, 10)
    ),
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
