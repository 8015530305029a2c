"""How steep does a box stand and how much water does it ask for? Plain geometry and ratios."""

from decimal import Decimal

from trips.calc.errors import OutOfRange
from trips.calc.units import US_GAL_L

# Solids in the slurry stay under 12 % by volume: Poling 1989 and Clarkson 1990, restated (seen).
SOLIDS_MAX_RATIO = Decimal("0.12")
FT_M = Decimal("0.3048")


def slope_pct(fall_mm: Decimal, run_mm: Decimal) -> Decimal:
    """Slope in per cent from fall over run, both in the same unit."""
    if not run_mm > 0:
        raise OutOfRange(f"A run of {run_mm} was given; a length above zero was expected.")
    return 100 * fall_mm / run_mm


def slope_degrees(fall_mm: Decimal, run_mm: Decimal) -> float:
    """Slope in degrees from fall over run, both in the same unit."""
    from math import atan, degrees

    return degrees(atan(float(slope_pct(fall_mm, run_mm)) / 100))


def gal_per_min_per_ft(l_per_min_per_m: Decimal) -> Decimal:
    """Water per width of box: US gallons per minute per foot from L/min per metre."""
    return l_per_min_per_m / US_GAL_L * FT_M


def least_water_ratio() -> Decimal:
    """Least water per volume of solids that keeps the slurry under the solids limit."""
    return (1 - SOLIDS_MAX_RATIO) / SOLIDS_MAX_RATIO
