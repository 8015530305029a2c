import pytest

from reports.pdf.words import NO_GLYPH, Affected, Words


def test_markup_is_escaped_and_line_breaks_stay():
    assert Words().text("a & <b>\nc") == "a &amp; &lt;b&gt;<br/>c"


@pytest.mark.parametrize("text", ["Größe, œuvre, Łódź", "Ρέμα", "Ручей", "−3 … ≥ 5 ☐ ■ ▲"])
def test_scripts_that_the_face_has_stay_as_typed(text):
    words = Words()
    assert words.plain(text) == text
    assert words.affected == ()


def test_letters_that_the_face_lacks_become_their_number():
    words = Words()
    assert words.plain("𐐷 claim", "Site") == "[U+10437] claim"
    assert words.plain("\U0001f4a9", "Note") == "[U+1F4A9]"
    assert words.affected == (Affected("Site", NO_GLYPH), Affected("Note", NO_GLYPH))


@pytest.mark.parametrize("text", ["שלום עולם", "نهر الذهب", "स्वर्ण नदी", "金", "강", "ທອງ"])
def test_other_scripts_stay_as_typed_too(text):
    words = Words()
    assert words.plain(f"at {text}, north", "Site") == f"at {text}, north"
    assert words.affected == ()


def test_each_field_is_named_once():
    words = Words()
    words.plain("𐐷𐐷", "Site")
    words.plain("𐐷", "Site")
    assert len(words.affected) == 1


def test_accents_written_apart_are_joined():
    assert Words().plain("e\u0301") == "é"


def test_controls_and_joiners_leave_no_mark():
    words = Words()
    assert words.plain("a\x00b\u200bc\ufe0f\u202b\td\r\n") == "a bc d\n"
    assert words.affected == ()
