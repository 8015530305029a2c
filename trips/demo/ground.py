"""What the gravel of the invented district holds, and how pans and boxes sample it.

Spots within a site differ by a gamma factor that the flood draws anew; gold comes in clumps, so
a pan's count is Poisson around a gamma; a hole grows poorer with every run. The people of the
demo never see these numbers, only what they count and weigh.
"""

from dataclasses import dataclass

from trips.demo import places, story
from trips.demo.chance import Chance

CLASSES = ("coarse", "medium", "fine")
# Mean mg of one colour and its coefficient of variation.
COLOUR_MG = {"coarse": (12.0, 0.8), "medium": (2.5, 0.5), "fine": (0.45, 0.5)}
LAYER_FACTOR = {
    "overburden": 0.15,
    "gravel": 0.8,
    "clay": 0.5,
    "false_bedrock": 1.5,
    "bedrock": 2.0,
}
BOX_KEEPS = 0.72  # of what the same gravel would show in pans
NEXT_RUN_KEEPS = 0.76  # of the richness, from one run to the next in a hole


@dataclass(frozen=True)
class SiteTruth:
    """Colours per litre of ordinary gravel, and the shares of coarse, medium and fine."""

    colours_per_l: float
    shares: tuple[float, float, float]
    bed: tuple[str, ...]  # layers met there, from above


TRUTH = {
    "OSS": SiteTruth(0.40, (0.030, 0.25, 0.72), ("overburden", "gravel", "bedrock")),
    "VMR": SiteTruth(0.24, (0.010, 0.17, 0.82), ("overburden", "gravel", "false_bedrock")),
    "VWR": SiteTruth(0.09, (0.004, 0.10, 0.896), ("gravel", "clay")),
    "PEL": SiteTruth(0.10, (0.000, 0.03, 0.97), ("gravel", "clay", "false_bedrock")),
    "MAR": SiteTruth(0.17, (0.012, 0.18, 0.808), ("overburden", "gravel", "clay")),
    "DRE": SiteTruth(0.22, (0.020, 0.20, 0.78), ("overburden", "gravel", "bedrock")),
    "SKE": SiteTruth(0.44, (0.060, 0.30, 0.64), ("gravel", "bedrock")),
}
SPOT_NAMES = {site["code"]: [spot["code"] for spot in site["spots"]] for site in places.SITES}


def spot_factors(site: str, day) -> dict[str, float]:
    """How much richer or poorer each spot of a site is; their mean is one. The flood redraws."""
    season = "after" if day > story.FLOOD_ON else "before"
    chance = Chance(f"spots {site} {season} the flood")
    drawn = {spot: chance.gamma(1.0, 0.8) for spot in SPOT_NAMES[site]}
    mean = sum(drawn.values()) / len(drawn)
    return {spot: factor / mean for spot, factor in drawn.items()}


def counts_in(chance: Chance, site: str, colours: float) -> dict[str, int]:
    """Colours by class when `colours` are to be expected."""
    shares = TRUTH[site].shares
    return {
        name: chance.poisson(colours * share) for name, share in zip(CLASSES, shares, strict=True)
    }


def pan_colours(chance: Chance, site: str, factor: float, layer: str, volume_ml: int):
    """Colours by class in one pan."""
    rate = TRUTH[site].colours_per_l * factor * LAYER_FACTOR[layer]
    return counts_in(chance, site, chance.gamma(rate * volume_ml / 1000, 0.9))


def run_colours(chance: Chance, site: str, factor: float, runs_before: int, volume_ml: int):
    """Colours by class in a box after one run of a hole that has seen `runs_before`."""
    rate = TRUTH[site].colours_per_l * factor * BOX_KEEPS * NEXT_RUN_KEEPS**runs_before
    return counts_in(chance, site, chance.gamma(rate * volume_ml / 1000, 0.2))


def mass_ug(chance: Chance, counts: dict[str, int]) -> int:
    """Micrograms of these colours, with a little gold too fine to see."""
    total = sum(chance.gamma(*COLOUR_MG[name]) for name in CLASSES for _ in range(counts[name]))
    return round(total * 1000 * 1.03)
