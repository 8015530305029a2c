"""One table per spot for a day at the creek: which method, from what, and what stands in for what.

Everything that isn't known has a sentence of its own saying what is used instead. Litres loose,
hours, milligrams of raw gold, money in the party's main unit. Colours in rows are weighted
(`reports.decide.equivalents`).
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from reports.decide import sprt
from reports.decide.equivalents import ClassWeights
from reports.decide.stopping import Action, Pan, Row, Stakes, StoppingTable, stopping_table
from trips.calc.predictive import break_even_rate, gain_per_hour_per_rate
from trips.calc.words import marked, say

PANS = 12  # more are hardly ever worth it
USUAL_HOURS = 5.0  # of work at the creek where none are planned (own judgement)
Method = Literal["stopping", "card", "none"]

NO_PRICE = marked("No gold price is known for this day, so the table can't count in money.")
NO_LITRES = marked(
    "How much gravel your gear washes in an hour isn't noted, nor known from runs, so an hour of "
    "digging can't be counted in money."
)
NO_PRIOR = marked("No pan of yours has been counted yet, so there is no belief to start from.")
TYPED = marked(
    "The break-even rate was typed in: the card is used, which needs neither price nor belief."
)
BY_BREAK_EVEN = marked("The card is used instead, which asks whether the spot beats break-even.")
BY_USUAL = marked("The card is used instead, which asks whether the spot beats your usual ground.")
BY_START = marked(
    "The card is used instead, which asks whether the spot beats {rate:.2g} colours a litre, the "
    "starting value of every record."
)
NO_FALLBACK = marked(
    "No second choice is planned and no other spot is known: after poor pans the table says go "
    "home, worth nothing."
)
NO_SECOND = marked("No second choice is planned: poor pans send you to {name} at the same site.")
FALLBACK_NOT_WORTH = marked(
    "Nowhere else is expected to bring anything after the move: after poor pans the table says go "
    "home."
)
NO_HOURS = marked("The hours at the creek aren't planned: 5 hours are taken.")
NO_TIME = marked("No time is left for a pan: the table stays empty.")
TOO_SHORT = marked("The time left is too short for a pan. By what was believed before: {action}.")
NO_COST = marked("What an hour of running costs isn't known: it is taken as nothing.")
NEGATIVE_COST = marked("A running cost below zero was given: it is taken as nothing.")
NO_GAIN = marked("Gold brings nothing at this price and gear: go home.")
ALWAYS_DIG = marked(
    "Digging costs nothing here and there is nothing better to go to: any gold pays, so the advice "
    "is always to dig."
)
NEVER_DIG = marked("No count that anybody could reach would make digging pay here.")
STOPPING = marked(
    "The table weighs money over the hours left: your belief about the spot, gear, price and the "
    "second choice are all known."
)


@dataclass(frozen=True)
class Setting:
    """What the tables of one trip share; None is not known.

    money_per_mg: what a milligram of raw gold brings. transfer: what a box brings per unit that
    pans foretell. usual_rate: colours per litre of the party's ground in all. even_rate: typed by
    hand, colours per litre. phi: dispersion of plain counts.
    """

    currency: str
    money_per_mg: float | None
    litres_per_hour: float | None
    cost_per_hour: float | None
    hours: float | None
    pan_litres: tuple[float, ...]
    minutes_per_litre: float
    weights: ClassWeights
    transfer: float = 0.7
    phi: float = 1.5
    has_prior: bool = True
    usual_rate: float = 0.1
    even_rate: float | None = None

    @property
    def gain(self) -> float | None:
        """Money per digging hour for each weighted colour per litre; None if not known."""
        if self.money_per_mg is None or self.litres_per_hour is None:
            return None
        return gain_per_hour_per_rate(
            litres_per_hour=self.litres_per_hour,
            mean_mg=self.weights.mean_mg,
            price_per_g=self.money_per_mg * 1000,
            fineness_ratio=1,
            fee_ratio=0,
            transfer_ratio=self.transfer,
        )

    @property
    def cost(self) -> float:
        """The running cost that is reckoned with, never below zero."""
        return max(0.0, self.cost_per_hour or 0.0)

    @property
    def scatter(self) -> float:
        """Dispersion of weighted colours."""
        return self.weights.scatter(self.phi)

    @property
    def pans(self) -> tuple[Pan, ...]:
        """The planned pans with their time; the last size goes on to `PANS`."""
        sizes = self.pan_litres + self.pan_litres[-1:] * (PANS - len(self.pan_litres))
        return tuple(Pan(size, size * self.minutes_per_litre / 60) for size in sizes[:PANS])


@dataclass(frozen=True)
class Ground:
    """Belief about a spot before today's pans: Gamma(shape, rate) in plain colours per litre."""

    name: str
    shape: float
    rate: float


