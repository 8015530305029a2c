"""The renewal record on paper, to be read by an officer in five minutes and signed."""

from collections.abc import Mapping
from io import BytesIO

from reportlab.lib.utils import ImageReader
from reportlab.platypus import Flowable, Image, KeepTogether, Table

from reports.figures.renewal import SIGNED, RenewalRecord
from reports.figures.renewal_kept import HolePhoto
from reports.figures.renewal_parts import Part
from reports.figures.report import cell_text
from reports.pdf.parts import Affected, Kit, build
from reports.pdf.table_report import grid, lines, not_set, section
from trips.calc.words import say, several

PHOTO_HEIGHT = 125.0  # points: five rows a page
PHOTO_PX = 900  # the longer side in print; a phone's photo would make the file heavy
WIDTHS = {
    "conditions": (8, 42, 56, 30),
    "duties": (20, 44, 42, 36),
    "ground": (44, 14, 16, 18, 24),
    "days": (18, 24, 12, 17, 45, 15),
    "gear": (26, 24, 20, 13, 15, 16, 15),
    "gold": (18, 30, 13, 12, 14, 38),
    "holes": (64, 48, 64, 64, 64, 42, 37.5, 37.5, 32, 51.5),
    "incidents": (18, 30, 70),
    "left-out": (18, 18, 34, 52),
}


def record_pdf(
    record: RenewalRecord, page_size: str, pictures: Mapping[str, bytes] | None = None
) -> bytes:
    """The PDF of a record, byte for byte the same for the same record.

    Args: pictures: JPEG bytes of its photos by key, of at most `PHOTO_PX`; a photo without bytes
    is named as missing.
    """
    kit = Kit(page_size)
    return build(
        story(kit, record, pictures or {}),
        title=record.title,
        subject=say(
            "{period_words}, as of {as_of}",
            period_words=record.period_words,
            as_of=cell_text(record.as_of),
        ),
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


def story(
    kit: Kit, record: RenewalRecord, pictures: Mapping[str, bytes] | None = None
) -> list[Flowable]:
    """From the paper to the signature."""
    flow = [
        kit.title(record.title),
        kit.para(
            say(
                "Period: {period_words}. Record of {party_name}.",
                period_words=record.period_words,
                party_name=record.party_name,
            )
        ),
        kit.key_figures(record.key_figures),
        kit.heading(say("The paper")),
        kit.facts(record.facts),
        *section(kit, say("What is missing from this record")),
    ]
    gone = record.missing or (say("Nothing that this program looks for."),)
    flow += [kit.para(f"· {text}", "missing") for text in gone]
    for part in record.parts:
        flow += _part(kit, part)
        if part.key == "holes" and record.photos:
            flow += _photos(kit, record, pictures or {})
    # A name under an empty page says nothing, so the signature stays with the sources.
    flow.append(
        KeepTogether(
            [*lines(kit, say("Where the figures come from"), record.sources), *_signature(kit)]
        )
    )
    return [*flow, *not_set(kit)]


def _part(kit: Kit, part: Part) -> list[Flowable]:
    flow = section(kit, part.title)
    if not part.rows:
        return [*flow, kit.para(part.empty)]
    flow.append(grid(kit, part.columns, part.text_rows, part.text_totals, WIDTHS.get(part.key)))
    return [*flow, *(kit.small(note) for note in part.notes)]


def _photos(kit: Kit, record: RenewalRecord, pictures: Mapping[str, bytes]) -> list[Flowable]:
    """Two photos a row under each other, each kept with its words."""
    flow: list[Flowable] = []
    gutter = 12.0
    width = (kit.width - gutter) / 2
    cells = [_photo(kit, photo, pictures.get(photo.key), width) for photo in record.photos]
    for at in range(0, len(cells), 2):
        row = cells[at : at + 2]
        row += [""] * (2 - len(row))
        table = Table([row], colWidths=[width + gutter, width], spaceAfter=6)
        table.setStyle(
            [
                ("VALIGN", (0, 0), (-1, -1), "TOP"),
                ("LEFTPADDING", (0, 0), (-1, -1), 0),
                ("RIGHTPADDING", (0, 0), (0, 0), gutter),
                ("RIGHTPADDING", (1, 0), (1, 0), 0),
            ]
        )
        # The heading stays with the first row.
        flow.append(
            KeepTogether([kit.heading(say("Photos of the holes")), table]) if at == 0 else table
        )
    if record.photos_left:
        left = several(
            "{n} more photo is kept with the holes and not printed here.",
            "{n} more are kept with the holes and not printed here.",
            record.photos_left,
        )
        flow.append(kit.small(left))
    return flow


def _photo(kit: Kit, photo: HolePhoto, content: bytes | None, width: float) -> list[Flowable]:
    words = kit.small(f"{photo.caption} ({cell_text(photo.day)})", "photo")
    if content is None:
        return [kit.para(say("The photo is missing from the storage.")), words]
    across, down = ImageReader(BytesIO(content)).getSize()
    scale = min(width / across, PHOTO_HEIGHT / down)
    picture_row = Image(BytesIO(content), across * scale, down * scale)
    picture_row.hAlign = "LEFT"
    return [picture_row, words]


def _signature(kit: Kit) -> list[Flowable]:
    line = "." * 44
    return [
        kit.heading(say("Signature")),
        kit.para(say(SIGNED)),
        kit.gap(6),
        kit.facts(
            [(say("Name"), line), (say("Place and date"), line), (say("Signature"), line)],
        ),
    ]
