"""What rates of colours fit what was counted, and what do counted colours weigh?

Rates are colours per loose litre. Zero colours is data; a class that was not counted is None and
stays visible as missing. Intervals are exact Poisson (Garwood) and meant for showing.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import log, sqrt

from trips.calc.errors import OutOfRange
from trips.calc.words import Spoken, marked

CLASSES = ("coarse", "medium", "fine")
CLASS_WORDS = Spoken(
    {"coarse": marked("coarse"), "medium": marked("medium"), "fine": marked("fine")}
)


@dataclass(frozen=True)
class Interval:
    """A two-sided interval at a confidence between 0 and 1, in the unit of its figure."""

    low: float
    high: float
    confidence: float


@dataclass(frozen=True)
class ClassCounts:
    """Colours counted by size class; None is "not counted", never zero."""

    coarse: int | None = None
    medium: int | None = None
    fine: int | None = None

    def __post_init__(self) -> None:
        """Refuse a negative count (OutOfRange)."""
        for name, count in self.by_class:
            if count is not None and count < 0:
                raise OutOfRange(f"{count} {name} colours were given; zero or more expected.")

    @property
    def by_class(self) -> tuple[tuple[str, int | None], ...]:
        """(class, count) from coarse to fine."""
        return (("coarse", self.coarse), ("medium", self.medium), ("fine", self.fine))

    @property
    def missing(self) -> tuple[str, ...]:
        """Classes that were not counted."""
        return tuple(name for name, count in self.by_class if count is None)

    @property
    def total(self) -> int | None:
        """Colours of the counted classes; None when no class was counted."""
        counted = [count for _, count in self.by_class if count is not None]
        return sum(counted) if counted else None


@dataclass(frozen=True)
class ClassMass:
    """Mass of one colour of a class: mean, spread from colour to colour, doubt about the mean."""

    mean_ug: float
    sd_ug: float
    mean_sd_ug: float = 0.0


@dataclass(frozen=True)
class ClassMasses:
    """Colour masses by class, and micrograms per litre of gold too fine to count."""

    coarse: ClassMass
    medium: ClassMass
    fine: ClassMass
    uncounted_ug_per_l: float = 0.0

    def of(self, name: str) -> ClassMass:
        """The colour mass of a class by its name."""
        return {"coarse": self.coarse, "medium": self.medium, "fine": self.fine}[name]


# Starting values before the party has weigh-ins of its own, mg 12 / 2.5 / 0.5 (own judgement,
# anchored on 12 000 and 40 000 colours per troy ounce = 2.59 and 0.78 mg, seen second-hand).
PRIOR_MASSES = ClassMasses(
    coarse=ClassMass(12_000, 12_000, 8_000),
    medium=ClassMass(2_500, 2_000, 1_200),
    fine=ClassMass(500, 400, 250),
)


@dataclass(frozen=True)
class PanCount:
    """One washed sample: colours (None: not counted) and loose volume (None: not recorded)."""

    colours: int | None
    volume_ml: int | None


@dataclass(frozen=True)
class Rate:
    """Colours per litre with its interval and the evidence under it."""

    low: float
    best: float
    high: float
    colours: int
    litres: float
    pans: int
    confidence: float
    not_counted: int = 0
    litres_assumed: int = 0


@dataclass(frozen=True)
class Estimate:
    """Mass of counted colours; `missing` classes are not in it, so it is then a lower figure."""

    mass_ug: float
    sd_ug: float
    colours: int
    effective_colours: float
    missing: tuple[str, ...]


def poisson_interval(colours: int, litres: float, confidence: float = 0.95) -> Interval | None:
    """Exact (Garwood) interval for colours per litre, conservative; None without litres.

    Args: colours: zero or more; litres: loose; confidence: two-sided, between 0 and 1.
    Raises: OutOfRange for a negative count or a confidence outside 0 to 1.
    Source: F. Garwood, Biometrika 28, 1936, p. 437 (memory).
    """
    _check(colours, confidence)
    if not litres > 0:
        return None
    from scipy.special import gammaincinv

    alpha = 1 - confidence
    low = float(gammaincinv(colours, alpha / 2)) if colours else 0.0
    high = float(gammaincinv(colours + 1, 1 - alpha / 2))
    return Interval(low / litres, high / litres, confidence)


def zero_bound(litres: float, confidence: float = 0.9) -> float | None:
    """One-sided upper bound of colours per litre after litres without any colour.

    At 90 % it is 2.30 per litres washed; None without litres.
    """
    _check(0, confidence)
    return -log(1 - confidence) / litres if litres > 0 else None


def _check(colours: int, confidence: float) -> None:
    if colours < 0:
        raise OutOfRange(f"{colours} colours were given; zero or more was expected.")
    if not 0 < confidence < 1:
        raise OutOfRange(f"A confidence of {confidence} was given; between 0 and 1 was expected.")


def pooled_rate(
    pans: Sequence[PanCount], confidence: float = 0.8, usual_pan_ml: int | None = None
) -> Rate | None:
    """Colours per litre of several pans together (all colours over all litres).

    Pans not counted are left out and counted in `not_counted`. A pan without litres takes the
    party's usual pan and is counted in `litres_assumed`; without a usual pan it is left out too.

    Returns: None when no pan has both a count and a volume.
    """
    colours, volume_ml, used, left_out, assumed = 0, 0, 0, 0, 0
    for pan in pans:
        volume = pan.volume_ml or usual_pan_ml
        if pan.colours is None or not volume:
            left_out += 1
            continue
        colours, volume_ml, used = colours + pan.colours, volume_ml + volume, used + 1
        assumed += 0 if pan.volume_ml else 1
    litres = volume_ml / 1000
    interval = poisson_interval(colours, litres, confidence)
    if interval is None:
        return None
    return Rate(
        low=interval.low,
        best=colours / litres,
        high=interval.high,
        colours=colours,
        litres=litres,
        pans=used,
        confidence=confidence,
        not_counted=left_out,
        litres_assumed=assumed,
    )


def expected_mass_ug(counts: ClassCounts, masses: ClassMasses = PRIOR_MASSES) -> float:
    """Mass in µg of the counted colours alone; 0 where none was counted."""
    return float(sum(n * masses.of(name).mean_ug for name, n in counts.by_class if n is not None))


def estimate_mass(counts: ClassCounts, masses: ClassMasses = PRIOR_MASSES) -> Estimate | None:
    """Mass in µg of the counted colours, with its standard deviation.

    Returns: None when no class was counted; classes not counted are named in `missing`.
    """
    counted = [(n, masses.of(name)) for name, n in counts.by_class if n is not None]
    if not counted:
        return None
    variance = sum(n * each.sd_ug**2 + (n * each.mean_sd_ug) ** 2 for n, each in counted)
    return Estimate(
        mass_ug=expected_mass_ug(counts, masses),
        sd_ug=sqrt(variance),
        colours=sum(n for n, _ in counted),
        effective_colours=effective_colours([(n, each.mean_ug) for n, each in counted]),
        missing=counts.missing,
    )


def effective_colours(groups: Sequence[tuple[int, float]]) -> float:
    """Number of equal colours that would be as telling: (Σm)²/Σm² over (count, mass) groups."""
    squares = sum(count * mass**2 for count, mass in groups)
    total = sum(count * mass for count, mass in groups)
    return float(total**2 / squares) if squares else 0.0


def grade_relative_sd(colours: int, colour_cv: float, mean_cv: float) -> float | None:
    """Relative standard deviation (ratio) of a grade from counted colours; None for none.

    Args: colour_cv: spread of mass from colour to colour; mean_cv: doubt about the mean mass.
    Source: 1/√N for equal colours: Clifton and others, USGS Prof. Paper 625-C, 1969 (memory).
    """
    if colours <= 0:
        return None
    return sqrt((1 + colour_cv**2) / colours + mean_cv**2)
