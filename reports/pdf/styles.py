"""Paper, faces and styles of every PDF: changed here, changed everywhere."""

from collections.abc import Collection
from dataclasses import dataclass

from reportlab.lib.colors import HexColor
from reportlab.lib.enums import TA_RIGHT
from reportlab.lib.pagesizes import A4, LETTER
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm

from reports.pdf.faces import BODY, BOLD, OBLIQUE, register_fonts

__all__ = ["BODY", "BOLD", "OBLIQUE", "register_fonts"]

PAGES = {"A4": A4, "LETTER": LETTER}
MARGIN = 16 * mm

INK = HexColor("#000000")
MUTED = HexColor("#444444")
LINE = HexColor("#bbbbbb")
EDGE = HexColor("#666666")
TINT = HexColor("#f0f0f0")
ACCENT = HexColor("#0a464b")
SECOND = HexColor("#6b3f05")
STOP = HexColor("#7d1c11")
ASK = HexColor("#41346f")


def page_size(name: str) -> tuple[float, float]:
    """Width and height in points of "A4" or "LETTER"."""
    try:
        return PAGES[name.upper()]
    except KeyError:
        known = " or ".join(PAGES)
        raise ValueError(f"Paper size is {name!r}; {known} was expected.") from None


def frame_width(pagesize: tuple[float, float]) -> float:
    """Width in points between the margins."""
    return pagesize[0] - 2 * MARGIN


@dataclass(frozen=True)
class Styles:
    """Paragraph styles by use."""

    title: ParagraphStyle
    heading: ParagraphStyle
    subheading: ParagraphStyle
    body: ParagraphStyle
    small: ParagraphStyle
    cell: ParagraphStyle
    cell_bold: ParagraphStyle
    number: ParagraphStyle
    number_bold: ParagraphStyle
    key: ParagraphStyle


def paragraph_styles() -> Styles:
    """The styles, made after the faces are registered."""
    register_fonts()
    body = ParagraphStyle(
        "body", fontName=BODY, fontSize=9.5, leading=13.5, textColor=INK, spaceAfter=5
    )
    cell = ParagraphStyle("cell", parent=body, fontSize=8.5, leading=11.5, spaceAfter=0)
    cell_bold = ParagraphStyle("cell bold", parent=cell, fontName=BOLD)
    return Styles(
        title=ParagraphStyle(
            "title", parent=body, fontName=BOLD, fontSize=18, leading=23, spaceAfter=4
        ),
        heading=ParagraphStyle(
            "heading",
            parent=body,
            fontName=BOLD,
            fontSize=12.5,
            leading=16,
            textColor=ACCENT,
            spaceBefore=12,
            spaceAfter=4,
            keepWithNext=1,
        ),
        subheading=ParagraphStyle(
            "subheading",
            parent=body,
            fontName=BOLD,
            fontSize=10,
            leading=13.5,
            spaceBefore=7,
            spaceAfter=3,
            keepWithNext=1,
        ),
        body=body,
        small=ParagraphStyle("small", parent=body, fontSize=8, leading=11, textColor=MUTED),
        cell=cell,
        cell_bold=cell_bold,
        number=ParagraphStyle("number", parent=cell, alignment=TA_RIGHT),
        number_bold=ParagraphStyle("number bold", parent=cell_bold, alignment=TA_RIGHT),
        key=ParagraphStyle(
            "key", parent=body, fontName=BOLD, fontSize=14, leading=18, spaceAfter=0
        ),
    )


# Every table starts with these; without the first, each cell names a Helvetica that isn't embedded.
CELLS = [("FONTNAME", (0, 0), (-1, -1), BODY), ("VALIGN", (0, 0), (-1, -1), "TOP")]


# Points left free around the text of a table's cell.
BESIDE, ABOVE, BELOW = 4, 2.5, 3


def table_commands(
    styles: Styles, numeric: Collection[int] = (), total_row: bool = False
) -> list[tuple]:
    """Lines, room and type of a table with a head, in the styles of its cells.

    Args: numeric: columns set to the right. total_row: sets the last row apart.
    """
    cell, bold = styles.cell, styles.cell_bold
    commands = [
        *CELLS,
        ("FONT", (0, 0), (-1, -1), cell.fontName, cell.fontSize, cell.leading),
        ("TEXTCOLOR", (0, 0), (-1, -1), cell.textColor),
        ("FONTNAME", (0, 0), (-1, 0), bold.fontName),
        *(("ALIGN", (i, 0), (i, -1), "RIGHT") for i in numeric),
        ("LEFTPADDING", (0, 0), (-1, -1), BESIDE),
        ("RIGHTPADDING", (0, 0), (-1, -1), BESIDE),
        ("TOPPADDING", (0, 0), (-1, -1), ABOVE),
        ("BOTTOMPADDING", (0, 0), (-1, -1), BELOW),
        ("BACKGROUND", (0, 0), (-1, 0), TINT),
        ("VALIGN", (0, 0), (-1, 0), "BOTTOM"),
        ("LINEBELOW", (0, 0), (-1, 0), 1, EDGE),
        ("LINEBELOW", (0, 1), (-1, -1), 0.4, LINE),
    ]
    if total_row:
        commands += [
            ("FONTNAME", (0, -1), (-1, -1), bold.fontName),
            ("LINEABOVE", (0, -1), (-1, -1), 1, EDGE),
        ]
    return commands
