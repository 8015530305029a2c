"""The report by site: the same cells on the page, in CSV, in XLSX and in the PDF."""

import csv
import datetime as dt
import io
from decimal import Decimal

import pytest

from reports.figures.site_returns import Asked, SiteName, site_returns
from reports.figures.value import value_trips
from tests.factories import make_party, make_site, signed_in
from tests.reports.made import DAY, PRICE, party, trip
from tests.reports.record import make_record

ASKED = Asked("Party", "EUR", DAY, "2031", "trip", "g")
SITES = (SiteName(1, "Alder"), SiteName(2, "Birch"))


def report(trips, asked=ASKED, prices=(PRICE,)):
    valued = value_trips(trips, party(), prices, as_of=DAY, basis=asked.basis)
    return site_returns(SITES, valued, asked, PRICE)


def cells(report, at):
    return dict(zip((column.key for column in report.columns), report.rows[at], strict=True))


def test_a_row_holds_the_sums_of_its_site():
    row = cells(report([trip(1), trip(2, fine_ug=100_000, mass_ug=120_000)]), 0)
    assert (row["trips"], row["known"]) == (2, 2)
    assert row["gold"] == Decimal("0.720")
    assert (row["value"], row["outlay"], row["net"]) == (
        Decimal("60.00"),
        Decimal("40.00"),
        Decimal("20.00"),
    )
    assert row["hours"] == Decimal("20.0")
    assert row["per_hour"] == Decimal("1.00")
    assert (row["low"], row["high"], row["range"]) == (None, None, "none")
    assert (row["fuel"], row["fuel_known"]) == (1, 2)


def test_a_site_without_trips_is_unknown_not_zero():
    row = cells(report([trip()]), 1)
    assert row["trips"] == 0
    assert [row[key] for key in ("gold", "value", "net", "hours", "per_hour")] == [None] * 5


def test_totals_are_of_trips_and_not_of_the_rows():
    both = trip(parts=((1, 60, 300_000), (2, 60, 300_000)))
    made = report([both])
    assert [row[1] for row in made.rows] == [1, 1]
    assert made.totals[1] == 1
    assert any("several sites" in note for note in made.notes)


def test_the_sites_and_the_total_agree_when_every_trip_is_placed():
    trips = [trip(1), trip(2, parts=((1, 50, 1), (2, 70, 2))), trip(3, parts=((2, 0, None),))]
    made = report(trips)
    for at in (4, 5, 6):
        assert sum(row[at] for row in made.rows) == made.totals[at]


def test_trips_that_are_not_counted_are_named_with_the_reason():
    lost = trip(7, fine_ug=None, mass_ug=None, unknown=("Nothing has been weighed.",))
    made = report([trip(1), lost])
    assert "Not counted: Trip 7. Nothing has been weighed." in made.notes


def test_a_trip_that_is_unknown_at_one_site_alone_is_named_there():
    made = report([trip(1, parts=((1, 60, 600_000), (2, 60, None, 1)))])
    assert (cells(made, 0)["known"], cells(made, 1)["known"]) == (1, 0)
    assert cells(made, 1)["value"] is None
    assert "Not counted at Birch: Trip 1. What the box gave there was not weighed." in made.notes
    assert not any(note.startswith("Not counted: ") for note in made.notes)


def test_a_trip_without_a_site_is_in_the_total_only_and_said_so():
    made = report([trip(1, parts=())])
    assert [row[1] for row in made.rows] == [0, 0]
    assert made.totals[1] == 1
    assert "Not placed at any site: Trip 1. In the total only." in made.notes


def test_prices_are_named_with_day_and_source():
    assert "1 Jan 2031 (made up for tests)" in report([trip()]).sources[0]


def test_the_mass_follows_the_unit_asked_for():
    ounces = Asked("Party", "EUR", DAY, "2031", "trip", "ozt")
    made = report([trip(mass_ug=31_103_477)], ounces)
    assert cells(made, 0)["gold"] == Decimal("1.00000")
    assert made.headers[3] == "Gold (ozt)"


@pytest.fixture
def keeper(client, db):
    return signed_in(client, make_party(name="=Party"))


@pytest.fixture
def files(keeper):
    make_record(keeper_party(keeper), sites=3, trips=4)
    return keeper


