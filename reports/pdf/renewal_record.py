"""The renewal record on paper, to be read by an officer in five minutes and signed."""

from reportlab.platypus import Flowable, KeepTogether

from reports.figures.renewal import SIGNED, RenewalRecord
from reports.figures.renewal_parts import Part
from reports.figures.report import cell_text
from reports.pdf.parts import Affected, Kit, build
from reports.pdf.table_report import grid, lines, not_set, section

WIDTHS = {
    "days": (18, 24, 12, 17, 45, 15),
    "gear": (26, 24, 20, 13, 15, 16, 15),
    "gold": (18, 30, 13, 12, 14, 38),
    "holes": (24, 20, 20, 20, 13, 11, 11, 12, 15),
    "incidents": (18, 30, 70),
    "left-out": (18, 18, 34, 52),
}


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
        *section(kit, "What is missing from this record"),
    ]
    gone = record.missing or ("Nothing that this program looks for.",)
    flow += [kit.para(f"· {text}", "missing") for text in gone]
    for part in record.parts:
        flow += _part(kit, part)
    flow += lines(kit, "Where the figures come from", record.sources)
    flow.append(_signature(kit))
    return [*flow, *not_set(kit)]


def _part(kit: Kit, part: Part) -> list[Flowable]:
    flow = section(kit, part.title)
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
