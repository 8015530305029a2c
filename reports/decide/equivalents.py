"""How coarse colours enter a table of counts: each counts for what it weighs.

A weight of 1 is about the mean colour of the party's usual mix of classes. Weights are rounded to
halves so that they can be added up on one's knees; belief and money are scaled by the rounded mix,
so the rounding shifts nothing. Weighted counts scatter more than plain ones, because one coarse
colour is many at once: with weights w, plain dispersion φ and classes dealt out at random, the
variance over the mean is E[w²]/E[w] + (φ - 1)·E[w].
"""

from collections.abc import Sequence
from dataclasses import dataclass

from trips.calc.counts import ClassCounts
from trips.calc.errors import OutOfRange


@dataclass(frozen=True)
class ClassWeights:
    """What a colour of each class counts for, and what the mix makes of it.

    mean: weighted colours per colour of the mix. mean_mg: milligrams per weighted colour. spread:
    variance over mean of weighted counts where plain ones scatter by chance alone.
    """

    coarse: float
    medium: float
    fine: float
    mean: float
    mean_mg: float
    spread: float

    @property
    def is_plain(self) -> bool:
        """Whether every colour counts 1, so that a weighted count is a count."""
        return self.coarse == self.medium == self.fine == 1

    def of(self, name: str) -> float:
        """The weight of a class by its name."""
        return {"coarse": self.coarse, "medium": self.medium, "fine": self.fine}[name]

    def scatter(self, phi: float) -> float:
        """Dispersion of weighted counts where plain counts have `phi`; never below 1."""
        return max(1.0, self.spread + (phi - 1) * self.mean)


@dataclass(frozen=True)
class Weighted:
    """A weighted count; None when no class was counted. `missing` classes are not in it."""

    colours: float | None
    missing: tuple[str, ...]


def class_weights(mean_mg: Sequence[float], mix: Sequence[float]) -> ClassWeights:
    """Weights from mg per colour and the share of each class, both coarse, medium, fine.

    Raises: OutOfRange for a mass or a share below zero, or when the mix weighs nothing.
    """
    usual_mg = sum(part * mean for part, mean in zip(mix, mean_mg, strict=True))
    if min(*mean_mg, *mix) < 0 or not usual_mg > 0:
        raise OutOfRange(f"Masses {mean_mg} mg of shares {mix}: above zero were expected.")
    coarse, medium, fine = (_rounded(mean / usual_mg) for mean in mean_mg)
    weights = (coarse, medium, fine)
    mean = sum(part * weight for part, weight in zip(mix, weights, strict=True)) / sum(mix)
    square = sum(part * weight**2 for part, weight in zip(mix, weights, strict=True)) / sum(mix)
    return ClassWeights(coarse, medium, fine, mean, usual_mg / sum(mix) / mean, square / mean)


def _rounded(weight: float) -> float:
    """To halves, to whole numbers from 5 on; never zero, because a colour is a colour."""
    return float(round(weight)) if weight >= 5 else max(0.5, round(weight * 2) / 2)


def weighted(counts: ClassCounts, weights: ClassWeights) -> Weighted:
    """The weighted count of one or several pans."""
    counted = [(name, n) for name, n in counts.by_class if n is not None]
    if not counted:
        return Weighted(None, counts.missing)
    return Weighted(sum(weights.of(name) * n for name, n in counted), counts.missing)
