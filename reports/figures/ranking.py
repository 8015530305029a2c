"""Where next in words: how firm the order is, what would turn it, and the fuel of the way."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from reports.decide.belief import Seen, Shares
from reports.decide.ranking import Per, Ranking
from reports.figures.outlook import PANS, Effect, Turning
from reports.figures.words import listed, money_words
from trips.calc.costs import Leg, drive_fuel_ml, fuel_cost_minor
from trips.calc.gold import Unknown
from trips.calc.money import minor_per_main
from trips.calc.words import Spoken, marked, say, several

PER_WORDS = Spoken(
    {
        "hour": marked("an hour door to door"),
        "trip": marked("a trip"),
    }
)
TOSS_UP = 0.1  # chances of being best closer than this can't be told apart
ALIKE = 0.005  # chances and means (in the main unit) closer than this are shown as equal
EFFECT_WORDS = Spoken(
    {
        "gravel": marked("its gravel"),
        "drive": marked("the drive"),
        "stay": marked("the way you work there"),
        "light": marked("hours of light"),
        "evidence": marked("thin evidence"),
        "price": marked("the gold price"),
    }
)


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
        return say("under 1 %")
    if chance > 0.99:
        return say("over 99 %")
    return f"{100 * chance:.0f} %"


def how_firm(found: Ranking, names: Mapping[int, str], currency: str, per: Per) -> str:
    """In words: is the first site clearly first, and what would knowing for sure be worth?"""
    if not found.rows:
        return ""
    first = found.rows[0]
    if len(found.rows) == 1:
        return say(
            "Only {names} can be ranked, so there is nothing to compare it with.",
            names=names[first.site_id],
        )
    if all_alike(found):
        return say(
            "The data can't rank these sites: each is the best with the same "
            "chance of {best_chance}, and the order shown says nothing.",
            best_chance=pct(first.best_chance),
        )
    perfect = said(found.perfect, currency)
    lead = say(
        "{names} promises most, and is the best with a chance of "
        "{best_chance}. Knowing for sure which is best would be worth "
        "{perfect} {per_words}.",
        names=names[first.site_id],
        best_chance=pct(first.best_chance),
        perfect=perfect,
        per_words=PER_WORDS[per],
    )
    likely = max(found.rows, key=lambda row: (row.best_chance, -row.regret))
    if likely.site_id != first.site_id:
        lead += say(
            " {names} is the best more often ({best_chance}), but on average it brings less.",
            names=names[likely.site_id],
            best_chance=pct(likely.best_chance),
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
        return say(
            "No {pans} test pans at any one site are likely to change who is first.", pans=PANS
        )
    litres = say(
        "{pans} test pans ({pans_2:.0f} L) at {site}", pans=PANS, pans_2=PANS * pan_l, site=site
    )
    colours = several("{n} colour", "{n} colours", turn.colours)
    if turn.fewer:
        effect = say(
            "with {colours} or fewer, {other} would come first", colours=colours, other=other
        )
    else:
        effect = say(
            "with {colours} or more, it would come first, ahead of {other}",
            colours=colours,
            other=other,
        )
    return say(
        "What would most likely change the order: {litres}. {effect}{effect_2}; chance {chance}.",
        litres=litres,
        effect=effect[:1].upper(),
        effect_2=effect[1:],
        chance=pct(turn.chance),
    )


def effect_words(effects: Sequence[Effect], currency: str) -> tuple[str, ...]:
    """What moves a site, biggest first: "+3.20 EUR by its gravel"."""
    return tuple(
        say(
            "{words}{amount} by {each}",
            words="+" if each.amount > 0 else "",
            amount=said(each.amount, currency),
            each=_cause(each),
        )
        for each in effects
    )


def _cause(effect: Effect) -> str:
    if effect.key == "evidence" and effect.amount > 0:
        return say("what is known of its neighbours")
    return EFFECT_WORDS[effect.key]


def evidence_words(seen: Seen) -> str:
    """What was counted: "23 colours in 9 pans and 2 runs, 412 L"."""
    if not seen.pans and not seen.runs:
        return say("nothing counted yet")
    parts = []
    if seen.pans:
        parts.append(several("{n} pan", "{n} pans", seen.pans))
    if seen.runs:
        parts.append(several("{n} run", "{n} runs", seen.runs))
    told = several(
        "{n} colour in {parts}", "{n} colours in {parts}", seen.colours, parts=listed(parts)
    )
    told += f", {seen.litres:.0f} L"
    if seen.weighed:
        told += say("; {weighed} of them only weighed", weighed=seen.weighed)
    if seen.left_out:
        told += say("; {left_out} left out, without a count or litres", left_out=seen.left_out)
    return told


def share_words(shares: Shares) -> str:
    """One sentence on how much is own data and how much borrowed."""
    own, here, borrowed = (
        round(100 * part) for part in (shares.spot, shares.site, shares.borrowed)
    )
    if own + here == 0:
        return say("All of this is borrowed from your other sites: nothing was counted here.")
    parts = [say("{own} % from this spot's own samples", own=own)] if own else []
    parts += [
        say(
            "{here} % from {words}",
            here=here,
            words=say("the rest of this site") if own else say("samples at this site"),
        )
    ]
    return say(
        "{parts}; {borrowed} % is borrowed from your other sites.",
        parts=listed(parts),
        borrowed=borrowed,
    )


def fuel_there_and_back(
    way: Way, car: Thirst | None, price_milli_per_l: int | None, currency: str
) -> tuple[int, str] | Unknown:
    """Fuel for the drive there and back in minor units with its basis, or why it is unknown."""
    if car is None:
        return Unknown(say("No car is entered."))
    known = [
        (label, metres, thirst)
        for label, metres, thirst in (
            (say("sealed road"), way.sealed_m, car.sealed_ml_per_100km),
            (say("unsealed road"), way.unsealed_m, car.unsealed_ml_per_100km),
            ("track", way.track_m, car.track_ml_per_100km),
        )
        if metres is not None
    ]
    if not known:
        return Unknown(say("The way there is not recorded."))
    fuel_ml: Fraction | None = drive_fuel_ml(
        [Leg(label, 2 * metres, thirst) for label, metres, thirst in known]
    )
    if fuel_ml is None:
        return Unknown(say("{name}: its fuel use on one of the roads is not known.", name=car.name))
    if price_milli_per_l is None:
        return Unknown(say("No fuel price is set."))
    litres = f"{float(fuel_ml) / 1000:.1f}"
    return (
        fuel_cost_minor(fuel_ml, price_milli_per_l, currency),
        say("{litres} L with {name}, there and back", litres=litres, name=car.name),
    )
