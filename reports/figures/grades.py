"""What did the gravel hold, by spot and layer: in test pans, and in what went through the box?

Grades are per loose litre. A pan without any count says nothing and is only mentioned; a pan with
some classes counted gives a lower figure, marked as such.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import TypeVar

from reports.figures.facts import PanFacts, RunFacts
from trips.calc.counts import (
    PRIOR_MASSES,
    ClassCounts,
    ClassMass,
    ClassMasses,
    PanCount,
    Rate,
    estimate_mass,
    pooled_rate,
)
from trips.calc.units import grade_mg_per_l

COLOUR_CONFIDENCE = 0.95
Place = tuple[int, str, str]
Tried = TypeVar("Tried", PanFacts, RunFacts)


@dataclass(frozen=True)
class PanGrade:
    """Test pans of one spot and layer: colours per litre with range, mg per litre worked out.

    `rate` is None when no pan was counted; `at_least` says that some class was not counted.
    """

    spot_id: int
    spot: str
    layer: str
    pans: int
    not_counted: int
    rate: Rate | None
    mg_per_l: Decimal | None
    at_least: bool


@dataclass(frozen=True)
class RunGrade:
    """Runs of one spot and layer: mg per litre fed, over the runs with a weight and litres."""

    spot_id: int
    spot: str
    layer: str
    runs: int
    left_out: int
    volume_ml: int
    mass_ug: int | None
    mg_per_l: Decimal | None


def colour_masses(coarse_ug: int, medium_ug: int, fine_ug: int) -> ClassMasses:
    """The party's own mass per colour in µg, with the spread of the starting values."""

    def scaled(mean_ug: int, prior: ClassMass) -> ClassMass:
        scale = mean_ug / prior.mean_ug
        return ClassMass(float(mean_ug), prior.sd_ug * scale, prior.mean_sd_ug * scale)

    return ClassMasses(
        coarse=scaled(coarse_ug, PRIOR_MASSES.coarse),
        medium=scaled(medium_ug, PRIOR_MASSES.medium),
        fine=scaled(fine_ug, PRIOR_MASSES.fine),
    )


def pan_rate(pans: Iterable[PanFacts], confidence: float = COLOUR_CONFIDENCE) -> Rate | None:
    """Colours per loose litre of several pans together with its exact range."""
    counts = [PanCount(_counts(pan).total, pan.volume_ml) for pan in pans]
    return pooled_rate(counts, confidence)


def pan_grades(pans: Sequence[PanFacts], masses: ClassMasses) -> tuple[PanGrade, ...]:
    """Colours and mg per loose litre by spot and layer, in the order of the spots' names."""
    grades = []
    for (spot_id, spot, layer), group in _by_place(pans):
        rate = pan_rate(group)
        counted = [pan for pan in group if _counts(pan).total is not None]
        estimates = [estimate_mass(_counts(pan), masses) for pan in counted]
        mass_ug = sum(estimate.mass_ug for estimate in estimates if estimate)
        volume_ml = sum(pan.volume_ml for pan in counted)
        grades.append(
            PanGrade(
                spot_id=spot_id,
                spot=spot,
                layer=layer,
                pans=len(group),
                not_counted=len(group) - len(counted),
                rate=rate,
                mg_per_l=grade_mg_per_l(round(mass_ug), volume_ml) if counted else None,
                at_least=any(_counts(pan).missing for pan in counted),
            )
        )
    return tuple(grades)


def run_grades(runs: Sequence[RunFacts]) -> tuple[RunGrade, ...]:
    """Mg per loose litre fed, by spot and layer; runs without weight or litres are left out."""
    grades = []
    for (spot_id, spot, layer), group in _by_place(runs):
        told = [
            (run.share_ug, run.volume_ml)
            for run in group
            if run.share_ug is not None and run.volume_ml is not None
        ]
        mass_ug = sum(mass for mass, _ in told)
        volume_ml = sum(volume for _, volume in told)
        grades.append(
            RunGrade(
                spot_id=spot_id,
                spot=spot,
                layer=layer,
                runs=len(group),
                left_out=len(group) - len(told),
                volume_ml=volume_ml,
                mass_ug=mass_ug if told else None,
                mg_per_l=grade_mg_per_l(mass_ug, volume_ml) if told else None,
            )
        )
    return tuple(grades)


def _counts(pan: PanFacts) -> ClassCounts:
    return ClassCounts(pan.coarse, pan.medium, pan.fine)


def _by_place(rows: Sequence[Tried]) -> list[tuple[Place, list[Tried]]]:
    places: dict[Place, list[Tried]] = {}
    for row in rows:
        places.setdefault((row.spot_id, row.spot, row.layer), []).append(row)
    return sorted(places.items(), key=lambda item: (item[0][1], item[0][0], item[0][2]))
