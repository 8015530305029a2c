"""Past trips from a spreadsheet, through the pages."""

import csv
import datetime as dt
import io

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from tests import factories as make
from trips.models import DerivedTripFigures, ImportBatch, Trip
from trips.services import importing
from trips.services.derive import FIGURES, rebuild_party

pytestmark = pytest.mark.django_db
GOOD = (
    "Day,Site,People,Hours at the creek,Hours of driving,Gravel washed,Gold weighed,Fuel cost\n"
    "2025-05-03,Old bend,Ann; Ben,6:30,1:40,240,0.31,14.20\n"
    "2025-05-10,old bend,Ann,5,1:40,,,\n"
)


@pytest.fixture
def party(client):
    party = make.make_party(currency="EUR")
    make.signed_in(client, party, "hand")
    return party


def bring(client, text=GOOD, **choices):
    """Upload, take the guessed columns, and give back the batch at its preview."""
    data = text if isinstance(text, bytes) else text.encode()
    upload = SimpleUploadedFile("trips.csv", data)
    response = client.post(reverse("trips:import_start"), {"file": upload})
    assert response.status_code == 302, response.context["form"].errors
    batch = ImportBatch.objects.latest("pk")
    page = client.get(response["Location"])
    form = page.context["form"]
    values = {name: field.initial or "" for name, field in form.fields.items()}
    values |= {"make_sites": "on", "make_people": "on"} | choices
    values = {name: value for name, value in values.items() if value}
    response = client.post(response["Location"], values)
    assert response.status_code == 302, response.context["form"].errors
    return batch


def save(client, batch):
    return client.post(reverse("trips:import_preview", args=[batch.pk]), follow=True)


def test_good_lines_become_wrapped_up_trips_with_figures(client, party):
    batch = bring(client)
    preview = client.get(reverse("trips:import_preview", args=[batch.pk]))
    assert len(preview.context["page"].plan.new) == 2
    assert preview.context["page"].plan.new_sites == ("Old bend",)
    assert Trip.objects.count() == 0
    save(client, batch)
    first, second = Trip.objects.order_by("starts_on")
    assert first.state == Trip.State.WRAPPED_UP
    assert [str(row.site) for row in second.trip_sites.all()] == ["Old bend"]
    figures = DerivedTripFigures.objects.get(trip=first)
    assert figures.mass_ug == 310_000
    assert figures.fuel_minor == 1420
    assert figures.door_minutes == 490
    assert figures.person_minutes == 980
    assert DerivedTripFigures.objects.get(trip=second).mass_ug is None
    assert first.runs.get().derived_share.mass_ug == 310_000


def test_the_same_file_twice_saves_nothing_twice(client, party):
    save(client, bring(client))
    batch = bring(client)
    preview = client.get(reverse("trips:import_preview", args=[batch.pk]))
    assert len(preview.context["page"].plan.already) == 2
    save(client, batch)
    save(client, batch)
    assert Trip.objects.count() == 2


def test_two_equal_lines_in_one_file_are_two_trips(client, party):
    lines = GOOD.splitlines()
    save(client, bring(client, "\n".join([lines[0], lines[1], lines[1]])))
    assert Trip.objects.count() == 2


def test_refused_lines_come_back_as_a_file_and_good_ones_are_saved(client, party):
    batch = bring(client, GOOD + "2025-06-01,,,,,,,\nnot a day,Old bend,,,,,,\n")
    save(client, batch)
    assert Trip.objects.count() == 2
    response = client.get(reverse("trips:import_refused", args=[batch.pk, "csv"]))
    rows = list(csv.reader(io.StringIO(response.content.decode("utf-8-sig"))))
    assert rows[0][-2:] == ["Line was", "Why not"]
    assert [row[-2] for row in rows[1:]] == ["4", "5"]
    assert "Site: " in rows[1][-1]
    mended = response.content.decode("utf-8-sig").replace("not a day", "2025-06-08")
    save(client, bring(client, mended))
    assert Trip.objects.count() == 3


