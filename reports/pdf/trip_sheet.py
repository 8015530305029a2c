"""The trip sheet on paper: what somebody left behind needs first, then what goes along."""

from collections.abc import Sequence

from reportlab.platypus import Flowable

from claims.lines import Bundle, CheckLine, by_phase
from reports.figures.report import cell_text
from reports.pdf.parts import SIGNS, Affected, Kit, build
from reports.pdf.table_report import not_set, section
from reports.selectors.sheet import COST_HEADS, TripSheet
from trips.calc.words import say, several

BOX = "☐"


def sheet_pdf(sheet: TripSheet, page_size: str) -> bytes:
    """The PDF of a sheet, byte for byte the same for the same sheet."""
    kit = Kit(page_size)
    return build(
        story(kit, sheet),
        title=say("Trip sheet: {title}", title=sheet.title),
        subject=say("{dates}, as of {as_of}", dates=sheet.dates, as_of=cell_text(sheet.as_of)),
        author=sheet.party_name,
        pagesize=kit.pagesize,
        printed_on=sheet.as_of,
        words=kit.words,
    )


def affected(sheet: TripSheet, page_size: str) -> tuple[Affected, ...]:
    """What the PDF can't show as typed, without making it."""
    kit = Kit(page_size)
    story(kit, sheet)
    return kit.words.affected


def story(kit: Kit, sheet: TripSheet) -> list[Flowable]:
    """From the alarm to the money."""
    flow = [
        kit.title(sheet.title, say("name of the trip")),
        kit.para(
            say(
                "Trip sheet · {dates} · {state} · {party_name}",
                dates=sheet.dates,
                state=sheet.state,
                party_name=sheet.party_name,
            ),
            "party",
        ),
        kit.key_figures(sheet.key_figures),
        kit.heading(say("If we are not back")),
        kit.facts(sheet.alarm),
        kit.heading(say("The plan")),
    ]
    if sheet.places:
        flow.append(_places(kit, sheet))
    else:
        flow.append(kit.para(say("Where to: unknown, no site is chosen.")))
    flow.append(kit.facts([*sheet.facts, *_packing(sheet)]))
    flow += _checks(kit, sheet)
    flow += _papers(kit, sheet)
    flow += _money(kit, sheet)
    if sheet.cautions:
        flow += section(kit, say("The usual cautions"))
        said = [f"{BOX} {line.text} {line.why} ({line.source})" for line in sheet.cautions]
        flow.append(kit.small("\n".join(said), "cautions"))
    return [*flow, *not_set(kit)]


def _places(kit: Kit, sheet: TripSheet) -> Flowable:
    return kit.table(
        ["", say("Site"), say("Go there if"), say("The way")],
        [(p.order, p.name, p.trigger, p.way) for p in sheet.places],
        widths=(13, 27, 32, 42),
    )


def _packing(sheet: TripSheet) -> list[tuple[str, str]]:
    # Pieces beside each other: under each other they would push the sheet over its two pages.
    return [
        (
            say("To pack"),
            "   ".join(f"{BOX}\u00a0{piece}" for piece in sheet.packing) or say("none noted"),
        )
    ]


def _checks(kit: Kit, sheet: TripSheet) -> list[Flowable]:
    flow = section(kit, say("Before you go"))
    if not sheet.is_ahead:
        return [*flow, kit.para(say("No checklist: this trip is {state}.", state=sheet.state))]
    flow.append(
        kit.small(
            say("From what is noted here. Nothing listed doesn't mean that nothing applies: ask.")
        )
    )
    for title, found in sheet.checks:
        head = kit.subheading(title, "site")
        head.keepWithNext = 0
        flow.append(head)
        flow += _site(kit, found)
    return flow


def _site(kit: Kit, found: Sequence[CheckLine]) -> list[Flowable]:
    """What asks for a tick as tables by when it matters, what is only to be known under them."""
    if not found:
        return [kit.para(say("Nothing is noted: ask."))]
    to_tick = [line for line in found if line.outcome != "know"]
    to_know = [f"· {_known(line)}" for line in found if line.outcome == "know"]
    flow: list[Flowable] = []
    for group in by_phase(to_tick):
        flow.append(kit.small(group.title))
        flow.append(_ticks(kit, group.urgent))
    return [*flow, kit.small("\n".join(to_know), "checklist")] if to_know else flow


def _ticks(kit: Kit, found: Sequence[Bundle]) -> Flowable:
    return kit.table(
        [BOX, "", say("What, why, and whom to ask")],
        [(BOX, SIGNS[each.first.outcome], _bundled(each)) for each in found],
        widths=(4, 10, 100),
    )


def _bundled(found: Bundle) -> str:
    """One line, or a question once with all that hangs on its answer."""
    if found.is_one:
        return _words(found.first)
    asked = several(
        "{question} It decides on {n} rule.",
        "{question} It decides on {n} rules.",
        len(found.lines),
        question=found.first.head,
    )
    return "\n".join([asked, *(f"· {_words(line, line.rest)}" for line in found.lines)])


def _known(line: CheckLine) -> str:
    """A line that needs no tick, shorter: why it applies and for a rule its source and date."""
    rule = f" ({line.source}; {line.date_of_text})" if line.key else ""
    warned = "".join(f" {warning}" for warning in line.warnings)
    return f"{line.text} {line.why}{warned}{rule}"


def _words(line: CheckLine, text: str = "") -> str:
    """A line with why it applies, what would change it, whom to ask, a rule's source and date."""
    due = f" ({line.due})" if line.due else ""
    rule = (
        say(
            " {source}; text of {date_of_text}.", source=line.source, date_of_text=line.date_of_text
        )
        if line.key
        else ""
    )
    said = "".join(say(" Answer: {said}.", said=each.said) for each in line.answers if each.said)
    change = say(" What would change it: {change}", change=line.change) if line.change else ""
    warned = "".join(f" {warning}" for warning in line.warnings)
    return say(
        "{text}{due} {why}{change}{said}{warned} Ask: {confirm_with}.{rule}",
        text=text or line.text,
        due=due,
        why=line.why,
        change=change,
        said=said,
        warned=warned,
        confirm_with=line.confirm_with,
        rule=rule,
    )


def _papers(kit: Kit, sheet: TripSheet) -> list[Flowable]:
    flow = section(kit, say("Papers to carry"))
    if not sheet.papers:
        return [
            *flow,
            kit.para(say("No paper that still runs is noted for these sites: ask what is needed.")),
        ]
    return [
        *flow,
        kit.table(
            [BOX, say("Paper"), say("Holder"), say("Term"), say("Conditions")],
            [(BOX, f"{p.title}\n{p.sites}", p.holder, p.term, p.conditions) for p in sheet.papers],
            widths=(4, 32, 14, 22, 42),
        ),
    ]


def _money(kit: Kit, sheet: TripSheet) -> list[Flowable]:
    flow = section(kit, say("What it costs, what would pay"))
    if sheet.costs:
        flow.append(
            kit.table(
                [say(head) for head in COST_HEADS], sheet.costs, numeric={1}, widths=(36, 20, 58)
            )
        )
    else:
        flow.append(kit.para(say("No cost is noted.")))
    flow.append(kit.key_figures(sheet.steps))
    return [*flow, kit.small("\n".join(sheet.money_notes))]
