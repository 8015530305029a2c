"""A number with its unit as a pack writes it ("4 in", "50 yd3") and as the evaluator compares it.

Every amount is a whole number of one base unit for its dimension: µm, mm², ml, µg, mW, ml an hour,
ml a day, minutes. Bounds and facts are rounded in the same way, so that "5 in or less" holds for
five inches. A number without a unit is refused, because nobody could check it.
"""

import re
from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, Decimal, localcontext
from typing import ClassVar

from trips.calc.units import HP_KW, IMP_GAL_L, US_GAL_L, YD3_L
from trips.calc.words import marked, say, several

AMOUNT = re.compile(r"^(\d{1,9}(?:\.\d{1,9})?) +(\S+)$")

_FT_UM = Decimal(304_800)
_ML = Decimal(1000)

# dimension → unit → base units in one of it. Definitions as in `trips.calc.units`.
DIMENSIONS: dict[str, dict[str, Decimal]] = {
    "length": {
        "mm": Decimal(1000),
        "cm": Decimal(10_000),
        "m": Decimal(1_000_000),
        "km": Decimal(1_000_000_000),
        "in": Decimal(25_400),
        "ft": _FT_UM,
        "yd": 3 * _FT_UM,
        "mi": 5280 * _FT_UM,
    },
    "area": {
        "cm2": Decimal(100),
        "m2": Decimal(1_000_000),
        "ft2": Decimal("92903.04"),
        "ha": Decimal(10_000_000_000),
        "acre": Decimal("4046856422.4"),
    },
    "volume": {
        "L": _ML,
        "m3": 1000 * _ML,
        "yd3": YD3_L * _ML,
        "us_gal": US_GAL_L * _ML,
        "imp_gal": IMP_GAL_L * _ML,
    },
    "mass": {
        "mg": Decimal(1000),
        "g": Decimal(1_000_000),
        "kg": Decimal(1_000_000_000),
        "lb": Decimal("453592370"),
        "ozt": Decimal("31103476.8"),
    },
    "power": {"W": Decimal(1000), "kW": Decimal(1_000_000), "hp": HP_KW * 1_000_000},
    "flow": {"L/h": _ML, "m3/h": 1000 * _ML, "yd3/h": YD3_L * _ML},
    "daily_flow": {
        "L/day": _ML,
        "m3/day": 1000 * _ML,
        "us_gal/day": US_GAL_L * _ML,
        "imp_gal/day": IMP_GAL_L * _ML,
    },
    "time": {"min": Decimal(1), "h": Decimal(60)},
    "days": {"days": Decimal(1)},
    "count": {"people": Decimal(1), "holes": Decimal(1), "items": Decimal(1)},
}
DIMENSION_OF = {unit: name for name, units in DIMENSIONS.items() for unit in units}
SIGNS = {"m2": "m²", "cm2": "cm²", "ft2": "ft²", "m3": "m³", "yd3": "yd³", "ozt": "oz t"}


@dataclass(frozen=True)
class Quantity:
    """`base` whole base units of `dimension`; `text` is how the pack wrote it."""

    EXPECTED: ClassVar[str] = marked("a number with its unit in quotes, such as “4 in”")
    dimension: str
    base: int
    text: str

    @classmethod
    def parse(cls, text: str) -> "Quantity":
        """Read "4 in"; raises ValueError that says what was expected."""
        found = AMOUNT.match(text.strip())
        if not found:
            if re.fullmatch(r"\d+(\.\d+)?", text.strip()):
                raise ValueError(
                    say(
                        "{text} has no unit; write for example “{text_2} m”",
                        text=text,
                        text_2=text.strip(),
                    )
                )
            raise ValueError(say("“{text}” is not a number with a unit such as “4 in”", text=text))
        number, unit = found.groups()
        dimension = DIMENSION_OF.get(unit)
        if dimension is None:
            raise ValueError(
                say(
                    "“{unit}” is not a unit; known are {dimension_of}",
                    unit=unit,
                    dimension_of=", ".join(DIMENSION_OF),
                )
            )
        return cls(dimension, to_base(Decimal(number), unit), f"{number} {unit}")

    @property
    def words(self) -> str:
        """The amount for people, e.g. "50 yd³"."""
        number, unit = self.text.split(" ")
        return _in_words(number, unit)

    @property
    def unit(self) -> str:
        """The unit the pack wrote."""
        return self.text.split(" ")[1]


def to_base(number: Decimal, unit: str) -> int:
    """Whole base units, half to even."""
    with localcontext() as context:
        context.prec = 50
        return int(
            (number * DIMENSIONS[DIMENSION_OF[unit]][unit]).to_integral_value(ROUND_HALF_EVEN)
        )


def in_unit(base: int, unit: str) -> str:
    """Base units as text in a unit, at most three decimals, e.g. "0.765 m³"."""
    with localcontext() as context:
        context.prec = 50
        value = (Decimal(base) / DIMENSIONS[DIMENSION_OF[unit]][unit]).quantize(Decimal("0.001"))
    shown = f"{value:f}".rstrip("0").rstrip(".") if "." in f"{value:f}" else f"{value:f}"
    return _in_words(shown or "0", unit)


def _in_words(number: str, unit: str) -> str:
    """A number with its unit; what is counted one by one takes the reader's plural."""
    count = int(number) if number.isdigit() else 2
    if unit == "people":
        return several("{number} person", "{number} people", count, number=number)
    if unit == "holes":
        return several("{number} hole", "{number} holes", count, number=number)
    if unit == "items":
        return several("{number} item", "{number} items", count, number=number)
    if unit == "days":
        return several("{number} day", "{number} days", count, number=number)
    return f"{number} {SIGNS.get(unit, unit)}"


@dataclass(frozen=True)
class Bound:
    """Up to two sides, each strict or inclusive: over, at_least, under, at_most."""

    over: Quantity | None = None
    at_least: Quantity | None = None
    under: Quantity | None = None
    at_most: Quantity | None = None

    def holds(self, base: int) -> bool:
        """Whether a known amount lies within every side that is given."""
        return not (
            (self.over is not None and base <= self.over.base)
            or (self.at_least is not None and base < self.at_least.base)
            or (self.under is not None and base >= self.under.base)
            or (self.at_most is not None and base > self.at_most.base)
        )

    def in_steps(self, step: int) -> "Bound":
        """The same bound rounded to whole steps, for facts that are only kept in such steps."""
        if step == 1:
            return self

        def rounded(side: Quantity | None) -> Quantity | None:
            if side is None:
                return None
            whole = (2 * side.base + step) // (2 * step) * step
            return Quantity(side.dimension, whole, side.text)

        return Bound(
            rounded(self.over), rounded(self.at_least), rounded(self.under), rounded(self.at_most)
        )

    @property
    def sides(self) -> tuple[Quantity, ...]:
        """The quantities given."""
        given = (self.over, self.at_least, self.under, self.at_most)
        return tuple(side for side in given if side is not None)

    @property
    def words(self) -> str:
        """The bound for people, e.g. "at most 5 in"."""
        named = (
            (say("over"), self.over),
            (say("at least"), self.at_least),
            (say("under"), self.under),
            (say("at most"), self.at_most),
        )
        return " and ".join(f"{word} {side.words}" for word, side in named if side is not None)
