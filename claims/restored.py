"""Ground disturbed and restored over a period, by site: what the page and its files show."""

import datetime as dt
from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, Decimal

from claims.models import Party
from claims.rules.ground import Disturbed, Ground, HoleFact, disturbed
from claims.web import show

M2, M3 = Decimal(1_000_000), Decimal(1_000_000)
HEADERS = (
    "site",
    "open_before",
    "opened",
    "opened_area_m2",
    "opened_volume_m3",
    "filled",
    "filled_area_m2",
    "filled_volume_m3",
    "still_open",
    "still_open_area_m2",
    "without_full_size",
)


@dataclass(frozen=True)
class RestoredRow:
    """A site, or all of them, over the period."""

    site: str
    found: Disturbed

    @property
    def bare(self) -> tuple[object, ...]:
        """Bare cells for files; None is not known."""
        found = self.found
        return (
            self.site,
            found.open_before.holes,
            found.opened.holes,
            area_m2(found.opened),
            volume_m3(found.opened),
            found.filled.holes,
            area_m2(found.filled),
            volume_m3(found.filled),
            found.open_after.holes,
            area_m2(found.open_after),
            unmeasured(found),
        )

    @property
    def words(self) -> tuple[str, ...]:
        """Cells as people read them."""
        found = self.found
        return (
            self.site,
            str(found.open_before.holes),
            _words(found.opened),
            _words(found.filled),
            _words(found.open_after),
            str(unmeasured(found)),
        )


def restored(party: Party, first: dt.date, last: dt.date) -> tuple[RestoredRow, ...]:
    """By site and in all, sites with holes only; one query."""
    by_site: dict[str, list[HoleFact]] = {}
    for hole in party.holes.filter(opened_on__lte=last).select_related("site"):
        fact = HoleFact(
            hole.site_id,
            hole.opened_on,
            hole.filled_on,
            hole.length_mm,
            hole.width_mm,
            hole.depth_mm,
        )
        if hole.filled_on is None or hole.filled_on >= first:
            by_site.setdefault(hole.site.name, []).append(fact)
    rows = [RestoredRow(name, disturbed(by_site[name], first, last)) for name in sorted(by_site)]
    if len(rows) > 1:
        every = [hole for holes in by_site.values() for hole in holes]
        rows.append(RestoredRow("All sites", disturbed(every, first, last)))
    return tuple(rows)


def unmeasured(found: Disturbed) -> int:
    """Holes of the period whose size isn't fully known."""
    return found.open_before.without_volume + found.opened.without_volume


def area_m2(ground: Ground) -> Decimal | None:
    """Area of the measured holes; None when there are some and none is measured."""
    if ground.holes and ground.without_area == ground.holes:
        return None
    return (Decimal(ground.area_mm2) / M2).quantize(Decimal("0.01"), ROUND_HALF_EVEN)


def volume_m3(ground: Ground) -> Decimal | None:
    """Box volume of the measured holes; None when there are some and none is measured."""
    if ground.holes and ground.without_volume == ground.holes:
        return None
    return (Decimal(ground.volume_ml) / M3).quantize(Decimal("0.01"), ROUND_HALF_EVEN)


def _words(ground: Ground) -> str:
    if not ground.holes:
        return "0"
    area, volume = area_m2(ground), volume_m3(ground)
    least = "at least " if ground.without_volume else ""
    if area is None:
        return f"{ground.holes} (size {show.UNKNOWN})"
    told = f"{area} m²" if volume is None else f"{area} m², {volume} m³"
    return f"{ground.holes} ({least}{told})"
