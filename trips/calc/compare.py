"""Do two counted rates differ? The conditional test on colours and litres, exact and mid-p.

Asks how odd the split of all colours between two places is if A's rate were `factor` times B's.
Colours must be independent: clumped gold makes any two places look more different than they are.
"""

from dataclasses import dataclass
from math import inf

from trips.calc.counts import Interval
from trips.calc.errors import OutOfRange

_TIE = 1 + 1e-7  # outcomes as likely as the one seen, but for float noise


@dataclass(frozen=True)
class RateTest:
    """Two-sided p values (0 to 1) and the interval of rate A over rate B; high may be infinite.

    `exact_p` adds every outcome no likelier than the one seen; `mid_p` is less cautious and counts
    the one seen by half, so it stays below 1 even for equal rates. `ratio` is None when no colour
    was found at either place: nothing is known of it.
    """

    exact_p: float
    mid_p: float
    ratio: Interval | None


def compare_rates(
    colours_a: int,
    litres_a: float,
    colours_b: int,
    litres_b: float,
    factor: float = 1.0,
    confidence: float = 0.95,
) -> RateTest | None:
    """Test whether rate A is `factor` times rate B; None where litres are missing at one place.

    Raises: OutOfRange for negative colours, a factor not above zero, a confidence outside 0 to 1.
    Source: conditional binomial test; the interval of the ratio from Clopper-Pearson limits.
    """
    if min(colours_a, colours_b) < 0 or not factor > 0 or not 0 < confidence < 1:
        raise OutOfRange(
            f"{colours_a} and {colours_b} colours, factor {factor}, confidence {confidence}: "
            "zero or more, above zero, and between 0 and 1 were expected."
        )
    if not litres_a > 0 or not litres_b > 0:
        return None
    total = colours_a + colours_b
    if total == 0:
        return RateTest(1.0, 1.0, None)
    import numpy as np
    from scipy.special import betaincinv
    from scipy.stats import binom

    split = binom(total, factor * litres_a / (factor * litres_a + litres_b))
    chances = split.pmf(np.arange(total + 1))
    seen = float(chances[colours_a])
    exact_p = min(1.0, float(chances[chances <= seen * _TIE].sum()))
    mid_p = exact_p - seen / 2
    alpha = 1 - confidence
    low = float(betaincinv(colours_a, colours_b + 1, alpha / 2)) if colours_a else 0.0
    high = float(betaincinv(colours_a + 1, colours_b, 1 - alpha / 2)) if colours_b else 1.0
    per_litre = litres_b / litres_a
    ratio = Interval(
        low / (1 - low) * per_litre,
        high / (1 - high) * per_litre if colours_b else inf,
        confidence,
    )
    return RateTest(exact_p, mid_p, ratio)
