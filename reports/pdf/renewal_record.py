"""The renewal record on paper, to be read by an officer in five minutes and signed."""

from reportlab.platypus import CondPageBreak, Flowable, KeepTogether

from reports.figures.renewal import SIGNED, RenewalRecord
from reports.figures.renewal_parts import Part
from reports.figures.report import cell_text
from reports.pdf.parts import Affected, Kit, build
from reports.pdf.table_report import grid, lines, not_set

WIDTHS = {
    "days": (14, 24, 9, 12, 44, 13),
    "gold": (14, 26, 12, 10, 13, 34),
    "holes": (24, 24, 15, 15, 10, 10, 10, 10, 14),
    "incidents": (14, 26, 70),
    "left-out": (13, 13, 30, 54),
}
HEAD_ROOM = 90  # points that a table's name, head and first rows need


def record_pdf(record: RenewalRecord, page_size: str) -> bytes:
    """The PDF of a record, byte for byte the same for the same record."""
    kit = Kit(page_size)
    return build(
        story(kit, record),
        title=record.title,
        subject=f"{record.period_words}, as of {cell_text(record.as_of)}",
        author=record.party_name,
        pagesize=kit.pagesize,
        printed_on=record.as_of,
        words=kit.words,
    )


def affected(record: RenewalRecord, page_size: str) -> tuple[Affected, ...]:
    """What the PDF can't show as typed, without making it."""
    kit = Kit(page_size)
    story(kit, record)
    return kit.words.affected


def story(kit: Kit, record: RenewalRecord) -> list[Flowable]:
    """From the paper to the signature."""
    flow = [
        kit.title(record.title),
        kit.para(f"Period: {record.period_words}. Record of {record.party_name}."),
        kit.key_figures(record.key_figures),
        kit.heading("The paper"),
        kit.facts(record.facts),
        kit.heading("What is missing from this record"),
    ]
    if record.missing:
        flow += [kit.notice("ask", text, "missing") for text in record.missing]
    else:
        flow.append(kit.para("Nothing that this program looks for."))
    for part in record.parts:
        flow += _part(kit, part)
    flow += lines(kit, "Where the figures come from", record.sources)
    flow.append(_signature(kit))
    return [*flow, *not_set(kit)]


def _part(kit: Kit, part: Part) -> list[Flowable]:
    flow: list[Flowable] = [CondPageBreak(HEAD_ROOM), kit.heading(part.title)]
    if not part.rows:
        return [*flow, kit.para(part.empty)]
    flow.append(grid(kit, part.columns, part.text_rows, part.text_totals, WIDTHS.get(part.key)))
    return [*flow, *(kit.small(note) for note in part.notes)]


def _signature(kit: Kit) -> Flowable:
    line = "." * 44
    return KeepTogether(
        [
            kit.heading("Signature"),
            kit.para(SIGNED),
            kit.gap(6),
            kit.facts(
                [("Name", line), ("Place and date", line), ("Signature", line)],
            ),
        ]
    )
