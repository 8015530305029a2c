"""Which site next: order, chance of being the best, regret and range, without draws.

A day at site i brings gain·s·λ − cost. Price, mg per colour and ψ are the same for every site, so
they are one common factor s (mean 1, log-normal); given s the sites are independent. So: a Gauss
rule over s, and for each of its points P(best) and E[max] from the products of exact distribution
functions. Money in the main unit, hours door to door, rates in colours per litre.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import exp, lgamma, log
from typing import Any, Literal

from reports.decide.gammas import GammaMix, arrays, mix_quantiles
from trips.calc.errors import OutOfRange

Per = Literal["hour", "trip"]
Array = Any
NEWTON = 40  # steps to a quantile at most; mostly four do
FEW = 60  # up to this many sites every one is kept with the finest panels
SURELY = 0.02  # chance that the best of the first choice stays below the level
OUTSIDE = 0.01  # chance that those left out together may have of passing it
NEGLIGIBLE = 1e-6  # a part of a mixture that weighs less is left out
TABLE_STEPS = 16_384
LEAST_SHAPE = 0.2  # below this a table would have to reach too far down


@dataclass(frozen=True)
class Outing:
    """A day at one site: `gain` money per colour per litre of its rate, at the mean of s."""

    site_id: int
    rate: GammaMix
    gain: float
    cost: float
    hours: float

    def __post_init__(self) -> None:
        """Refuse hours that can't be divided by, or a gain below zero (OutOfRange)."""
        if not self.hours > 0 or self.gain < 0:
            raise OutOfRange(
                f"A day of {self.hours} hours with a gain of {self.gain}: hours above zero and a "
                "gain of zero or more were expected."
            )


@dataclass(frozen=True)
class Ranked:
    """A site's place: mean with its 80 % range, chance of being best, what choosing it forgoes."""

    site_id: int
    mean: float
    low: float
    high: float
    best_chance: float
    regret: float


@dataclass(frozen=True)
class Ranking:
    """Best mean first, ties by id. `perfect` is what knowing the best for sure would add."""

    rows: tuple[Ranked, ...]
    perfect: float


def common_points(log_sd: float, count: int = 7) -> tuple[Array, Array]:
    """Points and weights of the common factor: log-normal, mean 1."""
    import numpy as np

    if log_sd == 0:
        return np.ones(1), np.ones(1)
    at, weights = map(np.array, _normal_rule(count))
    points = np.exp(log_sd * at - log_sd**2 / 2)
    weights = weights / weights.sum()
    return points / (weights @ points), weights


@lru_cache
def _normal_rule(count: int) -> tuple[tuple[float, ...], tuple[float, ...]]:
    import numpy as np

    at, weights = np.polynomial.hermite_e.hermegauss(count)
    return tuple(map(float, at)), tuple(map(float, weights))


def rank(outings: Sequence[Outing], log_sd: float, per: Per = "hour") -> Ranking:
    """Sites in order of expected net per door-to-door hour, or per trip.

    Args: log_sd: of price × mg per colour × ψ together, zero or more.
    """
    if not outings:
        return Ranking((), 0.0)
    import numpy as np

    # Sites that nobody tried are alike: what rests on the belief alone is worked out once.
    places: dict[GammaMix, int] = {}
    which = np.array([places.setdefault(each.rate, len(places)) for each in outings])
    alike = arrays(list(places))
    weights, shapes, rates = (column[which] for column in alike)
    slope = np.array([each.gain for each in outings])
    base = np.array([-each.cost for each in outings])
    if per == "hour":
        hours = np.array([each.hours for each in outings])
        slope, base = slope / hours, base / hours
    slope = np.maximum(slope, 1e-12)
    mean = slope * (weights * shapes / rates).sum(axis=1) + base
    points, chances, panels, least = _fineness(len(outings), log_sd)
    kept = _kept(weights, shapes, rates, slope, base, log_sd)
    best, top = np.zeros(len(outings)), 0.0
    parts = _trimmed(weights[kept], shapes[kept], rates[kept], least)
    below = _distribution(*parts)
    rate_mean, rate_sd = _mean_and_sd(*parts)
    for point, chance in zip(points, chances, strict=True):
        scale = slope[kept] * point
        net = scale * rate_mean + base[kept]
        won, highest = _contest(below, net, scale * rate_sd, scale, base[kept], panels)
        best[kept] += chance * won
        top += float(chance * highest)
    top = max(top, float(mean.max()))
    low, high = (slope * end[which] + base for end in rate_ranges(*alike, log_sd, len(outings)))
    rows = [
        Ranked(each.site_id, *map(float, figures))
        for each, *figures in zip(outings, mean, low, high, best, top - mean, strict=True)
    ]
    rows.sort(key=lambda row: (-row.mean, row.site_id))
    return Ranking(tuple(rows), top - float(mean.max()))


