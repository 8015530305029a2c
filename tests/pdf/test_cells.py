"""A cell that one line holds is set as it is, and stands where a paragraph of it would."""

import datetime as dt
import io

import pypdf
import pytest
from reportlab.platypus import Flowable

from reports.pdf.parts import Kit, build
from reports.pdf.styles import paragraph_styles
from reports.pdf.words import Words

HEADS = ("Name", "Gold (mg)", "Remark")
ROWS = (
    ("Fish & <chips>", "0.070", "short"),
    ("  a  b ", "1234.50", "A remark that runs on over several lines of its narrow column"),
    ("", "", "the rest is empty"),
    ("Bend\nand bar", "\u22123.00", "two lines as typed"),
    ("نهر الذهب", "12.5", ""),
    ("All", "1300.00", "of them"),
)


def placed(total_row):
    """Every piece of text with its place on the page, font and size."""
    kit = Kit()
    table = kit.table(HEADS, ROWS, numeric=(1,), widths=(2, 1, 1), total_row=total_row)
    data = build(
        [table],
        title="Table",
        subject="Table",
        author="Party",
        pagesize=kit.pagesize,
        printed_on=dt.date(2031, 5, 11),
    )
    found = []

    def note(text, matrix, at, font, size):
        x, y = at[4], at[5]
        place = (
            x * matrix[0] + y * matrix[2] + matrix[4],
            x * matrix[1] + y * matrix[3] + matrix[5],
        )
        if text.strip():
            found.append((text.strip(), font["/BaseFont"][7:], size, place))

    [page] = pypdf.PdfReader(io.BytesIO(data)).pages
    page.extract_text(visitor_text=note)
    return found


@pytest.mark.parametrize("total_row", [False, True])
def test_cells_stand_where_paragraphs_of_them_would(total_row, monkeypatch):
    as_they_are = placed(total_row)
    monkeypatch.setattr(
        Words, "cell", lambda self, text, style, room, field: self.paragraph(text, style, field)
    )
    as_paragraphs = placed(total_row)
    assert [each[:3] for each in as_they_are] == [each[:3] for each in as_paragraphs]
    for (text, *_, here), (*_, there) in zip(as_they_are, as_paragraphs, strict=True):
        assert here == pytest.approx(there, abs=0.01), text


@pytest.mark.parametrize(
    ("text", "room", "cell"),
    [
        ("1\u202f234.50", 100, "1\u202f234.50"),
        ("  a \t b ", 100, "a b"),
        ("Fish & <chips>", 100, "Fish & <chips>"),
        ("Ручей", 100, "Ручей"),
        ("", 100, ()),
        (" ", 100, ()),
    ],
)
def test_a_cell_that_fits_is_its_text(text, room, cell):
    assert Words().cell(text, paragraph_styles().cell, room) == cell


@pytest.mark.parametrize(
    ("text", "room"), [("two words", 20), ("a\nb", 100), ("金", 100), ("נחל", 100)]
)
def test_what_needs_more_than_a_line_or_shaping_is_a_paragraph(text, room):
    assert isinstance(Words().cell(text, paragraph_styles().cell, room), Flowable)


def test_a_row_of_single_lines_is_as_high_as_the_library_measures_it():
    kit = Kit()
    table = kit.table(HEADS, ROWS, numeric=(1,), widths=(2, 1, 1))
    given = [height is not None for height in table._argH]
    assert given == [True, True, False, True, False, False, True]
    table.wrap(kit.width, 700)
    measured = Kit().table(HEADS, ROWS, numeric=(1,), widths=(2, 1, 1))
    measured._argH = [None] * len(measured._argH)
    measured.wrap(kit.width, 700)
    assert table._rowHeights == measured._rowHeights
