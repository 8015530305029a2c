"""A season's free days: months as windows, what each trip brings, and the range of the whole."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from reports.decide.ranking import Outing
from reports.decide.season import MOST_VISITS, Choice, Plan, falling
from trips.calc import local

DRAWS = 4_000


@dataclass(frozen=True)
class Month:
    """A calendar month or the part of it that is left."""

    first: dt.date
    last: dt.date

    @property
    def key(self) -> str:
        """E.g. "2031-05"."""
        return f"{self.first:%Y-%m}"

    @property
    def name(self) -> str:
        """E.g. "May 2031"."""
        return local.month_of_year(self.first)

    @property
    def length(self) -> int:
        """Days."""
        return (self.last - self.first).days + 1


def months(first: dt.date, last: dt.date) -> tuple[Month, ...]:
    """The calendar months from one day to another, both included."""
    found = []
    while first <= last:
        after = (first.replace(day=1) + dt.timedelta(days=32)).replace(day=1)
        end = min(last, after - dt.timedelta(days=1))
        found.append(Month(first, end))
        first = after
    return tuple(found)


def season_choice(outing: Outing, days: int, keep: float) -> Choice:
    """What the first, second, … trip to a site brings on average."""
    first = outing.gain * outing.rate.mean()
    return Choice(outing.site_id, days, tuple(falling(first, keep, MOST_VISITS, cost=outing.cost)))


def plan_range(
    plan: Plan,
    outings: Sequence[Outing],
    *,
    keep: float,
    log_sd: float,
    seed: int,
) -> tuple[float, float]:
    """80 % range of the plan's net by draws: one rate a site, one common factor for all."""
    if not plan.visits:
        return 0.0, 0.0
    import numpy as np

    rng = np.random.default_rng(seed)
    common = np.exp(log_sd * rng.standard_normal(DRAWS) - log_sd**2 / 2)
    total = np.zeros(DRAWS)
    # Draws are made in the order of sites; those beyond the last one visited would be for nothing.
    used = [each for each in outings if each.site_id <= max(plan.visits)]
    for outing in sorted(used, key=lambda each: each.site_id):
        visits = plan.visits.get(outing.site_id, 0)
        weights = np.array(outing.rate.weights)
        part = rng.choice(len(weights), DRAWS, p=weights / weights.sum())
        rate = rng.standard_gamma(np.array(outing.rate.shapes)[part])
        rate /= np.array(outing.rate.rates)[part]
        if visits:
            gold = outing.gain * sum(keep**n for n in range(visits))
            total += gold * rate * common - visits * outing.cost
    low, high = np.quantile(total, [0.1, 0.9])
    return float(low), float(high)
