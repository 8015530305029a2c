"""What is left of older evidence after a flood?

A flood moves where in a bar the gold lies more than how much the site gets, so what was seen at a
spot is worth less than what was seen at the site. All shares here are judgement, openly so, and
each flood may carry its own. Shares are between 0 and 1; several floods multiply, down to a floor.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

# (least return period in years, share kept at the spot, share kept at the site); own judgement.
CLASSES = ((5.0, 0.25, 0.75), (2.0, 0.5, 0.9))
FLOOR = 0.05
RESETS_FROM_YEARS = 2.0  # a spot's falling yield starts anew after such a flood


@dataclass(frozen=True)
class FloodEffect:
    """One flood at a site: `return_years` None is "size not known"; `basis` says from what."""

    day: date
    name: str
    return_years: float | None
    spot_ratio: float
    site_ratio: float
    basis: str

    @property
    def resets_spots(self) -> bool:
        """Whether a spot there counts as new for the fall of its yield."""
        return self.return_years is not None and self.return_years >= RESETS_FROM_YEARS


@dataclass(frozen=True)
class Kept:
    """What evidence of a day is worth now: shares kept, and the floods since that took the rest."""

    spot_ratio: float
    site_ratio: float
    floods: tuple[FloodEffect, ...]

    @property
    def resets_spots(self) -> bool:
        """Whether any of these floods makes the spots count as new."""
        return any(flood.resets_spots for flood in self.floods)


def usual_effect(return_years: float | None) -> tuple[float, float]:
    """Shares kept at the spot and at the site after a flood of this size; all of it if unknown.

    A flood whose size isn't known takes nothing, and the page asks for its size.
    """
    for least, spot, site in CLASSES:
        if return_years is not None and return_years >= least:
            return spot, site
    return 1.0, 1.0


def kept_since(floods: Sequence[FloodEffect], seen_on: date, as_of: date) -> Kept:
    """What evidence of `seen_on` is worth on `as_of`: floods after the one, up to the other.

    A flood on the very day of the evidence came with it or before it, and takes nothing.
    """
    since = tuple(
        sorted((flood for flood in floods if seen_on < flood.day <= as_of), key=lambda one: one.day)
    )
    spot, site = 1.0, 1.0
    for flood in since:
        spot, site = spot * flood.spot_ratio, site * flood.site_ratio
    if since and spot < 1:
        spot = max(FLOOR, spot)
    if since and site < 1:
        site = max(FLOOR, site)
    return Kept(spot, max(spot, site), since)
