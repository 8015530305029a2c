"""The sums of the two-level gamma-Poisson: fit of what sites share, and each site on a grid.

Given the region's mean m and the shapes κ_b (sites) and κ_w (spots), a site is a one-dimensional
sum over u = ln μ. Evidence comes in already divided by the dispersion.

The shapes are taken at their likeliest values. The mean is not: a few tried places hardly tell it,
and ground that nobody tried is worth what m may be, not what it most likely is. So every sum runs
over the posterior of m as well.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from math import exp, log, sqrt
from typing import Any

START_RATE = 0.1  # colours per litre where nothing is known (own judgement)
SHAPE_LOG_SD, RATE_LOG_SD = 0.7, 1.0  # priors of ln κ and of ln m
GRID_LOW, GRID_HIGH, GRID_STEP = -10.0, 5.0, 0.1
NODES = 8  # the site's posterior is kept as this many points and weights
MEAN_STEP = 0.6  # between two values of ln m, in standard deviations of its posterior
MEAN_REACH = 11.0  # a value of m so much less likely (in ln) than the likeliest is left out
Array = Any
# Site id, the spot's colours and litres, and the part of both that the site keeps after floods.
Weighed = tuple[int, float, float, float, float]


@dataclass(frozen=True)
class Region:
    """What all sites share: mean rate m, shapes κ_b (sites) and κ_w (spots), dispersion φ.

    `mean` is the likeliest m, `doubt` its posterior: factors on `mean` with weights of sum 1.
    """

    mean: float = START_RATE
    site_shape: float = 1.0
    spot_shape: float = 1.0
    dispersion: float = 1.5
    doubt: tuple[tuple[float, float], ...] = ((1.0, 1.0),)

    @property
    def expected_mean(self) -> float:
        """Mean of m itself: the rate of a spot anywhere, as far as is known."""
        return self.mean * sum(factor * weight for factor, weight in self.doubt)

    def each_mean(self) -> list[tuple["Region", float]]:
        """The region with every value that m may have, and its weight."""
        return [
            (replace(self, mean=self.mean * factor, doubt=((1.0, 1.0),)), weight)
            for factor, weight in self.doubt
        ]


@dataclass(frozen=True)
class Points:
    """A distribution of ln μ as points and weights (Gauss rule of the grid's posterior)."""

    log_means: tuple[float, ...]
    weights: tuple[float, ...]

    def mean(self) -> float:
        """Mean of μ itself."""
        return sum(w * exp(u) for u, w in zip(self.log_means, self.weights, strict=True))

    def sd(self) -> float:
        """Standard deviation of μ itself."""
        second = sum(w * exp(2 * u) for u, w in zip(self.log_means, self.weights, strict=True))
        return float(max(0.0, second - self.mean() ** 2) ** 0.5)

    def log_variance(self) -> float:
        """Variance of ln μ."""
        mean = sum(w * u for u, w in zip(self.log_means, self.weights, strict=True))
        return sum(w * (u - mean) ** 2 for u, w in zip(self.log_means, self.weights, strict=True))


def fit_region(weighed: Sequence[Weighed], phi: float) -> Region:
    """m, κ_b and κ_w of highest posterior density (Nelder–Mead on their logarithms).

    The doubt about m is its posterior at these shapes; without evidence its prior.
    """
    tested = sorted(row for row in weighed if row[4] > 0)
    if not tested:
        return Region(dispersion=phi, doubt=_doubt(lambda z: z**2 / (2 * RATE_LOG_SD**2)))
    import numpy as np
    from scipy.optimize import minimize

    sites, colours, litres = _columns(tested)
    starts = np.flatnonzero(np.r_[True, sites[1:] != sites[:-1]])
    pooled = max(float(colours.sum() / litres.sum()), 0.1 / float(litres.sum()))
    # Where hardly anything was found, ground of the usual rate stays on the grid.
    high = max(log(pooled), log(START_RATE)) + GRID_HIGH
    grid = np.arange(log(pooled) + GRID_LOW, high + 1e-9, 2 * GRID_STEP)

    def badness(logs: Array) -> float:
        mean, b, w = np.exp(np.clip(logs, -20, 20))
        told = log_evidence(grid, starts, colours, litres, Region(mean, b, w)).sum()
        prior = -(logs[1] ** 2 + logs[2] ** 2) / (2 * SHAPE_LOG_SD**2)
        prior -= (logs[0] - log(START_RATE)) ** 2 / (2 * RATE_LOG_SD**2)
        return -float(told + prior)

    found = minimize(
        badness,
        np.array([log(pooled), 0.0, 0.0]),
        method="Nelder-Mead",
        options={"xatol": 1e-3, "fatol": 1e-4, "maxiter": 400},
    )
    mean, b, w = (float(value) for value in np.exp(np.clip(found.x, -20, 20)))
    likeliest = badness(found.x)
    doubt = _doubt(lambda z: badness(found.x + np.array([z, 0.0, 0.0])) - likeliest)
    return Region(mean, b, w, phi, doubt)


def _doubt(less: Callable[[float], float]) -> tuple[tuple[float, float], ...]:
    """Factors on the likeliest m with their weights, on even steps of ln m.

    Args: less: by how much ln posterior is lower at a distance of ln m from the likeliest.
    """
    look = 0.3 * RATE_LOG_SD
    # The prior alone bends as much as this, so a posterior is never taken as wider than it.
    bend = max(less(look) + less(-look), (look / RATE_LOG_SD) ** 2)
    step = MEAN_STEP * look / sqrt(bend)
    found = {0.0: 1.0}
    for way in (step, -step):
        z = way
        while (gone := less(z)) < MEAN_REACH:
            found[z] = exp(-gone)
            z += way
    total = sum(found.values())
    return tuple((exp(z), weight / total) for z, weight in sorted(found.items()))


def log_evidence(u: Array, starts: Array, y: Array, v: Array, region: Region) -> Array:
    """ln p(a site's counts | region) of each site, up to what doesn't depend on the region.

    Args: u: even grid of ln μ; starts: first row of each site in y (colours) and v (litres).
    """
    import numpy as np
    from scipy.special import gammaln

    b = region.site_shape
    log_weights = _prior_log_weights(u, region) + b * np.log(b / region.mean) - gammaln(b)
    log_weights = log_weights + _spot_log_weights(u, starts, y, v, region.spot_shape)
    top = log_weights.max(axis=1)
    return top + np.log(np.exp(log_weights - top[:, None]).sum(axis=1) * (u[1] - u[0]))


def _columns(rows: Sequence[Weighed]) -> tuple[Array, Array, Array]:
    import numpy as np

    table = np.array(rows, dtype=float)
    return table[:, 0].astype(np.int64), table[:, 3], table[:, 4]


def _spot_log_weights(u: Array, starts: Array, y: Array, v: Array, shape: float) -> Array:
    """Σ over a site's spots of ln p(y | v, ln μ = u), (sites, grid)."""
    import numpy as np
    from scipy.special import gammaln

    fixed = gammaln(y + shape) - gammaln(shape) + shape * np.log(shape)
    rows = fixed[:, None] - shape * u
    rows -= (shape + y)[:, None] * np.log(shape * np.exp(-u) + v[:, None])
    return np.add.reduceat(rows, starts, axis=0)


def _grid(region: Region) -> Array:
    import numpy as np

    return log(region.expected_mean) + np.arange(GRID_LOW, GRID_HIGH + 1e-9, GRID_STEP)


def _prior_log_weights(u: Array, region: Region) -> Array:
    import numpy as np

    return region.site_shape * u - region.site_shape / region.mean * np.exp(u)


def site_points(weighed: Sequence[Weighed], region: Region) -> dict[int, Points]:
    """The posterior of ln μ of every site with evidence, as a Gauss rule of its grid."""
    tested = sorted(row for row in weighed if row[4] > 0)
    if not tested:
        return {}
    import numpy as np

    sites, colours, litres = _columns(tested)
    starts = np.flatnonzero(np.r_[True, sites[1:] != sites[:-1]])
    u = _grid(region)
    spots = _spot_log_weights(u, starts, colours, litres, region.spot_shape)
    total = np.zeros_like(spots)
    for known, weight in region.each_mean():
        log_weights = _prior_log_weights(u, known) + spots
        weights = np.exp(log_weights - log_weights.max(axis=1, keepdims=True))
        total += weight * weights / weights.sum(axis=1, keepdims=True)
    points, at = _gauss(u, total)
    return {
        int(site): Points(tuple(map(float, x)), tuple(map(float, w)))
        for site, x, w in zip(sites[starts], points, at, strict=True)
    }


def prior_points(region: Region) -> Points:
    """ln μ of a site where nothing was counted."""
    import numpy as np

    u = _grid(region)
    total = np.zeros((1, len(u)))
    for known, weight in region.each_mean():
        log_weights = _prior_log_weights(u, known)
        weights = np.exp(log_weights - log_weights.max())
        total += weight * weights / weights.sum()
    points, at = _gauss(u, total)
    return Points(tuple(map(float, points[0])), tuple(map(float, at[0])))


def _gauss(u: Array, weights: Array) -> tuple[Array, Array]:
    """Gauss rules of discrete measures on a common grid: (rows, NODES) points and weights.

    Three-term recurrence of the orthogonal polynomials (Stieltjes), then the eigenvalues of the
    symmetric tridiagonal matrix. Source: G. Golub and J. Welsch, Math. Comp. 23, 1969 (memory).
    """
    import numpy as np

    rows = len(weights)
    centre = weights @ u
    spread = np.sqrt(np.maximum(weights @ u**2 - centre**2, 1e-12))
    x = (u - centre[:, None]) / spread[:, None]  # standardised: the recurrence stays stable
    before, now = np.zeros_like(x), np.ones_like(x)
    matrix = np.zeros((rows, NODES, NODES))
    norm = (weights * now**2).sum(axis=1)
    last = norm
    for n in range(NODES):
        alpha = (weights * x * now**2).sum(axis=1) / norm
        matrix[:, n, n] = alpha
        beta = norm / last if n else np.zeros(rows)
        if n:
            matrix[:, n, n - 1] = matrix[:, n - 1, n] = np.sqrt(beta)
        before, now = now, (x - alpha[:, None]) * now - beta[:, None] * before
        last, norm = norm, np.maximum((weights * now**2).sum(axis=1), 1e-300)
    points, vectors = np.linalg.eigh(matrix)
    return centre[:, None] + spread[:, None] * points, vectors[:, 0, :] ** 2
