"""How much petrol does a pump or powered box burn? A starting figure from its rated power."""

from decimal import Decimal

from trips.calc.errors import OutOfRange
from trips.calc.units import US_GAL_L

# Iowa State University Extension, Estimating Farm Machinery Costs, older edition, page 6 (seen):
# a petrol engine's average over varied work, US gallons per hour per rated horsepower.
AVERAGE_GAL_PER_HP_H = Decimal("0.060")


def average_l_per_h(rated_hp: Decimal) -> Decimal:
    """Litres of petrol per hour at part load, a year's average of varied work.

    Raises: OutOfRange unless the power is above zero.
    """
    if not rated_hp > 0:
        raise OutOfRange(f"A power of {rated_hp} hp was given; above zero was expected.")
    return rated_hp * AVERAGE_GAL_PER_HP_H * US_GAL_L
