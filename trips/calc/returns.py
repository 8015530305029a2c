"""What do trips return per hour, and how sure is that?

The figure is a ratio of sums, never a mean of ratios, which over-weights short trips and can turn
the sign. Money and hours come in any one unit each; results are money per hour in those units.
All intervals under-cover: one big nugget not yet found is invisible to any resampling.
"""

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from functools import lru_cache
from math import sqrt
from typing import TYPE_CHECKING, Literal

from trips.calc.counts import Interval
from trips.calc.errors import OutOfRange
from trips.calc.words import remembered, say

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

FEWEST_ROUGH = 3
FEWEST_BOOTSTRAP = 8
_BLOCK_CELLS = 1_000_000  # resampled cells held at a time, to bound memory with many trips
_SAME = 1e-9  # below this share of the scale two returns count as equal: float noise

Seedable = int | str | bytes | bool | float | Decimal | date | None


@dataclass(frozen=True)
class ReturnInterval:
    """Interval of the return per hour; low and high are None where `method` gives none."""

    low: float | None
    high: float | None
    method: Literal["none", "rough", "bootstrap-t", "exact-equal"]
    note: str
    n: int


def seed_from(*parts: Seedable) -> int:
    """A seed from data, the same on every machine and run: 63 bits of a SHA-256."""
    digest = hashlib.sha256()
    for part in parts:
        raw = part if isinstance(part, bytes) else str(part).encode()
        digest.update(f"{type(part).__name__}:{len(raw)}:".encode() + raw)
    return int.from_bytes(digest.digest()[:8], "big") >> 1


def _checked(nets: Sequence[float], hours: Sequence[float]) -> None:
    if len(nets) != len(hours):
        raise OutOfRange(f"{len(nets)} nets and {len(hours)} hours: one pair a trip was expected.")
    if any(hour < 0 for hour in hours):
        raise OutOfRange(f"Hours of {min(hours)} were given; zero or more was expected.")


def ratio_of_sums(nets: Sequence[float], hours: Sequence[float]) -> float | None:
    """Σ net / Σ hours, money per hour; None when no hours are recorded.

    Raises: OutOfRange for unequal lengths or negative hours.
    """
    _checked(nets, hours)
    total_hours = sum(hours)
    return sum(nets) / total_hours if total_hours > 0 else None


def linearised_se(nets: Sequence[float], hours: Sequence[float]) -> float | None:
    """Standard error of the ratio of sums, money per hour; None below two trips or no hours.

    Source: W. G. Cochran, Sampling Techniques, 1977 (memory).
    """
    ratio, n = ratio_of_sums(nets, hours), len(nets)
    if ratio is None or n < 2:
        return None
    squares = sum((net - ratio * hour) ** 2 for net, hour in zip(nets, hours, strict=True))
    return sqrt(squares / ((n - 1) * n)) / (sum(hours) / n)


def ratio_bias(nets: Sequence[float], hours: Sequence[float]) -> float | None:
    """Approximate small-sample bias of the ratio of sums, money per hour; None below two trips.

    Source: W. G. Cochran, Sampling Techniques, 1977 (memory): (R·S_h² - S_hn)/(n·h̄²).
    """
    ratio, n = ratio_of_sums(nets, hours), len(nets)
    if ratio is None or n < 2:
        return None
    mean_net, mean_hour = sum(nets) / n, sum(hours) / n
    var_hour = sum((hour - mean_hour) ** 2 for hour in hours) / (n - 1)
    both = sum((hour - mean_hour) * (net - mean_net) for net, hour in zip(nets, hours, strict=True))
    return (ratio * var_hour - both / (n - 1)) / (n * mean_hour**2)


def interval(
    nets: Sequence[float],
    hours: Sequence[float],
    confidence: float = 0.80,
    seed: int = 0,
    resamples: int = 10_000,
) -> ReturnInterval:
    """Interval of the return per hour, by the number of trips: none, rough, or bootstrap-t.

    Args: nets, hours: one pair a trip; confidence: between 0 and 1; seed: from `seed_from`.
    Returns: low and high None for two trips or fewer, without hours, or when all are equal.
    Raises: OutOfRange for unequal lengths, negative hours or a confidence outside 0 to 1.
    """
    if not 0 < confidence < 1:
        raise OutOfRange(f"A confidence of {confidence} was given; between 0 and 1 was expected.")
    ratio, n = ratio_of_sums(nets, hours), len(nets)
    if ratio is None:
        return ReturnInterval(None, None, "none", say("No hours are recorded: per trip only."), n)
    if n < FEWEST_ROUGH:
        note = say(
            "{n} of at least {fewest_rough} trips: too few for a range.",
            n=n,
            fewest_rough=FEWEST_ROUGH,
        )
        return ReturnInterval(None, None, "none", note, n)
    se = linearised_se(nets, hours) or 0.0
    scale = sum(abs(net) for net in nets) / sum(hours)
    if se <= _SAME * scale:
        note = say("Every trip returned the same per hour, so there is no spread to show.")
        return ReturnInterval(None, None, "exact-equal", note, n)
    if n < FEWEST_BOOTSTRAP:
        return _rough(ratio, se, n, confidence, say("Rough: {n} trips only.", n=n))
    return _bootstrap_t(tuple(nets), tuple(hours), ratio, se, confidence, seed, resamples)