def _fineness(sites: int, log_sd: float) -> tuple[Array, Array, int, float]:
    """Points of the common factor, panels, and the least weight of a part, by number of sites."""
    points, chances = common_points(log_sd, 7 if sites <= 12 else 5)
    if sites <= 12:
        return points, chances, 128, NEGLIGIBLE
    return points, chances, 64 if sites <= FEW else 48, 2e-4 if sites <= FEW else 2e-3


def _trimmed(
    weights: Array, shapes: Array, rates: Array, least: float
) -> tuple[Array, Array, Array]:
    """The same mixtures without the parts that weigh less than `least` in every mixture."""
    import numpy as np

    order = np.argsort(-weights, axis=1)
    needed = int((weights > least).sum(axis=1).max())
    order = order[:, :needed]
    weights = np.take_along_axis(weights, order, 1)
    shapes, rates = np.take_along_axis(shapes, order, 1), np.take_along_axis(rates, order, 1)
    return weights / weights.sum(axis=1, keepdims=True), shapes, rates


def _kept(
    weights: Array, shapes: Array, rates: Array, slope: Array, base: Array, log_sd: float
) -> Array:
    """Indices of the sites that can be best: all of few, else those that reach highest.

    A first choice of sites gives a level that their best nearly always passes. Whoever hardly ever
    reaches that level is left out, as long as all those together hardly ever do.
    """
    import numpy as np
    from scipy.special import gammaincc

    count = len(slope)
    if count <= FEW:
        return np.arange(count)
    mean, sd = _mean_and_sd(weights, shapes, rates)
    reach = np.zeros(count)
    # The common factor moves sites of different cost differently: look at three of its values.
    for point in (exp(-1.5 * log_sd), 1.0, exp(1.5 * log_sd)):
        first = np.argsort(-(slope * point * (mean + 2 * sd) + base), kind="stable")[:FEW]
        low, high = float(base[first].max()), float((slope * point * (mean + 9 * sd) + base).max())
        for _ in range(14):
            level = (low + high) / 2
            at = np.maximum((level - base[first]) / (slope[first] * point), 0.0)
            beyond = gammaincc(shapes[first], rates[first] * at[:, None])
            below = 1 - (weights[first] * beyond).sum(axis=1)
            if np.log(np.maximum(below, 1e-300)).sum() < log(SURELY):
                low = level
            else:
                high = level
        at = np.maximum((low - base) / (slope * point), 0.0)
        beyond = (weights * gammaincc(shapes, rates * at[:, None])).sum(axis=1)
        reach = np.maximum(reach, beyond)
    order = np.argsort(-reach, kind="stable")
    left = np.cumsum(reach[order][::-1])[::-1]  # what this one and all after it reach together
    needed = int((left > OUTSIDE).sum())
    return np.sort(order[: max(FEW, needed)])


def _mean_and_sd(weights: Array, shapes: Array, rates: Array) -> tuple[Array, Array]:
    import numpy as np

    mean = (weights * shapes / rates).sum(axis=1)
    second = (weights * shapes * (shapes + 1) / rates**2).sum(axis=1)
    return mean, np.sqrt(np.maximum(second - mean**2, 0))


