"""The field card: what one needs kneeling in a creek, in words, the same numbers as the page."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.translation import gettext

from claims.models import Party
from claims.web import show
from reports.pages.creek import CreekPage, PrintedRow, PrintedTable, creek_page
from reports.selectors.creek import CreekFacts
from reports.selectors.sheet import NO_TRIGGER, TripSheet
from trips.calc.counts import CLASS_WORDS, CLASSES
from trips.calc.payladder import LABELS
from trips.calc.words import marked, say
from trips.selectors.trip_parts import Step

MOST_TABLES = 6
MOST_ROWS = 8  # where pans may still decide; else the fewest that a page shows
BLANK_ROWS = 6
MOST_LINES = 8  # of duties: a card that says everything is read by nobody; cautions stay whole
FILL_IN = marked("Fill in every hole, put back what was moved, take everything home.")
CARD_LIMIT = marked(
    "The card advises on gold only. It doesn't know whether you may "
    "work here, nor the water: local rules, the office, the owner and "
    "your own judgement come first."
)


@dataclass(frozen=True)
class CardTable:
    """One printed table; `first` is what it says before any pan."""

    name: str
    first: str
    low_head: str
    rows: tuple[PrintedRow, ...]


@dataclass(frozen=True)
class FieldCard:
    """A field card. Empty strings are written in by hand on the blank one."""

    title: str
    party_name: str
    dates: str
    version: str
    printed_on: dt.date
    facts: tuple[tuple[str, str], ...]
    alarm: tuple[tuple[str, str], ...]
    weights: str
    class_words: tuple[tuple[str, str], ...]
    tables: tuple[CardTable, ...]
    left_out: tuple[str, ...]
    break_even: tuple[tuple[str, str], ...]
    leave: str
    duties: tuple[str, ...]
    cautions: tuple[str, ...]
    is_blank: bool = False


def field_card(
    facts: CreekFacts, sheet: TripSheet, party: Party, steps: Sequence[Step] = ()
) -> FieldCard:
    """The card of a trip, from its sheet, the page of its tables, and its pay ladder."""
    page = creek_page(facts)
    # What may send one to dig comes first: a spot not to be begun at needs no table at the creek.
    tables = sorted(
        (table for place in page.places for table in place.tables),
        key=lambda table: (
            table.table.first in ("move", "home"),
            table.card.site.pk != page.places[0].site.pk,
            table.table.first != "pan",
        ),
    )
    key = {label: (value, note) for label, value, note in sheet.key_figures}
    return FieldCard(
        title=sheet.title,
        party_name=sheet.party_name,
        dates=sheet.dates,
        version=page.version,
        printed_on=sheet.as_of,
        facts=(*_places(sheet, page), (gettext("Back by"), key[say("Back by")][0])),
        alarm=(
            *sheet.alarm,
            (gettext("Alarm at"), key[say("Raise the alarm at")][0]),
        ),
        weights=page.weights,
        class_words=_class_words(party),
        tables=tuple(_table(table, page) for table in tables[:MOST_TABLES]),
        left_out=tuple(f"{_name(table, page)} ({table.first})" for table in tables[MOST_TABLES:]),
        break_even=_break_even(facts, page, steps),
        leave=page.leave.words,
        duties=_duties(sheet),
        cautions=tuple(line.text for line in sheet.cautions),
    )


def blank_card(party: Party, cautions: tuple[str, ...], printed_on: dt.date) -> FieldCard:
    """A card to be written by hand: the same boxes, no figure but the party's own words."""
    rows = tuple(
        PrintedRow(pans, "", ("", ""), ("", ""), False) for pans in range(1, BLANK_ROWS + 1)
    )
    return FieldCard(
        title="",
        party_name=party.name,
        dates="",
        version="",
        printed_on=printed_on,
        facts=(
            (gettext("Site"), ""),
            (gettext("Fallback"), ""),
            (gettext("Go there if"), ""),
            (gettext("Back by"), ""),
        ),
        alarm=(
            (gettext("Who raises the alarm"), ""),
            (gettext("How to reach them"), ""),
            (gettext("Alarm at"), ""),
        ),
        weights="",
        class_words=_class_words(party),
        tables=tuple(CardTable("", "", gettext("Move"), rows) for _ in range(4)),
        left_out=(),
        break_even=(
            (gettext("Pays its running"), ""),
            (gettext("Beats going elsewhere"), ""),
            (gettext("Pays the trip's outlay"), ""),
        ),
        leave="",
        duties=(say(FILL_IN), *[""] * (MOST_LINES - 1)),
        cautions=cautions,
        is_blank=True,
    )


