"""The renewal record as page, CSV, XLSX and PDF: one record, four ways to read it."""

import csv
import datetime as dt
import io
import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from openpyxl import load_workbook
from pypdf import PdfReader

from claims.models import Site
from reports.figures.renewal import SIGNED
from reports.selectors.renewal import renewal_facts
from tests.factories import (
    DAY,
    make_cost,
    make_gear,
    make_hole,
    make_hours,
    make_pan,
    make_paper,
    make_party,
    make_person,
    make_run,
    make_site,
    make_spot,
    make_trip,
    make_weigh_in,
    signed_in,
)
from trips.models import Trip
from trips.services.derive import rebuild_party

pytestmark = pytest.mark.django_db
AS_OF = "2031-10-01"


def visit(party, site, day=DAY, **overrides):
    """A wrapped-up trip with an hour's run of 100 L by two people, weighed at 1.000 g."""
    people = list(party.people.all()) or [make_person(party), make_person(party)]
    values = {"state": Trip.State.WRAPPED_UP, "starts_on": day} | overrides
    trip = make_trip(party, site, people=people, **values)
    trip.trip_sites.update(was_visited=True)
    gear = party.gear.first() or make_gear(party, "Long box")
    run = make_run(trip, gear=gear)
    make_hours(trip, site=site)
    make_cost(trip)
    make_weigh_in(trip, runs=[run])
    return trip


def recorded(**paper):
    """A paper with one site and one visit."""
    party = make_party(name="Marl party")
    site = make_site(party, "Upper reach")
    held = make_paper(
        party, [site], **{"name": "Reach permit", "number": "RP-7", "holder": "Ada Vayle"} | paper
    )
    visit(party, site)
    make_hole(site, filled_on=None)
    rebuild_party(party)
    return party, site, held


def ask(client, paper, fmt="", **query):
    name = "reports:renewal_record_file" if fmt else "reports:renewal_record"
    return client.get(
        reverse(name, args=[paper.pk, *([fmt] if fmt else [])]), {"as_of": AS_OF} | query
    )


def pdf_pages(response):
    assert response["Content-Type"] == "application/pdf"
    return [page.extract_text() for page in PdfReader(io.BytesIO(response.content)).pages]


def said_in(response):
    """What a reader of the PDF is told of lines that are drawn glyph by glyph."""
    pages = PdfReader(io.BytesIO(response.content)).pages
    content = "".join(page.get_contents().get_data().decode("latin-1") for page in pages)
    found = re.findall(r"/ActualText <FEFF([0-9A-F]*)>", content)
    return [bytes.fromhex(each).decode("utf-16-be") for each in found]


def plain(text):
    """Without thin spaces and line breaks, which paper and page set differently."""
    return re.sub(r"\s+", "", text)


def test_the_pdf_holds_the_key_figures_the_day_and_what_is_missing(client):
    party, _, paper = recorded(conditions="")
    signed_in(client, party, "reader")
    text = plain("\n".join(pdf_pages(ask(client, paper, "pdf"))))
    for said in (
        "Renewal record: Reach permit RP-7",
        "Ada Vayle",
        "1 Jan 2031 to 1 Oct 2031",
        "as of 1 Oct 2031",
        "2.0 h",
        "100.0 L",
        "1.000 g",
        "still open",
        "Not noted of the paper: issuer and conditions.",
        "No incident is noted. That is not the same as none.",
        SIGNED,
        "Page 1 of",
    ):
        assert plain(said) in text, said


