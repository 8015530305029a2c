"""The gold ledger: what was weighed, what went out, what is left after each, and for how much.

Weighed = on hand + sold + given, to the microgram, after every line. Values are those of the
line's own day at the latest price by then; a lot with its own price counts at that. The gain of a
sale is what it brought, less the fee, less that value.
"""

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from reports.figures.facts import PartyFacts
from reports.figures.report import Column, Report
from reports.figures.site_returns import MASS_PLACES
from reports.figures.words import listed
from trips.calc import local
from trips.calc.gold import PricePoint, Unknown, minor_per_ug, prices_of
from trips.calc.money import from_minor, round_minor
from trips.calc.units import from_base, unit
from trips.calc.words import Spoken, marked, say

WHAT_WORDS = Spoken(
    {"weighed": marked("weighed"), "sold": marked("sold"), "given": marked("given")}
)


@dataclass(frozen=True)
class Weighing:
    """One weigh-in: net micrograms, fineness in ‰; `same_as` other readings are equal to it."""

    weigh_in_id: int
    trip: str
    found_on: date
    weighed_on: date
    net_ug: int
    fineness: int
    same_as: int = 0


@dataclass(frozen=True)
class LotShare:
    """Micrograms in a lot from one weigh-in, its fineness, and the day the gold was found."""

    weigh_in_id: int
    mass_ug: int
    fineness: int
    found_on: date


@dataclass(frozen=True)
class Lot:
    """A lot or merged lot with its fate; money in minor units of `currency`."""

    name: str
    state: Literal["on_hand", "sold", "given"]
    parts: tuple[LotShare, ...]
    moved_on: date | None
    to_whom: str
    proceeds_minor: int | None
    fee_minor: int | None
    own_value_minor: int | None
    currency: str

    @property
    def mass_ug(self) -> int:
        """Micrograms in all."""
        return sum(part.mass_ug for part in self.parts)


@dataclass(frozen=True)
class Line:
    """One line of the ledger; masses in µg, money in minor units, None is unknown or not so.

    `found_minor` is the value on the days the gold was found; `gain_minor` and
    `since_found_minor` are what a sale brought, less its fee, above the two values.
    """

    day: date
    what: Literal["weighed", "sold", "given"]
    name: str
    in_ug: int
    out_ug: int
    balance_ug: int
    value_minor: int | None
    found_minor: int | None
    proceeds_minor: int | None
    fee_minor: int | None
    gain_minor: int | None
    since_found_minor: int | None
    reason: str


@dataclass(frozen=True)
class Ledger:
    """Lines from the oldest, and what they come to. `problems` are to be looked into."""

    lines: tuple[Line, ...]
    weighed_ug: int
    sold_ug: int
    given_ug: int
    on_hand_ug: int
    proceeds_minor: int
    fee_minor: int
    gain_minor: int | None
    since_found_minor: int | None
    problems: tuple[str, ...]


def gold_ledger(
    weighings: Sequence[Weighing],
    lots: Sequence[Lot],
    prices: Sequence[PricePoint],
    party: PartyFacts,
    as_of: date,
) -> Ledger:
    """Every milligram in and out up to a day; the balance is what is on hand."""
    worth = _Worth(prices_of(prices, party.currency), party)
    moves: list[tuple[date, int, Weighing | Lot]] = [
        (each.weighed_on, 0, each) for each in weighings if each.weighed_on <= as_of
    ]
    moves += [
        (lot.moved_on, 1, lot)
        for lot in lots
        if lot.state != "on_hand" and lot.moved_on is not None and lot.moved_on <= as_of
    ]
    lines: list[Line] = []
    balance = 0
    for day, _, move in sorted(moves, key=lambda row: row[:2]):
        if isinstance(move, Weighing):
            balance += move.net_ug
            lines.append(_weighed(move, balance, worth))
        else:
            balance -= move.mass_ug
            lines.append(_moved(move, day, balance, worth))
    sales = [line for line in lines if line.what == "sold"]
    return Ledger(
        lines=tuple(lines),
        weighed_ug=sum(line.in_ug for line in lines),
        sold_ug=sum(line.out_ug for line in sales),
        given_ug=sum(line.out_ug for line in lines if line.what == "given"),
        on_hand_ug=balance,
        proceeds_minor=sum(line.proceeds_minor or 0 for line in sales),
        fee_minor=sum(line.fee_minor or 0 for line in sales),
        gain_minor=_all_known([line.gain_minor for line in sales]),
        since_found_minor=_all_known([line.since_found_minor for line in sales]),
        problems=_problems(weighings, lots, as_of),
    )


