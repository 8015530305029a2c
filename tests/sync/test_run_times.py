"""Start and end of a box run: facts of the run, from the phone, from the desk and out again."""

import datetime as dt
import importlib

import pytest
from django.apps import apps
from django.urls import reverse

from tests import factories as make
from tests.sync.entries import DAY, NOW, key, run, send
from trips.models import FieldEntry, FieldRecord, Run
from trips.sync.bundle import bundle
from trips.sync.rows import row_digest

pytestmark = pytest.mark.django_db
BEGAN, ENDED = "2031-05-03T11:00:05+00:00", "2031-05-03T12:30:25+00:00"


@pytest.fixture
def party():
    return make.make_party(time_zone="Europe/Zurich")


@pytest.fixture
def user(party):
    return make.make_member(party).user


@pytest.fixture
def trip(party):
    return make.make_trip(party, state="under_way")


@pytest.fixture
def bend(trip):
    return make.make_spot(trip.trip_sites.get().site, "Bend")


def sent_run(party, user, trip, bend, **body):
    whole = {"started_at": BEGAN, "ended_at": ENDED, "tubs": "7", "tub": "12 L", **body}
    [answer] = send(party, user, run("r", trip, str(bend.uuid), whole))
    assert answer.answer == "stored"
    return Run.objects.get()


def as_told(party, user):
    told = bundle(party=party, user=user, role="keeper", today=dt.date(2031, 5, 3))
    return next(each for each in told["records"] if each["kind"] == "run")


def form_of(run, **typed):
    data = {"day": DAY, "spot": run.spot_id, "layer": "gravel", "volume_ml": "84"}
    return data | {"began": "13:00", "ended": "14:30", "minutes": ""} | typed


def test_a_phones_run_has_start_end_and_the_minutes_between(party, user, trip, bend):
    stored = sent_run(party, user, trip, bend)
    assert (stored.began_at.isoformat(), stored.ended_at.isoformat()) == (BEGAN, ENDED)
    assert (stored.minutes, stored.volume_ml) == (90, 84_000)
    assert not trip.hours.exists()  # a box's time is no one's hours


def test_a_run_that_runs_has_a_start_only(party, user, trip, bend):
    stored = sent_run(party, user, trip, bend, ended_at=None)
    assert (stored.began_at.isoformat(), stored.ended_at, stored.minutes) == (BEGAN, None, None)


def test_typed_minutes_win_over_the_clock(party, user, trip, bend):
    stored = sent_run(party, user, trip, bend, minutes="1:10")
    assert (stored.minutes, stored.span_minutes()) == (70, 90)


@pytest.mark.parametrize(
    ("body", "kept"),
    [
        ({"started_at": "2031-05-05T11:00:00Z", "ended_at": "2031-05-05T12:30:00Z"}, (None, None)),
        ({"ended_at": "2031-05-03T10:00:00Z", "minutes": "1:00"}, (None, None)),
        ({"ended_at": "2031-05-04T20:00:00Z", "minutes": "1:00"}, (BEGAN, None)),
        ({"started_at": "noon", "ended_at": None, "minutes": "1:00"}, (None, None)),
    ],
    ids=["two days off", "end first", "left running", "unreadable"],
)
def test_a_clock_that_was_off_leaves_the_length_alone(party, user, trip, bend, body, kept):
    stored = sent_run(party, user, trip, bend, **body)
    found = tuple(each and each.isoformat() for each in (stored.began_at, stored.ended_at))
    assert (found, stored.minutes is not None) == (kept, True)


def test_over_midnight(party, user, trip, bend):
    stored = sent_run(
        party, user, trip, bend, started_at="2031-05-03T21:30:00Z", ended_at="2031-05-03T22:45:00Z"
    )  # 23:30 to 00:45 by the clock there
    assert (stored.day.isoformat(), stored.minutes) == (DAY, 75)


def test_the_trips_page_shows_from_when_to_when_by_the_clock_there(client, party, user, trip, bend):
    sent_run(party, user, trip, bend)
    client.force_login(user)
    page = client.get(reverse("trips:trip_detail", args=[trip.pk])).content.decode()
    assert "13:00–14:30" in page


