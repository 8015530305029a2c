"""Will the next trip cover a cost, and what does an hour of digging bring per unit of rate?

Belief about a rate is Gamma(shape a, rate b), mean a/b colours per litre. Masses in mg, money in
the main unit. Shape and *rate*: scipy's scale would be 1/b.
"""

from functools import lru_cache
from typing import TYPE_CHECKING

from trips.calc.errors import OutOfRange

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

_TAIL = 1e-10  # probability of colour numbers left out of the sum at each end


@lru_cache(maxsize=4096)
def chance_mass_reaches(
    *,
    shape: float,
    rate_l: float,
    litres: float,
    transfer_ratio: float,
    mean_mg: float,
    mass_cv: float,
    threshold_mg: float,
) -> float:
    """Chance (0 to 1) that washing some litres yields at least a mass: exact compound sum.

    Args: shape, rate_l: belief about colours per litre; litres: loose, to be washed;
        transfer_ratio: colours that the box keeps per colour that a pan would show;
        mean_mg, mass_cv: mass of a colour and its relative spread; threshold_mg: break-even.
    Raises: OutOfRange unless shape, rate, mean and spread are above zero and the rest zero or more.
    """
    if min(shape, rate_l, mean_mg, mass_cv) <= 0 or min(litres, transfer_ratio) < 0:
        raise OutOfRange(
            f"Belief ({shape}, {rate_l}), mass {mean_mg} mg with spread {mass_cv}, {litres} L at "
            f"{transfer_ratio}: figures above zero were expected."
        )
    if threshold_mg <= 0:
        return 1.0
    washed_l = litres * transfer_ratio
    if washed_l == 0:
        return 0.0
    from scipy.special import gammaincc

    number, chance = _numbers(shape, rate_l / (rate_l + washed_l))
    exceeds = gammaincc(number / mass_cv**2, threshold_mg / (mean_mg * mass_cv**2))
    return float(min(1.0, max(0.0, (chance * exceeds).sum())))


@lru_cache(maxsize=16)  # the rungs of one trip ask for the same numbers, one after the other
def _numbers(shape: float, ratio: float) -> "tuple[NDArray[np.int64], NDArray[np.float64]]":
    """Numbers of colours above zero that may come, and the negative binomial chance of each."""
    import numpy as np
    from scipy.stats import nbinom

    first, last = int(nbinom.ppf(_TAIL, shape, ratio)), int(nbinom.isf(_TAIL, shape, ratio)) + 1
    number = np.arange(max(1, first), max(2, last + 1))
    return number, nbinom.pmf(number, shape, ratio)


def gain_per_hour_per_rate(
    *,
    litres_per_hour: float,
    mean_mg: float,
    price_per_g: float,
    fineness_ratio: float,
    fee_ratio: float,
    transfer_ratio: float,
) -> float:
    """Money per hour of digging for each colour per litre of the ground's rate."""
    grams = litres_per_hour * transfer_ratio * mean_mg / 1000
    return grams * price_per_g * fineness_ratio * (1 - fee_ratio)


def break_even_rate(gain: float, cost_per_hour: float, own_figure_per_hour: float) -> float | None:
    """Colours per litre at which an hour of digging pays; None when gold brings nothing."""
    return (cost_per_hour + own_figure_per_hour) / gain if gain > 0 else None