def _distribution(weights: Array, shapes: Array, rates: Array) -> Callable[[Array], Array]:
    """P(λ ≤ value) of each mixture, for values (mixtures, points).

    Spots that nobody tried all have one shape, so that many of them need one function only: it is
    read from a table over ln(rate × value), linear between its steps (off by less than 1e-5).
    """
    import numpy as np
    from scipy.special import gammainc

    shape = float(shapes.flat[0])
    if len(weights) <= FEW or shape < LEAST_SHAPE or (shapes != shape).any():

        def exactly(values: Array) -> Array:
            below = np.zeros_like(values)
            for part in range(weights.shape[1]):
                below += weights[:, part, None] * gammainc(
                    shapes[:, part, None], rates[:, part, None] * values
                )
            return below

        return exactly
    low = (log(1e-9) + lgamma(shape + 1)) / shape  # less than 1e-9 lies below
    high = log(shape + 12 * shape**0.5 + 30)
    per_unit = TABLE_STEPS / (high - low)
    table = gammainc(shape, np.exp(np.linspace(low, high, TABLE_STEPS + 1)))
    rises = np.append(np.diff(table), 0.0)
    start = (np.log(rates) - low) * per_unit

    def from_table(values: Array) -> Array:
        logs = np.log(np.maximum(values, 1e-300)) * per_unit
        below = np.zeros_like(values)
        for part in range(weights.shape[1]):
            place = np.clip(logs + start[:, part, None], 0.0, float(TABLE_STEPS))
            step = place.astype(np.int32)
            place -= step
            place *= rises[step]
            place += table[step]
            place *= weights[:, part, None]
            below += place
        return below

    return from_table


def _contest(
    below: Callable[[Array], Array], mean: Array, sd: Array, slope: Array, base: Array, panels: int
) -> tuple[Array, float]:
    """P(best) of each and E[max] for independent slope·λ + base.

    dP(best i) = dG · (d ln F_i) / Σ d ln F, G the distribution of the maximum: shares of each panel
    add up to one whatever its width. Twice the width and extrapolation give the fourth order.
    """
    import numpy as np

    def log_cdf(at: Array) -> Array:
        rate = np.maximum((at - base[:, None]) / slope[:, None], 0.0)
        return np.log(np.clip(below(rate), 1e-300, 1.0))

    low, high = float(base.max()), float((mean + 12 * sd).max())
    if not high > low:
        won = (mean == mean.max()).astype(float)
        return won / won.sum(), float(mean.max())
    # A first look finds where the maximum lies; the panels then hold equal parts of it.
    look = low + (high - low) * np.linspace(0, 1, 33) ** 2
    found = np.exp(log_cdf(look).sum(axis=0))
    spread = np.maximum.accumulate(found) + np.linspace(0, 0.25, len(look))
    where = np.linspace(spread[0], spread[-1], panels + 1)
    x = np.interp(where, spread, look)
    x[0], x[-1] = low, high
    logs = log_cdf(x)
    whole = np.exp(logs.sum(axis=0))

    def with_every(step: int) -> tuple[Array, float]:
        rise = np.diff(logs[:, ::step], axis=1)
        total = rise.sum(axis=0)
        share = np.where(total > 0, rise / np.where(total > 0, total, 1), 1 / len(slope))
        gained = np.diff(whole[::step])
        at = x[::step]
        area = float((np.diff(at) * (1 - (whole[::step][1:] + whole[::step][:-1]) / 2)).sum())
        return (share * gained).sum(axis=1), low + area

    (fine, fine_top), (coarse, coarse_top) = with_every(1), with_every(2)
    won = np.clip(fine + (fine - coarse) / 3, 0, 1)
    # What the maximum has at its lowest value belongs to whoever stands there.
    won = won + whole[0] * (base == low) / (base == low).sum()
    return won / won.sum(), fine_top + (fine_top - coarse_top) / 3


def rate_ranges(
    weights: Array, shapes: Array, rates: Array, log_sd: float, sites: int
) -> tuple[Array, Array]:
    """10 % and 90 % points of s·λ of each mixture.

    Exact up to `FEW` sites. Of more, s times each gamma is taken as the gamma of equal mean and
    variance, which moves an end by up to 7 % of the range.
    """
    if sites <= FEW:
        low, high = (_product_quantiles(weights, shapes, rates, log_sd, p) for p in (0.1, 0.9))
        return low, high
    weights, shapes, rates = _trimmed(weights, shapes, rates, 2e-3)
    wider = 1 / ((1 + 1 / shapes) * exp(log_sd**2) - 1)
    low, high = _between(weights, wider, rates * wider / shapes)
    return low, high


