"""Axes: round ticks, number words, positions, and names that fit."""

import math
import unicodedata
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from decimal import Decimal

from trips.calc.digits import to_places
from trips.calc.words import say

Say = Callable[[float], str]

MINUS = "\u2212"
THIN = "\u202f"
ELLIPSIS = "\u2026"
# Width of an average letter in parts of the type size; DejaVu Sans, the widest face in use.
LETTER = 0.6
# From one line of a name to the next, in units of the drawing.
LEADING = 14.0


def plain(value: float) -> str:
    """The number in words, to three significant digits, without unit.

    Args: value: any finite number.
    Raises: ValueError for infinities and not-a-number.
    """
    _finite(value)
    if value == 0:
        return "0"
    size = abs(value)
    if size >= 1e15 or size < 1e-6:
        digits, power = f"{size:.2e}".split("e")
        shown = f"{_trim(digits)}e{int(power)}"
    else:
        places = max(0, 2 - math.floor(math.log10(size)))
        shown = f"{size:,.{places}f}".replace(",", THIN)
    return (MINUS if value < 0 else "") + shown


def fixed(value: float, places: int, sign: bool = False) -> str:
    """The number in words with so many decimals; a negative `places` rounds to tens, hundreds."""
    _finite(value)
    rounded = to_places(Decimal(str(float(value))), places)
    shown = f"{abs(rounded):,f}".replace(",", THIN)
    if rounded < 0:
        return MINUS + shown
    return f"+{shown}" if sign and rounded > 0 else shown


def percent(share: float) -> str:
    """A share of one in whole per cent; never 0 % or 100 % unless it is exactly that."""
    _finite(share)
    if 0 < share < 0.01:
        return say("under 1 %")
    if 0.99 < share < 1:
        return say("over 99 %")
    return f"{share * 100:.0f} %"


def _trim(digits: str) -> str:
    return digits.rstrip("0").rstrip(".") if "." in digits else digits


def _finite(value: float) -> None:
    if not math.isfinite(value):
        raise ValueError(f"A chart can't place {value!r}; a finite number was expected.")


def ticks(low: float, high: float, most: int) -> tuple[float, ...]:
    """At most `most` round values that cover low to high, in the unit of the values.

    Args: low, high: ends of the data; ends that hardly differ are widened. most: three or
    more, because values on both sides of zero need a tick on either side and zero itself.
    Raises: ValueError for values that aren't finite.
    """
    _finite(low)
    _finite(high)
    low, high = min(low, high), max(low, high)
    size = max(abs(low), abs(high))
    if high - low <= 1e-9 * size or size < 1e-200:
        room = size / 2 if size >= 1e-200 else 1.0
        low, high = low - room, high + room
    step = _step((high - low) / (most - 1))
    while True:
        first, last = math.floor(low / step + 1e-9), math.ceil(high / step - 1e-9)
        if last - first + 1 <= most:
            return tuple(step * i for i in range(first, last + 1))
        step = _step(step * 1.5)


def _step(least: float) -> float:
    power = 10.0 ** math.floor(math.log10(least))
    for part in (1, 2, 5, 10):
        if part * power >= least * (1 - 1e-9):
            return part * power
    return 10 * power


def tick_words(values: tuple[float, ...]) -> tuple[str, ...]:
    """Labels of an axis with the same number of decimals at each tick; millions as "M"."""
    top = max(abs(value) for value in values)
    step = values[1] - values[0] if len(values) > 1 else top or 1.0
    if top >= 1e12 or step < 1e-5:
        return tuple(plain(value) for value in values)
    scale, suffix = (1e6, " M") if top >= 1e6 else (1.0, "")
    places = max(0, -math.floor(math.log10(step / scale) + 1e-9))
    words = []
    for value in values:
        shown = f"{abs(value) / scale:,.{places}f}".replace(",", THIN)
        below = value < 0 and abs(value) > step / 2
        words.append((MINUS if below else "") + shown + (suffix if abs(value) > step / 2 else ""))
    return tuple(words)


@dataclass(frozen=True)
class Axis:
    """Maps values to positions between two ends of the sheet."""

    low: float
    high: float
    start: float
    end: float

    def at(self, value: float) -> float:
        """Position of the value in units of the drawing; values outside stop at the ends."""
        share = (value - self.low) / (self.high - self.low)
        return self.start + min(1.0, max(0.0, share)) * (self.end - self.start)


def axis(
    values: Iterable[float], start: float, end: float, most: int, zero: bool = True
) -> tuple[Axis, tuple[float, ...]]:
    """An axis that covers the values (and zero, when asked) with its ticks."""
    told = [*values, *([0.0] if zero else [])] or [0.0, 1.0]
    marks = ticks(min(told), max(told), most)
    return Axis(marks[0], marks[-1], start, end), marks


def fit(name: str, width: float, size: float, letter: float = LETTER) -> str:
    """The name cut with … to about `width` units of the drawing at a type size.

    Line breaks and control characters become spaces; wide scripts count two letters.
    """
    clean = " ".join(
        "".join(" " if unicodedata.category(c) in ("Cc", "Zl", "Zp") else c for c in name).split()
    )
    room = width / (size * letter)
    if sum(_letters(c) for c in clean) <= room:
        return clean
    used, kept = 1.0, ""
    for character in clean:
        used += _letters(character)
        if used > room:
            break
        kept += character
    return kept.rstrip() + ELLIPSIS


def fit_lines(name: str, width: float, size: float, most: int) -> tuple[str, ...]:
    """The name in at most so many lines of that width, broken between words; the last is cut."""
    lines: list[str] = []
    rest = fit(name, math.inf, size).split(" ")
    while len(lines) < most - 1 and letters(" ".join(rest), size) > width:
        ways = [" ".join(rest[:words]) for words in range(len(rest), 0, -1)]
        line = next((way for way in ways if letters(way, size) <= width), rest[0])
        lines.append(fit(line, width, size))
        rest = rest[line.count(" ") + 1 :]
    return (*lines, fit(" ".join(rest), width, size)) if rest else tuple(lines)


def letters(words: str, size: float) -> float:
    """About how wide the words are at a type size, in units of the drawing."""
    return sum(_letters(character) for character in words) * size * LETTER


def _letters(character: str) -> float:
    if unicodedata.combining(character):
        return 0.0
    return 1.7 if unicodedata.east_asian_width(character) in "WF" else 1.0
