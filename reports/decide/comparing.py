"""Is A better than B? The chance that A's rate is the higher one, and clearly so.

For gammas P(A > c·B) = I_x(b_shape, a_shape) with x = b_rate / (b_rate + c·a_rate), I the
regularised incomplete beta. Mixtures are sums of that: over all pairs where A and B lie at
different sites, over the common site mean where they share one, because what lifts the site lifts
both. Integer shapes checked against E. Miller, Bayesian A/B Testing of Count Data, 2014.
"""

from math import sqrt

from reports.decide.gammas import GammaMix
from reports.decide.hierarchy import Points
from trips.calc.errors import OutOfRange
from trips.calc.words import marked

CLEARLY_MORE = 1.5  # a smaller advantage never pays for a move
WORDS = ((0.60, marked("cannot tell")), (0.80, marked("leaning")), (0.95, marked("probably")))
# Normal quantiles of 97.5 % and 80 %.
_Z = 1.959963984540054 + 0.8416212335729143


def gamma_better(
    shape_a: float, rate_a: float, shape_b: float, rate_b: float, factor: float = 1.0
) -> float:
    """P(A > factor·B) for independent gammas of shape and rate.

    Raises: OutOfRange unless every figure is above zero.
    """
    if not min(shape_a, rate_a, shape_b, rate_b, factor) > 0:
        raise OutOfRange(
            f"Beliefs ({shape_a}, {rate_a}) and ({shape_b}, {rate_b}), factor {factor}: above zero "
            "was expected."
        )
    from scipy.special import betainc

    return float(betainc(shape_b, shape_a, rate_b / (rate_b + factor * rate_a)))


def mix_better(a: GammaMix, b: GammaMix, factor: float = 1.0, same_site: bool = False) -> float:
    """P(A > factor·B) for mixtures; `same_site` pairs the parts of equal place (same site mean)."""
    parts_a = list(zip(a.weights, a.shapes, a.rates, strict=True))
    parts_b = list(zip(b.weights, b.shapes, b.rates, strict=True))
    if same_site:
        return sum(
            weight * gamma_better(shape_a, rate_a, shape_b, rate_b, factor)
            for (weight, shape_a, rate_a), (_, shape_b, rate_b) in zip(
                parts_a, parts_b, strict=True
            )
        )
    return sum(
        weight_a * weight_b * gamma_better(shape_a, rate_a, shape_b, rate_b, factor)
        for weight_a, shape_a, rate_a in parts_a
        for weight_b, shape_b, rate_b in parts_b
    )


def site_gamma(points: Points) -> GammaMix:
    """A site's mean rate as the one gamma of the same mean and spread."""
    mean, sd = points.mean(), points.sd()
    variance = max(sd, 1e-6 * mean) ** 2
    return GammaMix((1.0,), (mean**2 / variance,), (mean / variance,))


def with_counts(mix: GammaMix, colours: float, litres: float, phi: float) -> GammaMix:
    """A belief after further counts that only speak of its own rate, divided by the dispersion."""
    return GammaMix(
        mix.weights,
        tuple(shape + colours / phi for shape in mix.shapes),
        tuple(rate + litres / phi for rate in mix.rates),
    )


def say_better(chance: float) -> str:
    """Words for the chance that one is better, from one half up."""
    likely = max(chance, 1 - chance)
    return next((words for below, words in WORDS if likely < below), "clearly")


def colours_to_tell(ratio: float) -> tuple[float, float]:
    """Colours at the poorer and at the richer place that tell a ratio apart, equal litres.

    80 % power at 5 % two-sided, by the square-root transform. Raises: OutOfRange up to 1.
    """
    if not ratio > 1:
        raise OutOfRange(f"A ratio of {ratio} was given; above 1 was expected.")
    poorer = _Z**2 / (2 * (sqrt(ratio) - 1) ** 2)
    return poorer, ratio * poorer
