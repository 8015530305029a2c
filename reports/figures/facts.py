"""What the record holds, as the figures take it: filled by the selectors, never by hand.

None is "not known" or "not counted", never zero. Masses in micrograms, volumes in millilitres,
money in minor units of the party's currency.
"""

from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True)
class PartyFacts:
    """What a valuation needs to know of the party."""

    currency: str
    payable_ppt: int
    fineness: int
    hourly_figure_minor: int | None


@dataclass(frozen=True)
class SitePart:
    """What is recorded of one trip at one site.

    `minutes` is time on the ground (no drive, no walk in), everybody's added up; `mass_ug` is
    the gold that the shares of the weigh-ins and pans weighed alone place there, None where none
    says anything; `unweighed` box runs are in no weigh-in, though they may hold gold.
    """

    site_id: int
    minutes: int
    mass_ug: int | None
    unweighed: int = 0


@dataclass(frozen=True)
class TripFacts:
    """One wrapped-up trip. `unknown` says in words why a figure is None."""

    trip_id: int
    name: str
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


@dataclass(frozen=True)
class PanFacts:
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


@dataclass(frozen=True)
class RunFacts:
    """One run with its worked-out share of a weigh-in (None: not weighed)."""

    spot_id: int
    spot: str
    layer: str
    day: date
    volume_ml: int | None
    minutes: int | None
    share_ug: int | None