def _all_known(amounts: Sequence[int | None]) -> int | None:
    """The sum; None when any is unknown."""
    known = [amount for amount in amounts if amount is not None]
    return sum(known) if len(known) == len(amounts) else None


@dataclass(frozen=True)
class _Worth:
    """What gold is worth on a day, in minor units of the party's currency."""

    price_of: Callable[[date], PricePoint | Unknown]
    party: PartyFacts

    def of(self, parts: Sequence[tuple[int, int, date]]) -> tuple[int | None, str]:
        """Value of (mass, fineness, day) parts, rounded once; None with the reason."""
        total, payable = Fraction(0), Decimal(self.party.payable_ppt) / 1000
        for mass_ug, fineness, day in parts:
            price = self.price_of(day)
            if isinstance(price, Unknown):
                return None, price.reason
            total += mass_ug * minor_per_ug(price, fineness, payable)
        return round_minor(total), ""


def _weighed(each: Weighing, balance_ug: int, worth: _Worth) -> Line:
    value, reason = worth.of([(each.net_ug, each.fineness, each.weighed_on)])
    found, _ = worth.of([(each.net_ug, each.fineness, each.found_on)])
    return Line(
        day=each.weighed_on,
        what="weighed",
        name=each.trip,
        in_ug=each.net_ug,
        out_ug=0,
        balance_ug=balance_ug,
        value_minor=value,
        found_minor=found,
        proceeds_minor=None,
        fee_minor=None,
        gain_minor=None,
        since_found_minor=None,
        reason=reason,
    )


def _moved(lot: Lot, day: date, balance_ug: int, worth: _Worth) -> Line:
    value, reason = worth.of([(part.mass_ug, part.fineness, day) for part in lot.parts])
    found, _ = worth.of([(part.mass_ug, part.fineness, part.found_on) for part in lot.parts])
    known = lot.currency == worth.party.currency
    if lot.own_value_minor is not None:
        value = found = lot.own_value_minor if known else None
        reason = say("Valued at the lot's own price.") if known else ""
    if not known:
        reason = say(
            "Its money is in {currency}, the record is in {currency_2}.",
            currency=lot.currency,
            currency_2=worth.party.currency,
        )
    sold = lot.state == "sold"
    proceeds = lot.proceeds_minor if sold and known else None
    fee = lot.fee_minor if sold and known else None

    def above(base: int | None) -> int | None:
        if proceeds is None or base is None:
            return None
        return proceeds - (fee or 0) - base

    name = (
        say("{name}, to {to_whom}", name=lot.name, to_whom=lot.to_whom) if lot.to_whom else lot.name
    )
    return Line(
        day=day,
        what="sold" if sold else "given",
        name=name,
        in_ug=0,
        out_ug=lot.mass_ug,
        balance_ug=balance_ug,
        value_minor=value,
        found_minor=found,
        proceeds_minor=proceeds,
        fee_minor=fee,
        gain_minor=above(value),
        since_found_minor=above(found),
        reason=reason,
    )


def _problems(weighings: Sequence[Weighing], lots: Sequence[Lot], as_of: date) -> tuple[str, ...]:
    found = []
    in_lots: Counter[int] = Counter()
    for lot in lots:
        for part in lot.parts:
            in_lots[part.weigh_in_id] += part.mass_ug
    for each in weighings:
        if in_lots[each.weigh_in_id] > each.net_ug:
            found.append(
                say(
                    "Lots of {in_lots} µg were made from the weigh-in of {weighed_on}, "
                    "which weighed {net_ug} µg.",
                    in_lots=in_lots[each.weigh_in_id],
                    weighed_on=local.day(each.weighed_on),
                    net_ug=each.net_ug,
                )
            )
    twice = [each for each in weighings if each.same_as and each.weighed_on <= as_of]
    for trip in dict.fromkeys(each.trip for each in twice):
        days = sorted({each.weighed_on for each in twice if each.trip == trip})
        found.append(
            say(
                "{trip}: two weigh-ins of {days} show the same readings. If one "
                "was typed twice, delete it: its gold counts double.",
                trip=trip,
                days=listed([local.day(day) for day in days]),
            )
        )
    return tuple(found)


