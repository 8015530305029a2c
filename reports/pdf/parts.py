"""The pieces that every PDF is made of. Nothing here does sums or asks the database."""

from collections.abc import Collection, Sequence

from reportlab.graphics.barcode.qr import QrCodeWidget
from reportlab.graphics.shapes import Drawing
from reportlab.lib.units import mm
from reportlab.platypus import Flowable, KeepTogether, LongTable, Spacer, Table

from reports.charts.drawing import paint_drawing
from reports.charts.scene import Figure
from reports.pdf.document import build
from reports.pdf.scripted import string_shape
from reports.pdf.styles import (
    ABOVE,
    ASK,
    BELOW,
    BESIDE,
    BODY,
    BOLD,
    CELLS,
    EDGE,
    LINE,
    SECOND,
    STOP,
    frame_width,
    page_size,
    paragraph_styles,
    table_commands,
)
from reports.pdf.words import Affected, Cell, Words
from trips.calc.words import Spoken, marked

__all__ = ["Affected", "Kit", "Words", "build", "page_size"]

SIGNS = Spoken(
    {
        "stop": marked("■ Stop"),
        "do": marked("▲ Do"),
        "ask": marked("? Ask"),
        "know": marked("· Know"),
    }
)
EDGES = {"stop": STOP, "do": SECOND, "ask": ASK, "know": EDGE}

CHART_UNIT = 0.72  # points a unit of a chart at most: its words are then as large as a table's
NOT_FOR_CHARTS = 220  # points of a page's height: margins, head and foot, title and finding


class RowsTable(LongTable):
    """A table that breaks inside a row only where that row is nearly a page high.

    The library breaks into any row that doesn't fit what is left of the page, under a second head.
    """

    TALL = 360  # points; the lowest page of all, a letter on its side, has more

    def split(self, available_width, available_height):
        inside = self.splitInRow
        self.splitInRow = inside if available_height > self.TALL else 0
        parts = super().split(available_width, available_height)
        for each in (self, *parts):  # the parts take it over, and must break a tall row later
            each.splitInRow = inside
        return parts


