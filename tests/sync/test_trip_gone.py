"""The trip was deleted while the phone was out of reach: nothing is lost, the way on is named."""

import datetime as dt
import json

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from claims.models import Hole, KeptFile, Spot
from tests import factories as make
from tests.sync.entries import DAY, entry, hours, key, pan, run, send
from trips.models import Cost, FieldEntry, FieldNote, FieldRecord, HoursBlock, Run, TestPan
from trips.services.trips import delete_trip
from trips.sync.bundle import bundle

pytestmark = pytest.mark.django_db
OF_THE_TRIP = {
    "pan": (TestPan, lambda trip, spot: pan("e", trip, spot)),
    "run": (Run, lambda trip, spot: run("e", trip, spot, {"volume": "84 L"})),
    "hours": (HoursBlock, lambda trip, spot: hours("e", trip, {"minutes": "1:30"})),
    "cost": (Cost, lambda trip, _: entry("e", "cost", {"what": "fuel", "amount": "4"}, trip=trip)),
    "note": (FieldNote, lambda trip, _: entry("e", "note", {"day": DAY, "text": "X"}, trip=trip)),
}


@pytest.fixture
def party(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    return make.make_party()


@pytest.fixture
def user(party):
    return make.make_member(party).user


@pytest.fixture
def site(party):
    return make.make_site(party)


@pytest.fixture
def bend(site):
    return make.make_spot(site, "Bend")


@pytest.fixture
def gone(party, site):
    """A trip as the phone remembers it, and that isn't there any more."""
    trip = make.make_trip(party, site, state="under_way")
    told = type(trip).objects.get(pk=trip.pk)
    delete_trip(trip=trip)
    return told


def told_to_choose(answer):
    assert (answer.answer, answer.about) == ("look", "trip")
    assert "Nothing is lost: choose the trip" in answer.reason


@pytest.mark.parametrize("kind", OF_THE_TRIP)
def test_an_entry_waits_and_goes_to_the_trip_chosen_on_the_desk(
    client, party, user, site, bend, gone, kind
):
    model, make_entry = OF_THE_TRIP[kind]
    sent = make_entry(gone, str(bend.uuid))
    told_to_choose(send(party, user, sent)[0])
    told_to_choose(send(party, user, sent)[0])  # again, as phones do
    assert (FieldEntry.objects.count(), model.objects.count()) == (1, 0)
    record = FieldRecord.objects.get()
    other = make.make_trip(party, site, state="under_way")
    client.force_login(user)
    address = reverse("trips:field_record_edit", args=[record.pk])
    assert "choose the trip" in client.get(address).content.decode()
    typed = {name: value or "" for name, value in sent["body"].items()}
    client.post(address, {"do": "mend", "trip": other.pk, **typed})
    assert model.objects.get().trip == other
    assert FieldEntry.objects.count() == 2  # what came first stays stored


@pytest.mark.parametrize("kind", OF_THE_TRIP)
def test_or_the_phone_puts_it_on_another_trip(party, user, site, bend, gone, kind):
    model, make_entry = OF_THE_TRIP[kind]
    sent = make_entry(gone, str(bend.uuid))
    send(party, user, sent)
    other = make.make_trip(party, site, state="under_way")
    told = bundle(party=party, user=user, role="keeper", today=dt.date(2031, 5, 3))
    assert "choose the trip" in told["looks"][key("e")]
    moved = sent | {"id": key("moved"), "replaces": [sent["id"]], "trip": str(other.uuid)}
    assert send(party, user, moved)[0].answer == "stored"
    assert model.objects.get().trip == other


def test_holes_and_spots_belong_to_the_ground_and_need_no_trip(party, user, site, gone):
    answers = send(
        party, user,
        entry("s", "spot", {"site": str(site.pk), "name": "New bar"}, trip=gone),
        entry("h", "hole", {"site": str(site.pk), "opened_on": DAY}, trip=gone),
    )  # fmt: skip
    assert [each.answer for each in answers] == ["stored", "stored"]
    assert (Spot.objects.count(), Hole.objects.count()) == (1, 1)


def test_a_photo_stays_on_the_phone_with_the_reason_and_goes_to_another_trip(
    client, party, user, site, gone
):
    client.force_login(user)

    def post(trip):
        about = {"id": key("photo"), "of": {"kind": "trip", "record": None}, "trip": str(trip.uuid)}
        photo = SimpleUploadedFile("p.jpg", make.picture_bytes(), "image/jpeg")
        sent = {"about": json.dumps(about), "photo": photo}
        return client.post(reverse("trips:field_photo"), sent).json()

    said = post(gone)
    assert (said["answer"], KeptFile.objects.count()) == ("refused", 0)
    assert "Put it on another trip" in said["reason"]
    other = make.make_trip(party, site, state="under_way")
    assert post(other)["answer"] == "stored"
    assert KeptFile.objects.get().trip_file.trip == other


def test_a_correction_of_what_went_with_the_trip_asks_too(party, user, site, bend):
    trip = make.make_trip(party, site, state="under_way")
    send(party, user, pan("e", trip, str(bend.uuid)))
    told = type(trip).objects.get(pk=trip.pk)
    delete_trip(trip=trip)
    fixed = pan("fix", told, str(bend.uuid), of="e", replaces=["e"], counts=("0", "0", "9"))
    told_to_choose(send(party, user, fixed)[0])
    other = make.make_trip(party, site, state="under_way")
    moved = fixed | {"id": key("moved"), "replaces": [key("e"), key("fix")]}
    [answer] = send(party, user, moved | {"trip": str(other.uuid)})
    # The pan itself went with its trip: whether it is to come back is a person's choice.
    assert (answer.answer, answer.about) == ("look", "desk")
    assert "put it back, or leave it out" in answer.reason
    assert FieldEntry.objects.count() == 3
