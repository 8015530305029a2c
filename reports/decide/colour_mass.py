"""What does a colour of each size weigh, learned from weigh-ins of many colours together?

Weigh-in t: W = Σ n·m + error, with variance V = Σ n·s² + step². Starting values enter as further
rows of the same least-squares sum (m₀ with its sd), and no mass may fall below zero. So a single
weigh-in moves the masses along one direction only, and the spread stays wide elsewhere.
Masses in µg, litres loose. Source of the method: prior-regularised non-negative least squares,
C. L. Lawson & R. J. Hanson, Solving Least Squares Problems, 1974 (memory).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt
from typing import TYPE_CHECKING, NamedTuple

from reports.decide.evidence import PRIOR_COLOURS, PRIOR_SHARES
from trips.calc.counts import (
    CLASS_WORDS,
    CLASSES,
    PRIOR_MASSES,
    ClassCounts,
    ClassMass,
    ClassMasses,
)
from trips.calc.errors import OutOfRange
from trips.calc.words import say, several

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

# Gold too fine to count, per litre washed: only asked about once a weigh-in of no colour at all
# brought something. Own judgement: none, give or take a quarter of a usual test grade.
UNCOUNTED_SD_UG_PER_L = 50.0


class Weighed(NamedTuple):
    """One weigh-in's colours and net mass; None in a class is "not counted in some run"."""

    key: str
    counts: ClassCounts
    litres: float | None
    net_ug: int
    resolution_ug: int


@dataclass(frozen=True)
class Skipped:
    """A weigh-in that can teach nothing about the masses, and why."""

    key: str
    reason: str


@dataclass(frozen=True)
class MassFit:
    """Mass per colour by class in µg with its covariance (µg²), and what it was learned from.

    A class held at zero has `active` False; its spread is then the one it would have alone.
    `uncounted_ug_per_l` is zero unless weigh-ins without any colour brought gold.
    """

    mean_ug: tuple[float, float, float]
    covariance: tuple[tuple[float, float, float], ...]
    active: tuple[bool, bool, bool]
    uncounted_ug_per_l: float
    used: tuple[str, ...]
    skipped: tuple[Skipped, ...]

    @property
    def sd_ug(self) -> tuple[float, float, float]:
        """Doubt about each mean mass, µg."""
        first, second, third = (sqrt(self.covariance[at][at]) for at in range(3))
        return first, second, third


@dataclass(frozen=True)
class MeanColour:
    """The mass of one colour picked blindly: mean, spread from colour to colour, doubt.

    `colour_cv` is the relative spread between colours, `mean_cv` the relative doubt about the
    mean; `weights` says how many mean colours one colour of each class is worth.
    """

    mean_ug: float
    colour_cv: float
    mean_cv: float
    weights: tuple[float, float, float]


def nonnegative_least_squares(
    rows: "Sequence[Sequence[float]] | NDArray[np.float64]",
    target: "Sequence[float] | NDArray[np.float64]",
) -> tuple[tuple[float, ...], float]:
    """The non-negative x with the least |rows·x - target|, and that length."""
    import numpy as np
    from scipy.optimize import nnls

    found, residual = nnls(np.asarray(rows, dtype=float), np.asarray(target, dtype=float))
    return tuple(float(value) for value in found), float(residual)


