"""Will the next trip like these pay? From the gold and litres of past ones, exactly summed.

Weighed gold over the mean mass of a colour is a number of equal colours; their rate per litre fed
is Gamma, and a trip's mass the compound sum of `trips.calc.predictive`. Trips differ by more than
chance would make them: counts and litres are both divided by a dispersion, pooled with a start of
own judgement. What a mean colour weighs cancels out, since the gold itself was weighed.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from reports.decide.colour_mass import MeanColour
from trips.calc.predictive import chance_mass_reaches

# Dispersion before the trips say anything, and the degrees of freedom that this start is worth.
START_DISPERSION = 1.5
START_FREEDOM = 4.0
START_RATE_PER_L = 0.1  # mean colours per litre where nothing at all is known


class Fed(NamedTuple):
    """A past trip's gold in µg and the litres it was washed from, above zero."""

    mass_ug: int
    litres: float


@dataclass(frozen=True)
class NextTrip:
    """Chances (0 to 1) by rung, None where the rung can't be worked out; from how many trips."""

    chances: tuple[float | None, ...]
    trips: int
    litres: float
    dispersion: float


def pooled_rate_per_l(fed: Sequence[Fed], mean_ug: float) -> float | None:
    """Mean colours per litre over all trips; None without gold or litres."""
    litres = sum(each.litres for each in fed)
    mass = sum(each.mass_ug for each in fed)
    return mass / mean_ug / litres if litres and mass else None


def dispersion(fed: Sequence[Fed], mean: MeanColour) -> float:
    """How much more trips differ than chance alone would make them, at least 1, shrunken."""
    rate = pooled_rate_per_l(fed, mean.mean_ug)
    if rate is None:
        return START_DISPERSION
    squares = sum(
        (each.mass_ug / mean.mean_ug - rate * each.litres) ** 2 / (rate * each.litres)
        for each in fed
    )
    # A mass spreads by colours of unequal mass too, which the compound sum adds by itself.
    squares /= 1 + mean.colour_cv**2
    start = START_FREEDOM * START_DISPERSION
    return max(1.0, (start + squares) / (START_FREEDOM + len(fed) - 1))


def next_trip(
    fed: Sequence[Fed],
    thresholds_ug: Sequence[float | None],
    mean: MeanColour,
    usual_rate_per_l: float | None = None,
) -> NextTrip | None:
    """Chances that a trip washing the mean of these litres brings each mass.

    Args: thresholds_ug: raw gold that each rung asks for, None if not known; usual_rate_per_l:
        the party's mean colours per litre over all its trips, the start of the belief.
    Returns: None without any trip.
    """
    if not fed:
        return None
    spread = dispersion(fed, mean)
    colours = sum(each.mass_ug for each in fed) / mean.mean_ug
    litres = sum(each.litres for each in fed)
    mean_litres = litres / len(fed)
    start = usual_rate_per_l or START_RATE_PER_L
    chances = tuple(
        None
        if threshold is None
        else chance_mass_reaches(
            shape=1 + colours / spread,
            rate_l=1 / start + litres / spread,
            litres=mean_litres / spread,
            transfer_ratio=1.0,
            mean_mg=spread * mean.mean_ug / 1000,
            mass_cv=mean.colour_cv,
            threshold_mg=threshold / 1000,
        )
        for threshold in thresholds_ug
    )
    return NextTrip(chances, len(fed), mean_litres, spread)


def chance_by_share(reached: int, known: int) -> float | None:
    """Chance that the next trip reaches what so many of the past ones did; None without any.

    The mean of Jeffreys' Beta(k + ½, n - k + ½).
    """
    return (reached + 0.5) / (known + 1) if known else None
