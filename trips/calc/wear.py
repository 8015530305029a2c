"""What does a trip use up of things already bought? Vehicle by distance, gear by units of use.

Wear is a cost but no cash leaves a pocket. Zero use gives zero charge, though time ages things:
the basis text says so. An unknown price or life gives an unknown wear, never none.
"""

from dataclasses import dataclass
from fractions import Fraction

from trips.calc.errors import OutOfRange
from trips.calc.gold import Unknown
from trips.calc.money import minor_per_main, round_minor
from trips.calc.words import say


@dataclass(frozen=True)
class GearUse:
    """One piece of gear on a trip: what it cost, what it will fetch, its life and its minutes."""

    label: str
    price_minor: int | None
    residual_minor: int
    life_minutes: int | None
    minutes_used: int | None


def units_of_production(
    price_minor: int, residual_minor: int, life_units: int, units_used: int
) -> Fraction:
    """Wear in minor units, exact: (price - residual) / life * use.

    Raises: OutOfRange for a life of zero, negative figures, or a residual above the price.
    Source: IAS 16 paras 61-62 as restated (seen second-hand); the party reviews life yearly.
    """
    if life_units <= 0 or units_used < 0 or not 0 <= residual_minor <= price_minor:
        raise OutOfRange(
            f"Wear from price {price_minor}, residual {residual_minor}, life {life_units} and use "
            f"{units_used}: a life above zero and a residual up to the price were expected."
        )
    return Fraction(price_minor - residual_minor, life_units) * units_used


def gear_wear(use: GearUse) -> tuple[int, str] | Unknown:
    """Wear of one piece of gear in minor units and its basis in words, or why it is unknown."""
    if use.minutes_used is None:
        return Unknown(say("{label}: the time it ran is not recorded.", label=use.label))
    if use.minutes_used == 0:
        return 0, say("not used: no charge by use, though time ages it too")
    if use.price_minor is None:
        return Unknown(say("{label}: its price is not recorded.", label=use.label))
    if use.life_minutes is None:
        return Unknown(say("{label}: its expected life is not recorded.", label=use.label))
    exact = units_of_production(
        use.price_minor, use.residual_minor, use.life_minutes, use.minutes_used
    )
    hours, life = use.minutes_used / 60, use.life_minutes / 60
    return round_minor(exact), say(
        "{hours:.1f} of the {life:g} hours of its life", hours=hours, life=life
    )


def vehicle_wear_minor(distance_m: int, wear_milli_per_km: int, currency: str) -> int:
    """Vehicle wear in minor units; the rate is in thousandths of the main unit per km."""
    if distance_m < 0 or wear_milli_per_km < 0:
        raise OutOfRange(
            f"A distance of {distance_m} m at {wear_milli_per_km} per km: zero or more expected."
        )
    exact = Fraction(distance_m, 1000) * Fraction(wear_milli_per_km, 1000)
    return round_minor(exact * minor_per_main(currency))
