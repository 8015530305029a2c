"""How often does a flood of this size come? Return periods from the yearly highest flows.

Weibull's plotting position for short records and for showing; log-Pearson III by moments of the
logarithms from ten years on. Flows in any one unit, above zero; periods in years.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import isfinite, log10

from trips.calc.errors import OutOfRange
from trips.calc.words import say

FEWEST_YEARS = 3  # below this a rank says nothing; own judgement
FEWEST_FITTED = 10


@dataclass(frozen=True)
class Fitted:
    """Log-Pearson III: mean, standard deviation and skew of log10 of the yearly peaks."""

    mean: float
    sd: float
    skew: float
    years: int


@dataclass(frozen=True)
class Ranked:
    """A yearly peak with its rank (1 is the highest) and Weibull's return period in years."""

    peak: float
    rank: int
    years: float


@dataclass(frozen=True)
class Period:
    """A return period in years, None with the reason; `method` is "fit", "rank" or "none"."""

    years: float | None
    method: str
    reason: str


def weibull_years(record_years: int, rank: int) -> float:
    """Return period of the rank-th largest of so many yearly peaks: (n + 1) / m.

    Raises: OutOfRange unless 1 ≤ rank ≤ years.
    """
    if not 1 <= rank <= record_years:
        raise OutOfRange(
            say(
                "Rank {rank} of {record_years} years: 1 to the number was expected.",
                rank=rank,
                record_years=record_years,
            )
        )
    return (record_years + 1) / rank


def ranked(peaks: Sequence[float]) -> tuple[Ranked, ...]:
    """The yearly peaks from the highest with rank and return period; equal ones in order."""
    ordered = sorted(_known(peaks), reverse=True)
    return tuple(
        Ranked(peak, rank, weibull_years(len(ordered), rank))
        for rank, peak in enumerate(ordered, start=1)
    )


def fit(peaks: Sequence[float], weighted: tuple[float, float] | None = None) -> Fitted:
    """Log-Pearson III of yearly peaks by moments; zero and missing years are to be dropped before.

    Args: weighted: a regional skew and its mean square error, to be weighted with the station's.
    Raises: OutOfRange for fewer than three peaks, one not above zero, or all alike.
    Source: US Water Resources Council, Bulletin 17B, 1982 (memory).
    """
    logs = [log10(peak) for peak in _known(peaks)]
    n = len(logs)
    if n < FEWEST_YEARS:
        raise OutOfRange(
            say(
                "{n} yearly peaks: at least {fewest_years} were expected.",
                n=n,
                fewest_years=FEWEST_YEARS,
            )
        )
    mean = sum(logs) / n
    sd = (sum((x - mean) ** 2 for x in logs) / (n - 1)) ** 0.5
    if sd < 1e-9:
        raise OutOfRange(say("All yearly peaks are alike, so nothing can be said of rarer ones."))
    skew = n * sum((x - mean) ** 3 for x in logs) / ((n - 1) * (n - 2) * sd**3)
    if weighted is not None:
        skew = weighted_skew(skew, n, *weighted)
    return Fitted(mean, sd, skew, n)


def _known(peaks: Sequence[float]) -> list[float]:
    if any(not peak > 0 or not isfinite(peak) for peak in peaks):
        raise OutOfRange(
            say("A yearly peak that is not above zero was given; drop such years before.")
        )
    return list(peaks)


def skew_mse(skew: float, years: int) -> float:
    """Mean square error of a station's skew.

    Source: Bulletin 17B, 1982 (memory).
    """
    size = abs(skew)
    a = -0.33 + 0.08 * size if size <= 0.9 else -0.52 + 0.30 * size
    b = 0.94 - 0.26 * size if size <= 1.5 else 0.55
    return float(10 ** (a - b * log10(years / 10)))


def weighted_skew(skew: float, years: int, regional: float, regional_mse: float) -> float:
    """The station's skew and a regional one, each by the other's mean square error."""
    own_mse = skew_mse(skew, years)
    return (regional_mse * skew + own_mse * regional) / (regional_mse + own_mse)


def flow_of(fitted: Fitted, years: float) -> float:
    """The flow that is exceeded on average once in so many years (more than one)."""
    if not years > 1:
        raise OutOfRange(
            say("A return period of {years} years: more than one was expected.", years=years)
        )
    from scipy.stats import pearson3

    factor = float(pearson3.isf(1 / years, fitted.skew))
    return float(10 ** (fitted.mean + fitted.sd * factor))


@lru_cache(maxsize=4096)
def years_of(fitted: Fitted, peak: float) -> float:
    """The return period of a flow by the fit, at least one year; a flow above zero."""
    [known] = _known([peak])
    from scipy.stats import pearson3

    chance = float(pearson3.sf((log10(known) - fitted.mean) / fitted.sd, fitted.skew))
    return 1 / max(chance, 1e-6)


def return_period(peak: float, yearly: Sequence[float]) -> Period:
    """How often a peak like this comes, from the yearly peaks of the same gauge.

    From ten years on by the fit, below by rank among them; None below three years.
    """
    n = len(_known(yearly))
    if n < FEWEST_YEARS:
        reason = say(
            "{n} of at least {fewest_years} years of peaks: too few to say how rare it was.",
            n=n,
            fewest_years=FEWEST_YEARS,
        )
        return Period(None, "none", reason)
    if n >= FEWEST_FITTED and max(yearly) > min(yearly):
        years = years_of(fit(yearly), peak)
        return Period(years, "fit", say("By log-Pearson III from {n} years of peaks.", n=n))
    rank = max(1, sum(other >= peak for other in yearly))
    return Period(weibull_years(n, rank), "rank", say("By its rank among {n} years of peaks.", n=n))


def chance_within(return_years: float, years: float) -> float:
    """Chance (0 to 1) of at least one flood of a return period within some years.

    Raises: OutOfRange for a return period below one year or negative years.
    """
    if return_years < 1 or years < 0:
        raise OutOfRange(
            say(
                "A {return_years}-year flood within {years} years: 1 and 0 or more.",
                return_years=return_years,
                years=years,
            )
        )
    return float(1 - (1 - 1 / return_years) ** years)
