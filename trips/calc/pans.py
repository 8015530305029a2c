"""How much does a pan hold, how many make a cubic yard, and what does a colour weigh?

Geometry in millimetres, density in g/cm³ (= mg/mm³), volumes in ml. Bank is gravel in place,
loose is gravel as shovelled; they differ by the swell and are never mixed silently.
"""

from decimal import Decimal

from trips.calc.errors import OutOfRange
from trips.calc.units import OZT_G, YD3_L

PI = Decimal("3.14159265358979323846264338327950288")
# Densities of the pure metals, g/cm³, for gold-silver with volumes additive (memory).
GOLD_G_PER_CM3 = Decimal("19.32")
SILVER_G_PER_CM3 = Decimal("10.49")


def _positive(name: str, value: Decimal | int) -> Decimal:
    if not value > 0:
        raise OutOfRange(f"{name} of {value} was given; a figure above zero was expected.")
    return Decimal(value)


def _ratio(name: str, value: Decimal | int) -> Decimal:
    if not 0 <= value <= 1:
        raise OutOfRange(f"{name} of {value} was given; 0 to 1 was expected.")
    return Decimal(value)


def _swell(swell_ratio: Decimal) -> Decimal:
    if not swell_ratio >= 0:
        raise OutOfRange(f"A swell of {swell_ratio} was given; zero or more was expected.")
    return swell_ratio


def pan_volume_ml(top_mm: Decimal, bottom_mm: Decimal, depth_mm: Decimal) -> Decimal:
    """Struck volume of a pan in ml, a truncated cone from its two diameters and its depth.

    Raises: OutOfRange unless top and depth are above zero and the bottom at least zero.
    Source: J. H. Wells, Placer Examination, 1969, Part V sec. 2b (sizes seen; cone: geometry).
    """
    top, depth = _positive("A top diameter", top_mm), _positive("A depth", depth_mm)
    if bottom_mm < 0:
        raise OutOfRange(f"A bottom diameter of {bottom_mm} was given; zero or more was expected.")
    return PI * depth / 12 * (top * top + top * bottom_mm + bottom_mm * bottom_mm) / 1000


def pan_factor(pan_ml: Decimal, swell_ratio: Decimal) -> Decimal:
    """Pans that make one cubic yard of gravel in place, from volume and swell (0.2 = 20 %).

    Source: definition in Wells, Placer Examination, 1969, Part V sec. 2b (seen).
    """
    return YD3_L * 1000 * (1 + _swell(swell_ratio)) / _positive("A pan volume", pan_ml)


def swell_implied(pan_ml: Decimal, factor: Decimal) -> Decimal:
    """The swell (0.2 = 20 %) that a quoted pan factor means for a pan of this volume."""
    return factor * _positive("A pan volume", pan_ml) / (YD3_L * 1000) - 1


def loose_from_bank_ml(bank_ml: Decimal, swell_ratio: Decimal) -> Decimal:
    """Loose volume in ml of gravel that filled `bank_ml` in place."""
    return bank_ml * (1 + _swell(swell_ratio))


def bank_from_loose_ml(loose_ml: Decimal, swell_ratio: Decimal) -> Decimal:
    """Volume in place, in ml, of gravel that fills `loose_ml` as shovelled."""
    return loose_ml / (1 + _swell(swell_ratio))


def bank_grade(loose_grade: Decimal, swell_ratio: Decimal) -> Decimal:
    """Grade per volume in place from a grade per loose volume, in the same unit."""
    return loose_grade * (1 + _swell(swell_ratio))


def loose_grade(bank_grade: Decimal, swell_ratio: Decimal) -> Decimal:
    """Grade per loose volume from a grade per volume in place, in the same unit."""
    return bank_grade / (1 + _swell(swell_ratio))


def pan_grade_mg_per_yd3(mg_per_pan: Decimal, factor: Decimal) -> Decimal:
    """Grade in mg per cubic yard in place from mg per pan and the pan factor."""
    return mg_per_pan * factor


def boulder_corrected(fines_grade: Decimal, boulder_ratio: Decimal) -> Decimal:
    """Grade of the whole bank when a share of its volume is boulders that carry no gold.

    Source: the need for it, Wells 1969, Part III sec. 4a (seen); the formula from memory.
    """
    return fines_grade * (1 - _ratio("A boulder share", boulder_ratio))