def test_page_csv_xlsx_and_pdf_show_the_same_figures(client):
    party, _, paper = recorded()
    signed_in(client, party)
    page = plain(ask(client, paper).content.decode())
    pdf = plain("".join(pdf_pages(ask(client, paper, "pdf"))))
    rows = list(csv.reader(io.StringIO(ask(client, paper, "csv").content.decode("utf-8-sig"))))
    book = load_workbook(io.BytesIO(ask(client, paper, "xlsx").content))
    day = ["2031-05-03", "Upper reach", "2", "2.0", "Long box", "100.0"]
    assert day in rows
    cells = [cell.value for cell in book["Every day on site"][2]]
    assert [str(cells[1]), cells[2], cells[3], cells[4], cells[5]] == [
        "Upper reach", 2, 2, "Long box", 100,
    ]  # fmt: skip
    for text in (page, pdf):
        assert "3May2031" in text
        assert "100.0" in text
        assert "1.000g" in text
    hole = next(row for row in rows if row[-1:] == ["still open"])
    assert hole[5:9] == ["1.00", "0.80", "0.50", "0.40"]  # 1.0 × 0.8 × 0.5 m, by hand
    assert [book["Holes"].cell(2, column).value for column in (6, 7, 8, 9)] == [1, 0.8, 0.5, 0.4]


def test_the_same_record_gives_the_same_bytes(client):
    party, _, paper = recorded()
    signed_in(client, party)
    for fmt in ("pdf", "csv"):
        assert ask(client, paper, fmt).content == ask(client, paper, fmt).content
    before = ask(client, paper, "pdf").content
    paper.holder = "Somebody else"
    paper.save()
    assert ask(client, paper, "pdf").content != before


def test_a_long_record_repeats_its_heads_and_keeps_every_day(client):
    party, site, paper = recorded()
    for number in range(1, 61):
        visit(party, site, DAY + dt.timedelta(days=number))
    rebuild_party(party)
    signed_in(client, party)
    response = ask(client, paper, "pdf")
    pages = [plain(page) for page in pdf_pages(response)]
    head = plain("Washed in boxes (L)")
    day_pages = [page for page in pages if "Longbox" in page and "Uppe" in page and head in page]
    assert len(pages) >= 5
    assert len(day_pages) >= 2
    whole = "".join(pages)
    assert all(
        plain(f"{day.day} {day:%b %Y}") in whole
        for day in (DAY + dt.timedelta(days=n) for n in range(61))
    )
    assert f"Page{len(pages)}of{len(pages)}" in pages[-1]
    outline = [
        entry.title
        for entry in PdfReader(io.BytesIO(response.content)).outline
        if not isinstance(entry, list)
    ]
    assert {"Every day on site", "Holes", "Signature"} <= set(outline)


def test_a_site_named_like_markup_and_in_other_scripts_survives(client):
    party, _, paper = recorded()
    name = "<b>Upper & Lower</b> Ποτάμι Река"
    arabic, deseret = "نهر", "𐐷"
    for each in (name, arabic, deseret):
        site = make_site(party, each)
        paper.sites.add(site)
        visit(party, site)
    rebuild_party(party)
    signed_in(client, party)
    page = ask(client, paper).content.decode()
    assert "&lt;b&gt;Upper &amp; Lower&lt;/b&gt; Ποτάμι Река" in page
    assert "<b>Upper" not in page
    assert arabic in page
    assert "letters that the printed face lacks" in page
    pdf = plain("".join(pdf_pages(ask(client, paper, "pdf"))))
    assert plain(name) in pdf
    assert "[U+10437]" in pdf
    assert arabic in said_in(ask(client, paper, "pdf"))
    assert "Notshownastyped" in pdf


def test_another_partys_paper_is_not_there(client):
    _, _, paper = recorded()
    signed_in(client, make_party())
    for fmt in ("", "pdf", "csv", "xlsx"):
        assert ask(client, paper, fmt).status_code == 404


def test_a_kind_of_file_that_does_not_exist_is_not_found(client):
    party, _, paper = recorded()
    signed_in(client, party)
    assert ask(client, paper, "docx").status_code == 404


