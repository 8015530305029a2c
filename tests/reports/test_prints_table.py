"""Any report on paper."""

import datetime as dt
import io
from dataclasses import replace
from decimal import Decimal

import pytest
from django.urls import reverse
from pypdf import PdfReader

from reports.figures.report import Column, Report
from reports.pdf.table_report import _under, build
from tests.factories import make_party, make_site, signed_in

REPORT = Report(
    report_id="returns",
    title="Return by place",
    as_of=dt.date(2031, 10, 1),
    party_name="Marl party",
    currency="EUR",
    filters=(("Season", "2031"),),
    columns=(
        Column("site", "Site"),
        Column("net", "Net", "EUR", "right"),
        Column("gold", "Gold", "g", "right"),
    ),
    rows=(("<b>Upper & Lower</b> Река", Decimal("-12.50"), None),),
    totals=("All", Decimal("1234.50"), None),
    notes=("One note.",),
    sources=("One source of 3 May 2031.",),
)


def text_of(content):
    return "".join(page.extract_text() for page in PdfReader(io.BytesIO(content)).pages)


def test_the_table_its_notes_and_its_sources_are_on_paper():
    text = text_of(build(REPORT, "A4"))
    for said in (
        "Return by place",
        "1 Oct 2031",
        "Season",
        "Net (EUR)",
        "<b>Upper & Lower</b>",
        "\u221212.50",
        "unknown",
        "One note.",
        "One source of 3 May 2031.",
    ):
        assert said in text, said


def test_the_same_report_gives_the_same_bytes():
    assert build(REPORT, "A4") == build(REPORT, "A4")
    assert build(REPORT, "A4") != build(replace(REPORT, title="Other"), "A4")


def test_a_report_without_rows_says_so():
    assert "There is nothing to list yet." in text_of(build(replace(REPORT, rows=()), "A4"))


def test_a_wide_table_lies_on_its_side_and_breaks_no_number():
    columns = tuple(Column(f"c{i}", f"Column {i}", "EUR/h", "right") for i in range(10))
    wide = replace(
        REPORT,
        columns=(Column("site", "Site"), *columns),
        rows=(("Velmarrow middle reach", *[Decimal("-1234.56")] * 9, None),),
        totals=(),
    )
    content = build(wide, "A4")
    box = PdfReader(io.BytesIO(content)).pages[0].mediabox
    assert box.width > box.height
    assert text_of(content).replace("\u202f", " ").count("\u22121 234.56") == 9


def test_another_paper_size_is_refused_by_name():
    with pytest.raises(ValueError, match="A5"):
        build(REPORT, "A5")


@pytest.mark.django_db
def test_the_report_by_site_comes_as_pdf_on_the_paper_of_the_settings(client, settings):
    party = make_party(name="Marl party")
    make_site(party, "Upper reach")
    signed_in(client, party, "reader")
    settings.PAGE_SIZE = "LETTER"
    response = client.get(reverse("reports:site_returns_file", args=["pdf"]))
    assert response["Content-Type"] == "application/pdf"
    box = PdfReader(io.BytesIO(response.content)).pages[0].mediabox
    assert (round(box.width), round(box.height)) == (792, 612)
    assert "Upper reach" in text_of(response.content)


def test_a_table_too_wide_for_a_page_goes_on_below_without_breaking_words():
    heads = [f"Considerably longwinded {n}" for n in "abcdefghijklm"]
    columns = (Column("site", "Site"), *(Column(h, h, "EUR", "right") for h in heads))
    row = ("Alder ford", *(Decimal(f"{1000 + n}.36") for n in range(len(heads))))
    text = text_of(build(replace(REPORT, columns=columns, rows=(row,), totals=()), "A4"))
    assert text.count("Considerably") == text.count("longwinded") == len(heads)
    # The first column names the row in every part.
    assert text.count("Alder ford") > 1
    assert all(f"{n:03d}.36" in text for n in range(len(heads)))


def test_what_goes_on_below_begins_with_a_column_as_wide_as_above():
    wished, needs = [10.0, 5.0, 5.0], [60.0, 40.0, 40.0]
    assert _under(0.0, wished, needs, 500.0) == []
    below = _under(90.0, wished, needs, 500.0)
    assert below[0] == 90.0
    assert sum(below) == pytest.approx(500.0)


def test_the_head_of_a_table_stands_once_on_a_page():
    rows = tuple((f"{n}. " + "Long words of a place " * 12, Decimal(n), None) for n in range(40))
    pages = PdfReader(io.BytesIO(build(replace(REPORT, rows=rows, totals=()), "A4"))).pages
    assert len(pages) > 2
    assert max(page.extract_text().count("Net (EUR)") for page in pages) == 1


def test_a_row_taller_than_a_page_is_broken():
    rows = (("Place " * 3000, Decimal(1), None), ("Next", Decimal(2), None))
    text = text_of(build(replace(REPORT, rows=rows, totals=()), "A4"))
    assert text.count("Place") == 3000
    assert "Next" in text
