"""What "Where next" shows of one site."""

import datetime as dt
from dataclasses import dataclass

from claims.lines import CheckLine
from claims.models import Site
from claims.web.basis import Basis
from reports.figures.returns import Return


@dataclass(frozen=True)
class RungChance:
    """One rung of the pay ladder: what must come in, and how likely one day brings it."""

    label: str
    threshold_minor: int | None
    chance: str


@dataclass(frozen=True)
class SiteCard:
    """One site on the page; `rank` is None where it isn't ranked, then `needs` says why.

    Forecasts are in minor units: a door-to-door hour or a trip, as asked.
    """

    site: Site
    rank: int | None
    standing: str
    needs: str
    mean_minor: int | None
    low_minor: int | None
    high_minor: int | None
    best: str
    regret: str
    ladder: tuple[RungChance, ...]
    effects: tuple[str, ...]
    counted: str
    evidence: str
    borrowed: str
    flood: str
    left: tuple[int, str] | None
    result: Return
    outcome: str
    settle: str
    stops: tuple[CheckLine, ...]
    lines: tuple[CheckLine, ...]
    fuel_minor: int | None
    fuel_basis: str
    sun: str
    creek_minutes: int
    stay_days: int
    last_visit: dt.date | None
    open_holes: int
    bases: tuple[Basis, ...]
