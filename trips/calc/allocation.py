"""Which part of one weighed total came from which run?

Each run has an expected mass from its colours and a spread. The weighed total is fitted by an
exponential tilt (the least change of independent gamma beliefs), then shared in whole steps of
the scale by largest remainder, so the parts add up to the reading exactly. Every step down in
evidence (litres, time, even shares) is named in the note. A count that is missing is estimated
from litres; it is never taken as zero.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import exp, log, log1p, sqrt
from typing import Literal

from trips.calc.counts import (
    CLASS_WORDS,
    CLASSES,
    PRIOR_MASSES,
    ClassCounts,
    ClassMass,
    ClassMasses,
)
from trips.calc.errors import BadShares, NegativeNet, NotOnScale, OutOfRange
from trips.calc.shares import largest_remainder
from trips.calc.words import say

Method = Literal["tilt", "proportional", "litres", "minutes", "equal", "single", "nothing"]


@dataclass(frozen=True)
class RunEvidence:
    """What is known of one run: colours by class (None: not counted), litres, minutes."""

    key: str
    counts: ClassCounts | None
    volume_ml: int | None = None
    minutes: int | None = None


@dataclass(frozen=True)
class Share:
    """A run's derived part of a weigh-in; `sd_ug` None where the split gives no spread."""

    key: str
    units: int
    mass_ug: int
    sd_ug: float | None
    flag: str


@dataclass(frozen=True)
class Split:
    """The shares in the order of the runs, how they were found and what to know about it."""

    shares: tuple[Share, ...]
    method: Method
    note: str


@dataclass(frozen=True)
class Expected:
    """A run's expected mass and variance in µg and µg² before the weighing; flag says what of
    it was not counted. `mean_ug` None is "no evidence at all"."""

    mean_ug: float | None
    variance: float
    flag: str


def net_units(gross_ug: int, tare_ug: int, resolution_ug: int) -> int:
    """Net reading in whole steps of the scale: (gross - tare) / resolution.

    Raises: OutOfRange for a step that is not above zero; NotOnScale for a reading between two
        steps; NegativeNet for a gross below the tare.
    """
    if resolution_ug <= 0:
        raise OutOfRange(f"A scale step of {resolution_ug} µg was given; above zero was expected.")
    for name, reading in (("gross", gross_ug), ("tare", tare_ug)):
        if reading % resolution_ug:
            raise NotOnScale(
                say(
                    "The {name} of {reading:g} mg is not a whole number of the scale's "
                    "steps of {resolution_ug:g} mg.",
                    name=name,
                    reading=reading / 1000,
                    resolution_ug=resolution_ug / 1000,
                )
            )
    if gross_ug < tare_ug:
        raise NegativeNet(
            say(
                "The gross of {gross_ug:g} mg is below the tare of {tare_ug:g} mg; "
                "the gross weighs the gold and its dish together.",
                gross_ug=gross_ug / 1000,
                tare_ug=tare_ug / 1000,
            )
        )
    return (gross_ug - tare_ug) // resolution_ug


def split_weighin(
    runs: Sequence[RunEvidence],
    *,
    net_units: int,
    resolution_ug: int,
    masses: ClassMasses = PRIOR_MASSES,
    site_mean_ug_per_l: float | None = None,
) -> Split:
    """Share a net reading of whole scale steps over runs; the shares sum to it exactly.

    Args: net_units: steps, zero or more; resolution_ug: µg per step; site_mean_ug_per_l: used
        for runs without counts where the counted runs of this weighing tell nothing.
    Raises: BadShares without runs or with a key twice; OutOfRange for a negative net or step.
    """
    keys = [run.key for run in runs]
    if not keys or len(set(keys)) != len(keys):
        raise BadShares("A weigh-in needs at least one run or pan, each named once.")
    if net_units < 0 or resolution_ug <= 0:
        raise OutOfRange(
            f"{net_units} steps of {resolution_ug} µg: a net of zero or more expected."
        )
    expected = expect_masses(runs, masses, site_mean_ug_per_l)
    flags = [each.flag for each in expected]
    if len(runs) == 1:
        note = say("One run only: it gets the whole weighing.")
        return _build(runs, [net_units], resolution_ug, [0.0], [""], "single", note)
    if net_units == 0:
        nothing = [0] * len(runs)
        none = [None] * len(runs)
        return _build(
            runs, nothing, resolution_ug, none, flags, "nothing", say("Nothing was weighed.")
        )
    means = [each.mean_ug for each in expected]
    known = [mean for mean in means if mean is not None]
    if len(known) < len(means) or not any(known):
        return _without_colours(runs, net_units, resolution_ug, any(known))
    return _by_colours(runs, net_units, resolution_ug, expected, known)


