"""Every stored table leaves as CSV and XLSX, whole, with units, and harmless to a spreadsheet."""

import csv
import datetime as dt
import io

import pytest
from django.apps import apps
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from openpyxl import load_workbook

from claims.models import SiteShape
from reports.selectors import export
from reports.selectors.left_out import LEFT_OUT
from tests.factories import (
    make_answer,
    make_condition,
    make_done,
    make_duty,
    make_file,
    make_flood,
    make_gauge,
    make_gear,
    make_hours,
    make_lot,
    make_mark,
    make_merged,
    make_note,
    make_own_rule,
    make_pan,
    make_paper,
    make_party,
    make_person,
    make_price,
    make_rate,
    make_run,
    make_site,
    make_spot,
    make_track,
    make_trip,
    make_user,
    make_vehicle,
    make_weigh_in,
    signed_in,
)
from tests.once import taken_back
from trips.services.derive import rebuild_party

pytestmark = pytest.mark.django_db
GRAMS = {"mass": "g", "volume": "L", "distance": "km"}


def csv_rows(response):
    text = response.content.decode("utf-8-sig")
    return list(csv.DictReader(io.StringIO(text)))


def get(client, table, fmt="csv"):
    return client.get(reverse("reports:export_table", args=[table, fmt]))


def missing_models(tables, left_out):
    """Models of ours that nobody has decided about."""
    ours = {
        model
        for label in ("claims", "trips")
        for model in apps.get_app_config(label).get_models()
        # What facts were before is in the backup and on the page of changes, not in the tables.
        if not model.__name__.startswith("Historical")
    }
    return (
        {model._meta.label for model in ours}
        - {each.model._meta.label for each in tables}
        - {*left_out}
    )


def test_every_model_is_exported_or_left_out_with_a_reason():
    assert missing_models(export.TABLES, LEFT_OUT) == set()
    assert all(len(why) > 20 for _, why in LEFT_OUT.values())


def test_the_check_itself_misses_a_model_that_nobody_listed():
    assert missing_models(export.TABLES[1:], LEFT_OUT) == {"trips.Trip"}


@pytest.mark.parametrize("table", export.TABLES, ids=lambda table: table.key)
def test_every_stored_field_has_a_column(table):
    party = make_party()
    asked = set()

    class Row:
        currency = "EUR"

        def __getattr__(self, name):
            asked.add(name)
            return 1

    for column in export.columns_of(table, party, GRAMS):
        # What a column reads is what matters here, not what it makes of this stand-in.
        try:
            column.read(Row())
        except (AttributeError, TypeError):
            continue
    stored = {
        field.attname
        for field in (*table.model._meta.concrete_fields, *table.model._meta.many_to_many)
        if field.name not in ("party", "currency")
    }
    read = asked | {name.removeprefix("get_").removesuffix("_display") for name in asked}
    assert stored - read == set()


def test_headers_name_units_and_no_two_are_alike():
    for table in export.TABLES:
        headers = [c.header for c in export.columns_of(table, make_party(), GRAMS)]
        assert len(headers) == len(set(headers)), table.key
    gross = [c.header for c in export.columns_of(export.table("weigh-ins"), make_party(), GRAMS)]
    assert "gross (µg)" in gross
    assert "gross (g)" in gross


def test_days_in_names_are_written_for_machines_whoever_reads(client):
    party = make_party()
    weigh_in = make_weigh_in(make_trip(party, name=""), weighed_on=dt.date(2031, 5, 3))
    make_lot(weigh_in)
    signed_in(client, party, user=make_user(region="de_DE"))
    [lot] = csv_rows(get(client, "lots"))
    assert "Weigh-in of 2031-05-03" in lot.values()


def test_rows_hold_base_units_and_the_readers_own(client):
    party = make_party()
    user = make_user(mass_unit="dwt", volume_unit="us_gal")
    trip = make_trip(party)
    make_weigh_in(trip, gross_ug=1_555_174, tare_ug=0)
    make_run(trip, volume_ml=3_785, coarse=None, medium=0, fine=2)
    signed_in(client, party, user=user)
    [weighed] = csv_rows(get(client, "weigh-ins"))
    [run] = csv_rows(get(client, "runs"))
    assert weighed["gross (µg)"] == "1555174"
    assert weighed["gross (dwt)"] == "1.000000"  # 1 dwt is 1.55517384 g: NIST SP 811 B.8 (memory)
    assert weighed["weighed on"] == "2031-05-03"
    assert run["volume (US gal)"] == "0.999891"  # 3 785 / 3 785.411784, by hand
    assert (run["coarse"], run["medium"]) == ("", "0")
    assert run["site"] == trip.trip_sites.get().site.name


