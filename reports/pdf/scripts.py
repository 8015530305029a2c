"""Text of every script on its way to paper: which face, in which order, in which shape.

reportlab draws one glyph a character from left to right. Here the order comes from Unicode's
bidirectional algorithm (python-bidi), shape and place of the glyphs from HarfBuzz, and a glyph
that no single character stands for gets a private one, by its number, so that the same text
gives the same bytes. Plain alphabets don't come here: `needed` says which text does.
"""

import unicodedata
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache

from reportlab.pdfbase import pdfmetrics

from reports.pdf.faces import BODY, face, register_fonts

# The face of a block: first and last character, file.
BLOCKS = (
    (0x0900, 0x097F, "NotoSansDevanagari-Regular.ttf"),
    (0x1CD0, 0x1CFF, "NotoSansDevanagari-Regular.ttf"),
    (0xA8E0, 0xA8FF, "NotoSansDevanagari-Regular.ttf"),
    (0x0980, 0x09FF, "NotoSansBengali-Regular.ttf"),
    (0x0A00, 0x0A7F, "NotoSansGurmukhi-Regular.ttf"),
    (0x0A80, 0x0AFF, "NotoSansGujarati-Regular.ttf"),
    (0x0B80, 0x0BFF, "NotoSansTamil-Regular.ttf"),
    (0x0C00, 0x0C7F, "NotoSansTelugu-Regular.ttf"),
    (0x0C80, 0x0CFF, "NotoSansKannada-Regular.ttf"),
    (0x0D00, 0x0D7F, "NotoSansMalayalam-Regular.ttf"),
    (0x0D80, 0x0DFF, "NotoSansSinhala-Regular.ttf"),
    (0x0E00, 0x0E7F, "NotoSansThai-Regular.ttf"),
    (0x0E80, 0x0EFF, "NotoSansLao-Regular.ttf"),
    (0x1000, 0x109F, "NotoSansMyanmar-Regular.ttf"),
    (0xAA60, 0xAA7F, "NotoSansMyanmar-Regular.ttf"),
    (0x1200, 0x139F, "NotoSansEthiopic-Regular.ttf"),
    (0x2D80, 0x2DDF, "NotoSansEthiopic-Regular.ttf"),
    (0x1780, 0x17FF, "NotoSansKhmer-Regular.ttf"),
)
# Han, kana, hangul and their marks.
WIDE = "DroidSansFallback.ttf"
# Shaped even though the body's face has the letters.
SHAPED = ((0x0590, 0x109F), (0x1100, 0x13FF), (0x1700, 0x18AF), (0xFB1D, 0xFDFF), (0xFE70, 0xFEFE))
UNSEEN = {0x200C, 0x200D, 0x200E, 0x200F, 0x061C}
# No line begins with these, none ends with those.
NOT_FIRST = set("、。，．：；？！）］｝」』】〉》ー々ぁぃぅぇぉっゃゅょァィゥェォッャュョ")
NOT_LAST = set("（［｛「『【〈《")


# Character, advance, offsets to the right and up (thousandths of the size).
Glyph = tuple[str, float, float, float]


@dataclass(frozen=True)
class Piece:
    """Characters of one face in a row; `x` and `y` from the start, in thousandths of the size."""

    font: str
    characters: str
    x: float
    y: float


@dataclass(frozen=True)
class Line:
    """One line from left to right as it is drawn; `width` in thousandths of the size.

    `text` is what stands in it in the order in which it is read, from `start` of the whole.
    """

    start: int
    text: str
    pieces: tuple[Piece, ...]
    width: float


@dataclass(frozen=True)
class _Run:
    text: str
    font: str
    level: int


def needed(text: str) -> bool:
    """Must this text be shaped or set in another face than the body's?"""
    return any(map(_special, text))


@cache
def _special(character: str) -> bool:
    code = ord(character)
    if code < 0x0590:
        return False
    register_fonts()
    body = pdfmetrics.getFont(BODY).face.charToGlyph
    return any(low <= code <= high for low, high in SHAPED) or (code not in body and code > 0x20)