def fit_masses(weighed: Sequence[Weighed], start: ClassMasses = PRIOR_MASSES) -> MassFit:
    """Mass per colour by class from weigh-ins over the starting values.

    Args: start: means, spread from colour to colour and doubt, all above zero, in µg.
    Returns: the starting values when no weigh-in can teach anything.
    Raises: OutOfRange for a starting value without spread or doubt.
    """
    import numpy as np

    classes = [start.of(name) for name in CLASSES]
    if any(min(each.mean_sd_ug, each.sd_ug) <= 0 for each in classes):
        raise OutOfRange("Starting masses need a spread and a doubt above zero.")
    used, skipped = _sorted_out(weighed)
    fine_gold = any(not each.counts.total for each in used)
    spread = np.array([each.sd_ug for each in classes])
    numbers = np.array([_numbers(each.counts) for each in used], dtype=float).reshape(-1, 3)
    steps = np.array([each.resolution_ug for each in used], dtype=float)
    deviations = np.sqrt((numbers * spread**2).sum(axis=1) + steps**2)
    litres = np.array([each.litres or 0.0 for each in used])
    rows = np.column_stack([numbers, litres] if fine_gold else [numbers]) / deviations[:, None]
    target = np.array([each.net_ug for each in used], dtype=float) / deviations
    means = [each.mean_ug for each in classes] + [0.0] * fine_gold
    doubts = [each.mean_sd_ug for each in classes] + [UNCOUNTED_SD_UG_PER_L] * fine_gold
    stacked = np.vstack([rows, np.diag(1 / np.array(doubts))])
    wanted = np.array([*target, *(m / sd for m, sd in zip(means, doubts, strict=True))])
    found, _ = nonnegative_least_squares(stacked, wanted)
    active, covariance = _covariance(stacked, found)
    coarse, medium, fine = found[:3]
    return MassFit(
        mean_ug=(coarse, medium, fine),
        covariance=covariance,
        active=active,
        uncounted_ug_per_l=found[3] if fine_gold else 0.0,
        used=tuple(each.key for each in used),
        skipped=tuple(skipped),
    )


def _sorted_out(weighed: Sequence[Weighed]) -> tuple[list[Weighed], list[Skipped]]:
    used, skipped = [], []
    for each in weighed:
        if each.counts.missing:
            words = ", ".join(CLASS_WORDS[name] for name in each.counts.missing)
            skipped.append(
                Skipped(each.key, say("{words} colours were not counted in all of it", words=words))
            )
        elif each.net_ug < each.resolution_ug:
            skipped.append(Skipped(each.key, say("it weighs less than the scale's smallest step")))
        elif not each.counts.total and not each.litres:
            reason = say("no colour was counted and the litres are not noted")
            skipped.append(Skipped(each.key, reason))
        else:
            used.append(each)
    return used, skipped


def _numbers(counts: ClassCounts) -> tuple[int, int, int]:
    return counts.coarse or 0, counts.medium or 0, counts.fine or 0


def _covariance(
    stacked: "NDArray[np.float64]", found: Sequence[float]
) -> tuple[tuple[bool, bool, bool], tuple[tuple[float, float, float], ...]]:
    """(AᵀA)⁻¹ over the classes that are not held at zero, padded to all three."""
    import numpy as np

    information = stacked.T @ stacked
    free = [at for at, value in enumerate(found) if value > 0]
    whole = np.diag(1 / np.diag(information))
    if free:
        whole[np.ix_(free, free)] = np.linalg.inv(information[np.ix_(free, free)])
    covariance = tuple(
        (float(whole[at][0]), float(whole[at][1]), float(whole[at][2])) for at in range(3)
    )
    return (found[0] > 0, found[1] > 0, found[2] > 0), covariance


def class_mix(colours: Sequence[int]) -> tuple[float, float, float]:
    """Share of coarse, medium and fine among colours, shrunken to the start that belief has too.

    Args: colours: how many of each class were counted where all three were.
    """
    total = sum(colours) + PRIOR_COLOURS
    coarse, medium, fine = (
        (count + PRIOR_COLOURS * share) / total
        for count, share in zip(colours, PRIOR_SHARES.values(), strict=True)
    )
    return coarse, medium, fine


def mean_colour(
    mix: Sequence[float], fit: MassFit, start: ClassMasses = PRIOR_MASSES
) -> MeanColour:
    """Mass of a colour of unknown class, from the class mix and the masses learned.

    The spread within a class keeps the starting values' proportion to the mean.
    """
    mean = sum(share * mass for share, mass in zip(mix, fit.mean_ug, strict=True))
    if mean <= 0:
        raise OutOfRange("Colours of no mass at all: a mass above zero was expected.")
    square = sum(
        share * (mass**2 + _within(start.of(name), mass) ** 2)
        for name, share, mass in zip(CLASSES, mix, fit.mean_ug, strict=True)
    )
    doubt = sum(
        mix[one] * mix[other] * fit.covariance[one][other] for one in range(3) for other in range(3)
    )
    coarse, medium, fine = (mass / mean for mass in fit.mean_ug)
    return MeanColour(
        mean_ug=mean,
        colour_cv=sqrt(max(0.0, square - mean**2)) / mean,
        mean_cv=sqrt(max(0.0, doubt)) / mean,
        weights=(coarse, medium, fine),
    )


