"""How much petrol does a pump or powered box burn? Two rules from rated power; both editable."""

from decimal import Decimal

from trips.calc.errors import OutOfRange
from trips.calc.units import US_GAL_L

# Iowa State University Extension, Estimating Farm Machinery Costs, older edition, page 6 (seen):
# a petrol engine's average over varied work, US gallons per hour per rated horsepower.
AVERAGE_GAL_PER_HP_H = Decimal("0.060")
# Outboard rule, full throttle (seen, trade page): 0.40-0.45 lb per hp and hour, 6.2 lb a gallon.
FULL_LOAD_LB_PER_HP_H = (Decimal("0.40"), Decimal("0.45"))
PETROL_LB_PER_GAL = Decimal("6.2")


def average_l_per_h(rated_hp: Decimal) -> Decimal:
    """Litres of petrol per hour at part load, a year's average of varied work."""
    return _rated(rated_hp) * AVERAGE_GAL_PER_HP_H * US_GAL_L


def full_load_l_per_h(rated_hp: Decimal) -> tuple[Decimal, Decimal]:
    """Litres of petrol per hour at full throttle, (low, high) by the outboard rule."""
    low, high = (
        _rated(rated_hp) * pounds / PETROL_LB_PER_GAL * US_GAL_L for pounds in FULL_LOAD_LB_PER_HP_H
    )
    return low, high


def engine_fuel_ml(rated_hp: Decimal, minutes: int) -> int:
    """Millilitres burnt in the minutes it ran, by the part-load average: an estimate."""
    if minutes < 0:
        raise OutOfRange(f"{minutes} minutes were given; zero or more was expected.")
    return int((average_l_per_h(rated_hp) * minutes * 1000 / 60).to_integral_value())


def _rated(power_hp: Decimal) -> Decimal:
    if not power_hp > 0:
        raise OutOfRange(f"A power of {power_hp} hp was given; above zero was expected.")
    return power_hp
