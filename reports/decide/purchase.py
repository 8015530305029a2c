"""Would a box, a nearer site, a second person or a lighter car pay? Present value by draws.

What changes on a trip: litres washed, kilometres, outlay. Gold per litre is a belief from the
party's own weighed trips, one draw for all years, and each year's gold is drawn on top: a rare
nugget falls into some years only. The price paid stands at time zero; a year's flow at its end.
Money in the main unit. Same inputs, same seed, same figures.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from reports.decide.colour_mass import MeanColour
from reports.decide.next_trip import START_RATE_PER_L, Fed, dispersion
from trips.calc.equipment import irr, payback_years
from trips.calc.errors import OutOfRange
from trips.calc.returns import seed_from
from trips.calc.words import say

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

DRAWS = 10_000
MOST_YEARS = 30


@dataclass(frozen=True)
class Purchase:
    """What is bought and what it changes on each trip, money in the main unit.

    `litres` are extra gravel washed on a trip: least, likeliest, most. `saved` is what a trip
    saves (kilometres, below zero if it costs more), `running` what it costs more in outlay.
    """

    price: float
    residual: float
    years: int
    rate: float
    trips_a_year: float
    litres: tuple[float, float, float]
    saved: float
    running: float


@dataclass(frozen=True)
class Grade:
    """Gold of another place, in mg a loose litre as the box brings it, and how far that is off.

    `cv` is the standard deviation over the mean.
    """

    mg_per_l: float
    cv: float


@dataclass(frozen=True)
class Ground:
    """What the gold is taken from: past trips' gold and litres, the mean colour, its worth.

    `per_mg` is what a milligram of raw gold brings, in the main unit. `there`: all litres, not
    the extra ones only, come from another place; None: from ground like the present one.
    """

    fed: tuple[Fed, ...]
    mean: MeanColour
    per_mg: float
    there: Grade | None = None


@dataclass(frozen=True)
class Worth:
    """Present value: mean, 80 % range, chance above zero; the flows of a mean year and payback.

    `payback` in years of the mean flows, None if never within the years; `irr` yearly, None
    without exactly one change of sign.
    """

    mean: float
    low: float
    high: float
    chance: float
    yearly: float
    gold_yearly: float
    payback: float | None
    irr: float | None


def worth(purchase: Purchase, ground: Ground | None, draws: int = DRAWS) -> Worth:
    """What a purchase is worth; without ground (no weighed gold or no price) it brings no gold.

    Raises: OutOfRange for figures that make no sense.
    """
    import numpy as np

    _check(purchase, ground)
    rng = np.random.default_rng(_seed(purchase, ground))
    gold = _gold(purchase, ground, draws, rng)
    steady = purchase.trips_a_year * (purchase.saved - purchase.running)
    flows = gold + steady
    years = np.arange(1, purchase.years + 1)
    discount = (1 + purchase.rate) ** -years.astype(float)
    end = purchase.residual * float(discount[-1])
    values = flows @ discount - purchase.price + end
    mean_gold = float(gold.mean())
    mean_flows = [-purchase.price, *([mean_gold + steady] * purchase.years)]
    mean_flows[-1] += purchase.residual
    low, high = np.quantile(values, [0.1, 0.9])
    return Worth(
        mean=float(values.mean()),
        low=float(low),
        high=float(high),
        chance=float((values > 0).mean()),
        yearly=mean_gold + steady,
        gold_yearly=mean_gold,
        payback=payback_years(mean_flows),
        irr=irr(mean_flows),
    )


def _gold(
    purchase: Purchase, ground: Ground | None, draws: int, rng: "np.random.Generator"
) -> "NDArray[np.float64]":
    """Value of the extra gold, draws × years; below zero where another place brings less."""
    import numpy as np

    least, likely, most = purchase.litres
    if ground is None or ground.per_mg <= 0 or (most <= 0 and ground.there is None):
        return np.zeros((draws, purchase.years))
    spread = dispersion(ground.fed, ground.mean)
    colours = sum(each.mass_ug for each in ground.fed) / ground.mean.mean_ug
    litres = sum(each.litres for each in ground.fed)
    rate = rng.gamma(1 + colours / spread, 1 / (1 / START_RATE_PER_L + litres / spread), draws)
    extra = rng.triangular(least, likely, most, draws) if most > least else np.full(draws, likely)
    if ground.there is None:
        return ground.per_mg * _mass_mg(rate * extra, purchase, ground, spread, rng)
    usual, shape = litres / len(ground.fed), 1 / ground.there.cv**2
    mean_mg = ground.mean.mean_ug / 1000
    other = rng.gamma(shape, ground.there.mg_per_l / mean_mg / shape, draws)
    there = _mass_mg(other * (usual + extra), purchase, ground, spread, rng)
    here = _mass_mg(rate * usual, purchase, ground, spread, rng)
    return ground.per_mg * (there - here)


def _mass_mg(
    a_trip: "NDArray[np.float64]",
    purchase: Purchase,
    ground: Ground,
    spread: float,
    rng: "np.random.Generator",
) -> "NDArray[np.float64]":
    """Gold of each year in mg, from the colours that are expected of a trip."""
    import numpy as np

    washed = a_trip * purchase.trips_a_year / spread
    clumps = rng.poisson(washed[:, None], (len(a_trip), purchase.years))
    cv2, mean_mg = ground.mean.colour_cv**2, ground.mean.mean_ug / 1000
    mass = rng.gamma(np.maximum(clumps, 1) / cv2, spread * mean_mg * cv2)
    result: NDArray[np.float64] = np.where(clumps > 0, mass, 0.0)
    return result


def _check(purchase: Purchase, ground: Ground | None) -> None:
    least, likely, most = purchase.litres
    if not 1 <= purchase.years <= MOST_YEARS or purchase.rate <= -1:
        raise OutOfRange(f"{purchase.years} years at {purchase.rate}: 1 to {MOST_YEARS} expected.")
    if min(purchase.price, purchase.residual, purchase.trips_a_year, least) < 0:
        raise OutOfRange("Price, residual, trips and litres of zero or more were expected.")
    if not least <= likely <= most:
        raise OutOfRange(f"Litres of {least}, {likely}, {most}: a rising row was expected.")
    there = None if ground is None else ground.there
    if there is not None and (there.mg_per_l < 0 or there.cv <= 0):
        raise OutOfRange("A grade of zero or more, off by more than nothing, was expected.")
    if ground is not None and ground.mean.colour_cv <= 0:
        raise OutOfRange("Colours without any spread: a spread above zero was expected.")


def _seed(purchase: Purchase, ground: Ground | None) -> int:
    parts: list[float] = [
        purchase.price,
        purchase.residual,
        float(purchase.years),
        purchase.rate,
        purchase.trips_a_year,
        *purchase.litres,
        purchase.saved,
        purchase.running,
    ]
    if ground is not None:
        parts += [value for each in ground.fed for value in (float(each.mass_ug), each.litres)]
        parts += [ground.there.mg_per_l, ground.there.cv] if ground.there else []
    # The price of gold is left out: at another price the same draws are compared.
    return seed_from(*parts)


def sensitivities(purchase: Purchase, ground: Ground | None) -> tuple[tuple[str, Worth], ...]:
    """The same purchase as entered, and with each of a few things otherwise."""
    rows: list[tuple[str, Purchase, Ground | None]] = [(say("As entered"), purchase, ground)]
    if ground is not None and ground.there is not None:
        lower = replace(ground.there, mg_per_l=0.8 * ground.there.mg_per_l)
        rows += [
            (say("Grade there a fifth lower"), purchase, replace(ground, there=lower)),
            (say("Grade there as where you go now"), purchase, replace(ground, there=None)),
            (say("Gold a fifth cheaper"), purchase, replace(ground, per_mg=0.8 * ground.per_mg)),
        ]
    elif ground is not None and purchase.litres[2] > 0:
        cheaper = replace(ground, per_mg=0.8 * ground.per_mg)
        least = purchase.litres[0]
        rows += [
            (say("Gold a fifth cheaper"), purchase, cheaper),
            (say("Only the least litres"), replace(purchase, litres=(least, least, least)), ground),
            (say("No extra gold"), purchase, None),
        ]
    rows.append(
        (
            say("Half as many trips"),
            replace(purchase, trips_a_year=purchase.trips_a_year / 2),
            ground,
        )
    )
    return tuple((name, worth(what, gold)) for name, what, gold in rows)


def ground_of(
    fed: Sequence[Fed], mean: MeanColour, per_mg: float | None, there: Grade | None = None
) -> Ground | None:
    """Past trips as ground; None without gold, litres or a price."""
    if per_mg is None or not any(each.mass_ug for each in fed):
        return None
    return Ground(tuple(fed), mean, per_mg, there)
