"""How many pans make a cubic yard, and what is a grade in place?

Volumes in ml. Bank is gravel in place, loose is gravel as shovelled; they differ by the swell and
are never mixed silently.
"""

from decimal import Decimal

from trips.calc.errors import OutOfRange
from trips.calc.units import YD3_L


def _positive(name: str, value: Decimal | int) -> Decimal:
    if not value > 0:
        raise OutOfRange(f"{name} of {value} was given; a figure above zero was expected.")
    return Decimal(value)


def _swell(swell_ratio: Decimal) -> Decimal:
    if not swell_ratio >= 0:
        raise OutOfRange(f"A swell of {swell_ratio} was given; zero or more was expected.")
    return swell_ratio


def pan_factor(pan_ml: Decimal, swell_ratio: Decimal) -> Decimal:
    """Pans that make one cubic yard of gravel in place, from volume and swell (0.2 = 20 %).

    Source: definition in Wells, Placer Examination, 1969, Part V sec. 2b (seen).
    """
    return YD3_L * 1000 * (1 + _swell(swell_ratio)) / _positive("A pan volume", pan_ml)


def swell_implied(pan_ml: Decimal, factor: Decimal) -> Decimal:
    """The swell (0.2 = 20 %) that a quoted pan factor means for a pan of this volume."""
    return factor * _positive("A pan volume", pan_ml) / (YD3_L * 1000) - 1


def bank_grade(loose_grade: Decimal, swell_ratio: Decimal) -> Decimal:
    """Grade per volume in place from a grade per loose volume, in the same unit."""
    return loose_grade * (1 + _swell(swell_ratio))