@dataclass(frozen=True)
class Fallback:
    """Where else to go: colours per litre believed there, and hours until one digs there.

    is_here: another spot of the same site instead of the plan's second choice. shape: of the
    gamma that the belief there is taken for.
    """

    name: str
    mean_rate: float
    move_hours: float
    is_here: bool = False
    shape: float = 1.0


@dataclass(frozen=True)
class SpotTable:
    """What is printed for one spot. `why` says which method and why, `notes` what stands in.

    table: the money behind the stopping table. lines: those of the card. even_rate: weighted
    colours per litre at which digging just pays, None if not known.
    """

    method: Method
    why: str
    notes: tuple[str, ...]
    rows: tuple[Row, ...]
    first: Action
    table: StoppingTable | None = None
    lines: sprt.Lines | None = None
    chances: tuple[sprt.Chances, ...] = ()
    even_rate: float | None = None
    hours: float = 0.0
    fallback: Fallback | None = None
    fallback_per_hour: float | None = None


def fallback_per_hour(setting: Setting, fallback: Fallback | None) -> float | None:
    """Expected net per digging hour at the second choice, never below zero; None if not known."""
    if fallback is None or setting.gain is None:
        return None
    return max(0.0, setting.gain * fallback.mean_rate * setting.weights.mean - setting.cost)


def best_fallback(setting: Setting, choices: Sequence[Fallback], hours: float) -> Fallback | None:
    """The one worth most if one went at once; by its rate alone where nothing can be priced."""

    def worth(each: Fallback) -> tuple[float, float]:
        there = fallback_per_hour(setting, each)
        left = max(0.0, hours - each.move_hours)
        return (left * there if there is not None else left * each.mean_rate), -each.move_hours

    return max(choices, key=worth, default=None)


def table_for(ground: Ground, setting: Setting, choices: tuple[Fallback, ...] = ()) -> SpotTable:
    """The stopping table where belief, price and gear are known; else the card; else why not.

    Args: choices: where else to go; the best of them is what poor pans send one to.
    """
    hours = USUAL_HOURS if setting.hours is None else max(0.0, setting.hours)
    notes = [say(NO_HOURS)] if setting.hours is None else []
    if setting.cost_per_hour is None:
        notes.append(say(NO_COST))
    elif setting.cost_per_hour < 0:
        notes.append(say(NEGATIVE_COST))
    fallback = best_fallback(setting, choices, hours)
    there = fallback_per_hour(setting, fallback)
    gain = setting.gain
    if hours <= 0:
        return SpotTable("none", say(NO_TIME), tuple(notes), (), "home", hours=hours)
    if gain is not None and not gain > 0 and setting.even_rate is None:
        return SpotTable("none", say(NO_GAIN), tuple(notes), (), "home", hours=hours)
    notes += _fallback_notes(fallback, there, choices, hours)
    if gain is None or not setting.has_prior or setting.even_rate is not None:
        return _card(setting, fallback, there, notes, hours)
    stakes = Stakes(
        gain, setting.cost, hours, there or 0.0, fallback.move_hours if fallback else 0.0
    )
    table = stopping_table(
        ground.shape, ground.rate / setting.weights.mean, setting.pans, stakes, setting.scatter
    )
    if not setting.cost and not there:
        notes.append(say(ALWAYS_DIG))
    elif table.rows and all(row.dig_at_least is None for row in table.rows):
        notes.append(say(NEVER_DIG))
    better = (there or 0.0) * max(0.0, 1 - stakes.move_hours / hours)
    return SpotTable(
        method="stopping" if table.rows else "none",
        why=say(STOPPING) if table.rows else _too_short(table.first, fallback),
        notes=tuple(notes),
        rows=table.rows,
        first=table.first,
        table=table if table.rows else None,
        even_rate=break_even_rate(gain, setting.cost, better),
        hours=hours,
        fallback=fallback,
        fallback_per_hour=there,
    )


