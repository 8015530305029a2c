"""Where next in words: how firm the order is, what would turn it, and the fuel of the way."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from reports.decide.belief import Seen, Shares
from reports.decide.ranking import Per, Ranking
from reports.figures.outlook import PANS, Effect, Turning
from reports.figures.words import money_words
from trips.calc.costs import Leg, drive_fuel_ml, fuel_cost_minor
from trips.calc.gold import Unknown
from trips.calc.money import minor_per_main

PER_WORDS: dict[Per, str] = {"hour": "an hour door to door", "trip": "a trip"}
TOSS_UP = 0.1  # chances of being best closer than this can't be told apart
ALIKE = 0.005  # chances and means (in the main unit) closer than this are shown as equal
EFFECT_WORDS = {
    "gravel": "its gravel",
    "drive": "the drive",
    "stay": "the way you work there",
    "light": "hours of light",
    "evidence": "thin evidence",
    "price": "the gold price",
}


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


def minor(amount: float, currency: str) -> int:
    """A forecast in the main unit as minor units."""
    return round(amount * minor_per_main(currency))


def said(amount: float, currency: str) -> str:
    """A forecast in the main unit as money."""
    return money_words(minor(amount, currency), currency)


def pct(chance: float) -> str:
    """A chance in words that don't claim more than is known."""
    if chance < 0.01:
        return "under 1 %"
    if chance > 0.99:
        return "over 99 %"
    return f"{100 * chance:.0f} %"


def how_firm(found: Ranking, names: Mapping[int, str], currency: str, per: Per) -> str:
    """In words: is the first site clearly first, and what would knowing for sure be worth?"""
    if not found.rows:
        return ""
    first = found.rows[0]
    if len(found.rows) == 1:
        return f"Only {names[first.site_id]} can be ranked, so there is nothing to compare it with."
    if all_alike(found):
        return (
            "The data can't rank these sites: each is the best with the same chance of "
            f"{pct(first.best_chance)}, and the order shown says nothing."
        )
    perfect = said(found.perfect, currency)
    lead = (
        f"{names[first.site_id]} promises most, and is the best with a chance of "
        f"{pct(first.best_chance)}. Knowing for sure which is best would be worth {perfect} "
        f"{PER_WORDS[per]}."
    )
    likely = max(found.rows, key=lambda row: (row.best_chance, -row.regret))
    if likely.site_id != first.site_id:
        lead += (
            f" {names[likely.site_id]} is the best more often ({pct(likely.best_chance)}), but on "
            "average it brings less."
        )
    return lead


def all_alike(found: Ranking) -> bool:
    """Whether all sites stand alike, in mean and in chance of being the best."""
    chances = [row.best_chance for row in found.rows]
    means = [row.mean for row in found.rows]
    return max(chances) - min(chances) < ALIKE and max(means) - min(means) < ALIKE


def toss_up(found: Ranking) -> bool:
    """Whether the two likeliest sites can't be told apart."""
    chances = sorted((row.best_chance for row in found.rows), reverse=True)
    return len(chances) > 1 and chances[0] - chances[1] < TOSS_UP


def turning_words(turning: Turning | None, names: Mapping[int, str], pan_l: float) -> str:
    """The one observation that would most likely change who is first."""
    if turning is None:
        return ""
    site, other, turn = names[turning.site_id], names[turning.other_id], turning.turn
    if turn.chance < 0.005:
        return f"No {PANS} test pans at any one site are likely to change who is first."
    litres = f"{PANS} test pans ({PANS * pan_l:.0f} L) at {site}"
    colours = f"{turn.colours} colour{'s' if turn.colours != 1 else ''}"
    if turn.fewer:
        effect = f"with {colours} or fewer, {other} would come first"
    else:
        effect = f"with {colours} or more, it would come first, ahead of {other}"
    return (
        f"What would most likely change the order: {litres}. {effect[:1].upper()}{effect[1:]}; "
        f"chance {pct(turn.chance)}."
    )


def effect_words(effects: Sequence[Effect], currency: str) -> tuple[str, ...]:
    """What moves a site, biggest first: "+3.20 EUR by its gravel"."""
    return tuple(
        f"{'+' if each.amount > 0 else ''}{said(each.amount, currency)} by {_cause(each)}"
        for each in effects
    )


def _cause(effect: Effect) -> str:
    if effect.key == "evidence" and effect.amount > 0:
        return "what is known of its neighbours"
    return EFFECT_WORDS[effect.key]


def evidence_words(seen: Seen) -> str:
    """What was counted: "23 colours in 9 pans and 2 runs, 412 L"."""
    if not seen.pans and not seen.runs:
        return "nothing counted yet"
    parts = []
    if seen.pans:
        parts.append(f"{seen.pans} pan{'s' if seen.pans != 1 else ''}")
    if seen.runs:
        parts.append(f"{seen.runs} run{'s' if seen.runs != 1 else ''}")
    told = f"{seen.colours} colour{'s' if seen.colours != 1 else ''} in {' and '.join(parts)}"
    told += f", {seen.litres:.0f} L"
    if seen.weighed:
        told += f"; {seen.weighed} of them only weighed"
    if seen.left_out:
        told += f"; {seen.left_out} left out, without a count or litres"
    return told


def share_words(shares: Shares) -> str:
    """One sentence on how much is own data and how much borrowed."""
    own, here, borrowed = (
        round(100 * part) for part in (shares.spot, shares.site, shares.borrowed)
    )
    if own + here == 0:
        return "All of this is borrowed from your other sites: nothing was counted here."
    parts = [f"{own} % from this spot's own samples"] if own else []
    parts += [f"{here} % from {'the rest of this site' if own else 'samples at this site'}"]
    return f"{' and '.join(parts)}; {borrowed} % is borrowed from your other sites."


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
