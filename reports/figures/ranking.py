"""Where next: which sites can be put in order from the party's own trips, and how firm is it?

Only sites with a known return are ranked. A site that the checklist stops, one that was never
worked and one whose trips can't be valued stay in sight, with what is missing.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from reports.figures.returns import Return
from reports.figures.words import money_words, trips_word
from trips.calc.costs import Leg, drive_fuel_ml, fuel_cost_minor
from trips.calc.gold import Unknown

Standing = Literal["ranked", "stopped", "unknown", "untried"]


@dataclass(frozen=True)
class Contender:
    """A site with what its own trips returned; `stopped` when the checklist says do not go."""

    site_id: int
    name: str
    result: Return
    stopped: bool

    @property
    def standing(self) -> Standing:
        """Whether it is ranked, and if not, why."""
        if self.stopped:
            return "stopped"
        if self.result.per_hour_minor is not None:
            return "ranked"
        return "unknown" if self.result.trips else "untried"


@dataclass(frozen=True)
class Way:
    """The drive to a site, one way, in metres by kind of road (None: not known)."""

    sealed_m: int | None
    unsealed_m: int | None
    track_m: int | None


@dataclass(frozen=True)
class Thirst:
    """A car's fuel in millilitres per 100 km by kind of road (None: not known)."""

    name: str
    sealed_ml_per_100km: int | None
    unsealed_ml_per_100km: int | None
    track_ml_per_100km: int | None


def ranking(contenders: Sequence[Contender]) -> tuple[Contender, ...]:
    """The ranked sites, best net per door-to-door hour first; ties by name."""
    ranked = [each for each in contenders if each.standing == "ranked"]
    return tuple(sorted(ranked, key=lambda each: (-_per_minute(each.result), each.name)))


def _per_minute(result: Return) -> Fraction:
    """Net in minor units a minute, not rounded: rounding could put a worse site first by name."""
    return Fraction(result.net_minor or 0, result.minutes) if result.minutes else Fraction(0)


def how_firm(ranked: Sequence[Contender], currency: str) -> str:
    """In words: does the record tell the first site from the second, and what would turn it?"""
    if not ranked:
        return ""
    first = ranked[0]
    if len(ranked) == 1:
        return f"Only {first.name} has a known return, so there is nothing to compare it with."
    second = ranked[1]
    gap = (first.result.per_hour_minor or 0) - (second.result.per_hour_minor or 0)
    by = money_words(gap, currency) if gap else f"less than {money_words(1, currency)}"
    lead = f"{first.name} is ahead of {second.name} by {by} an hour"
    if _per_minute(first.result) == _per_minute(second.result):
        lead = f"{first.name} and {second.name} brought the same an hour"
    unsure = [each for each in (first, second) if each.result.low_minor is None]
    if unsure:
        thin = " and ".join(f"{each.name} ({trips_word(each.result.known)})" for each in unsure)
        return f"{lead}, but there is no range for {thin}: one more trip could turn the order."
    if (first.result.low_minor or 0) > (second.result.high_minor or 0):
        return f"{lead}, and their 80 % ranges do not overlap."
    return (
        f"{lead}, but their 80 % ranges overlap: the record can't tell them apart yet. "
        "More trips to either would narrow the ranges; a few good or bad days could turn the order."
    )


def other_price(ranked: Sequence[Contender], other: Sequence[Contender], words: str) -> str:
    """Whether valuing the gold at another price changes which site is first."""
    if len(ranked) < 2 or not other:
        return ""
    if other[0].site_id != ranked[0].site_id:
        return f"Valued {words}, {other[0].name} would be first."
    same = [each.site_id for each in other] == [each.site_id for each in ranked]
    return f"Valued {words}, the order {'stays the same' if same else 'changes below the first'}."


def fuel_there_and_back(
    way: Way, car: Thirst | None, price_milli_per_l: int | None, currency: str
) -> tuple[int, str] | Unknown:
    """Fuel for the drive there and back in minor units with its basis, or why it is unknown."""
    if car is None:
        return Unknown("No car is entered.")
    known = [
        (label, metres, thirst)
        for label, metres, thirst in (
            ("sealed road", way.sealed_m, car.sealed_ml_per_100km),
            ("unsealed road", way.unsealed_m, car.unsealed_ml_per_100km),
            ("track", way.track_m, car.track_ml_per_100km),
        )
        if metres is not None
    ]
    if not known:
        return Unknown("The way there is not recorded.")
    fuel_ml: Fraction | None = drive_fuel_ml(
        [Leg(label, 2 * metres, thirst) for label, metres, thirst in known]
    )
    if fuel_ml is None:
        return Unknown(f"{car.name}: its fuel use on one of the roads is not known.")
    if price_milli_per_l is None:
        return Unknown("No fuel price is set.")
    litres = f"{float(fuel_ml) / 1000:.1f}"
    return (
        fuel_cost_minor(fuel_ml, price_milli_per_l, currency),
        f"{litres} L with {car.name}, there and back",
    )