def _too_short(first: Action, fallback: Fallback | None) -> str:
    if first == "move" and fallback is not None:
        return say(TOO_SHORT, action=say("go to {name}", name=fallback.name))
    return say(TOO_SHORT, action=say("dig") if first == "dig" else say("go home"))


def _fallback_notes(
    fallback: Fallback | None, there: float | None, choices: tuple[Fallback, ...], hours: float
) -> list[str]:
    if fallback is None:
        return [say(NO_FALLBACK)]
    if not _worth_going(fallback, there, hours):
        return [say(FALLBACK_NOT_WORTH)]
    if all(each.is_here for each in choices):
        return [say(NO_SECOND, name=fallback.name)]
    return []


def _worth_going(fallback: Fallback | None, there: float | None, hours: float) -> bool:
    """Whether moving can bring anything; what can't be valued (`there` None) may."""
    return fallback is not None and there != 0 and fallback.move_hours < hours


def _card(
    setting: Setting,
    fallback: Fallback | None,
    there: float | None,
    notes: list[str],
    hours: float,
) -> SpotTable:
    """The sequential card, against a typed, a priced or the party's usual rate, in that order."""
    why, even = _even_rate(setting, there)
    fitting = [
        pan.litres for done, pan in enumerate(setting.pans) if _in_time(setting, done, hours)
    ]
    if not even > 0:
        return SpotTable(
            "none", say(ALWAYS_DIG), tuple(notes), (), "dig", even_rate=0.0, hours=hours
        )
    if not fitting:
        return SpotTable("none", say(NO_TIME), tuple(notes), (), "home", hours=hours)
    found = sprt.lines(even, phi=setting.scatter)
    rows = sprt.card(found, fitting)
    if not _worth_going(fallback, there, hours):
        rows = tuple(replace(row, low="home") for row in rows)
    return SpotTable(
        method="card",
        why=why,
        notes=tuple(notes),
        rows=rows,
        first="pan",
        lines=found,
        chances=tuple(
            sprt.chances(rows, fitting, rate, phi=setting.scatter)
            for rate in (found.poor, found.slope, found.rich)
        ),
        even_rate=even,
        hours=hours,
        fallback=fallback,
        fallback_per_hour=there,
    )


def _even_rate(setting: Setting, there: float | None) -> tuple[str, float]:
    """Why the card is used, naming all that is missing, and its break-even in weighted colours."""
    if setting.even_rate is not None:
        return say(TYPED), setting.even_rate * setting.weights.mean
    missing = [say(NO_PRICE)] if setting.money_per_mg is None else []
    missing += [say(NO_LITRES)] if setting.litres_per_hour is None else []
    missing += [] if setting.has_prior else [say(NO_PRIOR)]
    gain = setting.gain
    if gain is not None:
        used, even = say(BY_BREAK_EVEN), break_even_rate(gain, setting.cost, there or 0.0) or 0.0
    else:
        used = say(BY_USUAL) if setting.has_prior else say(BY_START, rate=setting.usual_rate)
        even = setting.usual_rate * setting.weights.mean
    return " ".join([*missing, used]), even


def _in_time(setting: Setting, done: int, hours: float) -> bool:
    return sum(pan.hours for pan in setting.pans[: done + 1]) <= hours


def with_hours(setting: Setting, hours: float | None) -> Setting:
    """The same setting with other hours left."""
    return replace(setting, hours=hours)


@dataclass(frozen=True)
class Trigger:
    """After so many pans and litres with so many weighted colours or fewer, leave."""

    pans: int
    litres: float
    colours: int


def main_trigger(rows: Sequence[Row], wanted: int = 4) -> Trigger | None:
    """The one to remember: nearest to four pans, the earlier of two."""
    return min(
        (Trigger(r.pans, r.litres, r.move_at_most) for r in rows if r.move_at_most is not None),
        key=lambda each: (abs(each.pans - wanted), each.pans),
        default=None,
    )