class Kit:
    """Makes flowables for one document on one paper size.

    Every text goes through `words`, so `kit.words.affected` names the fields that paper can't
    show as typed once the story is made.
    """

    def __init__(self, paper: str = "A4") -> None:
        self.pagesize = page_size(paper)
        self.width = frame_width(self.pagesize)
        self.styles = paragraph_styles()
        self.words = Words()

    def title(self, text: str, field: str = "title") -> Flowable:
        """The document's name on its first page."""
        return self.words.paragraph(text, self.styles.title, field)

    def heading(self, text: str, field: str = "heading") -> Flowable:
        """A section, bookmarked."""
        return self.words.paragraph(text, self.styles.heading, field)

    def subheading(self, text: str, field: str = "heading") -> Flowable:
        """A part of a section, bookmarked under it."""
        return self.words.paragraph(text, self.styles.subheading, field)

    def para(self, text: str, field: str = "text") -> Flowable:
        """A paragraph; line breaks stay."""
        return self.words.paragraph(text, self.styles.body, field)

    def small(self, text: str, field: str = "text") -> Flowable:
        """A paragraph in small grey type: sources and remarks."""
        return self.words.paragraph(text, self.styles.small, field)

    def gap(self, millimetres: float = 3) -> Flowable:
        """Empty room."""
        return Spacer(1, millimetres * mm)

    def key_figures(self, items: Sequence[tuple[str, str, str]]) -> Flowable:
        """Boxes of (label, value, note), at most four in a row; empty notes take no room."""
        most = 3 if len(items) in (5, 6) else 4
        rows = [list(items[i : i + most]) for i in range(0, len(items), most)]
        cells = [
            [self._key(*item) for item in row] + [""] * (min(most, len(items)) - len(row))
            for row in rows
        ]
        table = Table(cells, colWidths=[self.width / len(cells[0])] * len(cells[0]), spaceAfter=8)
        commands = list(CELLS)
        for r, row in enumerate(rows):
            commands.append(("BOX", (0, r), (len(row) - 1, r), 0.6, LINE))
            commands.append(("INNERGRID", (0, r), (len(row) - 1, r), 0.6, LINE))
            commands.append(("LINEABOVE", (0, r), (len(row) - 1, r), 2, SECOND))
        table.setStyle(commands)
        return table

    def _key(self, label: str, value: str, note: str) -> list[Flowable]:
        found = [
            self.small(label, label),
            self.words.paragraph(value, self.styles.key, label),
        ]
        return [*found, self.small(note, label)] if note else found

    def facts(self, pairs: Sequence[tuple[str, str]]) -> Flowable:
        """(Label, value) pairs under each other."""
        rows = [
            [
                self.words.paragraph(label, self.styles.cell),
                self.words.paragraph(value, self.styles.cell_bold, label),
            ]
            for label, value in pairs
        ]
        table = Table(
            rows, colWidths=[self.width * 0.3, self.width * 0.7], spaceAfter=6, splitInRow=1
        )
        table.setStyle([*CELLS, ("LINEBELOW", (0, 0), (-1, -1), 0.4, LINE)])
        return table

    def table(
        self,
        headers: Sequence[str],
        rows: Sequence[Sequence[str]],
        *,
        numeric: Collection[int] = (),
        widths: Sequence[float] | None = None,
        total_row: bool = False,
    ) -> Flowable:
        """A table over as many pages as it needs, its head repeated on each.

        Args: numeric: columns set to the right, counted from 0. widths: relative widths;
        without them the longest words decide. total_row: the last row is a sum.
        """
        share = widths or _widths(headers, rows)
        columns = [self.width * part / sum(share) for part in share]
        cells = [self._row(headers, headers, columns, numeric, bold=True)]
        for i, row in enumerate(rows):
            last = total_row and i == len(rows) - 1
            cells.append(self._row(row, headers, columns, numeric, bold=last))
        line = self.styles.cell.leading + ABOVE + BELOW
        table = RowsTable(
            cells,
            colWidths=columns,
            rowHeights=[line if _is_one_line(row) else None for row in cells],
            repeatRows=1,
            spaceAfter=8,
            splitInRow=1,
        )
        table.setStyle(table_commands(self.styles, numeric, total_row))
        return table

    def _row(
        self,
        row: Sequence[str],
        headers: Sequence[str],
        columns: Sequence[float],
        numeric: Collection[int],
        bold: bool,
    ) -> list[Cell]:
        plain, number = (
            (self.styles.cell_bold, self.styles.number_bold)
            if bold
            else (self.styles.cell, self.styles.number)
        )
        return [
            self.words.cell(cell, number if i in numeric else plain, width - 2 * BESIDE, header)
            for i, (cell, width, header) in enumerate(zip(row, columns, headers, strict=True))
        ]

    def notice(self, kind: str, text: str, field: str = "rule") -> Flowable:
        """A rule's outcome: stop, do, ask or know, by sign and word as well as colour."""
        sign = self.words.paragraph(SIGNS[kind], self.styles.cell_bold)
        said = self.words.paragraph(text, self.styles.cell, field)
        table = Table([[sign, said]], colWidths=[60, self.width - 60], spaceAfter=3, splitInRow=1)
        table.setStyle(
            [
                *CELLS,
                ("LINEBEFORE", (0, 0), (0, -1), 3, EDGES[kind]),
                ("TOPPADDING", (0, 0), (-1, -1), 2),
                ("BOTTOMPADDING", (0, 0), (-1, -1), 3),
            ]
        )
        return table

    def figure(self, figure: Figure) -> Flowable:
        """A chart under its title and finding, kept on one page: as wide as the frame, or less
        where its words would be larger than the text or it would be taller than the page."""
        scene = figure.wide
        room = self.pagesize[1] - NOT_FOR_CHARTS
        drawing = paint_drawing(
            scene,
            width=min(self.width, CHART_UNIT * scene.width, room * scene.width / scene.height),
            font=BODY,
            bold_font=BOLD,
            string=string_shape(lambda text: self.words.plain(text, figure.title)),
        )
        return KeepTogether(
            [
                self.subheading(figure.title),
                self.small(figure.desc, figure.title),
                drawing,
                self.gap(2),
            ]
        )

    def qr(self, text: str, millimetres: float = 24) -> Flowable:
        """A square code for a phone's camera."""
        size = millimetres * mm
        widget = QrCodeWidget(text, barWidth=size, barHeight=size)
        drawing = Drawing(size, size, initialFontName=BODY)
        drawing.add(widget)
        return drawing


def _is_one_line(row: Sequence[Cell]) -> bool:
    """Is all of a row text on one line, so that nobody needs to measure it?"""
    return any(row) and not any(isinstance(cell, Flowable) for cell in row)


def _widths(headers: Sequence[str], rows: Sequence[Sequence[str]]) -> list[float]:
    """Relative widths: the longest cell of a column, within reason."""
    longest = [max((len(str(row[i])) for row in rows), default=0) for i in range(len(headers))]
    return [
        max(6, min(36, max(cell, min(len(head), 14))))
        for head, cell in zip(headers, longest, strict=True)
    ]
