"""User text on its way to paper: escaped, and honest about what the face can't draw."""

import re
import unicodedata
from dataclasses import dataclass
from xml.sax.saxutils import escape

from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfbase import pdfmetrics
from reportlab.platypus import Flowable, Paragraph

from reports.pdf import scripts
from reports.pdf.scripted import ScriptedParagraph
from reports.pdf.styles import BODY, register_fonts
from trips.calc.words import marked, say

NO_GLYPH = marked("letters that the printed face lacks")
# Variation selectors, embeddings, invisible spaces: nothing is lost on paper without them.
SILENT = {0x200B, 0x2060, 0xFEFF, *range(0x202A, 0x202F), *range(0x2066, 0x206A)}
SILENT |= set(range(0xFE00, 0xFE10))
KEPT_BREAKS = "\n"
Cell = Flowable | str | tuple[()]  # what the table library takes; the last for an empty one
BLANKS = re.compile("[ \t]+")


@dataclass(frozen=True)
class Affected:
    """A field that didn't come out as typed, and why."""

    field: str
    why: str


class Words:
    """Turns text into what the face can draw and remembers the fields where it couldn't.

    Show `affected` on the page before printing, with the advice to use the print page, where
    the browser sets any script.
    """

    def __init__(self) -> None:
        register_fonts()
        self._glyphs = pdfmetrics.getFont(BODY).face.charToGlyph
        self._affected: dict[Affected, None] = {}
        self._as_typed: set[str] = set()  # letters met so far that the face draws

    @property
    def affected(self) -> tuple[Affected, ...]:
        """Each field and reason once, in order of appearance."""
        return tuple(self._affected)

    def plain(self, text: object, field: str = "text") -> str:
        """The text without markup, in the order in which it is read: [U+…] for missing glyphs."""
        said = unicodedata.normalize("NFC", str(text))
        if self._as_typed.issuperset(said):
            return said
        return "".join(self._one(character, field) for character in said)

    def text(self, text: object, field: str = "text") -> str:
        """The text ready for a Paragraph: as `plain`, escaped, with line breaks kept."""
        return escape(self.plain(text, field)).replace("\n", "<br/>")

    def paragraph(self, text: object, style: ParagraphStyle, field: str = "text") -> Flowable:
        """The text as a paragraph, shaped where its script asks for it."""
        return _paragraph(self.plain(text, field), style)

    def cell(self, text: object, style: ParagraphStyle, room: float, field: str = "text") -> Cell:
        """The text as a table's cell, set as it is where one line of `room` points holds it.

        A long table has thousands of cells, and a paragraph looks for markup and for places to
        break in each of them several times.
        """
        said = self.plain(text, field)
        if "\n" in said or scripts.needed(said):
            return _paragraph(said, style)
        line = BLANKS.sub(" ", said).strip(" ")
        if pdfmetrics.stringWidth(line, style.fontName, style.fontSize) > room:
            return _paragraph(line, style)
        return line or ()

    def _one(self, character: str, field: str) -> str:
        code = ord(character)
        if code in SILENT or character == "\r":
            return ""
        if character in KEPT_BREAKS or (code in self._glyphs and code >= 0x20):
            self._as_typed.add(character)
            return character
        if unicodedata.category(character) in ("Cc", "Zl", "Zp", "Zs"):
            return " "
        if code >= 0x0590 and scripts.drawable(code):
            return character
        self._affected[Affected(field, say(NO_GLYPH))] = None
        return f"[U+{code:04X}]"


def _paragraph(said: str, style: ParagraphStyle) -> Flowable:
    if scripts.needed(said):
        return ScriptedParagraph(said, style)
    return Paragraph(escape(said).replace("\n", "<br/>"), style)
