"""The words a pack may use: kinds of rule, gear, land, titles, amounts, due points.

A word that isn't here is refused with the list beside it, so that a typing mistake can't turn a
rule off. Kinds of rule and of gear follow what the texts of two dozen places had to say.
"""

from typing import Literal

Outcome = Literal["stop", "do", "ask", "know"]
Phase = Literal["plan", "leave", "creek", "home", "after"]
PHASES: tuple[Phase, ...] = ("plan", "leave", "creek", "home", "after")
PHASE_WORDS: dict[str, str] = {
    "plan": "Before you plan",
    "leave": "Before you leave",
    "creek": "At the creek",
    "home": "Before you go home",
    "after": "Afterwards",
}

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
GEAR_WORDS: dict[str, str] = {
    "pan": "pan",
    "hand_tool": "hand tool",
    "sieve": "sieve",
    "detector": "detector",
    "hand_pump": "hand pump",
    "pump": "pump",
    "sluice_stream_fed": "stream-fed sluice",
    "sluice_pumped": "pump-fed sluice",
    "dry_washer_hand": "hand dry washer",
    "dry_washer_battery": "battery dry washer",
    "dry_washer_engine": "engine dry washer",
    "dredge_suction": "suction dredge",
    "dredge_gravity_siphon": "gravity or siphon dredge",
    "rocker": "rocker",
    "spiral_wheel": "spiral wheel",
    "trommel": "trommel",
    "winch_hand": "hand winch",
    "winch_vehicle": "vehicle winch",
    "generator": "generator",
    "excavator": "excavator",
    "explosives": "explosives",
    "chemicals": "chemicals",
    "other": "other gear",
}
Power = Literal["none", "battery", "engine"]
POWER_WORDS: dict[str, str] = {
    "none": "without power",
    "battery": "battery-powered",
    "engine": "engine-powered",
}
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
    "nozzle": ("nozzle diameter", "length"),
    "hose": ("inside diameter of the hose", "length"),
    "intake": ("intake bore", "length"),
    "engine_power": ("engine power", "power"),
    "length": ("length", "length"),
    "width": ("width", "length"),
    "riffle_area": ("riffle area", "area"),
    "throughput": ("gravel an hour", "flow"),
    "water_use": ("water a day", "daily_flow"),
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
LAND_WORDS: dict[str, str] = {
    "public": "public land",
    "state": "State or Crown land",
    "private": "private land",
    "pastoral": "pastoral lease",
    "state_forest": "State forest",
    "national_forest": "national forest",
    "national_park": "national park",
    "park": "other park",
    "nature_reserve": "nature reserve",
    "wildlife_refuge": "wildlife refuge",
    "conservation": "conservation area",
    "historic_reserve": "historic site or reserve",
    "recreation_reserve": "recreation reserve",
    "municipal": "municipal reserve",
    "townsite": "townsite",
    "road_reserve": "road reserve",
    "indigenous": "Indigenous people's land",
    "military": "military land",
    "other": "other land",
}
Title = Literal["none", "own_claim", "other_claim", "exploration", "lease", "application"]
TITLE_WORDS: dict[str, str] = {
    "none": "no mining title",
    "own_claim": "the party's own claim",
    "other_claim": "somebody else's claim",
    "exploration": "an exploration licence",
    "lease": "a mining lease",
    "application": "a title applied for",
}
Zone = Literal["wet", "channel", "dry_bar", "bank", "riparian", "upland"]
ZONE_WORDS: dict[str, str] = {
    "wet": "under water",
    "channel": "in the channel, above the water",
    "dry_bar": "on a dry, bare gravel bar",
    "bank": "in the bank",
    "riparian": "in the strip along the bank",
    "upland": "away from the stream",
}
Purpose = Literal["recreation", "education", "tour", "commercial"]

Amount = Literal["moved_volume", "washed_volume", "removed_mass", "gold_mass", "camp_days", "hours"]
AMOUNTS: dict[str, tuple[str, str]] = {
    "moved_volume": ("ground moved", "volume"),
    "washed_volume": ("gravel washed", "volume"),
    "removed_mass": ("material taken away", "mass"),
    "gold_mass": ("gold taken", "mass"),
    "camp_days": ("nights camped", "days"),
    "hours": ("hours worked", "time"),
}
Per = Literal["party", "person", "site", "water"]
PER_WORDS: dict[str, str] = {
    "party": "for the party",
    "person": "for each person",
    "site": "at this site",
    "water": "in this water",
}

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
    "before_start": ("leave", "before you start"),
    "during": ("creek", "while you work"),
    "on_finding": ("creek", "as soon as you find it"),
    "at_once": ("creek", "at once"),
    "same_day": ("home", "on the same day"),
    "before_next_hole": ("creek", "before the next hole"),
    "before_leaving": ("home", "before you leave"),
    "after_end": ("after", "after the end of the work"),
    "after_paper_end": ("after", "after the paper ends"),
    "on_date": ("after", "by the date given"),
    "continuous": ("creek", "all the time"),
}
HowKnown = Literal["official", "mirror", "second_hand", "own"]
HOW_KNOWN_WORDS: dict[str, str] = {
    "official": "read on an official page",
    "mirror": "official wording, read in a copy",
    "second_hand": "somebody else's summary",
    "own": "the party's own note",
}
Standing = Literal["settled", "conflicting", "qualitative", "draft", "replaced"]
STANDING_WORDS: dict[str, str] = {
    "settled": "",
    "conflicting": "official texts disagree",
    "qualitative": "the text gives no figure",
    "draft": "a draft",
    "replaced": "an older text that was replaced",
}
