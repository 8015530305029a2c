"""Dig or move without a prior or a price: a truncated sequential test printed as a card.

The card asks whether a spot's colours per litre lie clearly above or below a break-even rate, with
stated chances of being wrong, after any litres. Its own exact chances come by forward recursion,
because Wald's approximations are far off for a handful of pans.
Source: A. Wald, Sequential Analysis, 1947; NB2 lines W. E. Waters, Forest Science 1, 1955;
truncation B. Epstein, Ann. Math. Stat. 25, 1954 (all memory).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, floor, inf, log
from typing import TYPE_CHECKING

from reports.decide.stopping import Row
from trips.calc.errors import OutOfRange

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

RATIO = 3.0  # the ratio of rates worth telling apart
WRONG = 0.3  # chance of either mistake; smaller ones cost more pans than they save
_EDGE = 1e-9  # slope times litres is often an exact whole number


@dataclass(frozen=True)
class Lines:
    """Decision lines over litres V: move at or below slope·V - low, dig at or above slope·V + high.

    poor, rich: the two rates told apart, colours per litre (for the NB2 form: per pan).
    """

    poor: float
    rich: float
    slope: float
    low: float
    high: float


@dataclass(frozen=True)
class Chances:
    """What the card does on ground of a given rate: chances of digging and moving, mean pans."""

    dig: float
    move: float
    pans: float


def lines(
    even_rate: float,
    ratio: float = RATIO,
    wrong_dig: float = WRONG,
    wrong_move: float = WRONG,
    phi: float = 1.0,
) -> Lines:
    """Lines whose slope is the break-even rate itself, so that the card leans neither way.

    Args: even_rate: colours per litre at break-even; ratio: rich over poor; wrong_dig: chance of
        digging at the poor rate; wrong_move: of moving at the rich one; phi: dispersion.
    Raises: OutOfRange outside those meanings.
    """
    if not even_rate > 0 or not ratio > 1 or not 1 <= phi < inf:
        raise OutOfRange(
            f"Break-even {even_rate}, ratio {ratio}, dispersion {phi}: above 0, above 1 and 1 or "
            "more were expected."
        )
    _check_errors(wrong_dig, wrong_move)
    poor = even_rate * log(ratio) / (ratio - 1)
    return Lines(
        poor,
        ratio * poor,
        even_rate,
        phi * log((1 - wrong_dig) / wrong_move) / log(ratio),
        phi * log((1 - wrong_move) / wrong_dig) / log(ratio),
    )


def clumped_lines(
    poor: float, rich: float, size: float, wrong_dig: float = WRONG, wrong_move: float = WRONG
) -> Lines:
    """Lines for equal pans whose counts are negative binomial of a common `size` (NB2).

    Args: poor, rich: mean colours per pan. The slope is per pan too.
    """
    if not 0 < poor < rich or not size > 0:
        raise OutOfRange(f"Means {poor} and {rich}, size {size}: rising and above zero expected.")
    _check_errors(wrong_dig, wrong_move)
    q_poor, q_rich = poor / (poor + size), rich / (rich + size)
    scale = log(q_rich / q_poor)
    return Lines(
        poor,
        rich,
        size * log((1 - q_poor) / (1 - q_rich)) / scale,
        log((1 - wrong_dig) / wrong_move) / scale,
        log((1 - wrong_move) / wrong_dig) / scale,
    )


def card(found: Lines, litres: Sequence[float]) -> tuple[Row, ...]:
    """Rows for pans of the given litres (all 1 for lines per pan); the last decides every count."""
    if any(not part > 0 for part in litres):
        raise OutOfRange("A pan holds more than zero litres.")
    rows = []
    total = 0.0
    for pans, part in enumerate(litres, start=1):
        total += part
        even = found.slope * total
        low, high = floor(even - found.low + _EDGE), ceil(even + found.high - _EDGE)
        if pans == len(litres):
            high = ceil(even - _EDGE)
            low = high - 1
        rows.append(Row(pans, total, low if low >= 0 else None, high))
    return tuple(rows)


def chances(
    rows: Sequence[Row],
    litres: Sequence[float],
    rate: float,
    size: float | None = None,
    phi: float = 1.0,
) -> Chances:
    """Exact chances on ground of `rate` colours per litre.

    Args: size: common size of negative binomial pans (NB2). phi: else variance over mean of a pan
        (NB1), 1 for plain chance.
    The chances of digging and moving make less than 1 only where the last row leaves a gap.
    """
    import numpy as np

    # Chances of the totals still open, from `start` on: those between the two lines.
    alive, start = np.ones(1), 0
    dig = move = pans = 0.0
    for row, part in zip(rows, litres, strict=True):
        pans += float(alive.sum())
        top = row.dig_at_least if row.dig_at_least is not None else start + alive.size
        room = max(0, top - start)
        after = np.convolve(alive, _counts(rate * part, room, size, phi))[:room]
        dig += max(0.0, float(alive.sum() - after.sum()))
        poor = 0 if row.move_at_most is None else max(0, row.move_at_most + 1 - start)
        move += float(after[:poor].sum())
        alive, start = after[poor:], start + poor
        if not alive.any():
            break
    return Chances(dig, move, pans)


def _counts(mean: float, most: int, size: float | None, phi: float) -> "Floats":
    """Probabilities of 0 … most colours in one pan."""
    import numpy as np
    from scipy.stats import nbinom, poisson

    x = np.arange(most + 1)
    if size is None and phi > 1:
        size = mean / (phi - 1)
    if size is None:
        chance: Floats = poisson.pmf(x, mean)
    else:
        chance = nbinom.pmf(x, size, size / (size + mean))
    return chance


def wald_chances(found: Lines, rate: float, pan_litres: float) -> Chances:
    """Wald's approximation, which ignores overshoot: 30–40 % too few pans here. For comparison."""
    from scipy.optimize import brentq

    if abs(rate - found.slope) < 1e-12 * found.slope:
        moves = found.high / (found.low + found.high)
        return Chances(1 - moves, moves, found.low * found.high / (found.slope * pan_litres))

    def at(h: float) -> float:
        grown: float = (found.rich - found.poor) * h / ((found.rich / found.poor) ** h - 1)
        return grown - rate

    h = float(brentq(at, 1e-9, 60.0) if rate < found.slope else brentq(at, -60.0, -1e-9))
    ratio = found.rich / found.poor
    top, bottom = ratio ** (found.high * h), ratio ** (-found.low * h)
    moves = (top - 1) / (top - bottom)
    drift = (rate - found.slope) * pan_litres
    return Chances(1 - moves, moves, (found.high * (1 - moves) - found.low * moves) / drift)


def truncation(ratio: float, wrong_dig: float, wrong_move: float) -> tuple[int, float]:
    """Events at which the test is cut off, and the exposure then, in 1 / poor rate.

    Source: B. Epstein, Ann. Math. Stat. 25, 1954, p. 555 (memory).
    """
    _check_errors(wrong_dig, wrong_move)
    if not ratio > 1:
        raise OutOfRange(f"A ratio of {ratio} was given; above 1 was expected.")
    from scipy.stats import chi2

    events = 1
    while chi2.ppf(wrong_dig, 2 * events) / chi2.ppf(1 - wrong_move, 2 * events) < 1 / ratio:
        events += 1
    return events, float(chi2.ppf(wrong_dig, 2 * events) / 2)


def _check_errors(wrong_dig: float, wrong_move: float) -> None:
    if not (wrong_dig > 0 and wrong_move > 0 and wrong_dig + wrong_move < 1):
        raise OutOfRange(
            f"Chances of a mistake of {wrong_dig} and {wrong_move} were given; above 0 and below "
            "1 together were expected."
        )