def recovered_grade(head_grade: Decimal, parts: tuple[tuple[Decimal, Decimal], ...]) -> Decimal:
    """Grade saved by a box, from (share of the gold, recovery) per size; shares must make 1."""
    if sum(share for share, _ in parts) != 1:
        raise OutOfRange("The shares of the gold by size do not add up to 1.")
    return head_grade * sum(
        _ratio("A share", share) * _ratio("A recovery", saved) for share, saved in parts
    )


def mg_per_colour(colours_per_ozt: Decimal | int) -> Decimal:
    """Milligrams of one colour when so many make a troy ounce."""
    return OZT_G * 1000 / _positive("A number of colours", colours_per_ozt)


def colours_per_ozt(colour_mg: Decimal) -> Decimal:
    """Colours of this mass that make a troy ounce."""
    return OZT_G * 1000 / _positive("A mass", colour_mg)


def colour_number(colour_mg: Decimal) -> int:
    """The handbook's class of a colour: 3 under 1 mg, 2 from 1 to 4 mg, 1 above 4 mg.

    Source: Wells, Placer Examination, 1969, Part V sec. 4 note 1 (seen).
    """
    mass = _positive("A mass", colour_mg)
    return 3 if mass < 1 else 2 if mass <= 4 else 1


def sphere_mg(diameter_mm: Decimal, density: Decimal) -> Decimal:
    """Mass in mg of a ball of gold; density in g/cm³."""
    return ellipsoid_mg(diameter_mm, diameter_mm, diameter_mm, density)


def ellipsoid_mg(
    length_mm: Decimal, breadth_mm: Decimal, thick_mm: Decimal, density: Decimal
) -> Decimal:
    """Mass in mg of an ellipsoid grain; density in g/cm³."""
    sides = (
        _positive("A length", length_mm)
        * _positive("A breadth", breadth_mm)
        * _positive("A thickness", thick_mm)
    )
    return PI / 6 * sides * _positive("A density", density)


def flake_mg(diameter_mm: Decimal, thick_mm: Decimal, density: Decimal) -> Decimal:
    """Mass in mg of a round flat flake; density in g/cm³."""
    across = _positive("A diameter", diameter_mm)
    thick = _positive("A thickness", thick_mm)
    return PI / 4 * across * across * thick * _positive("A density", density)


def sphere_diameter_mm(mass_mg: Decimal, density: Decimal) -> Decimal:
    """Diameter in mm of the ball of gold with this mass."""
    cubed = 6 * _positive("A mass", mass_mg) / (PI * _positive("A density", density))
    return cubed ** (Decimal(1) / 3)


def corey_factor(length_mm: Decimal, breadth_mm: Decimal, thick_mm: Decimal) -> Decimal:
    """Corey shape factor T/√(L·B): 1 for a ball or cube, small for flakes.

    Source: E. H. Macdonald, Handbook of Gold Exploration and Evaluation, p. 203, eq. 4.3 (seen).
    """
    area = _positive("A length", length_mm) * _positive("A breadth", breadth_mm)
    return _positive("A thickness", thick_mm) / area.sqrt()


def density_g_per_cm3(fineness: int) -> Decimal:
    """Density of gold-silver of a fineness (‰), volumes taken as additive (memory)."""
    if not 0 <= fineness <= 1000:
        raise OutOfRange(f"A fineness of {fineness} was given; 0 to 1000 ‰ was expected.")
    gold = Decimal(fineness) / 1000
    return 1 / (gold / GOLD_G_PER_CM3 + (1 - gold) / SILVER_G_PER_CM3)


def sample_l(colours: int, colour_mg: Decimal, grade_mg_per_l: Decimal) -> Decimal:
    """Litres in which so many colours of one mass are expected at a grade.

    Source: 20 colours for about ±50 % at 95 %: Clifton and others, USGS Prof. Paper 625-C, 1969,
        restated by N. Marshall, 2002 (seen second-hand).
    """
    return colours * colour_mg / _positive("A grade", grade_mg_per_l)
