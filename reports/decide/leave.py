"""When does a hole stop paying? Clean-up rates, the season's leave rate, and the hours left today.

Gains in any one unit (here µg or money), hours of digging. Sources: weighted decreasing isotonic
regression (Barlow and others, 1972, memory); depletion R. Leslie & D. Davis 1939 with W. Ricker's
half catch 1975 (memory); marginal value theorem E. Charnov, Theor. Pop. Biol. 9, 1976 (memory).
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import exp, inf, log, sqrt

from trips.calc.errors import OutOfRange

STEP_HOURS = 5 / 60
LEAST_CLEAN_UPS = 4  # for a depletion line
MOST_TIMES_FOUND = 5.0  # a depletion line that promises more than this has measured nothing


@dataclass(frozen=True)
class CleanUp:
    """What one clean-up gave after so many hours of digging; hours None or 0 aren't known."""

    hours: float | None
    gain: float


@dataclass(frozen=True)
class Step:
    """A clean-up with its rate per hour and the rate fitted to it; `merged` counts rows in it."""

    hours: float
    gain: float
    rate: float
    fitted: float
    merged: int = 1


@dataclass(frozen=True)
class Depletion:
    """Saturating gain whole·(1 - e^(-t/tau)): what was there, and its time constant in hours."""

    whole: float
    tau: float
    slope: float
    slope_se: float | None
    r_squared: float


@dataclass(frozen=True)
class Season:
    """Marginal value: leave after `hours`, when the rate has fallen to `rate` per hour."""

    hours: float
    rate: float


@dataclass(frozen=True)
class Today:
    """Best hours to stay now, what the day then brings, and what staying or going at once would."""

    stay_hours: float
    best: float
    stay_all: float
    go_now: float


def usable(rows: Sequence[CleanUp]) -> list[tuple[float, float, int]]:
    """(hours, gain, rows in it): a clean-up without hours joins its neighbour, the one before.

    The first joins the one after. Without any hours there is nothing: an empty list.
    Raises: OutOfRange for negative hours or gains.
    """
    if any(row.gain < 0 or (row.hours or 0) < 0 for row in rows):
        raise OutOfRange("A clean-up below zero was given; zero or more was expected.")
    merged: list[tuple[float, float, int]] = []
    waiting, held = 0.0, 0
    for row in rows:
        if row.hours:
            merged.append((row.hours, row.gain + waiting, 1 + held))
            waiting, held = 0.0, 0
        elif merged:
            hours, gain, count = merged[-1]
            merged[-1] = (hours, gain + row.gain, count + 1)
        else:
            waiting, held = waiting + row.gain, held + 1
    return merged


def falling(rows: Sequence[CleanUp]) -> tuple[Step, ...]:
    """Rates of the clean-ups and the weighted falling steps fitted to them; Σ fitted·h = Σ gain."""
    kept = usable(rows)
    if not kept:
        return ()
    fitted = isotonic([gain / hours for hours, gain, _ in kept], [h for h, _, _ in kept])
    return tuple(
        Step(hours, gain, gain / hours, fit, count)
        for (hours, gain, count), fit in zip(kept, fitted, strict=True)
    )


def isotonic(
    rates: Sequence[float], weights: Sequence[float], increasing: bool = False
) -> tuple[float, ...]:
    """Weighted isotonic regression by pooling neighbours."""
    import numpy as np
    from scipy.optimize import isotonic_regression

    found = isotonic_regression(
        np.asarray(rates, dtype=float),
        weights=np.asarray(weights, dtype=float),
        increasing=increasing,
    )
    return tuple(float(value) for value in found.x)


def depletion(rows: Sequence[CleanUp], half_catch: bool = True) -> Depletion | None:
    """Leslie's line of rate on what was taken before, with Ricker's half of the present one.

    Returns: None where it isn't allowed: fewer than four clean-ups, a line that doesn't fall, or
        one that promises more than five times what was found.
    """
    kept = usable(rows)
    if len(kept) < LEAST_CLEAN_UPS:
        return None
    import numpy as np

    hours = np.array([h for h, _, _ in kept])
    gain = np.array([g for _, g, _ in kept])
    rate = gain / hours
    before = np.cumsum(gain) - gain + (gain / 2 if half_catch else 0)
    weight = hours / hours.sum()
    x, y = before - weight @ before, rate - weight @ rate
    spread = float(weight @ (x * x))
    if not spread > 0:
        return None
    slope = float(weight @ (x * y)) / spread
    intercept = float(weight @ rate) - slope * float(weight @ before)
    if slope >= 0 or intercept <= 0:
        return None
    whole = intercept / -slope
    if whole > MOST_TIMES_FOUND * float(gain.sum()):
        return None
    off = y - slope * x
    total = float(weight @ (y * y))
    error = float(weight @ (off * off)) / (len(kept) - 2)
    return Depletion(
        whole, -1 / slope, slope, sqrt(error / spread), 1 - float(weight @ (off * off)) / total
    )


