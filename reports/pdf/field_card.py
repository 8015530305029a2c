"""The field card on paper: one sheet, both sides, folded twice to a quarter of its size.

Large black type, boxes for a pencil and cold fingers; no grey, nothing finer than a line of one
point, so that it can be read wet and without glasses.
"""

from collections.abc import Sequence
from io import BytesIO
from xml.sax.saxutils import escape

from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import (
    BaseDocTemplate,
    Flowable,
    Frame,
    FrameBreak,
    KeepInFrame,
    PageTemplate,
    Paragraph,
    Spacer,
    Table,
)

from reports.pages.field_card import CARD_LIMIT, CardTable, FieldCard
from reports.pdf import scripts
from reports.pdf.parts import Affected
from reports.pdf.scripted import draw_text
from reports.pdf.styles import BODY, BOLD, CELLS, INK, TINT, page_size, register_fonts
from reports.pdf.words import Words
from trips.calc.words import say

INSET = 6 * mm
PAN_ROWS, RUN_ROWS = 12, 7
LINE = "…" * 21  # to write on


class _Pencil:
    """Makes the pieces of the panels; every text goes through `words`."""

    def __init__(self, paper: str) -> None:
        register_fonts()
        self.pagesize = page_size(paper)
        self.width = self.pagesize[0] / 2 - 2 * INSET
        self.height = self.pagesize[1] / 2 - 2 * INSET
        self.words = Words()
        base = {"fontName": BODY, "textColor": INK}
        self.big = ParagraphStyle("big", fontSize=17, leading=20, **base | {"fontName": BOLD})
        self.head = ParagraphStyle(
            "head", fontSize=13.5, leading=16, spaceAfter=2, **base | {"fontName": BOLD}
        )
        self.body = ParagraphStyle("body", fontSize=11, leading=13.5, spaceAfter=3, **base)
        self.label = ParagraphStyle("label", fontSize=10, leading=12, **base)
        self.number = ParagraphStyle(
            "number", fontSize=14, leading=16.5, alignment=1, **base | {"fontName": BOLD}
        )
        self.column = ParagraphStyle(
            "column", fontSize=9.5, leading=11, alignment=1, **base | {"fontName": BOLD}
        )

    def say(self, text: str, style: ParagraphStyle, field: str = "text") -> Flowable:
        return self.words.paragraph(text, style, field)

    def facts(self, pairs: Sequence[tuple[str, str]], size: float = 11) -> Flowable:
        """Labels over bold values; an empty value leaves a line to write on."""
        style = ParagraphStyle(
            "value", parent=self.body, fontName=BOLD, fontSize=size, leading=size * 1.22
        )
        rows = []
        for label, value in pairs:
            said = self.say(value, style, label) if value else Spacer(1, 8 * mm)
            rows.append([[self.say(label, self.label), said]])
        table = Table(rows, colWidths=[self.width])
        table.setStyle([*CELLS, *_tight(1), ("LINEBELOW", (0, 0), (-1, -1), 1, INK)])
        return table

    def boxes(
        self, heads: Sequence[str], rows: int, widths: Sequence[float], height: float
    ) -> Flowable:
        """Empty boxes under heads."""
        head = [self.say(each, self.column) for each in heads]
        columns = [self.width * part / sum(widths) for part in widths]
        table = Table(
            [head, *[[""] * len(heads) for _ in range(rows)]],
            colWidths=columns,
            rowHeights=[None, *([height] * rows)],
        )
        table.setStyle([*CELLS, *_tight(1), ("GRID", (0, 0), (-1, -1), 1, INK)])
        return table

    def table(self, found: CardTable) -> list[Flowable]:
        """One spot: what it says before any pan, then its rows in large digits."""
        title = self._title(found)
        heads = (say("Pans"), say("Gravel"), found.low_head, say("Dig"))
        rows = [[str(row.pans), row.litres, *row.signs] for row in found.rows]
        cells = [[self.say(each, self.column, "second choice") for each in heads]]
        cells += [[self.say(cell, self.number) for cell in row] for row in rows]
        columns = [self.width * part for part in (0.15, 0.25, 0.34, 0.26)]
        drawn = Table(cells, colWidths=columns, rowHeights=[None, *([19] * len(rows))])
        drawn.setStyle(
            [
                *CELLS,
                *_tight(0.5),
                ("GRID", (0, 0), (-1, -1), 1, INK),
                ("BACKGROUND", (0, 0), (-1, 0), TINT),
                ("VALIGN", (0, 0), (-1, -1), "MIDDLE"),
            ]
        )
        return [title, *([drawn] if rows else []), Spacer(1, 5)]

    def _title(self, found: CardTable) -> Flowable:
        """The spot's name and what it says before any pan, smaller where one face does for both."""
        name = self.words.plain(found.name or "…………………………", "spot")
        first = self.words.plain(found.first or "")
        if scripts.needed(name + first):
            return self.words.paragraph(" ".join(filter(None, (name, first))), self.head, "spot")
        title = f"<b>{escape(name)}</b>"
        if first:
            title += f" <font size=9.5>{escape(first)}</font>"
        return Paragraph(title, self.head)

    def ticks(self, lines: Sequence[str], field: str) -> list[Flowable]:
        """Lines to tick off; an empty one leaves a line to write on, with room for a pencil."""
        found: list[Flowable] = []
        for line in lines:
            if not line:
                found.append(Spacer(1, 4 * mm))
            found.append(self.say(f"☐ {line or LINE}", self.body, field))
        return found

    def panel(self, flow: Sequence[Flowable]) -> Flowable:
        """One quarter of a side; type shrinks a little before anything runs over."""
        return KeepInFrame(self.width, self.height, list(flow), mode="shrink")