def _by_colours(
    runs: Sequence[RunEvidence],
    units: int,
    resolution_ug: int,
    expected: Sequence[Expected],
    means: Sequence[float],
) -> Split:
    """Tilt where the spread allows it, else in proportion to the expected masses."""
    variances = [each.variance for each in expected]
    total = sum(variances)
    sds = [sqrt(v) * sqrt(max(0.0, 1 - v / total)) if total else None for v in variances]
    flags = [each.flag for each in expected]
    tilted = tilt_masses(means, variances, float(units * resolution_ug))
    if tilted is None:
        weights = [Fraction(mean) for mean in means]
        method: Method = "proportional"
        note = say("Shared in proportion to the mass expected from the colours.")
    else:
        weights = [Fraction(mass) for mass in tilted]
        method = "tilt"
        note = say(
            "Shared by the mass expected from the colours; coarse gold takes up most of the gap."
        )
    shares = largest_remainder(units, weights)
    return _build(runs, shares, resolution_ug, sds, flags, method, note)


def _without_colours(
    runs: Sequence[RunEvidence], units: int, resolution_ug: int, partly: bool
) -> Split:
    """The steps down when colours cannot carry the split: litres, then time, then even."""
    why = say("No colours were counted in any run.")
    if partly:
        why = say("Colours or litres are missing for a run, so colours cannot share this weighing.")
    elif all(run.counts is not None and not run.counts.missing for run in runs):
        why = say("Every run counted zero colours, yet gold was weighed.")
    by_litres = [run.volume_ml for run in runs if run.volume_ml is not None]
    by_minutes = [run.minutes for run in runs if run.minutes is not None]
    method: Method
    if len(by_litres) == len(runs) and sum(by_litres) > 0:
        weights, method, words = by_litres, "litres", say("by the litres fed")
    elif len(by_minutes) == len(runs) and sum(by_minutes) > 0:
        weights, method, words = (
            by_minutes,
            "minutes",
            say("by the time run, as litres are missing"),
        )
    else:
        weights, method = [1] * len(runs), "equal"
        words = say("evenly, as litres and time are missing")
    shares = largest_remainder(units, weights)
    none = [None] * len(runs)
    flags = [say("shared {words}", words=words)] * len(runs)
    return _build(
        runs,
        shares,
        resolution_ug,
        none,
        flags,
        method,
        say("{why} Shared {words}.", why=why, words=words),
    )


def _build(
    runs: Sequence[RunEvidence],
    units: Sequence[int],
    resolution_ug: int,
    sds: Sequence[float | None],
    flags: Sequence[str],
    method: Method,
    note: str,
) -> Split:
    rows = zip(runs, units, sds, flags, strict=True)
    shares = tuple(Share(run.key, n, n * resolution_ug, sd, flag) for run, n, sd, flag in rows)
    return Split(shares, method, note)