def test_shares_are_called_worked_out(client):
    party = make_party()
    trip = make_trip(party)
    run = make_run(trip)
    make_weigh_in(trip, runs=[run])
    rebuild_party(party)
    signed_in(client, party, "reader")
    [share] = csv_rows(get(client, "shares"))
    assert share["mass (µg)"] == "1000000"
    page = client.get(reverse("reports:export_list")).content.decode()
    assert "worked out from the records by this program, not entered" in page


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@SUM(A1)", "\tx", "\rx"])
def test_text_never_runs_as_a_formula(client, text):
    party = make_party()
    make_site(party, name="Plain", notes=text)
    signed_in(client, party)
    [site] = csv_rows(get(client, "sites"))
    assert site["notes"] == f"'{text}"
    book = load_workbook(io.BytesIO(get(client, "sites", "xlsx").content))
    cells = [cell for row in book.active.iter_rows() for cell in row]
    assert all(cell.data_type != "f" for cell in cells)


def test_a_number_below_zero_stays_a_number(client):
    party = make_party()
    make_site(party, name="West", latitude_udeg=-41_000_000, longitude_udeg=-1)
    signed_in(client, party)
    [site] = csv_rows(get(client, "sites"))
    assert site["latitude (millionths of a degree)"] == "-41000000"


def test_no_row_of_another_party_is_in_any_file(client):
    mine, theirs = make_party(), make_party()
    fill(theirs, 2)
    rebuild_party(theirs)
    signed_in(client, mine)
    for table in export.TABLES:
        rows = csv_rows(get(client, table.key))
        assert len(rows) == (1 if table.key == "party" else 0), table.key
    signed_in(client, theirs)
    held = {table.key: len(csv_rows(get(client, table.key))) for table in export.TABLES}
    assert all(held.values()), held


def fill(party, count):
    """At least `count` rows of everything."""
    person = make_person(party)
    for _ in range(count):
        site = make_site(party)
        spot = make_spot(site)
        paper = make_paper(party, [site])
        make_file(paper)
        make_mark(make_condition(paper))
        make_done(make_duty(party, paper=paper, site=site))
        gear = make_gear(party)
        trip = make_trip(party, site, people=[person], vehicle=make_vehicle(party))
        trip.gear.add(gear)
        make_file(trip)
        make_track(trip)
        SiteShape.objects.create(site=site)
        run = make_run(trip, spot, gear=gear)
        make_pan(trip, spot)
        make_hours(trip, site=site, person=person)
        make_note(trip, spot=spot)
        make_answer(trip, site)
        make_own_rule(party, site=site)
        party_cost(trip, person)
        weigh_in = make_weigh_in(trip, runs=[run])
        make_merged(make_lot(weigh_in), make_lot(weigh_in))
        site.holes.create(party=party, spot=spot, opened_on=dt.date(2031, 5, 3))
        make_price(party, dt.date(2031, 1, 1) + dt.timedelta(days=party.prices.count()))
        make_flood(make_gauge(party, [site]))
        make_rate(party)


def party_cost(trip, person):
    trip.costs.create(
        party=trip.party, kind="food", amount_minor=950, currency="EUR", paid_by=person
    )


@pytest.fixture(scope="module")
def two_and_four(django_db_setup, django_db_blocker):
    """A party with two rows of everything and one with four: made once for all tables."""
    with taken_back(django_db_blocker):
        parties = make_party(), make_party()
        for party, count in zip(parties, (2, 4), strict=True):
            fill(party, count)
            rebuild_party(party)
        yield parties


@pytest.mark.parametrize("table", export.TABLES, ids=lambda table: table.key)
def test_twice_the_rows_cost_the_same_queries(table, two_and_four):
    def asked_for(party):
        with CaptureQueriesContext(connection) as seen:
            rows = list(export.file_rows(table, party, GRAMS)[1])
        return len(rows), len(seen)

    (few, queries), (many, as_many) = map(asked_for, two_and_four)
    assert 0 < few <= many
    assert as_many == queries


def test_everything_comes_as_one_book(client):
    party = make_party()
    fill(party, 1)
    signed_in(client, party, "reader")
    book = load_workbook(io.BytesIO(get(client, "everything", "xlsx").content))
    assert book.sheetnames == [table.title for table in export.TABLES]
    assert book["Costs"]["A1"].value == "id"


@pytest.mark.parametrize(
    ("table", "fmt"), [("nothing", "csv"), ("trips", "pdf"), ("everything", "csv")]
)
def test_a_file_that_does_not_exist_is_not_found(client, table, fmt):
    signed_in(client, make_party())
    assert get(client, table, fmt).status_code == 404


def test_an_empty_record_lists_its_tables(client):
    signed_in(client, make_party())
    page = client.get(reverse("reports:export_list")).content.decode()
    assert all(table.title in page for table in export.TABLES)