def _tight(room: float) -> list[tuple]:
    return [
        ("LEFTPADDING", (0, 0), (-1, -1), 2),
        ("RIGHTPADDING", (0, 0), (-1, -1), 2),
        ("TOPPADDING", (0, 0), (-1, -1), room),
        ("BOTTOMPADDING", (0, 0), (-1, -1), room + 0.5),
    ]


def card_pdf(card: FieldCard, paper: str) -> bytes:
    """The PDF of a card: two sides of one sheet, byte for byte the same for the same card."""
    pencil = _Pencil(paper)
    flow = story(pencil, card)
    out = BytesIO()
    width, height = pencil.pagesize
    document = BaseDocTemplate(
        out,
        pagesize=pencil.pagesize,
        title=say("Field card: {title}", title=card.title) if card.title else say("Field card"),
        subject=f"{card.dates} {card.version}".strip(),
        author=card.party_name,
        creator="Gravel Ledger",
        lang="en",
        invariant=1,
        displayDocTitle=1,
    )
    frames = [
        Frame(
            column * width / 2,
            (1 - row) * height / 2,
            width / 2,
            height / 2,
            leftPadding=INSET,
            rightPadding=INSET,
            topPadding=INSET,
            bottomPadding=INSET,
        )
        for row in (0, 1)
        for column in (0, 1)
    ]
    foot = pencil.words.plain(_foot(card), "version")
    document.addPageTemplates(
        [PageTemplate(id="side", frames=frames, onPage=lambda canvas, _: _furniture(canvas, foot))]
    )
    document.build(flow, canvasmaker=_canvas)
    return out.getvalue()


def affected(card: FieldCard, paper: str) -> tuple[Affected, ...]:
    """What the card can't show as typed, without making it."""
    pencil = _Pencil(paper)
    story(pencil, card)
    return pencil.words.affected


def _foot(card: FieldCard) -> str:
    version = say("version {version} · ", version=card.version) if card.version else ""
    return say(
        "{version}printed {printed_on:%Y-%m-%d}", version=version, printed_on=card.printed_on
    )


def _canvas(*args, **kwargs) -> Canvas:
    # Without this every file names a Helvetica that isn't embedded.
    return Canvas(*args, **kwargs | {"initialFontName": BODY})


