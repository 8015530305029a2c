"""After each clean-up: stay or go over the hours left, and how sure that is.

Gold in µg raw, hours. `there` is net of what running costs at the other place; here the running
cost is taken off too, so that both sides are what an hour leaves. Without anywhere to go, going
means going home, worth nothing.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal

from reports.decide.leave import (
    CleanUp,
    Depletion,
    Season,
    Step,
    Today,
    depletion,
    falling,
    grid,
    saturating,
    season_rate,
    steady,
    today,
)
from trips.calc.words import marked, say

QUANTILES = 400  # of the belief about the other place, for the chance that going is better
LEAST_COLOURS = 3.0  # below so many colours' worth no range is printed
Action = Literal["stay", "leave", "none"]

NO_RATE = marked(
    "No clean-up here has its hours and its gold: no rate is known, so there is no advice."
)
ONE = marked("One clean-up only: its rate is taken as steady.")
NOTHING = marked("The last clean-ups gave nothing.")
NO_TIME = marked("No time is left today: clean up, fill in, go home.")
NOWHERE = marked("Nowhere else is planned or known: leaving means going home, worth nothing.")
MERGED = marked("A clean-up without its hours was put together with the one beside it.")
STEADY = marked("The rate is taken as steady from here, because the fall can't be measured yet.")
FALLING = marked(
    "The rate falls as gold is taken out: {whole:.0f} mg seem to have been here in all."
)


@dataclass(frozen=True)
class There:
    """The other place: gross µg an hour with its belief (shape, rate of a gamma), and the move."""

    name: str
    rate: float
    shape: float
    gamma_rate: float
    move_hours: float

    def gross(self, probability: float) -> float:
        """Quantile of the gross µg an hour there."""
        from scipy.special import gammaincinv

        return float(gammaincinv(self.shape, probability)) / self.gamma_rate


@dataclass(frozen=True)
class Advice:
    """What the rules say after so many clean-ups.

    rate: µg an hour now, low and high its 80 % range (None where too little was found).
    line: the rate now at which today staying and going are worth the same. chance_go: that going
    at once is the best choice, by both beliefs.
    """

    after: int
    action: Action
    steps: tuple[Step, ...]
    rate: float | None
    low: float | None
    high: float | None
    hours_left: float
    day: Today | None
    line: float | None
    chance_go: float | None
    line_fit: Depletion | None
    season: Season | None
    notes: tuple[str, ...]


def advise(
    rows: Sequence[CleanUp],
    *,
    hours_left: float,
    there: There | None,
    cost: float = 0.0,
    colour_ug: float = 1000.0,
    scatter: float = 1.0,
    expected: float | None = None,
    nowhere: str | None = None,
) -> Advice:
    """Stay or go after the clean-ups in `rows`.

    Args: cost: running cost as µg an hour. colour_ug: mass of a mean colour. scatter: dispersion
        of weighted colours. expected: µg an hour that pans foretold, the weak start of the range.
        nowhere: the note where `there` is None.
    """
    steps = falling(rows)
    notes = [say(MERGED)] if any(step.merged > 1 for step in steps) else []
    if not steps:
        return _nothing(len(rows), hours_left, say(NO_RATE))
    rate = steps[-1].fitted
    shape, per_hour = _here(steps, colour_ug, scatter, expected or rate)
    low, high = _range(shape, per_hour, colour_ug, steps)
    fit = depletion(rows)
    if len(steps) == 1:
        notes.append(say(ONE))
    elif fit is None:
        notes.append(say(STEADY))
    else:
        notes.append(say(FALLING, whole=fit.whole / 1000))
    if rate == 0:
        notes.append(say(NOTHING))
    if there is None:
        notes.append(say(NOWHERE) if nowhere is None else nowhere)
    move = there.move_hours if there else 0.0
    beyond = max(0.0, there.rate - cost) if there else 0.0
    season = season_rate(fit.whole, fit.tau, move, cost=cost) if fit and move > 0 else None
    if hours_left <= 0:
        notes.append(say(NO_TIME))
        return Advice(
            len(rows), "leave", steps, rate, low, high, 0.0, None, None, None, fit, season,
            tuple(notes),
        )  # fmt: skip
    gone = sum(step.gain for step in steps)
    if fit is not None and fit.whole > gone:
        left_in = saturating(fit.whole - gone, fit.tau)
    else:
        left_in = steady(rate)
    day = today(lambda t: left_in(t) - cost * t, steady(beyond), hours_left, move)
    line = _Line(hours_left, move, cost, left_in, rate)
    return Advice(
        after=len(rows),
        action="leave" if day.stay_hours == 0 else "stay",
        steps=steps,
        rate=rate,
        low=low,
        high=high,
        hours_left=hours_left,
        day=day,
        line=line.at(beyond),
        chance_go=line.chance_below(shape, per_hour / colour_ug, there),
        line_fit=fit,
        season=season,
        notes=tuple(notes),
    )


def _nothing(after: int, hours_left: float, why: str) -> Advice:
    return Advice(
        after, "none", (), None, None, None, hours_left, None, None, None, None, None, (why,)
    )


def _here(
    steps: tuple[Step, ...], colour_ug: float, scatter: float, expected: float
) -> tuple[float, float]:
    """Gamma of the colours' worth an hour now: one colour at the foretold rate, and the last step.

    The last step is every clean-up that was smoothed to the present rate.
    """
    last = [step for step in steps if step.fitted == steps[-1].fitted]
    colours = sum(step.gain for step in last) / colour_ug
    hours = sum(step.hours for step in last)
    start = colour_ug / expected if expected > 0 else hours
    return 1 + colours / scatter, start + hours / scatter


def _range(
    shape: float, per_hour: float, colour_ug: float, steps: tuple[Step, ...]
) -> tuple[float | None, float | None]:
    last = [step for step in steps if step.fitted == steps[-1].fitted]
    if sum(step.gain for step in last) / colour_ug < LEAST_COLOURS:
        return None, None
    from scipy.special import gammaincinv

    low, high = (float(gammaincinv(shape, p)) / per_hour * colour_ug for p in (0.1, 0.9))
    return low, high


class _Line:
    """The rate here, in µg an hour now, up to which going at once is the best choice of today.

    The rest of the hole keeps its course (steady, or falling as measured) and is taken up or down
    as a whole with the rate now. Steady, it is what the other place brings over the hours left, the
    move taken off, and the running cost.
    """

    def __init__(
        self,
        hours: float,
        move_hours: float,
        cost: float,
        left_in: Callable[[float], float],
        rate: float,
    ) -> None:
        import numpy as np

        stays = np.array([t for t in grid(hours) if t > 0])
        useful = np.maximum(0.0, hours - stays - move_hours)
        self._lost = max(0.0, hours - move_hours) - useful
        self._spent = cost * stays
        self._cost = cost
        # Hours at the rate now that bring what staying does.
        gains = [left_in(float(t)) / rate if rate > 0 else float(t) for t in stays]
        self._worth = np.array(gains)

    def at(self, beyond: float) -> float:
        """For so much net an hour at the other place."""
        return float(((self._spent + beyond * self._lost) / self._worth).min())

    def chance_below(self, shape: float, gamma_rate: float, there: There | None) -> float | None:
        """Chance that the rate here lies below the line, by both beliefs.

        None where there is neither a place to go to nor a cost of staying.
        """
        import numpy as np
        from scipy.special import gammainc, gammaincinv

        if there is None:
            return float(gammainc(shape, gamma_rate * self.at(0.0))) if self._cost > 0 else None
        middles = (np.arange(QUANTILES) + 0.5) / QUANTILES
        beyond = np.maximum(0.0, gammaincinv(there.shape, middles) / there.gamma_rate - self._cost)
        parts = (self._spent + beyond[:, None] * self._lost) / self._worth
        return float(gammainc(shape, gamma_rate * parts.min(axis=1)).mean())
