"""How likely does the next day's gold reach each rung? The whole chain, belief to scale.

λ from its mixture, colours Poisson over the litres that the box will keep, mass of so many colours
gamma; price, mg and ψ are one common factor on the litres. One day, not the long run: this is wider
than the range of the mean.
"""

from collections.abc import Sequence
from typing import Any

from reports.decide.gammas import GammaMix
from reports.decide.ranking import common_points
from trips.calc.errors import OutOfRange

Array = Any
_DENSE = 60  # colour numbers summed one by one; above, by blocks


def rung_chances(
    rate: GammaMix,
    *,
    kept_l: float,
    log_sd: float,
    mean_mg: float,
    mass_cv: float,
    thresholds_mg: Sequence[float],
) -> tuple[float, ...]:
    """Chance (0 to 1) that one day brings at least each mass.

    Args: kept_l: litres washed × ψ; log_sd: of the common factor; mean_mg, mass_cv: of a colour.
    Raises: OutOfRange for a mass or spread of a colour that isn't above zero, or negative litres.
    """
    if min(mean_mg, mass_cv) <= 0 or kept_l < 0:
        raise OutOfRange(
            f"A colour of {mean_mg} mg with spread {mass_cv} in {kept_l} L: figures above zero "
            "were expected."
        )
    import numpy as np
    from scipy.special import gammaincc

    at, widths = _numbers(rate, kept_l, log_sd)
    chance = _colours(rate, kept_l, log_sd, at) * widths
    chance = np.concatenate([[max(0.0, 1 - chance.sum())], chance])  # none at all
    masses = np.maximum(np.array(thresholds_mg, dtype=float), 0.0)[:, None]
    reached = gammaincc(at / mass_cv**2, masses / (mean_mg * mass_cv**2))
    total = reached @ chance[1:] + np.where(masses[:, 0] <= 0, chance[0], 0.0)
    return tuple(float(value) for value in np.clip(total, 0.0, 1.0))


def _numbers(rate: GammaMix, kept_l: float, log_sd: float) -> tuple[Array, Array]:
    """Numbers of colours from 1 up, and how many each stands for."""
    import numpy as np

    mean = rate.mean() * kept_l
    sd = (rate.variance() * kept_l**2 + mean) ** 0.5
    last = (mean + 12 * sd) * (1 + 3 * log_sd) + _DENSE
    edges = np.unique(np.round(np.geomspace(_DENSE, last, 120)))
    starts = np.concatenate([np.arange(1, _DENSE), edges])
    ends = np.concatenate([starts[1:], [starts[-1] + 1]])
    return (starts + ends - 1) / 2, ends - starts


def _colours(rate: GammaMix, kept_l: float, log_sd: float, at: Array) -> Array:
    """Chance of each number of colours, all parts and points of the common factor together."""
    import numpy as np
    from scipy.special import gammaln

    points, weights = common_points(log_sd)
    total = np.zeros_like(at)
    if kept_l == 0:
        return total
    shape = np.array(rate.shapes)[:, None]
    often = gammaln(at + shape) - gammaln(shape) - gammaln(at + 1)
    for point, weight in zip(points, weights, strict=True):
        stay = np.array(rate.rates)[:, None]
        away = stay + kept_l * point
        log_chance = often + shape * np.log(stay / away) + at * np.log(kept_l * point / away)
        total += weight * (np.array(rate.weights) @ np.exp(log_chance))
    return total