def _product_quantiles(
    weights: Array, shapes: Array, rates: Array, log_sd: float, probability: float
) -> Array:
    """The quantile of s·λ of each mixture, s log-normal of mean 1, good to about 1e-3 of itself.

    Of s and each gamma the narrower is put on even steps of its normal score and the wider one's
    distribution is smooth between them, so the sum has no stairs. Newton's steps on the logarithm
    against the normal score, in which such a distribution is nearly a straight line.
    """
    import numpy as np
    from scipy.special import gammainc, gammaincinv, gammaln, ndtr, ndtri

    if log_sd == 0:
        return mix_quantiles(weights, shapes, rates, probability)
    score = np.arange(-4.0, 4.01, 0.5)
    chance = np.exp(-(score**2) / 2) / np.exp(-(score**2) / 2).sum()
    log_s = log_sd * score - log_sd**2 / 2
    narrow = shapes * log_sd**2 > 1  # gammas that are narrower than s
    flat_shapes, flat_rates = shapes[narrow][:, None], np.log(rates[narrow])[:, None]
    log_rate = np.log(gammaincinv(flat_shapes, ndtr(score))) - flat_rates
    wide_shapes, wide_rates = shapes[~narrow][:, None], rates[~narrow][:, None] / np.exp(log_s)
    norm = gammaln(wide_shapes)

    wanted = float(ndtri(probability))
    mean = (weights * shapes / rates).sum(axis=1)
    spread = ((weights * shapes * (shapes + 1) / rates**2).sum(axis=1) / mean**2) * exp(log_sd**2)
    match = 1 / np.clip(spread - 1, 1e-9, 2.0)
    at = np.log(np.maximum(gammaincinv(match, probability) * mean / match, 1e-300))
    floor, roof = at - 40.0, at + 40.0
    for _ in range(NEWTON):
        here = np.broadcast_to(at[:, None], shapes.shape)
        below, slope = np.zeros(shapes.shape), np.zeros(shapes.shape)
        off = (here[narrow][:, None] - log_rate + log_sd**2 / 2) / log_sd
        below[narrow] = ndtr(off) @ chance
        slope[narrow] = np.exp(-(off**2) / 2) @ chance / ((2 * np.pi) ** 0.5 * log_sd)
        scaled = np.exp(here[~narrow])[:, None] * wide_rates
        below[~narrow] = gammainc(wide_shapes, scaled) @ chance
        slope[~narrow] = np.exp(wide_shapes * np.log(scaled) - scaled - norm) @ chance
        total = np.clip((weights * below).sum(axis=1), 1e-9, 1 - 1e-9)
        reached = ndtri(total)
        steep = (weights * slope).sum(axis=1) * (2 * np.pi) ** 0.5 * np.exp(reached**2 / 2)
        floor, roof = np.where(reached < wanted, at, floor), np.where(reached < wanted, roof, at)
        step = at + np.clip((wanted - reached) / np.maximum(steep, 1e-9), -3.0, 3.0)
        # Between two far parts the line is bent: halve where a step would leave what is known.
        inside = ((step > floor) & (step < roof)) | (np.abs(step - at) < 1e-9)
        step = np.where(inside, step, (floor + roof) / 2)
        done, at = np.max(np.abs(step - at)) < 1e-6, step
        if done:
            break
    found: Array = np.exp(at)
    return found


def _between(weights: Array, shapes: Array, rates: Array) -> list[Array]:
    """10 % and 90 % points read between a few points: quick, for many sites.

    In normal scores of the chance against ln λ a mixture is nearly a straight line.
    """
    import numpy as np
    from scipy.special import gammaincinv, ndtri

    below = _distribution(weights, shapes, rates)
    mean, sd = _mean_and_sd(weights, shapes, rates)
    match, scale = (mean**2 / sd**2)[:, None], (sd**2 / mean)[:, None]
    found = []
    for probability, about in (
        (0.1, (0.005, 0.03, 0.07, 0.12, 0.2, 0.35)),
        (0.9, (0.7, 0.82, 0.88, 0.92, 0.96)),
    ):
        at = np.maximum(gammaincinv(match, np.array(about)) * scale, 1e-300)
        score, log_at = ndtri(np.clip(below(at), 1e-12, 1 - 1e-12)), np.log(at)
        wanted = float(ndtri(probability))
        place = np.clip((score < wanted).sum(axis=1) - 1, 0, len(about) - 2)[:, None]
        left, right = (np.take_along_axis(score, place + step, 1)[:, 0] for step in (0, 1))
        start, end = (np.take_along_axis(log_at, place + step, 1)[:, 0] for step in (0, 1))
        found.append(
            np.exp(start + (wanted - left) / np.maximum(right - left, 1e-9) * (end - start))
        )
    return found
