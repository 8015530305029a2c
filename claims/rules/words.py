"""The words a pack may use: kinds of rule, gear, land, titles, amounts, due points.

A word that isn't here is refused with the list beside it, so that a typing mistake can't turn a
rule off. Kinds of rule and of gear follow what the texts of two dozen places had to say.
"""

from typing import Literal

from trips.calc.words import Spoken, marked

Outcome = Literal["stop", "do", "ask", "know"]
Phase = Literal["plan", "leave", "creek", "home", "after"]
PHASES: tuple[Phase, ...] = ("plan", "leave", "creek", "home", "after")
PHASE_WORDS = Spoken(
    {
        "plan": marked("Before you plan"),
        "leave": marked("Before you leave"),
        "creek": marked("At the creek"),
        "home": marked("Before you go home"),
        "after": marked("Afterwards"),
    }
)

PaperWord = Literal["licence", "permit", "claim", "consent"]
Kind = Literal[
    "authorisation_required",
    "consent_required",
    "area_excluded",
    "equipment_prohibited",
    "equipment_allowed",
    "authority_term",
    "no_authorisation_needed",
    "equipment_limit",
    "season_window",
    "rehab_duty",
    "fee",
    "setback",
    "zone_constraint",
    "site_protection",
    "equipment_needs_permit",
    "notice_required",
    "area_allowed",
    "report_due",
    "find_ownership",
    "holder_eligibility",
    "carry_authority",
    "water_protection",
    "quantity_cap",
    "dual_permit",
    "purpose_limit",
    "penalty",
    "group_limit",
    "application_deadline",
    "claim_maintenance",
    "depth_limit",
    "occupancy_limit",
    "quota",
    "daily_hours",
    "stop_trigger",
    "heritage_protection",
    "standdown",
    "operator_presence",
]

GearClass = Literal[
    "pan",
    "hand_tool",
    "sieve",
    "detector",
    "hand_pump",
    "pump",
    "sluice_stream_fed",
    "sluice_pumped",
    "dry_washer_hand",
    "dry_washer_battery",
    "dry_washer_engine",
    "dredge_suction",
    "dredge_gravity_siphon",
    "rocker",
    "spiral_wheel",
    "trommel",
    "winch_hand",
    "winch_vehicle",
    "generator",
    "excavator",
    "explosives",
    "chemicals",
    "other",
]
GEAR_WORDS = Spoken(
    {
        "pan": marked("pan"),
        "hand_tool": marked("hand tool"),
        "sieve": marked("sieve"),
        "detector": marked("detector"),
        "hand_pump": marked("hand pump"),
        "pump": marked("pump"),
        "sluice_stream_fed": marked("stream-fed sluice"),
        "sluice_pumped": marked("pump-fed sluice"),
        "dry_washer_hand": marked("hand dry washer"),
        "dry_washer_battery": marked("battery dry washer"),
        "dry_washer_engine": marked("engine dry washer"),
        "dredge_suction": marked("suction dredge"),
        "dredge_gravity_siphon": marked("gravity or siphon dredge"),
        "rocker": marked("rocker"),
        "spiral_wheel": marked("spiral wheel"),
        "trommel": marked("trommel"),
        "winch_hand": marked("hand winch"),
        "winch_vehicle": marked("vehicle winch"),
        "generator": marked("generator"),
        "excavator": marked("excavator"),
        "explosives": marked("explosives"),
        "chemicals": marked("chemicals"),
        "other": marked("other gear"),
    }
)
Power = Literal["none", "battery", "engine"]
POWER_WORDS = Spoken(
    {
        "none": marked("without power"),
        "battery": marked("battery-powered"),
        "engine": marked("engine-powered"),
    }
)
Use = Literal["search", "dig", "disturb", "process"]

# What a class of gear is put to unless the person says otherwise.
USES: dict[str, tuple[Use, ...]] = {
    "pan": ("process",),
    "hand_tool": ("dig", "disturb"),
    "sieve": ("process",),
    "detector": ("search",),
    "hand_pump": ("disturb",),
    "pump": ("process",),
    "sluice_stream_fed": ("process",),
    "sluice_pumped": ("process",),
    "dry_washer_hand": ("process",),
    "dry_washer_battery": ("process",),
    "dry_washer_engine": ("process",),
    "dredge_suction": ("dig", "disturb", "process"),
    "dredge_gravity_siphon": ("dig", "disturb", "process"),
    "rocker": ("process",),
    "spiral_wheel": ("process",),
    "trommel": ("process",),
    "winch_hand": ("disturb",),
    "winch_vehicle": ("disturb",),
    "excavator": ("dig", "disturb"),
    "explosives": ("dig", "disturb"),
}

# Numbers on a piece of gear and the dimension each is written in.
GearNumber = Literal[
    "nozzle",
    "hose",
    "intake",
    "engine_power",
    "length",
    "width",
    "riffle_area",
    "throughput",
    "water_use",
]
GEAR_NUMBERS: dict[str, tuple[str, str]] = {
    "nozzle": (marked("nozzle diameter"), "length"),
    "hose": (marked("inside diameter of the hose"), "length"),
    "intake": (marked("intake bore"), "length"),
    "engine_power": (marked("engine power"), "power"),
    "length": (marked("length"), "length"),
    "width": (marked("width"), "length"),
    "riffle_area": (marked("riffle area"), "area"),
    "throughput": (marked("gravel an hour"), "flow"),
    "water_use": (marked("water a day"), "daily_flow"),
}

