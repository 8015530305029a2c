"""User text on its way to paper: escaped, and honest about what the face can't draw."""

import unicodedata
from dataclasses import dataclass
from xml.sax.saxutils import escape

from reportlab.pdfbase import pdfmetrics

from reports.pdf.styles import BODY, register_fonts

NO_GLYPH = "letters that the printed face lacks"
RIGHT_TO_LEFT = "right-to-left text, which this PDF can't set"
# Joiners, variation selectors, direction marks: nothing is lost on paper without them.
SILENT = {0x200B, 0x200C, 0x200D, 0x200E, 0x200F, 0x2060, 0xFEFF, *range(0xFE00, 0xFE10)}
KEPT_BREAKS = "\n"
# reportlab breaks lines at the narrow spaces inside a number or before its unit, not at this one.
HOLDING = {0x2009: "\u00a0", 0x202F: "\u00a0"}


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

    @property
    def affected(self) -> tuple[Affected, ...]:
        """Each field and reason once, in order of appearance."""
        return tuple(self._affected)

    def plain(self, text: object, field: str = "text") -> str:
        """The text without markup: missing glyphs as [U+6F22], right-to-left runs marked."""
        parts: list[str] = []
        run = ""
        for character in unicodedata.normalize("NFC", str(text)):
            turned = unicodedata.bidirectional(character) in ("R", "AL")
            # Words of a run and their vowel signs stay one mark.
            if turned or (run and (character.isspace() or unicodedata.combining(character))):
                run += character
                continue
            if run:
                parts.append(self._turned(run, field))
                run = ""
            parts.append(self._one(character, field))
        if run:
            parts.append(self._turned(run, field))
        return "".join(parts)

    def text(self, text: object, field: str = "text") -> str:
        """The text ready for a Paragraph: as `plain`, escaped, with line breaks kept."""
        return escape(self.plain(text, field)).replace("\n", "<br/>")

    def _turned(self, run: str, field: str) -> str:
        self._affected[Affected(field, RIGHT_TO_LEFT)] = None
        after = run[len(run.rstrip()) :]
        return "[right-to-left text]" + "".join(self._one(space, field) for space in after)

    def _one(self, character: str, field: str) -> str:
        code = ord(character)
        if code in SILENT or character == "\r":
            return ""
        if character in KEPT_BREAKS or (code in self._glyphs and code >= 0x20):
            return character
        if unicodedata.category(character) in ("Cc", "Zl", "Zp", "Zs"):
            return " "
        self._affected[Affected(field, NO_GLYPH)] = None
        return f"[U+{code:04X}]"
