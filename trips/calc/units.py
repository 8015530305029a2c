"""How much is that in the stored unit, and back? Exact factors as decimals, each with its source.

Stored: micrograms, millilitres, metres of travel, millimetres of a hole or pan. Every factor is
the number of stored units in one of the person's units. Nothing here guesses a unit.
"""

from dataclasses import dataclass
from decimal import ROUND_DOWN, ROUND_HALF_EVEN, Decimal, localcontext
from fractions import Fraction
from typing import Literal

from trips.calc.errors import OutOfRange, UnknownUnit
from trips.calc.words import say

Kind = Literal["mass", "volume", "distance", "length"]
PRECISION = 50

# International yard 0.9144 m, gallon 231 cubic inches, imperial gallon 4.54609 L, grain
# 64.79891 mg: definitions in NIST Special Publication 811, App. B.8 (memory, not opened),
# the same in the definitions file of an independent units library (seen).
GRAIN_UG = Decimal("64798.91")
OZT_G = Decimal("31.1034768")  # 480 grains
YD3_L = Decimal("764.554857984")  # 0.9144 m cubed
US_GAL_L = Decimal("3.785411784")  # 231 cubic inches
IMP_GAL_L = Decimal("4.54609")
MI_KM = Decimal("1.609344")
HP_KW = Decimal("0.745699872")  # mechanical horsepower

# J. H. Wells, Placer Examination, US BLM Technical Bulletin 4, 1969, Glossary "Fineness" (seen):
# the average of placer gold in California. A starting value until the party has an assay.
DEFAULT_FINENESS = 885


@dataclass(frozen=True)
class Unit:
    """One of the units a person may choose; `factor` is stored units in one of it."""

    code: str
    label: str
    kind: Kind
    factor: Decimal


def _table(kind: Kind, *rows: tuple[str, str, str]) -> dict[str, Unit]:
    return {code: Unit(code, label, kind, Decimal(factor)) for code, label, factor in rows}


UNITS: dict[Kind, dict[str, Unit]] = {
    "mass": _table(
        "mass",
        ("g", "g", "1000000"),
        ("mg", "mg", "1000"),
        ("dwt", "dwt", "1555173.84"),  # 24 grains
        ("grain", "grain", "64798.91"),
        ("ozt", "oz t", "31103476.8"),  # 480 grains
    ),
    "volume": _table(
        "volume",
        ("L", "L", "1000"),
        ("us_gal", "US gal", "3785.411784"),
        ("imp_gal", "imp gal", "4546.09"),
        ("m3", "m³", "1000000"),
        ("yd3", "yd³", "764554.857984"),
    ),
    "distance": _table(
        "distance",
        ("km", "km", "1000"),
        ("mi", "mi", "1609.344"),
        ("m", "m", "1"),
        ("ft", "ft", "0.3048"),
    ),
    "length": _table(
        "length",
        ("m", "m", "1000"),
        ("cm", "cm", "10"),
        ("mm", "mm", "1"),
        ("ft", "ft", "304.8"),
        ("in", "in", "25.4"),
    ),
}

# Grade: milligrams per litre in one of each unit. mg/L and g/m³ are the same number.
GRADE_MG_PER_L: dict[str, Fraction] = {
    "mg_per_l": Fraction(1),
    "g_per_m3": Fraction(1),
    "mg_per_m3": Fraction(1, 1000),
    "mg_per_yd3": 1 / Fraction(YD3_L),
}


def unit(kind: Kind, code: str) -> Unit:
    """Look up a unit of a kind by its code.

    Raises: UnknownUnit naming the code and the codes that exist.
    """
    try:
        return UNITS[kind][code]
    except KeyError:
        known = ", ".join(UNITS.get(kind, {})) or "none"
        raise UnknownUnit(
            say(
                "“{code}” is not a unit of {kind}; expected one of: {known}.",
                code=code,
                kind=kind,
                known=known,
            )
        ) from None


def choices(kind: Kind) -> tuple[tuple[str, str], ...]:
    """List (code, label) of a kind, in the order a form should offer them."""
    return tuple((each.code, each.label) for each in UNITS[kind].values())