def test_unknown_names_are_refused_when_not_to_be_added(client, party):
    batch = bring(client, make_sites="", make_people="")
    preview = client.get(reverse("trips:import_preview", args=[batch.pk]))
    assert preview.context["page"].plan.new == ()
    assert "no site of this record" in preview.content.decode()


def test_nothing_is_saved_when_saving_breaks_in_the_middle(client, party, monkeypatch):
    batch = bring(client)

    def broken(party, trip_ids):
        raise RuntimeError("power cut")

    monkeypatch.setattr(importing.derive, "rebuild_trips", broken)
    with pytest.raises(RuntimeError, match="power cut"):
        client.post(reverse("trips:import_preview", args=[batch.pk]))
    assert Trip.objects.count() == 0
    assert party.sites.count() == 0


def test_trips_that_share_a_fee_with_imported_ones_are_worked_out_anew(client, party):
    """What is kept after an import is what working everything out again would keep."""
    bend = make.make_site(party, name="Old bend")
    paper = make.make_paper(
        party,
        [bend],
        fee_minor=1_000,
        fee_spread="trips",
        issued_on=dt.date(2025, 1, 1),
        expires_on=dt.date(2025, 12, 31),
    )
    day = dt.date(2025, 5, 17)
    there = make.make_trip(party, bend, starts_on=day, ends_on=day, state="wrapped_up")
    there.trip_sites.update(was_visited=True)
    rebuild_party(party)
    assert DerivedTripFigures.objects.get(trip=there).fee_parts == {str(paper.pk): 1_000}
    save(client, bring(client))
    kept = list(DerivedTripFigures.objects.order_by("trip").values("trip", *FIGURES))
    assert sorted(row["fee_parts"][str(paper.pk)] for row in kept) == [333, 333, 334]
    rebuild_party(party)
    assert list(DerivedTripFigures.objects.order_by("trip").values("trip", *FIGURES)) == kept


def test_the_template_is_recognised_and_its_examples_are_never_saved(client, party):
    for fmt in ("csv", "xlsx"):
        content = client.get(reverse("trips:import_template", args=[fmt])).content
        batch = bring(client, content)
        assert len(batch.lines) == 2
        save(client, batch)
    assert Trip.objects.count() == 0


def test_a_hundred_lines_take_as_many_queries_as_two_hundred(
    client, party, django_assert_max_num_queries
):
    def many(start):
        day = dt.date(2020, 1, 1)
        return "Day,Site,Gold weighed,Gravel washed\n" + "".join(
            f"{day + dt.timedelta(days=start + n)},Old bend,0.{n % 90 + 10},100\n"
            for n in range(100)
        )

    batch = bring(client, many(0))
    with django_assert_max_num_queries(80):
        save(client, batch)
    batch = bring(client, many(200))
    with django_assert_max_num_queries(80):
        save(client, batch)
    assert Trip.objects.count() == 200


@pytest.mark.parametrize(
    ("data", "message"),
    [({}, "one of the two"), ({"text": "only headers"}, "no line below it")],
)
def test_a_bad_upload_says_why_and_keeps_nothing(client, party, data, message):
    response = client.post(reverse("trips:import_start"), data)
    assert response.status_code == 200
    assert message in response.content.decode()
    assert ImportBatch.objects.count() == 0


def test_a_column_can_hold_one_thing_only(client, party):
    batch = make.make_import_batch(party, None)
    response = client.post(
        reverse("trips:import_match", args=[batch.pk]),
        {
            "column_date": "0", "column_site": "0",
            "mass_unit": "g", "volume_unit": "L", "distance_unit": "km",
        },
    )  # fmt: skip
    assert response.status_code == 200
    assert "already taken" in response.content.decode()


def test_a_reader_may_not_bring_trips(client):
    make.signed_in(client, make.make_party(), "reader")
    assert client.get(reverse("trips:import_start")).status_code == 403
