"""A cell on one line stands where a paragraph of the same text would."""

from xml.sax.saxutils import escape

import pytest
from reportlab.platypus import Paragraph

from reports.pdf.line import Line
from reports.pdf.styles import paragraph_styles, register_fonts

register_fonts()
STYLES = paragraph_styles()


@pytest.mark.parametrize("style", [STYLES.cell, STYLES.number, STYLES.cell_bold])
@pytest.mark.parametrize(
    "text", ["0.070", "Fish & <chips>", "Vial for a birthday, to Ada", "  a  b "]
)
@pytest.mark.parametrize("width", [30, 80, 400])
def test_it_takes_the_room_of_a_paragraph(style, text, width):
    line, paragraph = Line(text, style), Paragraph(escape(text), style)
    assert line.wrap(width, 700) == paragraph.wrap(width, 700)
    assert len(line.split(width, 700)) == len(paragraph.split(width, 700))
    assert line.split(width, 1) == []


class Canvas:
    """Notes what is drawn where."""

    def __init__(self):
        self.drawn = []

    def setFont(self, *font):
        self.drawn.append(font)

    def setFillColor(self, colour):
        pass

    def drawString(self, x, y, text):
        self.drawn.append((x, y, text))


def test_numbers_stand_at_the_right_edge_and_words_at_the_left():
    for style, at in ((STYLES.number, 100 - 4), (STYLES.cell, 0)):
        line = Line("i", style)
        line.wrap(100, 700)
        line.canv = Canvas()
        line.draw()
        (x, y, text) = line.canv.drawn[-1]
        assert text == "i"
        assert x == pytest.approx(at, abs=2)
        assert y == pytest.approx(style.leading - style.fontSize)