def _class_words(party: Party) -> tuple[tuple[str, str], ...]:
    words = (party.coarse_words, party.medium_words, party.fine_words)
    return tuple(zip([CLASS_WORDS[name] for name in CLASSES], words, strict=True))


def _places(sheet: TripSheet, page: CreekPage) -> list[tuple[str, str]]:
    """First choice, fallbacks, and what sends one there: the table's words, then one's own."""
    found = []
    for number, place in enumerate(sheet.places):
        found.append((place.order, place.name))
        if number == 0:
            continue
        said = page.places[number - 1].leave_site if number <= len(page.places) else ""
        own = "" if place.trigger == say(NO_TRIGGER) else place.trigger
        if said:
            found.append((gettext("Go there, by the table"), said))
        # Words that the plan took from the same table aren't printed twice.
        if own and own not in said:
            found.append((gettext("Go there, as you wrote"), own))
    return found or [(gettext("First choice"), say(show.UNKNOWN))]


def _name(table: PrintedTable, page: CreekPage) -> str:
    """The spot, with its site where that isn't the first choice."""
    if table.card.site.pk == page.places[0].site.pk:
        return table.card.name
    return f"{table.card.site}: {table.card.name}"


def _table(table: PrintedTable, page: CreekPage) -> CardTable:
    return CardTable(_name(table, page), table.first, table.low_head, table.rows[:MOST_ROWS])


def _break_even(
    facts: CreekFacts, page: CreekPage, steps: Sequence[Step]
) -> tuple[tuple[str, str], ...]:
    """Gold per litre of box feed, and per hour: for running, going elsewhere, the trip's outlay."""
    setting = facts.setting
    if setting.money_per_mg is None or not setting.litres_per_hour:
        why = (
            gettext("no gold price")
            if setting.money_per_mg is None
            else gettext("litres an hour not noted")
        )
        return ((gettext("Break-even"), f"{say(show.UNKNOWN)}: {why}"),)
    rows = [(gettext("Pays its running"), setting.cost)]
    if page.places:
        table = page.places[0].tables[0].table
        if table.fallback_per_hour:
            rows.append(
                (
                    gettext("Beats {name}").format(name=table.fallback.name),
                    setting.cost + table.fallback_per_hour,
                )
            )
    found = []
    for label, money in rows:
        found.append((label, money / setting.money_per_mg))
    outlay = next((step for step in steps if step.label == LABELS["outlay"]), None)
    hours = facts.trip.planned_work_minutes
    if outlay is not None and outlay.gold_ug is not None and hours:
        found.append((gettext("Pays the trip's outlay"), outlay.gold_ug / 1000 / (hours / 60)))
    return tuple(
        (
            label,
            gettext("{grams} a litre, {mg:.0f} mg an hour").format(
                grams=_grams(mg / setting.litres_per_hour), mg=mg
            ),
        )
        for label, mg in found
    )


def _grams(mg: float) -> str:
    """Milligrams to two digits, with the grams beside them."""
    return (
        gettext("{mg:.2g} mg ({value:.2g} g)").format(mg=mg, value=mg / 1000)
        if mg >= 0.1
        else gettext("{mg:.2g} mg").format(mg=mg)
    )


def _duties(sheet: TripSheet) -> tuple[str, ...]:
    """What the checklist asks to be done, gravest first, and the hole to be filled in."""
    asked = [
        gettext("{text} Ask: {confirm_with}.").format(
            text=line.text, confirm_with=line.confirm_with
        )
        if line.outcome == "ask"
        else line.text
        for _, lines in sheet.checks
        for line in lines
        if line.outcome in ("stop", "do", "ask")
    ]
    lines = (say(FILL_IN), *dict.fromkeys(asked))
    if len(lines) <= MOST_LINES:
        return lines
    more = len(lines) - MOST_LINES
    return (*lines[:MOST_LINES], gettext("And {more} more: read the trip sheet.").format(more=more))
