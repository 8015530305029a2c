"""Is it worth looking at a site before working there? Exact preposterior analysis.

Belief about the rate Gamma(a, b). A day's work there pays gain·λ − cost, the best that the day
would give otherwise is M. x colours in v litres are negative binomial, and change the choice only
where the new mean passes the line. Money in the main unit.
Source: H. Raiffa and R. Schlaifer, Applied Statistical Decision Theory, 1961 (memory).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import ceil, exp, floor, log, pi, sqrt
from typing import Any

from reports.decide.ranking import Outing, Per
from trips.calc.errors import OutOfRange

LATER = 0.8  # δ: floods, access and plans change before the answer is used (own judgement)
_MOST = 2_000_000  # colours; beyond any count the sum has long been complete
Array = Any


@dataclass(frozen=True)
class Prospect:
    """A site as one gamma: shape, rate (per litre⁻¹), and what a day there pays and costs."""

    shape: float
    rate: float
    gain: float
    cost: float

    def __post_init__(self) -> None:
        """Refuse a belief or a gain that isn't above zero (OutOfRange)."""
        if min(self.shape, self.rate, self.gain) <= 0:
            raise OutOfRange(
                f"Belief ({self.shape}, {self.rate}) with gain {self.gain}: figures above zero "
                "were expected."
            )

    @property
    def mean(self) -> float:
        """Expected net of a day there."""
        return self.gain * self.shape / self.rate - self.cost


def evsi(prospect: Prospect, litres: float, other: float) -> float:
    """What knowing the colours of `litres` would add to one later day; never below zero.

    Args: litres: washed, divided by the dispersion; other: M, the best of the day otherwise.
    """
    return evsi_each(prospect, (litres,), other)[0]


@lru_cache(maxsize=2048)
def evsi_each(prospect: Prospect, litres: tuple[float, ...], other: float) -> tuple[float, ...]:
    """The same for several amounts; what hangs on the counts alone is worked out once."""
    if wrong := [v for v in litres if v < 0]:
        raise OutOfRange(f"{wrong[0]} litres; zero or more was expected.")
    a, b = prospect.shape, prospect.rate
    line = (other + prospect.cost) / prospect.gain
    # E[max(net, M)] = E[net] + E[(M - net)+], and few colours bring less than M: a short sum.
    levels = [line * (b + v) - a for v in litres]
    if not any(v > 0 and level >= 0 for v, level in zip(litres, levels, strict=True)):
        return tuple(0.0 for _ in litres)
    import numpy as np
    from scipy.special import gammaln

    counts = np.arange(0.0, min(floor(max(levels)), _MOST) + 1)
    shapes = a + counts
    ways = gammaln(shapes) - gammaln(a) - gammaln(counts + 1)
    worth = []
    for v, level in zip(litres, levels, strict=True):
        if v == 0 or level < 0:
            worth.append(0.0)
            continue
        few = slice(min(floor(level), _MOST) + 1)
        log_chance = ways[few] + (a * log(b / (b + v)) + counts[few] * log(v / (b + v)))
        net = prospect.gain * shapes[few] / (b + v) - prospect.cost
        saved = float((np.exp(log_chance) * np.maximum(other - net, 0.0)).sum())
        worth.append(max(0.0, prospect.mean + saved - max(prospect.mean, other)))
    return tuple(worth)


def evpi(prospect: Prospect, other: float) -> float:
    """What knowing the rate for sure would add to one later day: the most any sample can add."""
    from scipy.special import gammaincc

    a, b = prospect.shape, prospect.rate
    line = (other + prospect.cost) / prospect.gain
    if line <= 0:
        return 0.0
    above = float(gammaincc(a, b * line))
    above_next = float(gammaincc(a + 1, b * line))
    best = other + prospect.gain * a / b * above_next - (prospect.cost + other) * above
    return max(0.0, best - max(prospect.mean, other))


@dataclass(frozen=True)
class Pans:
    """How many pans are worth it: value by number of pans, and the last one that pays its time."""

    value: tuple[float, ...]
    enough: int


def pans_worth(
    prospect: Prospect,
    *,
    pan_l: float,
    other: float,
    uses: float,
    pan_cost: float,
    most: int = 40,
) -> Pans:
    """Value of 0, 1, … pans over `uses` later days, and the number with the best value less cost.

    Args: pan_l: litres of a pan after dispersion; pan_cost: money of the time that one pan takes.
    """
    litres = tuple(pan_l * pans for pans in range(most + 1))
    value = tuple(uses * worth for worth in evsi_each(prospect, litres, other))
    net = [worth - pans * pan_cost for pans, worth in enumerate(value)]
    return Pans(value, max(range(most + 1), key=lambda pans: (round(net[pans], 9), -pans)))