def _within(start: ClassMass, mean_ug: float) -> float:
    return start.sd_ug * mean_ug / start.mean_ug


def learned_masses(fit: MassFit, start: ClassMasses = PRIOR_MASSES) -> ClassMasses:
    """The fit as masses that other sums take."""

    def one(at: int) -> ClassMass:
        mean = fit.mean_ug[at]
        return ClassMass(mean, _within(start.of(CLASSES[at]), mean), fit.sd_ug[at])

    return ClassMasses(one(0), one(1), one(2), fit.uncounted_ug_per_l)


def data_share(fit: MassFit, start: ClassMasses = PRIOR_MASSES) -> tuple[float, float, float]:
    """How much of each class's mass is own data: 0 nothing learned, 1 the start plays no part.

    One less the ratio of the variances after and before.
    """
    coarse, medium, fine = (
        min(1.0, max(0.0, 1 - sd**2 / start.of(name).mean_sd_ug ** 2))
        for name, sd in zip(CLASSES, fit.sd_ug, strict=True)
    )
    return coarse, medium, fine


@dataclass(frozen=True)
class ColourMass:
    """What a party's colours weigh, and how much of that its own weigh-ins taught.

    Tuples run coarse, medium, fine. `mean_ug` and `sd_ug` are per colour with the doubt about
    the mean; `colour_sd_ug` is the spread from colour to colour. `mix` is the share of each
    class among colours, `mean` the colour picked blindly from it. `own` is `data_share`.
    """

    fit: MassFit
    mean_ug: tuple[float, float, float]
    sd_ug: tuple[float, float, float]
    colour_sd_ug: tuple[float, float, float]
    mix: tuple[float, float, float]
    mean: MeanColour
    own: tuple[float, float, float]
    colours: int
    words: str

    @property
    def weigh_ins(self) -> int:
        """How many weigh-ins taught it."""
        return len(self.fit.used)

    def equivalent_colours(self, counts: ClassCounts) -> float | None:
        """Counted colours as a number of mean colours of the same mass; None if none counted."""
        counted = [
            (count, weight)
            for (_, count), weight in zip(counts.by_class, self.mean.weights, strict=True)
            if count is not None
        ]
        return sum(count * weight for count, weight in counted) if counted else None


def colour_mass(
    weighed: Sequence[Weighed], colours: Sequence[int], start: ClassMasses = PRIOR_MASSES
) -> ColourMass:
    """Everything that is known about what a party's colours weigh.

    Args: colours: coarse, medium and fine colours counted where all three were, weighed or not.
    """
    fit = fit_masses(weighed, start)
    mix = class_mix(colours)
    learned = learned_masses(fit, start)
    coarse, medium, fine = (learned.of(name).sd_ug for name in CLASSES)
    own = data_share(fit, start)
    return ColourMass(
        fit=fit,
        mean_ug=fit.mean_ug,
        sd_ug=fit.sd_ug,
        colour_sd_ug=(coarse, medium, fine),
        mix=mix,
        mean=mean_colour(mix, fit, start),
        own=own,
        colours=sum(colours),
        words=said_of(fit, own),
    )


def said_of(fit: MassFit, own: Sequence[float]) -> str:
    """From what the masses were learned, in words."""
    if not fit.used:
        return say("No weigh-in has taught anything yet: these are the party's starting values.")
    number = len(fit.used)
    parts = ", ".join(
        f"{CLASS_WORDS[name]} {round(100 * share)} %"
        for name, share in zip(CLASSES, own, strict=True)
    )
    said = several(
        "Learned from {n} weigh-in; own data: {parts}; ",
        "Learned from {n} weigh-ins; own data: {parts}; ",
        number,
        parts=parts,
    )
    return said + say("the rest is the party's starting values.")