def drawable(code: int) -> bool:
    """Does any face have this character?"""
    return code in UNSEEN or bool(_face_of(code, BODY))


@cache
def _file_of(code: int) -> str:
    return next((file for low, high, file in BLOCKS if low <= code <= high), WIDE)


def _face_of(code: int, base: str) -> str:
    """The name of the face that has a character, "" for none."""
    # A script's own face first: the body's has some of their letters, and sets the marks badly.
    own = _file_of(code)
    for name in dict.fromkeys((own, base, BODY) if own != WIDE else (base, BODY, WIDE)):
        if face(name).has(code):
            return name
    return ""


def lines(text: str, base: str, room: float) -> tuple[Line, ...]:
    """The text broken into lines of at most `room` thousandths of its size.

    Args: base: the registered face of the alphabets. room: a longer word is broken anywhere.
    """
    found: list[Line] = []
    before = 0
    for paragraph in text.split("\n"):
        levels, _ = _levels(paragraph)
        faces = _faces(paragraph, base)
        for start, end in _broken(paragraph, faces, levels, room):
            found.append(_line(paragraph, levels, faces, start, end, before))
        before += len(paragraph) + 1
    return tuple(found)


def one_line(text: str, base: str) -> Line:
    """The text in one line, however long."""
    return lines(text.replace("\n", " "), base, float("inf"))[0]


def turns(text: str) -> bool:
    """Does the text start from the right?"""
    return bool(_levels(text)[1])


def _levels(text: str) -> tuple[list[int], int]:
    """The embedding level of each character, and that of the paragraph."""
    from bidi import algorithm as bidi

    base = bidi.get_base_level(text)
    storage = bidi.get_empty_storage()
    storage["base_level"], storage["base_dir"] = base, ("L", "R")[base]
    bidi.get_embedding_levels(text, storage)
    for at, each in enumerate(storage["chars"]):
        each["at"] = at
    bidi.explicit_embed_and_overrides(storage)
    bidi.resolve_weak_types(storage)
    bidi.resolve_neutral_types(storage, False)
    bidi.resolve_implicit_levels(storage, False)
    levels: list[int | None] = [None] * len(text)
    for each in storage["chars"]:
        levels[each["at"]] = each["level"]
    # What the algorithm takes out (joiners) goes with its neighbour.
    last = base
    for at, level in enumerate(levels):
        levels[at] = last = last if level is None else level
    return [level or 0 for level in levels], base


def _faces(text: str, base: str) -> list[str]:
    """The face of each character; marks, joiners and spaces keep their neighbour's."""
    found: list[str] = []
    for character in text:
        code = ord(character)
        last = found[-1] if found else ""
        joins = code in UNSEEN or unicodedata.combining(character) or character.isspace()
        if last and joins and (code in UNSEEN or face(last).has(code)):
            found.append(last)
        else:
            found.append(_face_of(code, base) or base)
    return found


def _runs(
    text: str, levels: Sequence[int], faces: Sequence[str], start: int, end: int
) -> Iterator[_Run]:
    begin = start
    for at in range(start + 1, end + 1):
        if at == end or (levels[at], faces[at]) != (levels[begin], faces[begin]):
            yield _Run(text[begin:at], faces[begin], levels[begin])
            begin = at


@lru_cache(maxsize=4096)
def _shaped_of(text: str, name: str, turned: bool) -> tuple[Glyph, ...]:
    import uharfbuzz

    used = face(name)
    buffer = uharfbuzz.Buffer()
    buffer.add_str(text)
    buffer.guess_segment_properties()
    buffer.direction = "rtl" if turned else "ltr"
    uharfbuzz.shape(used.shaper, buffer, {"kern": False})
    starts = sorted({info.cluster for info in buffer.glyph_infos})
    ends = dict(zip(starts, [*starts[1:], len(text)], strict=True))
    scale = 1000 / used.per_em
    found = []
    for info, place in zip(buffer.glyph_infos, buffer.glyph_positions, strict=True):
        source = text[info.cluster : ends[info.cluster]]
        if any(ord(character) not in UNSEEN for character in source):
            character = used.character(info.codepoint, source)
            advance, dx, dy = place.x_advance, place.x_offset, place.y_offset
            found.append((character, advance * scale, dx * scale, dy * scale))
    return tuple(found)


