"""Invented regions for the ranking: what it takes, and how near 10,000 draws it comes."""

import time
from dataclasses import dataclass
from statistics import median

from reports.decide.belief import Belief, learn
from reports.decide.evidence import Spot, Washed
from reports.decide.ranking import Outing, rank
from trips.calc.counts import ClassCounts

DRAWS, REPEATS = 10_000, 5
LOG_SD = 0.4  # of price, mass of a colour and what an eye misses, together


def timed(work, repeats: int = REPEATS) -> float:
    """Median seconds."""
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return median(times)


def region(rng, count: int) -> list[Spot]:
    spots = []
    for site in range(count):
        mean = rng.gamma(1, 0.12)
        for _ in range(rng.integers(1, 5)):
            rate = mean * rng.gamma(1.5, 1 / 1.5)
            pans = rng.poisson(rate * 6, rng.integers(1, 8))
            washed = tuple(Washed(ClassCounts(0, 0, int(n)), 6.0) for n in pans)
            spots.append(Spot(len(spots), site, washed))
    return spots


def outings_of(rng, belief: Belief, is_tested: bool) -> list[Outing]:
    """A day at every site: at its best tested spot, or at one not tried yet."""
    best = {row.site_id: belief.new_spot(row.site_id) for row in belief.spots.values()}
    if is_tested:
        best = {}
        for spot_id, row in belief.spots.items():
            mix = belief.spot(spot_id)
            if row.site_id not in best or mix.mean() > best[row.site_id].mean():
                best[row.site_id] = mix
    ranges = ((400, 900), (10, 60), (4, 10))
    return [
        Outing(site, mix, *(float(rng.uniform(*ends)) for ends in ranges))
        for site, mix in sorted(best.items())
    ]


def against_draws(rng, outings: list[Outing], log_sd: float) -> tuple[float, float, float]:
    """Largest difference of P(best), in standard errors too, and wins outside the kept sites."""
    import numpy as np

    common = np.exp(log_sd * rng.standard_normal(DRAWS) - log_sd**2 / 2)
    best, top = np.full(DRAWS, -np.inf), np.zeros(DRAWS, dtype=int)
    for n, each in enumerate(outings):
        weights = np.array(each.rate.weights)
        part = rng.choice(len(weights), DRAWS, p=weights / weights.sum())
        rate = rng.standard_gamma(np.array(each.rate.shapes)[part])
        rate /= np.array(each.rate.rates)[part]
        score = (each.gain * common * rate - each.cost) / each.hours
        top, best = np.where(score > best, n, top), np.maximum(best, score)
    won = np.bincount(top, minlength=len(outings)) / DRAWS
    chance = np.zeros(len(outings))
    for row in rank(outings, log_sd).rows:
        chance[row.site_id] = row.best_chance
    error = np.sqrt(np.maximum(chance * (1 - chance), 1 / DRAWS) / DRAWS)
    off = np.abs(won - chance)
    return float(off.max()), float((off / error).max()), float(won[chance == 0].sum())


@dataclass(frozen=True)
class Ranked:
    """Seconds of one float32 gamma fill, of both rankings and of a refit."""

    sites: int
    fill: float
    tested: float
    untested: float
    refit: float


def ranked(sites: int) -> Ranked:
    """Times of ranking so many sites, beside a gamma fill of as many rows of draws."""
    import numpy as np

    rng = np.random.default_rng(1)
    spots = region(rng, sites)
    belief = learn(spots)
    shapes = rng.gamma(2, 2, sites).astype("f4")
    draws = np.random.default_rng(2)
    size = (sites, DRAWS)
    fill = timed(lambda: draws.standard_gamma(shapes[:, None], size, dtype="f4"))
    tested, untested = (outings_of(rng, belief, is_tested) for is_tested in (True, False))
    return Ranked(
        sites=sites,
        fill=fill,
        tested=timed(lambda: rank(tested, LOG_SD)),
        untested=timed(lambda: rank(untested, LOG_SD)),
        refit=timed(lambda: learn(spots), 3),
    )
