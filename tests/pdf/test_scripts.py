"""Every script on paper: the order of letters, their shapes, their faces, the breaks of lines."""

import datetime as dt
import io
import re

import pytest
from pypdf import PdfReader

from reports.pdf import scripts
from reports.pdf.faces import BODY, BOLD, PRIVATE, face
from reports.pdf.parts import Kit, build

NAMES = {
    "Greek": "Ρέμα Χρυσοῦ",
    "Cyrillic": "Золотой ручей",
    "Arabic": "نهر الذهب (شمال)",
    "Hebrew": "נחל הזהב",
    "Devanagari": "स्वर्ण नदी का किनारा",
    "Thai": "แม่น้ำทองคำ",
    "Han": "黄金溪谷、北岸",
    "kana": "ゴールド・クリーク",
    "Hangul": "금강 사금터",
    "Bengali": "স্বর্ণ নদী",
    "Tamil": "தங்க ஆறு",
    "Khmer": "ទន្លេមាស",
    "Myanmar": "ရွှေမြစ်",
    "Ethiopic": "የወርቅ ወንዝ",
}


def glyphs(line):
    """The numbers of the glyphs from left to right."""
    return [
        face(piece.font).face.charToGlyph[ord(character)]
        for piece in line.pieces
        for character in piece.characters
    ]


def glyph_of(character, name=BODY):
    return face(name).face.charToGlyph[ord(character)]


@pytest.mark.outside("The Unicode Standard, Arabic Presentation Forms-B, code chart (memory)")
def test_arabic_is_joined_and_runs_from_the_right():
    # noon initial, heh medial, reh final
    expected = [glyph_of(character) for character in "\ufeae\ufeec\ufee7"]
    assert glyphs(scripts.one_line("نهر", BODY)) == expected


@pytest.mark.outside("Unicode Standard Annex 9, examples of reordering (memory)")
def test_numbers_and_latin_words_keep_their_order_in_right_to_left_text():
    line = scripts.one_line("נחל 12 km", BODY)
    assert "".join(piece.characters for piece in line.pieces) == "km 12 לחנ"


def test_a_hebrew_name_in_an_english_line_is_turned_alone():
    line = scripts.one_line("at נחל, north", BODY)
    assert "".join(piece.characters for piece in line.pieces) == "at לחנ, north"


@pytest.mark.outside(
    "The Unicode Standard, South and Central Asia-I, Devanagari vowel sign i (memory)"
)
def test_the_sign_of_short_i_stands_before_its_consonant():
    used = "NotoSansDevanagari-Regular.ttf"
    first, second = glyphs(scripts.one_line("कि", BODY))
    assert second == glyph_of("क", used)
    assert first != glyph_of("क", used)


def test_a_mark_over_another_mark_is_raised():
    line = scripts.one_line("ที่", BODY)
    tone = glyphs(line)[-1]
    upright = tone != glyph_of("่", "NotoSansThai-Regular.ttf")
    assert upright or any(piece.y > 0 for piece in line.pieces)


@pytest.mark.parametrize("name", NAMES.values(), ids=NAMES)
@pytest.mark.parametrize("base", [BODY, BOLD])
def test_every_letter_has_a_glyph(name, base):
    assert 0 not in glyphs(scripts.one_line(name, base))


@pytest.mark.parametrize("text", ["Größe 3 May 2031", "−1 234.50 EUR ≥ ☐ ▲", "Ручей, Ρέμα"])
def test_plain_alphabets_take_the_short_way(text):
    assert not scripts.needed(text)


def test_lines_fit_and_together_hold_the_text():
    text = " ".join(NAMES.values()) * 4
    found = scripts.lines(text, BODY, 20_000)
    assert len(found) > 5
    assert max(line.width for line in found) <= 20_000
    assert "".join("".join(line.text.split()) for line in found) == "".join(text.split())


def test_a_word_longer_than_a_line_is_cut_but_never_before_a_mark():
    found = scripts.lines("ที่" * 40, BODY, 5_000)
    assert len(found) > 2
    assert all(line.text.startswith("ท") for line in found)
    assert max(line.width for line in found) <= 5_000


def test_no_line_of_han_begins_with_a_stop():
    found = scripts.lines("黄金溪谷北岸。" * 30, BODY, 7_300)
    assert [line.text[0] for line in found if line.text[0] == "。"] == []


def printed():
    kit = Kit()
    story = [kit.title(NAMES["Han"]), kit.facts([("Site", name) for name in NAMES.values()])]
    story += [kit.heading(NAMES["Devanagari"]), kit.para(f"{NAMES['Arabic']}, then more. " * 400)]
    story.append(kit.table(["Site", "g"], [[name, "1.5"] for name in NAMES.values()], numeric=[1]))
    assert kit.words.affected == ()
    return build(
        story,
        title=NAMES["Hebrew"],
        subject="Names",
        author=NAMES["Thai"],
        pagesize=kit.pagesize,
        printed_on=dt.date(2031, 5, 3),
        words=kit.words,
    )


def test_a_document_in_every_script_is_the_same_every_time_and_embeds_its_faces():
    first = printed()
    # What was printed in between doesn't matter.
    scripts.one_line("क्षत्रिय", BOLD)
    assert printed() == first
    reader = PdfReader(io.BytesIO(first))
    assert len(reader.pages) > 1
    fonts = [
        font.get_object()
        for page in reader.pages
        for font in page["/Resources"]["/Font"].get_object().values()
    ]
    assert all("/FontFile2" in font["/FontDescriptor"].get_object() for font in fonts)
    assert any("Devanagari" in font["/BaseFont"] for font in fonts)


def test_whoever_copies_the_text_gets_it_as_it_is_read():
    content = PdfReader(io.BytesIO(printed())).pages[0].get_contents().get_data().decode("latin-1")
    said = [
        bytes.fromhex(found).decode("utf-16-be")
        for found in re.findall(r"/ActualText <FEFF([0-9A-F]*)>", content)
    ]
    plain = [name for name in NAMES.values() if not scripts.needed(name)]
    assert {*NAMES.values()} - {*said} - {*plain} == set()
    assert content.count("BDC") == content.count("EMC")


def test_private_characters_are_written_as_utf_16():
    made = face(BODY)
    scripts.one_line("نهر", BODY)
    assert any(code >= PRIVATE for code in made.face.charToGlyph)
    reader = PdfReader(io.BytesIO(printed()))
    maps = [
        font.get_object()["/ToUnicode"].get_object().get_data().decode("latin-1")
        for font in reader.pages[0]["/Resources"]["/Font"].get_object().values()
    ]
    sizes = {len(unit) for text in maps for unit in re.findall(r"^<\w+> <(\w+)>$", text, re.M)}
    assert sizes <= {2, 4, 8}  # two digits: the range of the codes
    assert 8 in sizes
