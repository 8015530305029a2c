"""Drawing text that needs shaping: a paragraph, a line at a place, shapes for charts."""

from collections.abc import Callable
from typing import Any

from reportlab.graphics.shapes import Group, String
from reportlab.lib.enums import TA_CENTER, TA_RIGHT
from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable

from reports.pdf import scripts
from reports.pdf.scripts import Line

SHARE = {"start": 0.0, "middle": 0.5, "end": 1.0}


class ScriptedParagraph(Flowable):
    """A paragraph in any script, in a style's face, size, leading, colour and room around it.

    Right-to-left text of several lines starts at the right edge; a name stays in its column.
    """

    def __init__(self, text: str, style: ParagraphStyle) -> None:
        super().__init__()
        self.text, self.style = text, style
        self._lines: tuple[Line, ...] = ()

    def getPlainText(self) -> str:
        """The words as typed, for the outline."""
        return self.text

    def minWidth(self) -> float:
        return float(self.style.fontSize)

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        if not self._lines or width != self.width:
            room = max(1000.0, width * 1000 / self.style.fontSize)
            self._lines = scripts.lines(self.text, self.style.fontName, room)
        self.width, self.height = width, len(self._lines) * self.style.leading
        return self.width, self.height

    def split(self, width: float, height: float) -> list[Flowable]:
        self.wrap(width, height)
        fit = int(height / self.style.leading)
        if fit >= len(self._lines):
            return [self]
        if fit < 1:
            return []
        cut = self._lines[fit].start
        return [
            ScriptedParagraph(part, self.style)
            for part in (self.text[:cut].rstrip(), self.text[cut:])
        ]

    def draw(self) -> None:
        style = self.style
        self.canv.setFillColor(style.textColor)
        align = {TA_RIGHT: "end", TA_CENTER: "middle"}.get(style.alignment, "start")
        if len(self._lines) > 1 and align == "start" and scripts.turns(self.text):
            align = "end"
        y = self.height - style.leading + (style.leading - style.fontSize) / 2 + style.fontSize / 5
        for each in self._lines:
            draw_line(self.canv, self.width * SHARE[align], y, each, style.fontSize, align)
            y -= style.leading


def draw_line(
    canvas: Canvas, x: float, y: float, line: Line, size: float, align: str = "start"
) -> None:
    """A line of `scripts` at a place in points; `align` says which of its points `x` is."""
    x -= line.width * SHARE[align] * size / 1000
    # Whoever copies or hears the text gets it as it is read, not glyph by glyph as it is drawn.
    said = line.text.encode("utf-16-be").hex().upper()
    canvas._code.append(f"/Span <</ActualText <FEFF{said}>>> BDC")
    for piece in line.pieces:
        canvas.setFont(piece.font, size)
        canvas.drawString(x + piece.x * size / 1000, y + piece.y * size / 1000, piece.characters)
    canvas._code.append("EMC")


def draw_text(
    canvas: Canvas, x: float, y: float, text: str, font: str, size: float, align: str = "start"
) -> None:
    """Text of any script in one line at a place."""
    if scripts.needed(text):
        draw_line(canvas, x, y, scripts.one_line(text, font), size, align)
        return
    canvas.setFont(font, size)
    (canvas.drawRightString if align == "end" else canvas.drawString)(x, y, text)


def string_shape(words: Callable[[str], str]) -> Callable[..., Any]:
    """Makes the shape of a chart's text after `words` has seen it."""

    def made(
        x: float, y: float, text: str, font: str, size: float, colour: Any, anchor: str
    ) -> Any:
        said = words(text)
        if not scripts.needed(said):
            return String(
                x, y, said, fontName=font, fontSize=size, fillColor=colour, textAnchor=anchor
            )
        line = scripts.one_line(said, font)
        left = x - line.width * SHARE[anchor] * size / 1000
        return Group(
            *(
                String(
                    left + piece.x * size / 1000,
                    y + piece.y * size / 1000,
                    piece.characters,
                    fontName=piece.font,
                    fontSize=size,
                    fillColor=colour,
                )
                for piece in line.pieces
            )
        )

    return made