@pytest.mark.parametrize(
    ("query", "said"),
    [
        ({"first": "2031-05-03", "last": "2031-05-02"}, "the period ends before it starts"),
        ({"first": "spring", "last": "2031-05-02"}, "Expected a date such as 2031-05-03."),
        ({"first": "", "last": "2031-05-02"}, "This field is required."),
    ],
)
def test_a_period_that_cannot_be_read_is_said_and_kept(client, query, said):
    party, _, paper = recorded()
    signed_in(client, party)
    page = ask(client, paper, **query).content.decode()
    assert said in page
    assert f'value="{query["first"]}"' in page or not query["first"]
    assert "Every day on site" not in page
    refused = ask(client, paper, "pdf", **query)
    assert refused.status_code == 302
    assert refused.url.startswith(reverse("reports:renewal_record", args=[paper.pk]))


def test_an_empty_period_says_so_in_words(client):
    party, _, paper = recorded()
    signed_in(client, party)
    page = ask(client, paper, first="2031-02-01", last="2031-02-02").content.decode()
    assert "No day on site is noted in this period." in page
    assert "No trip to these sites that is wrapped up lies in the period." in page
    assert ask(client, paper, "pdf", first="2031-02-01", last="2031-02-02").status_code == 200


def test_without_a_period_the_term_so_far_is_taken(client):
    party, _, paper = recorded()
    signed_in(client, party)
    page = ask(client, paper).content.decode()
    assert 'name="first" value="2031-01-01"' in page
    assert 'name="last" value="2031-10-01"' in page


def test_a_paper_without_sites_teaches_what_to_do(client):
    party = make_party()
    paper = make_paper(party)
    signed_in(client, party)
    page = ask(client, paper).content.decode()
    assert "This paper covers no site yet" in page
    assert reverse("claims:paper_edit", args=[paper.pk]) in page


def test_only_the_papers_sites_count(client):
    party, _, paper = recorded()
    visit(party, make_site(party, "Far away"))
    rebuild_party(party)
    signed_in(client, party)
    page = ask(client, paper).content.decode()
    assert "Far away" not in page
    assert "<dt>Gold weighed</dt><dd>1.000 g</dd>" in page


def test_runs_at_the_site_count_as_a_visit_that_nobody_ticked():
    _, site, paper = recorded()
    Trip.objects.get().trip_sites.update(was_visited=None)
    [trip] = renewal_facts(paper, DAY, DAY).trips
    assert trip.visited == (site.pk,)
    assert trip.unsaid == ()


def test_twice_the_trips_cost_the_same_queries():
    def queries(count):
        party, _, paper = recorded()
        paper.fee_minor = 5_000
        paper.save()
        for number in range(1, count):
            place = Site.objects.create(party=party, name=f"Reach {number}")
            paper.sites.add(place)
            trip = visit(party, place, DAY + dt.timedelta(days=number))
            make_pan(trip, make_spot(place))
            make_hole(place)
        rebuild_party(party)
        with CaptureQueriesContext(connection) as seen:
            found = renewal_facts(paper, DAY, DAY + dt.timedelta(days=60))
        assert len(found.trips) == count
        return len(seen)

    assert queries(2) == queries(4)


def test_the_paper_size_of_the_settings_is_used(client, settings):
    party, _, paper = recorded()
    signed_in(client, party)
    sizes = {}
    for name in ("A4", "LETTER"):
        settings.PAGE_SIZE = name
        box = PdfReader(io.BytesIO(ask(client, paper, "pdf").content)).pages[0].mediabox
        sizes[name] = (round(box.width), round(box.height))
    assert sizes == {"A4": (595, 842), "LETTER": (612, 792)}


def test_every_table_with_widths_of_its_own_has_one_for_each_column():
    """One too few makes a table that runs over the edge of the page."""
    from reports.pdf.renewal_record import WIDTHS
    from tests.reports.test_renewal_figures import record

    columns = {part.key: len(part.columns) for part in record().parts}
    assert {key: columns[key] for key in WIDTHS} == {key: len(w) for key, w in WIDTHS.items()}
