"""Ground disturbed and restored over a period, by site: what the page and its files show."""

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, Decimal

from django.urls import reverse

from claims.models import Hole, Party, Site
from claims.rules.ground import Disturbed, Ground, HoleFact, disturbed
from claims.web import show
from claims.web.basis import Basis, Input
from trips.calc.words import say

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
        rows.append(RestoredRow(say("All sites"), disturbed(every, first, last)))
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
    least = say("at least ") if ground.without_volume else ""
    if area is None:
        return say("{holes} (size {unknown})", holes=ground.holes, unknown=say(show.UNKNOWN))
    told = f"{area} m²" if volume is None else f"{area} m², {volume} m³"
    return f"{ground.holes} ({least}{told})"


def ground_bases(
    party: Party, first: dt.date, last: dt.date, sites: Iterable[Site] | None = None
) -> tuple[Basis, ...]:
    """Area and volume with every hole that went in; one query.

    Args: last: not after the day that the page is told for; sites: only holes there.
    """
    holes = party.holes.filter(opened_on__lte=last).exclude(filled_on__lt=first)
    if sites is not None:
        holes = holes.filter(site__in=sites)
    rows = list(holes.select_related("site").order_by("opened_on", "pk"))
    if not rows:
        return ()
    facts = [
        HoleFact(h.site_id, h.opened_on, h.filled_on, h.length_mm, h.width_mm, h.depth_mm)
        for h in rows
    ]
    found = disturbed(facts, first, last)
    return (
        Basis(
            say("Ground disturbed and restored"),
            say(
                "opened {opened}, filled in {filled}",
                opened=_words(found.opened),
                filled=_words(found.filled),
            ),
            say(
                "Length × width of each hole, and that × depth, as boxes; by the "
                "days on which it was opened and filled."
            ),
            tuple(
                Input(
                    say(
                        "{site}, opened {opened_on}",
                        site=hole.site,
                        opened_on=show.day(hole.opened_on),
                    ),
                    _size(hole),
                    say("filled {filled_on}", filled_on=show.day(hole.filled_on))
                    if hole.filled_on
                    else say("not filled"),
                    reverse("claims:hole_detail", args=[hole.pk]),
                )
                for hole in rows
            ),
            "ground",
        ),
    )


def _size(hole: Hole) -> str:
    sides = (hole.length_mm, hole.width_mm, hole.depth_mm)
    told = (say(show.UNKNOWN) if mm is None else f"{mm / 1000:g}" for mm in sides)
    return f"{' × '.join(told)} m"
