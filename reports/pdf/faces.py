"""The faces of every PDF, and what makes a face draw glyphs that no single character stands for."""

from pathlib import Path
from typing import Any

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

FONTS = Path(__file__).parent / "fonts"
BODY, BOLD, OBLIQUE = "Body", "Body-Bold", "Body-Oblique"
FILES = {BODY: "DejaVuSans.ttf", BOLD: "DejaVuSans-Bold.ttf", OBLIQUE: "DejaVuSans-Oblique.ttf"}
PRIVATE = 0xF0000


class Face(TTFont):
    """A face of reportlab's whose glyphs can also be drawn by their number."""

    def __init__(self, name: str, file: str) -> None:
        super().__init__(name, str(FONTS / file), shapable=False)
        self.path = FONTS / file
        self._shaper: Any = None

    @property
    def shaper(self) -> Any:
        """HarfBuzz's view of the face; read when first asked for."""
        if self._shaper is None:
            import uharfbuzz

            blob = uharfbuzz.Blob(self.path.read_bytes())
            self._shaper = uharfbuzz.Font(uharfbuzz.Face(blob))
        return self._shaper

    @property
    def per_em(self) -> int:
        return int(self.shaper.face.upem)

    def has(self, code: int) -> bool:
        return code in self.face.charToGlyph

    def character(self, glyph: int, source: str) -> str:
        """What draws this glyph: its own character if it is one's, else a private one.

        The private one comes from the glyph's number, so the same text gives the same bytes
        whatever was printed before.
        """
        if len(source) == 1 and self.face.charToGlyph.get(ord(source)) == glyph:
            return source
        code = PRIVATE + glyph
        self.face.charToGlyph[code] = glyph
        self.face.charWidths[code] = self.shaper.get_glyph_h_advance(glyph) * 1000 / self.per_em
        return chr(code)

    def addObjects(self, doc: Any) -> None:
        """As reportlab does; then private characters are written as UTF-16, which it doesn't."""
        before = set(doc.idToObject)
        super().addObjects(doc)
        for key in set(doc.idToObject) - before:
            if key.startswith("toUnicodeCMap:"):
                stream = doc.idToObject[key]
                stream.content = _as_utf16(stream.content)


def _as_utf16(cmap: str) -> str:
    lines = []
    for line in cmap.split("\n"):
        code, _, said = line.partition("> <")
        if len(said) == 6 and said[:-1].isalnum():
            units = chr(int(said[:-1], 16)).encode("utf-16-be").hex().upper()
            line = f"{code}> <{units}>"
        lines.append(line)
    return "\n".join(lines)


def face(name: str) -> Face:
    """A registered face by its name, or by its file's name; made when first asked for."""
    if name not in pdfmetrics.getRegisteredFontNames():
        pdfmetrics.registerFont(Face(name, FILES.get(name, name)))
    return pdfmetrics.getFont(name)


def register_fonts() -> None:
    """Make the vendored faces known to reportlab, once a process."""
    if BODY in pdfmetrics.getRegisteredFontNames():
        return
    for name in FILES:
        face(name)
    # There is no bold oblique: bold carries more.
    pdfmetrics.registerFontFamily(BODY, normal=BODY, bold=BOLD, italic=OBLIQUE, boldItalic=BOLD)