def to_base(value: Decimal, unit: Unit) -> int:
    """Convert to whole stored units (µg, ml, m or mm), rounding half to even once.

    Raises: OutOfRange for NaN or an infinite value.
    """
    if not value.is_finite():
        raise OutOfRange(
            say("{value} {label} is not a finite amount.", value=value, label=unit.label)
        )
    with localcontext() as ctx:
        ctx.prec = PRECISION + max(0, value.adjusted())
        return int((value * unit.factor).to_integral_value(ROUND_HALF_EVEN))


def from_base(base: int, unit: Unit, places: int | None = None) -> Decimal:
    """Convert stored units to a person's unit.

    Args: places: decimals to round to (half to even); None gives the exact quotient where it
        ends, else 50 significant digits, from which `to_base` always returns to `base`.
    """
    with localcontext() as ctx:
        ctx.prec = PRECISION
        exact = Decimal(base) / unit.factor
        if places is None:
            return exact
        return exact.quantize(Decimal(1).scaleb(-places), ROUND_HALF_EVEN)


def grade_mg_per_l(mass_ug: int, volume_ml: int) -> Decimal | None:
    """Grade in mg per litre (= g per m³); None when no volume was recorded."""
    if volume_ml <= 0:
        return None
    with localcontext() as ctx:
        ctx.prec = PRECISION
        return Decimal(mass_ug) / Decimal(volume_ml)  # µg per ml is mg per L


def convert_grade(value: Decimal, from_code: str, to_code: str) -> Decimal:
    """Convert a grade between mg_per_l, g_per_m3, mg_per_m3 and mg_per_yd3; same volume basis.

    It never turns loose into bank: see `pans.bank_grade`.

    Raises: UnknownUnit naming the code and the codes that exist.
    """
    exact = Fraction(value) * _grade_factor(from_code) / _grade_factor(to_code)
    with localcontext() as ctx:
        ctx.prec = PRECISION
        return Decimal(exact.numerator) / Decimal(exact.denominator)


def _grade_factor(code: str) -> Fraction:
    try:
        return GRADE_MG_PER_L[code]
    except KeyError:
        known = ", ".join(GRADE_MG_PER_L)
        raise UnknownUnit(
            say("“{code}” is not a grade unit; expected one of: {known}.", code=code, known=known)
        ) from None


def colours_per_l(colours: int, volume_ml: int) -> Decimal | None:
    """Colours per litre; None when no volume was recorded."""
    if volume_ml <= 0:
        return None
    with localcontext() as ctx:
        ctx.prec = PRECISION
        return Decimal(colours) * 1000 / Decimal(volume_ml)


def swap_l_per_100km_mpg(value: Decimal, gallon: Literal["us", "imp"]) -> Decimal:
    """Turn L/100 km into miles per gallon, or back: the same sum both ways.

    Raises: OutOfRange unless the value is above zero.
    """
    if not value > 0:
        raise OutOfRange(f"Fuel use of {value} was given; a figure above zero was expected.")
    gallon_l = US_GAL_L if gallon == "us" else IMP_GAL_L
    with localcontext() as ctx:
        ctx.prec = PRECISION
        return 100 * gallon_l / MI_KM / value


def kw_from_hp(power_hp: Decimal) -> Decimal:
    """Power in kilowatts from mechanical horsepower."""
    return power_hp * HP_KW


def fineness_from_karat(karat: Decimal) -> int:
    """Fineness in parts per thousand, cut (not rounded up), as buyers' tables do (22 k = 916).

    Raises: OutOfRange outside 0 < karat ≤ 24.
    """
    if not 0 < karat <= 24:
        raise OutOfRange(
            say("{karat} karat was given; above 0 and at most 24 was expected.", karat=karat)
        )
    return int((karat * 1000 / 24).to_integral_value(ROUND_DOWN))


def looks_like_karat(figure: Decimal | int) -> bool:
    """Whether a figure typed as fineness is so small that karat was probably meant (≤ 24)."""
    return 0 < figure <= 24
