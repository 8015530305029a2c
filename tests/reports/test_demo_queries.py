"""Pages on the demo take few queries, and no more when its record is twice as long.

It has what the record of the benchmark lacks: packs, and duties that count work.
"""

import uuid
from pathlib import Path

import pytest
from django.conf import settings
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from claims.models import Hole, KeptFile, Paper, Party, Site, User
from reports.benchmark import measure
from reports.benchmark.pages import FILES, PAGES, pages_of
from tests.once import taken_back
from trips.demo.load import load
from trips.models import (
    Cost,
    GoldLot,
    HoursBlock,
    Price,
    Run,
    TestPan,
    Trip,
    TripPerson,
    TripSite,
    WeighIn,
)
from trips.services.derive import rebuild_party

pytestmark = pytest.mark.django_db
LISTS = (
    "reports:where_next", "reports:does_it_pay", "reports:site_returns", "reports:export_list",
    "trips:trip_list", "trips:weighin_list", "trips:price_list", "trips:kit_list",
    "claims:site_list", "claims:paper_list", "claims:hole_list", "claims:party_detail",
)  # fmt: skip


def copies(model, **changes):
    """Every row of a model once more, with new ids; `changes` are functions of the old row."""
    for row in list(model.objects.order_by("pk")):
        values = {
            field.attname: getattr(row, field.attname)
            for field in model._meta.concrete_fields
            if not field.primary_key
        }
        if "uuid" in values:
            values["uuid"] = uuid.uuid5(row.uuid, "copy")
        values |= {name: change(row) for name, change in changes.items()}
        yield row, model.objects.create(**values)


def double():
    """Trips with everything on them, holes, papers and prices, once more."""
    trips = {old.pk: new.pk for old, new in copies(Trip)}

    def of_trip(row):
        return trips[row.trip_id]

    for model in (TripSite, TripPerson, HoursBlock, Cost):
        list(copies(model, trip_id=of_trip))
    weighed = {old.pk: new.pk for old, new in copies(WeighIn, trip_id=of_trip)}

    def of_weigh_in(row):
        return weighed.get(row.weigh_in_id)

    for model in (Run, TestPan):
        list(copies(model, trip_id=of_trip, weigh_in_id=of_weigh_in))
    list(copies(GoldLot, weigh_in_id=of_weigh_in))
    holes = {old.pk: new.pk for old, new in copies(Hole)}
    list(
        copies(
            KeptFile,
            hole_id=lambda row: holes.get(row.hole_id),
            stored=lambda row: f"copy of {row.stored.name}",
        )
    )
    for old, new in copies(Paper):
        new.sites.set(old.sites.all())
    list(copies(Price, day=lambda row: row.day.replace(year=row.day.year - 5)))
    rebuild_party(Party.objects.get())


def queries(client, address):
    with CaptureQueriesContext(
        connection,
    ) as caught:
        response = client.get(address, {"as_of": "2031-10-12"})
    assert response.status_code == 200, address
    return len(caught)


@pytest.fixture(scope="module")
def demo(django_db_setup, django_db_blocker):
    with taken_back(django_db_blocker):
        load(Path(settings.BASE_DIR) / "fixtures_demo")
        yield Party.objects.get()


def test_every_page_and_file_is_within_its_queries(demo):
    client = measure.sign_in(User.objects.get(username="robin"))
    pages = pages_of(demo, PAGES + FILES)
    took = {page.name: len(measure.look(client, page.address).queries) for page in pages}
    assert {page.name: took[page.name] for page in pages if took[page.name] > page.queries} == {}


def test_twice_the_rows_take_the_same_queries(client, demo):
    client.force_login(User.objects.get(username="robin"))
    trip = Trip.objects.filter(state="wrapped_up", runs__isnull=False).latest("pk")
    site = Site.objects.get(name="Ossaline claim")
    paper = Paper.objects.order_by("pk").first()
    addresses = [reverse(name) for name in LISTS]
    addresses += [
        reverse("reports:site_page", args=[site.pk]),
        reverse("reports:renewal_record", args=[paper.pk]),
        reverse("claims:paper_detail", args=[paper.pk]),
        reverse("trips:trip_detail", args=[trip.pk]),
        reverse("trips:weighin_detail", args=[trip.weigh_ins.first().pk]),
        reverse("reports:export_table", args=["files", "csv"]),
    ]
    pages = (addresses[0], reverse("reports:site_page", args=[site.pk]))
    for address in pages:
        client.get(address, {"as_of": "2031-10-12"})  # fills the session and keeps the belief
    before = {address: queries(client, address) for address in addresses}
    count = Trip.objects.count()
    double()
    assert Trip.objects.count() == 2 * count
    for address in pages:
        client.get(address, {"as_of": "2031-10-12"})  # keeps the belief anew
    after = {address: queries(client, address) for address in addresses}
    assert after == before