def tilt_masses(
    means: Sequence[float], variances: Sequence[float], total: float
) -> tuple[float, ...] | None:
    """Masses summing to `total` (all in one unit) by exponential tilt of gamma beliefs.

    Solves Σ mean/(1 - t·θ) = total with θ = variance/mean, one root below 1/max θ.
    Returns: None where there is no such tilt: no spread, or a total below the masses without
        spread; then share in proportion.
    """
    thetas = [v / m if m > 0 else 0.0 for m, v in zip(means, variances, strict=True)]
    largest = max(thetas, default=0.0)
    firm = sum(m for m, theta in zip(means, thetas, strict=True) if theta == 0)
    loose = sum(means) - firm
    if not largest > 0 or not total > firm or not loose > 0:
        return None
    scaled = [theta / largest for theta in thetas]

    # With w = 1 - t·max θ each mass is mean/((1 - s) + s·w): the root is sought on log w, which
    # keeps its digits where w is tiny, that is where far more was weighed than expected.
    def masses_at(log_w: float) -> tuple[float, ...]:
        w = exp(log_w)
        return tuple(m / ((1 - s) + s * w) for m, s in zip(means, scaled, strict=True))

    if total > sum(means):
        # At this end the run with the largest spread alone already exceeds the total.
        strongest = max(m for m, s in zip(means, scaled, strict=True) if s == 1)
        low, high = log(strongest / total / 2), 0.0
    else:
        smallest = min(s for s in scaled if s > 0)
        low, high = 0.0, log1p(loose / (smallest * (total - firm)))
    ends = [sum(masses_at(end)) - total for end in (low, high)]
    if ends[0] * ends[1] > 0:
        return None
    from scipy.optimize import brentq

    root = brentq(lambda x: sum(masses_at(x)) - total, low, high, xtol=1e-15, maxiter=500)
    return masses_at(float(root))


def expect_masses(
    runs: Sequence[RunEvidence],
    masses: ClassMasses = PRIOR_MASSES,
    site_mean_ug_per_l: float | None = None,
) -> tuple[Expected, ...]:
    """Expected mass and variance per run before weighing, in µg and µg².

    A class not counted takes litres × the colours per litre of that class over the runs that
    did count it; a run with no count at all and no such rate takes litres × the site's mean.
    """
    rates = {name: _class_rate(runs, name) for name in CLASSES}
    return tuple(_expect(run, masses, rates, site_mean_ug_per_l) for run in runs)


def _class_rate(runs: Sequence[RunEvidence], name: str) -> float | None:
    """Colours of a class per litre over the runs that counted it and noted litres."""
    pairs = [
        (getattr(run.counts, name), run.volume_ml)
        for run in runs
        if run.counts is not None and run.volume_ml
    ]
    counted = [(count, volume) for count, volume in pairs if count is not None]
    litres = sum(volume for _, volume in counted) / 1000
    return sum(count for count, _ in counted) / litres if litres else None


def _expect(
    run: RunEvidence,
    masses: ClassMasses,
    rates: dict[str, float | None],
    site_mean_ug_per_l: float | None,
) -> Expected:
    counts = run.counts or ClassCounts()
    litres = run.volume_ml / 1000 if run.volume_ml is not None else None
    mean, variance, estimated, left_out = 0.0, 0.0, [], []
    for name, count in counts.by_class:
        each, rate = masses.of(name), rates[name]
        if count is not None:
            mean += count * each.mean_ug
            variance += count * each.sd_ug**2
        elif litres is not None and rate is not None:
            mean += litres * rate * each.mean_ug
            variance += litres * rate * _second_moment(each)
            estimated.append(CLASS_WORDS[name])
        else:
            left_out.append(CLASS_WORDS[name])
    if len(left_out) == len(CLASSES):
        return _by_site_mean(litres, masses, site_mean_ug_per_l)
    if litres is not None:
        mean += litres * masses.uncounted_ug_per_l
    if left_out and mean == 0:  # nothing counted but zeros: the rest is missing, not zero
        return Expected(
            None,
            0.0,
            say("{left_out} not counted, and no litres to go by", left_out=", ".join(left_out)),
        )
    words = []
    if estimated:
        words.append(
            say("{estimated} not counted: estimated from litres", estimated=", ".join(estimated))
        )
    if left_out:
        words.append(say("{left_out} not counted and left out", left_out=", ".join(left_out)))
    return Expected(mean, variance, "; ".join(words))


def _by_site_mean(
    litres: float | None, masses: ClassMasses, site_mean_ug_per_l: float | None
) -> Expected:
    if litres is None or site_mean_ug_per_l is None:
        return Expected(None, 0.0, say("not counted, and nothing to estimate it from"))
    mean = litres * site_mean_ug_per_l
    medium = masses.medium
    spread = _second_moment(medium) / medium.mean_ug if medium.mean_ug > 0 else 0.0
    return Expected(
        mean, mean * spread, say("not counted: estimated from litres and the site's mean")
    )


def _second_moment(each: ClassMass) -> float:
    """Variance per expected colour when the number of colours itself is unknown (Poisson)."""
    return each.mean_ug**2 + each.sd_ug**2