def keeper_party(client):
    from claims.models import Party

    return Party.objects.get(memberships__user_id=client.session["_auth_user_id"])


ADDRESS = "/pay/sites/{}?season=all&as_of=2031-12-31"


def test_page_csv_and_xlsx_show_the_same_rows(files):
    from openpyxl import load_workbook

    read = csv.reader(io.StringIO(files.get(ADDRESS.format("csv/")).content.decode("utf-8-sig")))
    in_csv = list(read)
    sheet = load_workbook(io.BytesIO(files.get(ADDRESS.format("xlsx/")).content)).active
    in_xlsx = [list(row) for row in sheet.iter_rows(values_only=True)]
    assert len(in_csv) == 1 + 3 + 1
    assert in_csv[0] == in_xlsx[0]
    for text_row, cell_row in zip(in_csv[1:], in_xlsx[1:], strict=True):
        for text, cell in zip(text_row, cell_row, strict=True):
            if cell is None:
                assert text == ""
            elif isinstance(cell, str):
                assert text == cell
            else:
                assert Decimal(text) == Decimal(str(cell))
    report = files.get(ADDRESS.format("")).context["report"]
    assert [tuple(row) for row in in_csv[1:]] == [
        tuple("" if cell is None else str(cell) for cell in row) for row in report.file_rows
    ]
    page = files.get(ADDRESS.format("")).content.decode()
    for row in report.text_rows:
        for cell in row:
            assert cell in page


def test_the_page_link_and_the_export_word_give_the_same_file(files):
    by_path = files.get(ADDRESS.format("csv/")).content
    by_word = files.get(ADDRESS.format("") + "&export=csv").content
    assert by_path == by_word


def test_the_pdf_holds_every_site_and_the_total(files):
    from pypdf import PdfReader

    answer = files.get(ADDRESS.format("pdf/"))
    assert answer["Content-Type"] == "application/pdf"
    text = " ".join(page.extract_text() for page in PdfReader(io.BytesIO(answer.content)).pages)
    for words in ("Return per hour by site", "Reach 1", "Reach 2", "Reach 3", "All trips"):
        assert words in " ".join(text.split())


def test_a_kind_of_file_that_is_not_made_is_not_found(files):
    assert files.get("/pay/sites/doc/").status_code == 404


def test_a_season_takes_only_its_year(files):
    party = keeper_party(files)
    make_record(party, sites=1, trips=2, first=dt.date(2030, 5, 4), names="Older")
    answers = {
        season: files.get(f"/pay/sites/?season={season}&as_of=2031-12-31").context["report"]
        for season in ("2030", "2031", "all")
    }
    assert {season: report.totals[1] for season, report in answers.items()} == {
        "2030": 2,
        "2031": 12,
        "all": 14,
    }


@pytest.mark.parametrize("asked", ["season=1999", "season=%3Cb%3E", "price=gold", "as_of=x"])
def test_a_choice_that_does_not_exist_falls_back(files, asked):
    assert files.get(f"/pay/sites/?{asked}").status_code == 200


@pytest.mark.parametrize("way", ["", "-"])
def test_the_table_sorts_by_every_column(files, way):
    make_site(keeper_party(files), "Never tried")
    report = files.get(ADDRESS.format("")).context["report"]
    for at, column in enumerate(report.columns):
        if column.key == "high":
            continue  # on the page a range is one column, by its low end
        answer = files.get(ADDRESS.format("") + f"&sort={way}{column.key}")
        shown = [row.record[column.key] for row in answer.context["table"].rows]
        known = [cell for cell in shown if cell is not None]
        assert len(shown) == 4
        assert known == sorted(
            (row[at] for row in report.rows if row[at] is not None), reverse=bool(way)
        )


def test_a_party_without_sites_is_taught_and_offered_one(keeper):
    text = keeper.get("/pay/sites/").content.decode()
    assert "No site yet" in text
    assert 'href="/sites/new/"' in text
    assert "PDF</a>" not in text
    for fmt in ("csv", "xlsx", "pdf"):
        assert keeper.get(f"/pay/sites/{fmt}/").status_code == 200


@pytest.mark.parametrize("way", ["", "-"])
def test_an_empty_table_sorts_too(keeper, way):
    for key in ("site", "net", "low"):
        assert keeper.get(f"/pay/sites/?sort={way}{key}").status_code == 200