def _furniture(canvas: Canvas, foot: str) -> None:
    """Fold lines, and which version of the tables this is."""
    width, height = canvas._pagesize
    canvas.setDash(4, 4)
    canvas.setLineWidth(0.7)
    canvas.line(width / 2, 0, width / 2, height)
    canvas.line(0, height / 2, width, height / 2)
    canvas.setDash()
    draw_text(canvas, width - INSET, 5, foot, BODY, 7, "end")


def story(pencil: _Pencil, card: FieldCard) -> list[Flowable]:
    """Eight panels: plan and alarm, tables, tallies, duties and cautions."""
    tables = [pencil.table(each) for each in card.tables]
    first, second, third = (
        [piece for table in tables[2 * n : 2 * n + 2] for piece in table] for n in range(3)
    )
    if card.left_out:
        names = ", ".join(card.left_out)
        third.append(pencil.say(f"Not on this card: {names}.", pencil.label, "spot"))
    panels = [
        _cover(pencil, card),
        [*_how(pencil, card), *first],
        second or [pencil.say(say("Notes"), pencil.head)],
        third or [pencil.say(say("Notes"), pencil.head)],
        _pans(pencil, card),
        _runs(pencil, card),
        [pencil.say(say("Before leaving"), pencil.head), *pencil.ticks(card.duties, "duties")],
        _cautions(pencil, card),
    ]
    flow: list[Flowable] = []
    for panel in panels:
        flow += [pencil.panel(panel), FrameBreak()]
    return flow[:-1]


def _cover(pencil: _Pencil, card: FieldCard) -> list[Flowable]:
    return [
        pencil.say(card.title or say("Field card"), pencil.big, "name of the trip"),
        pencil.say(card.dates or say("Day: …………………………"), pencil.body),
        pencil.facts(card.facts, 13),
        Spacer(1, 4),
        pencil.facts(card.alarm, 13),
    ]


def _how(pencil: _Pencil, card: FieldCard) -> list[Flowable]:
    count = card.weights or say("A coarse colour counts …… a medium …… a fine ……")
    zero = say("Not counted is not zero.")
    return [pencil.say(f"{count} {zero}", pencil.label)]


def _pans(pencil: _Pencil, card: FieldCard) -> list[Flowable]:
    heads = (say("Spot"), say("Litres"), say("Coarse"), say("Medium"), say("Fine"))
    words = " ".join(f"{name.capitalize()}: {said}." for name, said in card.class_words)
    return [
        pencil.say(say("Pans"), pencil.head),
        pencil.boxes(heads, PAN_ROWS, (30, 16, 18, 18, 18), 9 * mm),
        Spacer(1, 3),
        pencil.say(words, pencil.label, "size classes"),
    ]


def _runs(pencil: _Pencil, card: FieldCard) -> list[Flowable]:
    heads = (say("Spot"), say("Time"), say("Litres"), say("Coarse"), say("Medium"), say("Fine"))
    flow = [
        pencil.say(say("Clean-ups"), pencil.head),
        pencil.boxes(heads, RUN_ROWS, (22, 13.5, 15, 17, 18.5, 14), 9.4 * mm),
        Spacer(1, 4),
        pencil.facts(
            [
                (say("{label}, gold in the feed", label=label), value)
                for label, value in card.break_even
            ]
        ),
    ]
    if card.leave:
        flow += [Spacer(1, 3), pencil.say(card.leave, pencil.label)]
    return flow


def _cautions(pencil: _Pencil, card: FieldCard) -> list[Flowable]:
    flow = [pencil.say(say("Take care"), pencil.head)]
    flow += [pencil.say(f"· {line}", pencil.body, "cautions") for line in card.cautions]
    flow.append(pencil.say(say(CARD_LIMIT), pencil.label))
    if pencil.words.affected:
        fields = ", ".join(dict.fromkeys(each.field for each in pencil.words.affected))
        flow.append(pencil.say(f"Not set as typed: {fields}.", pencil.label))
    return flow