def joint_evsi(
    prospects: Sequence[Prospect], litres: Sequence[float], other: float, *, seed: int, draws: int
) -> float:
    """What looking at several sites on one day adds to one later day; by draws of the colours.

    The choice afterwards is the best of all of them and `other`. Same seed, same answer.
    """
    import numpy as np

    rng = np.random.default_rng(seed)
    best = np.full(draws, float(other))
    for each, v in zip(prospects, litres, strict=True):
        a, b = each.shape, each.rate
        seen = rng.poisson(rng.gamma(a, 1 / b, draws) * v)
        best = np.maximum(best, each.gain * (a + seen) / (b + v) - each.cost)
    now = max([other, *(each.mean for each in prospects)])
    return max(0.0, float(best.mean()) - now)


@dataclass(frozen=True)
class Turn:
    """How likely some pans at one site would put another site first, and from which count on.

    `colours` is the fewest (or, with `fewer`, the most) colours in those pans that would do it.
    """

    chance: float
    colours: int
    fewer: bool


def turn(
    shape: float, rate: float, *, litres: float, dispersion: float, line: float, leads: bool
) -> Turn:
    """Chance that the mean rate passes `line` after `litres` (as washed) of pans.

    Args: line: the rate at which the site would draw level; leads: it is first now.
    """
    from scipy.special import betainc

    # Whole colours as counted; clumps make them stray φ times as much about the rate.
    mean = litres * shape / rate
    variance = dispersion * mean + litres**2 * shape / rate**2
    k, stay = mean**2 / (variance - mean), mean / variance
    level = line * (dispersion * rate + litres) - dispersion * shape
    if leads:
        most = ceil(level) - 1
        chance = float(betainc(k, most + 1, stay)) if most >= 0 else 0.0
        return Turn(chance, max(0, most), True)
    least = max(0, floor(level) + 1)
    chance = 1.0 - float(betainc(k, least, stay)) if least else 1.0
    return Turn(chance, least, False)


@dataclass(frozen=True)
class Lesson:
    """An outing with what it brings itself and what it teaches for the later trips.

    `net` and `lesson` in the unit asked for: an hour door to door, or a trip.
    """

    site_id: int
    net: float
    lesson: float

    @property
    def score(self) -> float:
        """Both together."""
        return self.net + self.lesson


def lessons(
    outings: Sequence[Outing], *, later: int, litres: float, per: Per = "hour"
) -> tuple[Lesson, ...]:
    """Outings by what they bring and teach together, best first.

    An hour at the best place known is not all that a season is about: with later trips to come, an
    untried place may be the better first choice though it brings less on its own.
    Args: later: trips that could use it; litres: that a visit washes in pans, after dispersion.
    """
    spans = [each.hours if per == "hour" else 1.0 for each in outings]
    nets = [
        (each.gain * each.rate.mean() - each.cost) / span
        for each, span in zip(outings, spans, strict=True)
    ]
    found = []
    for n, (each, span) in enumerate(zip(outings, spans, strict=True)):
        rest = max((net for m, net in enumerate(nets) if m != n), default=None)
        reach = each.gain * (each.rate.mean() + 5 * each.rate.variance() ** 0.5) - each.cost
        lesson = 0.0
        # What can't reach the best of the others, or has no other, teaches nothing that changes it.
        if later > 0 and rest is not None and reach > rest * span and each.gain > 0:
            shape, rate = each.rate.moment_gamma()
            prospect = Prospect(shape, rate, each.gain, each.cost)
            lesson = later * LATER * evsi(prospect, litres, rest * span) / span
        found.append(Lesson(each.site_id, nets[n], lesson))
    return tuple(sorted(found, key=lambda row: (-row.score, row.site_id)))


def normal_loss(z: float) -> float:
    """Unit normal linear loss L(z) = φ(z) − z(1 − Φ(z))."""
    from scipy.special import ndtr

    return exp(-z * z / 2) / sqrt(2 * pi) - z * float(ndtr(-z))


def knowledge_gradient(
    means: Sequence[float], sds: Sequence[float], noise_sd: float
) -> tuple[float, ...]:
    """What one more noisy look at each of several normal beliefs adds: the quick screen.

    Source: P. Frazier, W. Powell and S. Dayanik, SIAM J. Control Optim. 47, 2008 (formulas).
    """
    found = []
    for i, (mean, sd) in enumerate(zip(means, sds, strict=True)):
        rest = max(each for j, each in enumerate(means) if j != i)
        moved = sd**2 / sqrt(sd**2 + noise_sd**2)
        found.append(moved * normal_loss(abs(mean - rest) / moved) if moved > 0 else 0.0)
    return tuple(found)
