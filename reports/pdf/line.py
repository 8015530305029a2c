"""The text of a table's cell on one line."""

import re
from xml.sax.saxutils import escape

from reportlab.lib.enums import TA_RIGHT
from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.platypus import Flowable, Paragraph

BLANKS = re.compile("[ \t]+")


class Line(Flowable):  # type: ignore[misc]
    """Text without markup and line breaks, set as a paragraph only where one line can't hold it.

    A long table has thousands of cells, and a paragraph looks for markup and for places to break
    in each of them several times.
    """

    def __init__(self, text: str, style: ParagraphStyle) -> None:
        super().__init__()
        self.text = BLANKS.sub(" ", text).strip(" ")
        self.style = style
        self._taken = stringWidth(self.text, style.fontName, style.fontSize)
        self._lines: Paragraph | None = None

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:
        self.width, self.height = available_width, self.style.leading
        if self._taken > available_width:
            self._lines = self._lines or Paragraph(escape(self.text), self.style)
            self.height = self._lines.wrap(available_width, available_height)[1]
        else:
            self._lines = None
        return self.width, self.height

    def split(self, available_width: float, available_height: float) -> list[Flowable]:
        self.wrap(available_width, available_height)
        if self._lines is not None:
            return list(self._lines.split(available_width, available_height))
        return [self] if self.height <= available_height else []

    def draw(self) -> None:
        if self._lines is not None:
            self._lines.drawOn(self.canv, 0, 0)
            return
        style = self.style
        # Where a paragraph puts its first line, so that both stand level in a row.
        left = self.width - self._taken if style.alignment == TA_RIGHT else 0
        self.canv.setFont(style.fontName, style.fontSize)
        self.canv.setFillColor(style.textColor)
        self.canv.drawString(left, self.height - style.fontSize, self.text)