@dataclass(frozen=True)
class LedgerAsked:
    """Who asked for the ledger, for which day, in which unit of mass."""

    party_name: str
    currency: str
    as_of: date
    mass_unit: str


def ledger_report(ledger: Ledger, asked: LedgerAsked) -> Report:
    """The ledger as a report for page, CSV, XLSX and PDF."""
    money, mass = asked.currency, asked.mass_unit
    words = dict(WHAT_WORDS.items())
    return Report(
        report_id="gold-ledger",
        title=say("Gold ledger"),
        as_of=asked.as_of,
        party_name=asked.party_name,
        currency=asked.currency,
        filters=(),
        columns=(
            Column("day", say("Day")),
            Column("what", say("What")),
            Column("name", say("Trip or lot")),
            Column("in", say("In"), mass, "right"),
            Column("out", say("Out"), mass, "right"),
            Column("balance", say("On hand after"), mass, "right"),
            Column("value", say("Value that day"), money, "right"),
            Column("proceeds", say("Brought"), money, "right"),
            Column("fee", say("Fee"), money, "right"),
            Column("gain", say("Above that day's value"), money, "right"),
            Column("since", say("Above the value when found"), money, "right"),
        ),
        rows=tuple(_cells(line, words[line.what], asked) for line in ledger.lines),
        totals=_totals(ledger, asked) if ledger.lines else (),
        notes=_notes(ledger),
        sources=(),
    )


def _mass(mass_ug: int, asked: LedgerAsked) -> Decimal:
    places = MASS_PLACES[asked.mass_unit]
    return from_base(mass_ug, unit("mass", asked.mass_unit), places)


def _money(minor: int | None, asked: LedgerAsked) -> Decimal | None:
    return None if minor is None else from_minor(minor, asked.currency)


def _cells(line: Line, what: str, asked: LedgerAsked) -> tuple[object, ...]:
    sale = line.what == "sold"
    return (
        line.day,
        what,
        line.name,
        _mass(line.in_ug, asked) if line.in_ug else "",
        _mass(line.out_ug, asked) if line.out_ug else "",
        _mass(line.balance_ug, asked),
        _money(line.value_minor, asked),
        _money(line.proceeds_minor, asked) if sale else "",
        (_money(line.fee_minor, asked) if line.fee_minor is not None else "") if sale else "",
        _money(line.gain_minor, asked) if sale else "",
        _money(line.since_found_minor, asked) if sale else "",
    )


def _totals(ledger: Ledger, asked: LedgerAsked) -> tuple[object, ...]:
    return (
        say("All"),
        "",
        "",
        _mass(ledger.weighed_ug, asked),
        _mass(ledger.sold_ug + ledger.given_ug, asked),
        _mass(ledger.on_hand_ug, asked),
        "",
        _money(ledger.proceeds_minor, asked),
        _money(ledger.fee_minor, asked),
        _money(ledger.gain_minor, asked),
        _money(ledger.since_found_minor, asked),
    )


def _notes(ledger: Ledger) -> tuple[str, ...]:
    reasons = tuple(
        dict.fromkeys(
            line.reason for line in ledger.lines if line.reason and line.value_minor is None
        )
    )
    return (
        say(
            "On hand after each line is all that was weighed, less all that "
            "was sold or given. Gold in no lot counts as on hand; making, "
            "parting and merging lots moves nothing."
        ),
        say(
            "Value that day: mass × fineness × the latest price by that day × "
            "what buyers pay; a lot with its own price counts at that. Above "
            "it is what a sale brought, less its fee, less that value."
        ),
        *(say("Unknown values: {reason}", reason=reason) for reason in reasons),
        *ledger.problems,
    )
