"""What the record holds, as the figures take it: filled by the selectors, never by hand.

None is "not known" or "not counted", never zero. Masses in micrograms, volumes in millilitres,
money in minor units of the party's currency. What a page holds by the thousand is a named tuple: a
frozen dataclass takes several times as long to make.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, NamedTuple

from trips.calc import local
from trips.calc.words import Said, marked, say

OF_DAY = marked("Trip of {day}")


@dataclass(frozen=True)
class PartyFacts:
    """What a valuation needs to know of the party."""

    currency: str
    payable_ppt: int
    fineness: int
    hourly_figure_minor: int | None


class SitePart(NamedTuple):
    """What is recorded of one trip at one site.

    `minutes` is time on the ground (no drive, no walk in), everybody's added up; `mass_ug` is
    the gold that the shares of the weigh-ins and pans weighed alone place there, None where none
    says anything; `unweighed` box runs are in no weigh-in, though they may hold gold. `washed_ml`
    went through boxes (through pans where no box ran), None where it wasn't noted.
    """

    site_id: int
    minutes: int
    mass_ug: int | None
    unweighed: int = 0
    washed_ml: int | None = None


class GearPart(NamedTuple):
    """What went through one piece of gear at one site; `gear_id` None is gear that wasn't noted.

    `minutes` None is "not noted for every run"; masses, `unweighed` and litres as in `SitePart`.
    """

    gear_id: int | None
    minutes: int | None
    mass_ug: int | None
    unweighed: int = 0
    washed_ml: int | None = None


@dataclass(frozen=True)
class OwnPriced:
    """Gold of a trip that counts at a lot's own price: value in minor units, pure gold in it.

    `value_minor` None with `reason` when a price is in another currency than the record.
    """

    value_minor: int | None
    fine_ug: int
    reason: str = ""


class TripFacts(NamedTuple):
    """One wrapped-up trip. `unknown` says in words why a figure is None.

    `own_name` may be empty. `own` is None without specimens; `gear_rows` are parts as they were
    kept; `activity_minutes` holds everybody's minutes added up.
    """

    trip_id: int
    own_name: str
    starts_on: date
    ends_on: date
    mass_ug: int | None
    fine_ug: int | None
    fuel_minor: int | None
    outlay_minor: int | None
    wear_minor: int | None
    door_minutes: int | None
    person_minutes: int | None
    washed_ml: int | None
    unknown: tuple[str, ...]
    parts: tuple[SitePart, ...]
    own: OwnPriced | None = None
    gear_rows: Sequence[Sequence[Any]] = ()
    activity_minutes: tuple[tuple[str, int], ...] = ()

    @property
    def name(self) -> str:
        """Its own name, or its day: few pages name all of their trips."""
        return trip_name(self.own_name, self.starts_on)

    @property
    def gear(self) -> tuple[GearPart, ...]:
        """What went through each piece of gear at each site: few pages ask."""
        return tuple(map(GearPart._make, self.gear_rows))


class PanFacts(NamedTuple):
    """One test pan; a class that was not counted is None."""

    site_id: int
    spot_id: int
    spot: str
    layer: str
    day: date
    volume_ml: int
    coarse: int | None
    medium: int | None
    fine: int | None
    trip_id: int = 0


class RunFacts(NamedTuple):
    """One run with its worked-out share of a weigh-in (None: not weighed)."""

    spot_id: int
    spot: str
    layer: str
    day: date
    volume_ml: int | None
    minutes: int | None
    share_ug: int | None
    trip_id: int = 0


def trip_name(name: str, day: date, said: Said | None = None) -> str:
    """A trip's own name, or its day.

    Args: said: of a page that names thousands of trips.
    """
    if name:
        return name
    words = local.day(day)
    return say(OF_DAY, day=words) if said is None else said.filled(OF_DAY, day=words)
