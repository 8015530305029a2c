"""A belief about a rate: a frozen mixture of gammas.

Gamma(shape, *rate*), mean shape/rate, everywhere; scipy's scale would be 1/rate.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from trips.calc.errors import OutOfRange

_STEPS = 60
Array = Any  # numpy arrays; numpy itself is only imported where it is used


@dataclass(frozen=True)
class GammaMix:
    """Weights (sum 1), shapes and rates of equal length; the rate is in 1/unit of the value."""

    weights: tuple[float, ...]
    shapes: tuple[float, ...]
    rates: tuple[float, ...]

    def mean(self) -> float:
        """Mean in the value's unit."""
        return sum(w * a / b for w, a, b in zip(self.weights, self.shapes, self.rates, strict=True))

    def variance(self) -> float:
        """Variance, spread between the gammas included."""
        second = sum(
            w * a * (a + 1) / b**2
            for w, a, b in zip(self.weights, self.shapes, self.rates, strict=True)
        )
        return max(0.0, second - self.mean() ** 2)

    def moment_gamma(self) -> tuple[float, float]:
        """Shape and rate of the one gamma with the same mean and variance."""
        mean, variance = self.mean(), self.variance()
        return mean**2 / variance, mean / variance

    def cdf(self, value: float) -> float:
        """Probability that the rate is at most `value`."""
        weights, shapes, rates = arrays([self])
        return float(mix_cdf(weights, shapes, rates, max(0.0, value))[0])

    def quantile(self, probability: float) -> float:
        """Value below which the rate lies with this probability (0 to 1, both excluded)."""
        if not 0 < probability < 1:
            raise OutOfRange(f"A probability of {probability}; between 0 and 1 was expected.")
        weights, shapes, rates = arrays([self])
        return float(mix_quantiles(weights, shapes, rates, probability)[0])

    def scaled(self, factor: float) -> "GammaMix":
        """The belief about `factor` times the value; factor above zero."""
        return GammaMix(self.weights, self.shapes, tuple(rate / factor for rate in self.rates))


def arrays(mixes: Sequence[GammaMix]) -> tuple[Array, Array, Array]:
    """Weights, shapes and rates of several mixtures, (mixtures, parts); short ones padded."""
    import numpy as np

    parts = max(len(mix.weights) for mix in mixes)
    padded = [parts - len(mix.weights) for mix in mixes]
    weights = [mix.weights + (0.0,) * pad for mix, pad in zip(mixes, padded, strict=True)]
    shapes = [mix.shapes + mix.shapes[-1:] * pad for mix, pad in zip(mixes, padded, strict=True)]
    rates = [mix.rates + mix.rates[-1:] * pad for mix, pad in zip(mixes, padded, strict=True)]
    return np.array(weights), np.array(shapes), np.array(rates)


def ends_of(mixes: Sequence[GammaMix]) -> list[tuple[float, float]]:
    """10 % and 90 % points of each, all at once."""
    if not mixes:
        return []
    low, high = (mix_quantiles(*arrays(mixes), probability) for probability in (0.1, 0.9))
    return [(float(left), float(right)) for left, right in zip(low, high, strict=True)]


def mix_cdf(weights: Array, shapes: Array, rates: Array, values: Array) -> Array:
    """P(value ≤ values) of each mixture; `values` a number or one per mixture."""
    import numpy as np
    from scipy.special import gammainc

    at = np.asarray(values, dtype=float)
    return (weights * gammainc(shapes, rates * at[..., None])).sum(axis=-1)


def mix_quantiles(weights: Array, shapes: Array, rates: Array, probability: float) -> Array:
    """The quantile of each mixture by bisection on the logarithm, good to about 1e-12."""
    import numpy as np
    from scipy.special import gammaincinv

    # The mixture's quantile lies between the smallest and the largest of its parts'.
    parts = np.log(np.maximum(gammaincinv(shapes, probability) / rates, 1e-300))
    used = weights > 0
    low = np.where(used, parts, np.inf).min(axis=-1)
    high = np.where(used, parts, -np.inf).max(axis=-1)
    for _ in range(_STEPS):
        middle = (low + high) / 2
        below = mix_cdf(weights, shapes, rates, np.exp(middle)) < probability
        low, high = np.where(below, middle, low), np.where(below, high, middle)
        if np.max(high - low) < 1e-12:
            break
    return np.exp((low + high) / 2)
