"""What was washed at a spot, as the belief takes it: colours, litres and how much each counts.

Only what was counted is evidence. Where some classes were not counted, the litres are thinned by
the share of colours that the counted classes usually are: exact for independent colours. What
went through a box counts as litres × the transfer factor, and never for more than about eleven
colours, because a box and a pan at one spot differ by about 30 % however many colours there are.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import exp, log, sqrt

from trips.calc.counts import CLASSES, ClassCounts

# Starting shares of coarse, medium and fine among all colours, worth 20 colours (own judgement).
PRIOR_SHARES = {"coarse": 0.02, "medium": 0.20, "fine": 0.78}
PRIOR_COLOURS = 20
START_DISPERSION, START_FREEDOM = 1.5, 4  # φ0 and its pseudo-degrees of freedom
PSI_MEDIAN, PSI_LOG_SD = 0.7, 0.4  # ln ψ ~ N(ln 0.7, 0.4²) before any run
PLACE_LOG_SD = 0.3  # box against pans at one spot, however many colours


@dataclass(frozen=True)
class Discount:
    """What is left of older evidence after floods: of the spot's and of the site's, 0 to 1."""

    spot: float = 1.0
    site: float = 1.0


@dataclass(frozen=True)
class Washed:
    """One pan, or one run through a box (`is_box`): litres loose, None counts not counted.

    `worth` is the weighed gold in mean colours, for a run that was weighed but not counted.
    """

    counts: ClassCounts
    litres: float
    is_box: bool = False
    discount: Discount = Discount()
    worth: float | None = None


@dataclass(frozen=True)
class Spot:
    """A spot's washed samples; ids are the record's own."""

    spot_id: int
    site_id: int
    washed: tuple[Washed, ...]


@dataclass(frozen=True)
class Transfer:
    """ψ: what a box brings per litre for each unit that the pans foretell; log-normal."""

    median: float = PSI_MEDIAN
    log_sd: float = PSI_LOG_SD
    spots: int = 0

    @property
    def mean(self) -> float:
        """Mean of ψ, a little above its median."""
        return self.median * exp(self.log_sd**2 / 2)


def class_shares(washed: Iterable[Washed]) -> dict[str, float]:
    """The share of each class among all colours, from samples with every class counted."""
    sums = {name: PRIOR_COLOURS * share for name, share in PRIOR_SHARES.items()}
    for sample in washed:
        if not sample.counts.missing:
            for name, count in sample.counts.by_class:
                sums[name] += count or 0
    total = sum(sums.values())
    return {name: sums[name] / total for name in CLASSES}


def seen(sample: Washed, shares: dict[str, float]) -> tuple[float, float] | None:
    """Colours and the litres that they speak for; None where nothing was counted or weighed."""
    colours = sample.counts.total
    if not sample.litres > 0:
        return None
    if colours is None:
        return None if sample.worth is None else (sample.worth, sample.litres)
    share = 1 - sum(shares[name] for name in sample.counts.missing)
    return (colours, sample.litres * share) if share > 0 else None


def box_weight(colours: float) -> float:
    """How much a run's count is worth: 1 for few colours, at most 1/0.09 colours in all."""
    return 1 / (1 + PLACE_LOG_SD**2 * max(1.0, colours))


def dispersion(spots: Sequence[Spot], shares: dict[str, float]) -> float:
    """φ pooled over spots with two or more pans and a colour, shrunk to 1.5; at least 1.

    Source: quasi-Poisson moment estimate (Pearson), with four pseudo-degrees of freedom.
    """
    total, freedom = START_FREEDOM * START_DISPERSION, float(START_FREEDOM)
    for spot in spots:
        pans = [
            pan
            for sample in spot.washed
            if not sample.is_box and (pan := seen(sample, shares)) is not None
        ]
        colours = sum(count for count, _ in pans)
        if len(pans) < 2 or not colours:
            continue
        rate = colours / sum(litres for _, litres in pans)
        total += sum((count - rate * v) ** 2 / (rate * v) for count, v in pans)
        freedom += len(pans) - 1
    return max(1.0, total / freedom)


@dataclass(frozen=True)
class BoxAgainstPans:
    """One spot: what the box brought, what the pans foretold for the same litres, pan colours."""

    brought: float
    foretold: float
    pan_colours: float


def transfer_factor(spots: Iterable[BoxAgainstPans]) -> Transfer:
    """ψ by ratio of sums over past spots, weighed against its prior ln ψ ~ N(ln 0.7, 0.4²).

    The variance of ln(ratio) at one spot is 1/colours + 0.3²; at sums it is the weighted one.
    Without a run at a spot with counted pans, or where nothing came at all, the prior stands.
    """
    told = [each for each in spots if each.foretold > 0 and each.pan_colours > 0]
    foretold = sum(each.foretold for each in told)
    brought = sum(each.brought for each in told)
    if not told or brought <= 0:
        return Transfer()
    variance = sum(
        (each.foretold / foretold) ** 2 * (1 / each.pan_colours + PLACE_LOG_SD**2) for each in told
    )
    own, prior = 1 / variance, 1 / PSI_LOG_SD**2
    centre = (own * log(brought / foretold) + prior * log(PSI_MEDIAN)) / (own + prior)
    return Transfer(exp(centre), sqrt(1 / (own + prior)), len(told))