def _rough(ratio: float, se: float, n: int, confidence: float, note: str) -> ReturnInterval:
    from scipy.special import stdtrit

    reach = float(stdtrit(n - 1, 0.5 + confidence / 2)) * se
    return ReturnInterval(ratio - reach, ratio + reach, "rough", note, n)


@remembered(512)
def _bootstrap_t(
    nets: tuple[float, ...],
    hours: tuple[float, ...],
    ratio: float,
    se: float,
    confidence: float,
    seed: int,
    resamples: int,
) -> ReturnInterval:
    """Studentised resampling of whole trips; resamples without any spread are dropped.

    Pages ask for the same few sets of trips again and again. The result hangs on its arguments
    alone, so one that is remembered is never an old one.
    """
    import numpy as np

    n = len(nets)
    net, hour = np.asarray(nets, dtype=float), np.asarray(hours, dtype=float)
    rng = np.random.default_rng(seed)
    rows = max(1, _BLOCK_CELLS // n)
    parts = []
    for start in range(0, resamples, rows):
        drawn = rng.integers(0, n, size=(min(rows, resamples - start), n))
        parts.append(_studentised(net[drawn], hour[drawn], ratio, se))
    t_values = np.concatenate(parts)
    if len(t_values) < resamples / 10:
        note = say("Rough: {n} trips, too alike for resampling.", n=n)
        return _rough(ratio, se, n, confidence, note)
    alpha = 1 - confidence
    t_low, t_high = np.quantile(t_values, [alpha / 2, 1 - alpha / 2])
    return ReturnInterval(
        low=ratio - float(t_high) * se,
        high=ratio - float(t_low) * se,
        method="bootstrap-t",
        note=say(
            "From {n} trips. A rare big find that has not happened yet cannot show here.", n=n
        ),
        n=n,
    )


def _studentised(
    net: "NDArray[np.float64]", hour: "NDArray[np.float64]", ratio: float, se: float
) -> "NDArray[np.float64]":
    """t* of each resample (rows: resamples, columns: trips), those without spread left out."""
    import numpy as np

    n = net.shape[1]
    hours_sum = hour.sum(axis=1)
    keep = hours_sum > 0
    net, hour, hours_sum = net[keep], hour[keep], hours_sum[keep]
    ratios = net.sum(axis=1) / hours_sum
    squares = ((net - ratios[:, None] * hour) ** 2).sum(axis=1)
    errors = np.sqrt(squares / ((n - 1) * n)) / (hours_sum / n)
    spread = errors > _SAME * se
    result: NDArray[np.float64] = (ratios[spread] - ratio) / errors[spread]
    return result


@lru_cache(maxsize=4096)
def jeffreys(successes: int, trials: int, confidence: float = 0.80) -> Interval | None:
    """Jeffreys interval of a share of trips (0 to 1): Beta(k + ½, n - k + ½); None without trips.

    Raises: OutOfRange unless 0 ≤ successes ≤ trials and 0 < confidence < 1.
    """
    if not 0 <= successes <= trials or not 0 < confidence < 1:
        raise OutOfRange(
            f"{successes} of {trials} at {confidence}: a share of trips and a confidence between "
            "0 and 1 were expected."
        )
    if trials == 0:
        return None
    from scipy.special import betaincinv

    a, b, alpha = successes + 0.5, trials - successes + 0.5, 1 - confidence
    return Interval(
        float(betaincinv(a, b, alpha / 2)), float(betaincinv(a, b, 1 - alpha / 2)), confidence
    )


def chance_sum_reaches(
    nets: Sequence[float], trips: int, threshold: float, seed: int, draws: int = 100_000
) -> float | None:
    """Chance (0 to 1) that as many trips like these together net at least a threshold.

    Trips are drawn from the past ones with replacement; None without any past trip.
    """
    if trips < 1 or draws < 1:
        raise OutOfRange(f"{trips} trips and {draws} draws: at least one of each was expected.")
    if not nets:
        return None
    import numpy as np

    net = np.asarray(nets, dtype=float)
    rng = np.random.default_rng(seed)
    rows = max(1, _BLOCK_CELLS // trips)
    reached = 0
    for start in range(0, draws, rows):
        drawn = rng.integers(0, len(net), size=(min(rows, draws - start), trips))
        reached += int((net[drawn].sum(axis=1) >= threshold).sum())
    return reached / draws