def season_rate(
    whole: float,
    tau: float,
    travel_hours: float,
    cost: float = 0.0,
    move_cost: float = 0.0,
    travel_cost: float = 0.0,
) -> Season | None:
    """When to leave spots of one kind: marginal rate down to the long-run average.

    Args: whole, tau: saturating gain and its hours; travel_hours to the next spot; cost per
        digging hour, move_cost per move, travel_cost per travelling hour, in the gain's unit.
    Returns: None where the spot never repays its trip. Hours 0 means leave at once.
    Raises: OutOfRange unless whole, tau and travel are above zero.
    """
    if not (whole > 0 and tau > 0 and travel_hours > 0):
        raise OutOfRange(
            f"Gain {whole}, time constant {tau} h, travel {travel_hours} h: above zero expected."
        )
    q = 1 - (move_cost + travel_cost * travel_hours - cost * travel_hours) / whole
    u = 1 + travel_hours / tau
    if q <= 0:
        return None
    if q >= u:
        return Season(0.0, whole / tau - cost)
    x = safe_root(u, q)
    return Season(tau * x, whole / tau * exp(-x) - cost)


def safe_root(u: float, q: float) -> float:
    """x of e^x·q = x + u by Newton; safe where Lambert's W underflows (u above 700)."""
    x = sqrt(2 * max(0.0, u - 1)) + 1 + 2 * max(0.0, -log(q))
    for _ in range(60):
        step = (x - log(x + u) + log(q)) / (1 - 1 / (x + u))
        x -= step
        if abs(step) <= 4e-16 * max(1.0, abs(x)):
            break
    return max(0.0, x)


def lambert_root(u: float, q: float) -> float:
    """The same by Lambert's W, branch -1; infinite where it underflows. For comparison."""
    from scipy.special import lambertw

    return float(-u - lambertw(-q * exp(-u), k=-1).real) if u < 745 else inf


def averages(rows: Sequence[CleanUp], travel_hours: float) -> tuple[float, ...]:
    """Smoothed gain per hour, travel included, if one had left after each clean-up."""
    found, hours, gain = [], 0.0, 0.0
    for step in falling(rows):
        hours, gain = hours + step.hours, gain + step.fitted * step.hours
        found.append(gain / (travel_hours + hours))
    return tuple(found)


def saturating(whole: float, tau: float) -> Callable[[float], float]:
    """The gain after t hours of a spot that gives out."""
    return lambda hours: whole * (1 - exp(-hours / tau))


def steady(rate: float) -> Callable[[float], float]:
    """The gain after t hours at one rate."""
    return lambda hours: rate * hours


def today(
    here: Callable[[float], float],
    there: Callable[[float], float],
    hours: float,
    move_hours: float,
    step: float = STEP_HOURS,
) -> Today:
    """How long to stay today with `hours` left: best of a grid of five minutes.

    Args: here: gain from here after t more hours; there: gain at the other place, whose first
        hour starts after the move. Staying all day is one of the choices.
    Raises: OutOfRange for negative hours or a negative move.
    """
    if hours < 0 or move_hours < 0 or not step > 0:
        raise OutOfRange(f"{hours} h left, {move_hours} h to move: zero or more were expected.")

    def whole(stay: float) -> float:
        return here(stay) + there(max(0.0, hours - stay - move_hours))

    best = max(grid(hours, step), key=lambda stay: (whole(stay), -stay))
    return Today(best, whole(best), whole(hours), whole(0.0))


def grid(hours: float, step: float = STEP_HOURS) -> list[float]:
    """Hours to stay that are tried: none, every step, and all of them."""
    found = [step * i for i in range(int(hours / step + 1e-9) + 1)]
    return [*found, hours] if hours - found[-1] > 1e-9 else found


def interior_stay(
    whole: float, tau: float, whole_there: float, tau_there: float, hours: float, move_hours: float
) -> float:
    """The same for two saturating gains in closed form, where neither end of the day is best."""
    edge = log(whole / tau) - log(whole_there / tau_there)
    return (edge + (hours - move_hours) / tau_there) / (1 / tau + 1 / tau_there)