def test_the_desk_changes_the_times_and_the_length_follows(client, party, user, trip, bend):
    stored = sent_run(party, user, trip, bend)
    client.force_login(user)
    address = reverse("trips:run_edit", args=[stored.pk])
    form = client.get(address).context["form"]
    assert [form[name].value() for name in ("began", "ended", "minutes")] == [
        dt.time(13, 0, 5), dt.time(14, 30, 25), None,
    ]  # fmt: skip
    client.post(address, form_of(stored, ended="15:00", version=stored.version))
    stored.refresh_from_db()
    assert stored.began_at.isoformat() == BEGAN  # its seconds stay where the face is the same
    assert stored.ended_at.isoformat() == "2031-05-03T13:00:00+00:00"
    assert stored.minutes == 120
    told = as_told(party, user)["body"]
    assert (told["started_at"], told["ended_at"]) == (BEGAN, "2031-05-03T13:00:00+00:00")
    assert told["minutes"] is None


def test_the_desk_adds_a_run_over_midnight_and_refuses_an_hour_that_isnt(
    client, party, user, trip, bend
):
    client.force_login(user)
    address = reverse("trips:run_create", args=[trip.pk])
    blank = Run(spot=bend)
    client.post(address, form_of(blank, began="23:30", ended="00:45"))
    stored = Run.objects.get()
    assert stored.began_at.isoformat() == "2031-05-03T21:30:00+00:00"
    assert (stored.minutes, (stored.ended_at - stored.began_at).total_seconds()) == (75, 4500)
    spring = make.make_trip(
        party, trip.trip_sites.get().site, starts_on=dt.date(2031, 3, 30), state="under_way"
    )
    # The clocks of this zone go from 02:00 to 03:00 that night.
    answer = client.post(
        reverse("trips:run_create", args=[spring.pk]),
        form_of(blank, day="2031-03-30", began="02:30", ended=""),
    )
    assert "doesn&#x27;t exist" in answer.content.decode()
    assert Run.objects.count() == 1


def test_what_the_phone_sends_next_on_top_of_the_desk_is_taken(client, party, user, trip, bend):
    stored = sent_run(party, user, trip, bend)
    Run.objects.filter(pk=stored.pk).update(ended_at=None, minutes=None)
    told = as_told(party, user)
    assert told["body"]["ended_at"] is None  # the row speaks, not the phone's old entry
    change = run(
        "r2", trip, str(bend.uuid), {**told["body"], "ended_at": ENDED}, of="r", replaces=["r"],
        base=told["base"],
    )  # fmt: skip
    assert [each.answer for each in send(party, user, change)] == ["stored"]
    stored.refresh_from_db()
    assert (stored.minutes, stored.ended_at.isoformat()) == (90, ENDED)


def test_records_from_before_get_their_times_from_the_phones_entries(party, user, trip, bend):
    """What the migration does, over rows as they stood before it."""
    stored = sent_run(party, user, trip, bend)
    send(party, user, run("desk", trip, str(bend.uuid), {"started_at": BEGAN, "ended_at": ENDED}))
    for row in Run.objects.all():
        Run.objects.filter(pk=row.pk).update(began_at=None, ended_at=None)
        row.refresh_from_db()
        FieldRecord.objects.filter(uuid=row.uuid).update(row_digest=row_digest("run", row))
    other = Run.objects.get(uuid=key("desk"))
    Run.objects.filter(pk=other.pk).update(minutes=5)  # changed on the desk since
    assert FieldEntry.objects.count() == 2

    importlib.import_module("trips.migrations.0014_run_start_and_end").fill(apps, None)

    stored.refresh_from_db()
    other.refresh_from_db()
    assert (stored.began_at.isoformat(), stored.ended_at.isoformat()) == (BEGAN, ENDED)
    assert (other.began_at, other.ended_at) == (None, None)
    assert FieldRecord.objects.get(uuid=stored.uuid).row_digest == row_digest("run", stored)


def test_the_clocks_of_two_zones_are_told_apart(client, party, user, trip, bend):
    site = bend.site
    site.time_zone = "America/Denver"
    site.save()
    stored = sent_run(
        party, user, trip, bend, started_at="2031-05-03T16:00:00Z", ended_at="2031-05-03T17:00:00Z"
    )
    client.force_login(user)
    page = client.get(reverse("trips:trip_detail", args=[trip.pk])).content.decode()
    assert "10:00–11:00" in page
    assert stored.began_at < NOW + dt.timedelta(days=1)