Land = Literal[
    "public",
    "state",
    "private",
    "pastoral",
    "state_forest",
    "national_forest",
    "national_park",
    "park",
    "nature_reserve",
    "wildlife_refuge",
    "conservation",
    "historic_reserve",
    "recreation_reserve",
    "municipal",
    "townsite",
    "road_reserve",
    "indigenous",
    "military",
    "other",
]
LAND_WORDS = Spoken(
    {
        "public": marked("public land"),
        "state": marked("State or Crown land"),
        "private": marked("private land"),
        "pastoral": marked("pastoral lease"),
        "state_forest": marked("State forest"),
        "national_forest": marked("national forest"),
        "national_park": marked("national park"),
        "park": marked("other park"),
        "nature_reserve": marked("nature reserve"),
        "wildlife_refuge": marked("wildlife refuge"),
        "conservation": marked("conservation area"),
        "historic_reserve": marked("historic site or reserve"),
        "recreation_reserve": marked("recreation reserve"),
        "municipal": marked("municipal reserve"),
        "townsite": marked("townsite"),
        "road_reserve": marked("road reserve"),
        "indigenous": marked("Indigenous people's land"),
        "military": marked("military land"),
        "other": marked("other land"),
    }
)
Title = Literal["none", "own_claim", "other_claim", "exploration", "lease", "application"]
TITLE_WORDS = Spoken(
    {
        "none": marked("no mining title"),
        "own_claim": marked("the party's own claim"),
        "other_claim": marked("somebody else's claim"),
        "exploration": marked("an exploration licence"),
        "lease": marked("a mining lease"),
        "application": marked("a title applied for"),
    }
)
Zone = Literal["wet", "channel", "dry_bar", "bank", "riparian", "upland"]
ZONE_WORDS = Spoken(
    {
        "wet": marked("under water"),
        "channel": marked("in the channel, above the water"),
        "dry_bar": marked("on a dry, bare gravel bar"),
        "bank": marked("in the bank"),
        "riparian": marked("in the strip along the bank"),
        "upland": marked("away from the stream"),
    }
)
Purpose = Literal["recreation", "education", "tour", "commercial"]
PURPOSE_WORDS = Spoken(
    {
        "recreation": marked("recreation"),
        "education": marked("education"),
        "tour": marked("tour"),
        "commercial": marked("commercial"),
    }
)

COUNT_WORDS = Spoken(
    {
        "people": marked("people"),
        "adults": marked("adults"),
        "children": marked("children"),
        "people_per_device": marked("people per device"),
        "open_holes": marked("open holes"),
    }
)

Amount = Literal["moved_volume", "washed_volume", "removed_mass", "gold_mass", "camp_days", "hours"]
AMOUNTS: dict[str, tuple[str, str]] = {
    "moved_volume": (marked("ground moved"), "volume"),
    "washed_volume": (marked("gravel washed"), "volume"),
    "removed_mass": (marked("material taken away"), "mass"),
    "gold_mass": (marked("gold taken"), "mass"),
    "camp_days": (marked("nights camped"), "days"),
    "hours": (marked("hours worked"), "time"),
}
Per = Literal["party", "person", "site", "water"]
PER_WORDS = Spoken(
    {
        "party": marked("for the party"),
        "person": marked("for each person"),
        "site": marked("at this site"),
        "water": marked("in this water"),
    }
)

# Due points of a duty, the phase of the checklist each belongs to, and words for it.
DuePoint = Literal[
    "before_start",
    "during",
    "on_finding",
    "at_once",
    "same_day",
    "before_next_hole",
    "before_leaving",
    "after_end",
    "after_paper_end",
    "on_date",
    "continuous",
]
DUE_POINTS: dict[str, tuple[Phase, str]] = {
    "before_start": ("leave", marked("before you start")),
    "during": ("creek", marked("while you work")),
    "on_finding": ("creek", marked("as soon as you find it")),
    "at_once": ("creek", marked("at once")),
    "same_day": ("home", marked("on the same day")),
    "before_next_hole": ("creek", marked("before the next hole")),
    "before_leaving": ("home", marked("before you leave")),
    "after_end": ("after", marked("after the end of the work")),
    "after_paper_end": ("after", marked("after the paper ends")),
    "on_date": ("after", marked("by the date given")),
    "continuous": ("creek", marked("all the time")),
}
HowKnown = Literal["official", "mirror", "second_hand", "own"]
HOW_KNOWN_WORDS = Spoken(
    {
        "official": marked("read on an official page"),
        "mirror": marked("official wording, read in a copy"),
        "second_hand": marked("somebody else's summary"),
        "own": marked("the party's own note"),
    }
)
Standing = Literal["settled", "conflicting", "qualitative", "draft", "replaced"]
STANDING_WORDS = Spoken(
    {
        "settled": "",
        "conflicting": marked("official texts disagree"),
        "qualitative": marked("the text gives no figure"),
        "draft": marked("a draft"),
        "replaced": marked("an older text that was replaced"),
    }
)
