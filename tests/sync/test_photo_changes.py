"""What is said of a kept photo, changed and removed from the field page; and undone removals."""

import datetime as dt
import uuid

import pytest
from django.urls import reverse

from claims.models import KeptFile
from tests import factories as make
from tests.sync.entries import entry, key, pan, send
from trips.models import FieldRecord, TestPan, TripFile
from trips.sync.bundle import bundle
from trips.sync.rows import row_digest

pytestmark = pytest.mark.django_db


@pytest.fixture
def party(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    return make.make_party()


@pytest.fixture
def user(party):
    return make.make_member(party).user


@pytest.fixture
def trip(party):
    return make.make_trip(party, state="under_way")


@pytest.fixture
def bend(trip):
    return make.make_spot(trip.trip_sites.get().site, "Bend")


@pytest.fixture
def photo(trip):
    return make.make_file(trip, caption="Before")


def change(word, photo, body=(), *, trip=None, base=None, **more):
    whole = {"caption": "After", "role": "after", "of": "trip", **dict(body)}
    base = row_digest("photo", photo) if base is None else base
    made = entry(word, "photo", whole, trip=trip, base=base, **more)
    return made | {"record": str(photo.uuid)}


def told(party, user):
    found = bundle(party=party, user=user, role="keeper", today=dt.date(2031, 5, 3))["records"]
    return {each["record"]: each for each in found}


def test_a_phone_is_told_of_photos_and_changes_what_is_said_of_them(party, user, trip, photo):
    said = told(party, user)[str(photo.uuid)]
    assert (said["kind"], said["trip"]) == ("photo", str(trip.uuid))
    assert said["body"] == {"caption": "Before", "role": "other", "of": "trip"}
    [answer] = send(party, user, change("c", photo, base=said["base"], trip=trip))
    photo.refresh_from_db()
    assert (answer.answer, photo.caption, photo.role) == ("stored", "After", "after")
    assert told(party, user)[str(photo.uuid)]["versions"] == [key("c")]


def test_a_photo_moves_from_the_trip_to_spot_and_hole_and_back(party, user, trip, bend, photo):
    hole = make.make_hole(bend.site, spot=bend)
    send(party, user, change("a", photo, {"of": f"spot {bend.uuid}"}))
    photo.refresh_from_db()
    assert (photo.spot, photo.target, TripFile.objects.count()) == (bend, "spot", 0)
    send(party, user, change("b", photo, {"of": f"hole {hole.uuid}"}, replaces=["a"]))
    photo.refresh_from_db()
    assert (photo.spot, photo.hole, photo.target) == (None, hole, "hole")
    send(party, user, change("d", photo, trip=trip, replaces=["a", "b"]))
    photo.refresh_from_db()
    assert (photo.hole, photo.target, photo.trip_file.trip) == (None, "work", trip)


def test_a_hole_that_comes_after_the_photos_change(party, user, trip, bend, photo):
    [answer] = send(party, user, change("c", photo, {"of": f"hole {key('hole')}"}))
    assert "Waits for its hole" in answer.reason
    send(party, user, entry("hole", "hole", {"spot": str(bend.uuid), "opened_on": "2031-05-03"}))
    photo.refresh_from_db()
    assert (photo.hole.uuid, photo.caption) == (uuid.UUID(key("hole")), "After")


def test_removed_from_the_phone_it_goes_and_says_how_it_comes_back(party, user, trip, photo):
    [answer] = send(party, user, change("c", photo, trip=trip, removed=True))
    assert (answer.answer, KeptFile.objects.count()) == ("stored", 0)
    again = change("d", photo, trip=trip, replaces=["c"])
    [answer] = send(party, user, again)
    assert answer.answer == "look"
    assert "Bring it back on the desk" in answer.reason


def test_changed_on_the_desk_meanwhile_asks(party, user, trip, photo):
    base = row_digest("photo", photo)
    photo.caption = "From the desk"
    photo.save()
    [answer] = send(party, user, change("c", photo, trip=trip, base=base))
    assert (answer.answer, answer.about) == ("look", "desk")
    photo.refresh_from_db()
    assert photo.caption == "From the desk"


@pytest.mark.parametrize(
    ("body", "reason"),
    [
        ({"caption": "x" * 201}, "At most 200 characters"),
        ({"role": "never"}, "isn't known"),
        ({"of": "weather"}, "isn't anything that photos show"),
        ({"of": "hole here"}, "isn't anything that photos show"),
    ],
)
def test_what_cant_be_read_waits_with_its_reason(party, user, trip, photo, body, reason):
    [answer] = send(party, user, change("c", photo, body, trip=trip))
    assert answer.answer == "look"
    assert reason in answer.reason
    photo.refresh_from_db()
    assert photo.caption == "Before"


def test_neither_papers_nor_another_partys_photos_can_be_touched(party, user, trip):
    other = make.make_trip(make.make_party(), state="under_way")
    kept = [make.make_file(make.make_paper(party), caption="Before"),
            make.make_file(other, caption="Before")]  # fmt: skip
    for number, each in enumerate(kept):
        [answer] = send(party, user, change(f"c{number}", each, trip=trip, removed=number == 0))
        assert answer.answer in ("look", "stored")
        each.refresh_from_db()
        assert each.caption == "Before"
    assert str(kept[1].uuid) not in told(party, user)


def test_a_conflict_is_settled_on_the_desk(client, party, user, trip, photo):
    send(party, user, change("a", photo, {"caption": "One"}, trip=trip))
    send(party, user, change("b", photo, {"caption": "Two"}, trip=trip))
    record = FieldRecord.objects.get(uuid=photo.uuid)
    assert record.state == FieldRecord.State.CONFLICT
    client.force_login(user)
    address = reverse("trips:field_record_edit", args=[record.pk])
    page = client.get(address).content.decode()
    assert "One" in page
    assert "Two" in page
    form = {"do": "mend", "trip": trip.pk, "of": "trip", "role": "other", "caption": "Both"}
    client.post(address, form)
    photo.refresh_from_db()
    assert photo.caption == "Both"


def test_a_removal_of_what_the_desk_made_can_be_undone_after_it_was_sent(party, user, trip, bend):
    """The phone's undo comes when the removal is in already: the row is made anew."""
    row = make.make_pan(trip, bend, fine=3)
    said = told(party, user)[str(row.uuid)]
    common = {"of": "x", "base": said["base"]}
    gone = pan("gone", trip, str(bend.uuid), removed=True, **common) | {"record": str(row.uuid)}
    send(party, user, gone)
    assert not TestPan.objects.exists()
    back = pan("back", trip, str(bend.uuid), counts=("0", "1", "3"), replaces=["gone"], **common)
    [answer] = send(party, user, back | {"record": str(row.uuid)})
    assert (answer.answer, TestPan.objects.get().fine) == ("stored", 3)
    assert TestPan.objects.get().uuid == row.uuid
