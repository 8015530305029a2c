"""Worked examples of rules and ground, on an invented district."""

import datetime as dt

from claims.rules.evaluate import evaluate
from claims.rules.facts import Gear, Place, Situation
from claims.rules.ground import HoleFact, disturbed
from claims.rules.loader import load_text
from reports.figures.renewal_kept import cubic_metres, square_metres
from reports.help.shape import Example
from trips.calc.words import say

PACK = """
[pack]
id = "gravel-example"
title = "An invented district"
level = "region"
code = "XX-EX"
version = "1"
checked_on = 2031-01-01
review_by = 2039-12-31
confirm_with = "the district's office (invented)"
sourcing = "good"
invented = true

[[source]]
id = "bylaw"
title = "Bylaw on bars (invented)"
url = "https://example.org/bylaw"
date_of_text = "2030-01-01"
how_known = "official"

[[rule]]
id = "engine"
kind = "equipment_prohibited"
text = "No engine at the creek."
sources = ["bylaw"]
when = [{ fact = "gear", power = ["engine"] }]
effect = { type = "prohibit" }

[[rule]]
id = "spring"
kind = "season_window"
text = "The bars are closed from 1 March to 15 June."
sources = ["bylaw"]
when = [{ fact = "date", within = ["03-01..06-15"] }]
effect = { type = "prohibit" }
"""
DAY, LATER = dt.date(2031, 5, 14), dt.date(2031, 8, 9)


def _situation(day: dt.date, gear: tuple[Gear, ...] | None) -> Situation:
    return Situation(first_day=day, last_day=day, place=Place(name=say("Mill Bend")), gear=gear)


def rules() -> tuple[Example, ...]:
    """Two rules, four plans."""
    pack = load_text(PACK, "example").pack
    pan = (Gear(name="pan", cls="pan", power="none"),)
    pump = (Gear(name="pump", cls="pump", power="engine"),)
    rows = []
    for words, day, gear in (
        (say("pan, 14 May"), DAY, pan),
        (say("pan, 9 August"), LATER, pan),
        (say("pump, 9 August"), LATER, pump),
        (say("gear not noted, 9 August"), LATER, None),
    ):
        found = evaluate([pack], _situation(day, gear))
        said = "; ".join(f"{say(each.outcome)}: {each.rule_text}" for each in found.findings)
        rows.append((words, said or say("neither rule speaks")))
    return (
        Example(
            say("Two rules of an invented district"),
            (say("No engine at the creek."), say("The bars are closed from 1 March to 15 June.")),
            (say("Plan"), say("What the checklist shows")),
            tuple(rows),
            (
                say(
                    "Where neither rule speaks, that says nothing of other rules: ask. "
                    "No line ever says that a trip is lawful."
                ),
                say(
                    "Gear that isn't noted might have an engine, so the rule asks "
                    "instead of keeping silent."
                ),
            ),
        ),
    )


def ground() -> tuple[Example, ...]:
    """Three holes over a month."""
    may, june = dt.date(2031, 5, 20), dt.date(2031, 6, 8)
    holes = (
        (
            say("dug in May, 1.2 × 0.8 × 0.5 m, filled on 3 June"),
            may,
            dt.date(2031, 6, 3),
            (1200, 800, 500),
        ),
        (say("dug on 8 June, 0.9 × 0.6 × 0.4 m, filled the same day"), june, june, (900, 600, 400)),
        (say("dug on 21 June, not measured, open"), dt.date(2031, 6, 21), None, (None, None, None)),
    )
    found = disturbed(
        [HoleFact(1, opened, filled, *size) for _, opened, filled, size in holes],
        dt.date(2031, 6, 1),
        dt.date(2031, 6, 30),
    )
    lines = (
        (say("Open before 1 June"), found.open_before),
        (say("Opened in June"), found.opened),
        (say("Filled in June"), found.filled),
        (say("Still open on 30 June"), found.open_after),
    )

    def told(value: object, unit: str) -> str:
        return say("unknown") if value is None else f"{value} {unit}"

    return (
        Example(
            say("June, with three holes"),
            tuple(words[0].capitalize() + words[1:] for words, *_ in holes),
            (say("Ground"), say("Holes"), say("Area"), say("Volume"), say("Not measured")),
            tuple(
                (
                    words,
                    str(each.holes),
                    told(square_metres(each), "m²"),
                    told(cubic_metres(each), "m³"),
                    str(each.without_volume),
                )
                for words, each in lines
            ),
            (
                say(
                    "{holes} open before and {holes_2} opened make {holes_3} filled "
                    "and {holes_4} still open.",
                    holes=found.open_before.holes,
                    holes_2=found.opened.holes,
                    holes_3=found.filled.holes,
                    holes_4=found.open_after.holes,
                ),
                say(
                    "A hole that nobody measured is counted, and its ground is "
                    "unknown; it is not nothing."
                ),
            ),
        ),
    )
