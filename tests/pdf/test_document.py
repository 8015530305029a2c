import datetime as dt
import io

import pypdf
import pytest
from reportlab.graphics.shapes import Drawing, String
from reportlab.platypus import PageBreak

from reports.charts.plots import BarRow, bars
from reports.pdf.parts import Kit, build
from reports.pdf.styles import page_size
from reports.pdf.table_report import wide_kit

DAY = dt.date(2031, 5, 11)
TITLE = "Trip sheet: Ford & <bar>"


def make(paper="A4", rows=120, title=TITLE, extra=()):
    kit = Kit(paper)
    figure = bars(
        [BarRow("", "gravel", 12.0, 8.0, 18.0)],
        title="Grade by layer",
        desc="One layer.",
        unit="mg per loose litre",
    )
    story = [
        kit.title(title),
        kit.key_figures([("Break-even", "0.84 g", "pays its fuel"), ("Cost", "61.00 EUR", "")]),
        kit.heading("Rules"),
        kit.notice("stop", "The nozzle is wider than 100 mm."),
        kit.notice("ask", "Is the bank private land?"),
        kit.subheading("Facts"),
        kit.facts([("Holder", "Robin Marsh"), ("Site", "𐐷𐐸")]),
        kit.figure(figure),
        kit.heading("Runs"),
        kit.table(
            ["Day", "Spot", "Litres"],
            [[f"row {i}", "bend <silt>", str(i)] for i in range(rows)],
            numeric=(2,),
            total_row=True,
        ),
        kit.qr("trip 1"),
        *extra,
    ]
    data = build(
        story,
        title=title,
        subject="Trip sheet",
        author="Marsh and friends",
        pagesize=kit.pagesize,
        printed_on=DAY,
        words=kit.words,
    )
    return data, kit


def read(data):
    return pypdf.PdfReader(io.BytesIO(data))


def pages_of(data):
    return [page.extract_text() for page in read(data).pages]


def test_same_story_gives_the_same_bytes():
    assert make()[0] == make()[0]


def test_every_page_says_its_number_and_the_total():
    pages = pages_of(make()[0])
    assert len(pages) >= 3
    for number, words in enumerate(pages, start=1):
        assert f"Page {number} of {len(pages)}" in words
        assert "Trip sheet · printed 2031-05-11" in words


def test_title_and_party_head_the_pages_after_the_first():
    first, *rest = pages_of(make()[0])
    assert "Marsh and friends" not in first
    assert all(TITLE in words and "Marsh and friends" in words for words in rest)


def test_long_table_repeats_its_head_and_loses_no_row():
    pages = pages_of(make(rows=150)[0])
    with_rows = [words for words in pages if "row " in words]
    assert len(with_rows) >= 3
    assert all("Litres" in words for words in with_rows)
    found = [line for words in pages for line in words.split("\n") if line.startswith("row ")]
    assert len(found) == 150


def test_user_text_comes_out_literally():
    told = "\n".join(pages_of(make()[0]))
    assert TITLE in told
    assert "bend <silt>" in told


def test_missing_letters_are_marked_and_their_field_named():
    data, kit = make()
    assert "[U+10437][U+10438]" in "\n".join(pages_of(data))
    assert [hit.field for hit in kit.words.affected] == ["Site"]


def test_missing_letters_in_the_title_reach_the_page_head():
    data, kit = make(title="𐐷 creek")
    assert "[U+10437] creek" in pages_of(data)[1]
    assert "title" in [hit.field for hit in kit.words.affected]


def test_headings_are_bookmarked_in_order():
    outline = read(make()[0]).outline
    flat = [entry.title for entry in outline if not isinstance(entry, list)]
    assert flat == [TITLE, "Rules", "Runs"]
    nested = [entry.title for part in outline if isinstance(part, list) for entry in part]
    assert nested == ["Facts", "Grade by layer"]


def test_properties_name_title_party_and_subject():
    meta = read(make()[0]).metadata
    assert (meta.title, meta.author, meta.subject) == (TITLE, "Marsh and friends", "Trip sheet")


def test_chart_words_can_be_read_back():
    told = "\n".join(pages_of(make()[0]))
    assert "mg per loose litre" in told
    assert "12  (8 to 18)" in told


def test_every_face_is_embedded():
    for page in read(make()[0]).pages:
        for font in page["/Resources"]["/Font"].values():
            assert "DejaVuSans" in font.get_object()["/BaseFont"]


@pytest.mark.parametrize(("paper", "size"), [("A4", (595, 842)), ("letter", (612, 792))])
def test_paper_size_can_be_chosen(paper, size):
    box = read(make(paper)[0]).pages[0].mediabox
    assert (round(box.width), round(box.height)) == size


def test_unknown_paper_is_refused_by_name():
    with pytest.raises(ValueError, match="A5"):
        page_size("A5")


def test_a_cell_longer_than_a_page_is_printed_whole():
    kit = Kit()
    long = " ".join(f"word{i}" for i in range(3000))
    story = [kit.table(["Note", "n"], [[long, "1"]]), kit.facts([("Note", long)])]
    data = build(story, title="t", subject="s", author="a", pagesize=kit.pagesize, printed_on=DAY)
    told = " ".join(" ".join(pages_of(data)).split())
    assert told.count("word2999") == 2


def test_unbroken_words_stay_inside_their_column():
    kit = Kit()
    data = build(
        [kit.table(["Note", "n"], [["x" * 900, "1"]])],
        title="t",
        subject="s",
        author="a",
        pagesize=kit.pagesize,
        printed_on=DAY,
    )
    assert "".join(pages_of(data)).count("x") >= 900


def test_subheading_without_a_heading_can_be_bookmarked():
    kit = Kit()
    data = build(
        [kit.subheading("Alone"), PageBreak(), kit.subheading("Also")],
        title="t",
        subject="s",
        author="a",
        pagesize=kit.pagesize,
        printed_on=DAY,
    )
    assert [entry.title for entry in read(data).outline] == ["Alone", "Also"]


def test_a_chart_on_a_page_on_its_side_is_no_larger_than_its_words_need():
    """Drawn across the whole page its words were twice as large as the table's."""
    figure = bars([BarRow("", "gravel", 12.0)], title="Grades", desc="One layer.", unit="mg")
    for kit in (Kit("A4"), wide_kit("A4")):
        [drawing] = [part for part in kit.figure(figure)._content if isinstance(part, Drawing)]
        assert drawing.width <= kit.width
        sizes = [mark.fontSize for mark in drawing.contents if isinstance(mark, String)]
        assert 8 < max(sizes) < 10