def _shaped(run: _Run) -> tuple[Glyph, ...]:
    """Glyphs from left to right."""
    return _shaped_of(run.text, run.font, run.level % 2 == 1)


def _width(run: _Run) -> float:
    return sum(glyph[1] for glyph in _shaped(run))


def _broken(
    text: str, faces: Sequence[str], levels: Sequence[int], room: float
) -> Iterator[tuple[int, int]]:
    """First and last+1 character of each line; a line's own trailing spaces are left out."""
    start, end, used = 0, 0, 0.0
    for word_start, word_end in _words(text):
        wide = sum(_width(run) for run in _runs(text, levels, faces, word_start, word_end))
        bare = len(text[word_start:word_end].rstrip())
        seen = sum(_width(run) for run in _runs(text, levels, faces, word_start, word_start + bare))
        if used + seen > room and end > start:
            yield start, start + len(text[start:end].rstrip())
            start, used = word_start, 0.0
        while seen > room:
            cut = _fitting(text, faces, levels, start, word_end, room)
            yield start, cut
            start = cut
            seen = wide = sum(_width(run) for run in _runs(text, levels, faces, start, word_end))
        end, used = word_end, used + wide
    if end > start or not text:
        yield start, start + len(text[start:end].rstrip())


def _fitting(
    text: str, faces: Sequence[str], levels: Sequence[int], start: int, end: int, room: float
) -> int:
    """Where to cut a word that is longer than a line: never before a mark, at least one letter."""
    cut = start + 1
    for at in range(start + 1, end):
        if unicodedata.category(text[at]).startswith("M"):
            continue
        if sum(_width(run) for run in _runs(text, levels, faces, start, at)) > room:
            break
        cut = at
    while cut < end and unicodedata.category(text[cut]).startswith("M"):
        cut += 1
    return cut


def _words(text: str) -> Iterator[tuple[int, int]]:
    """Pieces that stay together, each with the spaces after it; wide letters stand alone."""
    start = 0
    for at in range(1, len(text) + 1):
        if at == len(text) or _may_break(text[at - 1], text[at]):
            yield start, at
            start = at


def _may_break(before: str, after: str) -> bool:
    if before == " ":
        return after != " "
    wide = unicodedata.east_asian_width(before) == "W" or unicodedata.east_asian_width(after) == "W"
    return wide and after not in NOT_FIRST and before not in NOT_LAST and after != " "


def _line(
    text: str, levels: Sequence[int], faces: Sequence[str], start: int, end: int, before: int
) -> Line:
    """One line in the order in which it is drawn; `before`: what stands before the paragraph."""
    x, pieces = 0.0, []
    for run in _in_order(list(_runs(text, levels, faces, start, end))):
        row, row_x, row_end = "", x, x
        for character, advance, dx, dy in _shaped(run):
            usual = face(run.font).face.getCharWidth(ord(character))
            plain = not dx and not dy and abs(advance - usual) < 0.5
            if row and (not plain or abs(row_end - x) > 0.01):
                pieces.append(Piece(run.font, row, row_x, 0.0))
                row = ""
            if plain:
                row_x = row_x if row else x
                row += character
                row_end = x + usual
            else:
                pieces.append(Piece(run.font, character, x + dx, dy))
            x += advance
        if row:
            pieces.append(Piece(run.font, row, row_x, 0.0))
    return Line(before + start, text[start:end], tuple(pieces), x)


def _in_order(runs: list[_Run]) -> list[_Run]:
    """Rule L2: from the highest level down, every stretch of at least that level is turned."""
    for level in range(max((run.level for run in runs), default=0), 0, -1):
        at = 0
        while at < len(runs):
            if runs[at].level < level:
                at += 1
                continue
            end = at
            while end < len(runs) and runs[end].level >= level:
                end += 1
            runs[at:end] = runs[at:end][::-1]
            at = end
    return runs
