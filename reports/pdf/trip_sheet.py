"""The trip sheet on paper: what somebody left behind needs first, then what goes along."""

from collections.abc import Sequence

from reportlab.platypus import CondPageBreak, Flowable

from claims.lines import CheckLine
from reports.figures.report import cell_text
from reports.pdf.parts import SIGNS, Affected, Kit, build
from reports.pdf.table_report import not_set
from reports.selectors.sheet import COST_HEADS, STEP_HEADS, TripSheet

HEAD_ROOM = 80
BOX = "☐"


def sheet_pdf(sheet: TripSheet, page_size: str) -> bytes:
    """The PDF of a sheet, byte for byte the same for the same sheet."""
    kit = Kit(page_size)
    return build(
        story(kit, sheet),
        title=f"Trip sheet: {sheet.title}",
        subject=f"{sheet.dates}, as of {cell_text(sheet.as_of)}",
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
        kit.title(f"Trip sheet: {sheet.title}", "name of the trip"),
        kit.para(f"{sheet.dates} · {sheet.state} · {sheet.party_name}", "party"),
        kit.key_figures(sheet.key_figures),
        kit.heading("If we are not back"),
        kit.facts(sheet.alarm),
        kit.heading("The plan"),
    ]
    if sheet.places:
        flow.append(_places(kit, sheet))
    else:
        flow.append(kit.para("Where to: unknown, no site is chosen."))
    flow.append(kit.facts(sheet.facts))
    if sheet.packing:
        flow += [kit.subheading("To pack"), _packing(kit, sheet)]
    flow += _checks(kit, sheet)
    flow += _papers(kit, sheet)
    flow += _money(kit, sheet)
    if sheet.cautions:
        flow += [CondPageBreak(HEAD_ROOM), kit.heading("The usual cautions")]
        flow.append(
            _lines(kit, "Caution", sheet.cautions, lambda line: f"{line.why} {line.source}")
        )
    return [*flow, *not_set(kit)]


def _places(kit: Kit, sheet: TripSheet) -> Flowable:
    return kit.table(
        ["", "Site", "Go there if", "The way"],
        [(p.order, p.name, p.trigger, p.way) for p in sheet.places],
        widths=(14, 28, 34, 34),
    )


def _packing(kit: Kit, sheet: TripSheet) -> Flowable:
    # Pieces beside each other: under each other they would push the sheet over its two pages.
    return kit.para("   ".join(f"{BOX}\u00a0{piece}" for piece in sheet.packing), "gear")


def _checks(kit: Kit, sheet: TripSheet) -> list[Flowable]:
    flow: list[Flowable] = [CondPageBreak(HEAD_ROOM), kit.heading("Before you go")]
    if not sheet.is_ahead:
        return [*flow, kit.para(f"No checklist: this trip is {sheet.state}.")]
    flow.append(
        kit.small("From what is noted here. Nothing listed doesn't mean that nothing applies: ask.")
    )
    for title, found in sheet.checks:
        flow.append(kit.subheading(title))
        if found:
            flow.append(_lines(kit, "What", found, _why))
        else:
            flow.append(kit.para("Nothing is noted: ask."))
    return flow


def _why(line: CheckLine) -> str:
    return f"{line.why} Ask: {line.confirm_with}. Source: {line.source}."


def _lines(kit: Kit, head: str, found: Sequence[CheckLine], why) -> Flowable:
    return kit.table(
        [BOX, "", head, "Why, and who knows"],
        [(BOX, SIGNS[line.outcome], line.text, why(line)) for line in found],
        widths=(5, 13, 48, 48),
    )


def _papers(kit: Kit, sheet: TripSheet) -> list[Flowable]:
    flow: list[Flowable] = [CondPageBreak(HEAD_ROOM), kit.heading("Papers to carry")]
    if not sheet.papers:
        return [*flow, kit.para("No paper is noted for these sites: ask whether one is needed.")]
    return [
        *flow,
        kit.table(
            [BOX, "Paper", "Number and holder", "Term", "Conditions"],
            [
                (BOX, f"{p.title}\n{p.sites}", f"{p.number}\n{p.holder}", p.term, p.conditions)
                for p in sheet.papers
            ],
            widths=(5, 28, 22, 26, 33),
        ),
    ]


def _money(kit: Kit, sheet: TripSheet) -> list[Flowable]:
    flow: list[Flowable] = [CondPageBreak(HEAD_ROOM), kit.heading("What it costs, what would pay")]
    if sheet.costs:
        flow.append(kit.table(COST_HEADS, sheet.costs, numeric={1}, widths=(36, 20, 58)))
    else:
        flow.append(kit.para("No cost is noted."))
    flow.append(kit.table(STEP_HEADS, sheet.steps, numeric={1, 2}))
    return [*flow, *(kit.small(note) for note in sheet.money_notes)]
