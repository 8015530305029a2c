"""Files, photos, plain lines and the printed card, taken in on the desk."""

import base64
import datetime as dt
import io
import json

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from PIL import Image

from claims.models import Hole, KeptFile, Spot
from tests import factories as make
from tests.sync.entries import DAY, entry, key, pan, send
from trips.models import Cost, FieldEntry, FieldNote, HoursBlock, Run, TestPan

pytestmark = pytest.mark.django_db


@pytest.fixture
def hand(client, party):
    return make.signed_in(client, party, "hand")


def jpeg():
    made = io.BytesIO()
    Image.new("RGB", (40, 30), "#806040").save(made, "JPEG")
    return made.getvalue()


def upload(client, content, name="field.json"):
    sent = SimpleUploadedFile(name, content, "application/json")
    return client.post(reverse("trips:field_import"), {"which": "file", "file": sent})


def file_of(party, *entries, **more):
    raw = {"device": "phone", "party": party.pk, "sent_at": None, "entries": entries, **more}
    return json.dumps(raw).encode()


def paste(client, trip, text, site=None, day=DAY):
    site = site or trip.trip_sites.get().site
    told = {"lines-trip": trip.pk, "lines-site": site.pk, "lines-day": day, "lines-text": text}
    return client.post(reverse("trips:field_import"), {"which": "lines", **told})


# ------------------------------------------------------------------ saved files


def test_a_file_and_a_later_sending_never_double(hand, party, user, trip, bend):
    entries = [pan(f"p{n}", trip, str(bend.uuid)) for n in range(120)]
    text = upload(hand, file_of(party, *entries)).content.decode()
    assert "120 taken in" in text
    assert {a.answer for a in send(party, user, *entries[:50])} == {"already"}
    assert "120 there already" in upload(hand, file_of(party, *entries)).content.decode()
    assert TestPan.objects.count() == 120


def test_photos_travel_in_the_file_and_are_kept_once(hand, party, trip, bend):
    photo = {
        "id": key("photo"),
        "party": party.pk,
        "trip": str(trip.uuid),
        "of": {"kind": "spot", "record": str(bend.uuid)},
        "caption": "Bend from above",
        "jpeg": base64.b64encode(jpeg()).decode(),
    }
    for _ in range(2):
        assert upload(hand, file_of(party, photos=[photo])).status_code == 200
    assert KeptFile.objects.get().spot == bend


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "empty"),
        (b"not json", "isn&#x27;t a file as the field page saves it"),
        (b'{"a": 1}', "isn&#x27;t a field file"),
        (b"\x00" * 50, "isn&#x27;t a file as the field page saves it"),
        (json.dumps({"entries": [{}] * 100_000}).encode(), "at most 2000"),
        (b'{"entries": [], "photos": 7}', "at most 200 photos"),
        (b'{"entries": [' + b"[]," * 1_000_000 + b"[]]}", "filled as no field file is"),
        (b"[" * 500_000, "isn&#x27;t a file as the field page saves it"),
        (b'{"entries": [%s]}' % (b"9" * 5_000), "isn&#x27;t a file as the field page saves it"),
        (b'{"entries": [], "party": 999999}', "another record"),
    ],
    ids=range(10),
)
def test_a_file_that_isnt_one_is_refused_with_a_sentence(hand, party, content, words):
    response = upload(hand, content)
    assert response.status_code == 200
    assert words in response.content.decode()
    assert FieldEntry.objects.count() == 0


def test_a_photo_in_a_file_that_isnt_one_is_named(hand, party, trip):
    photos = [
        {"id": key("a"), "trip": str(trip.uuid), "jpeg": "%%%"},
        {"id": key("b"), "trip": str(trip.uuid), "jpeg": base64.b64encode(b"text").decode()},
        7,
        {"id": "no", "trip": str(trip.uuid), "jpeg": base64.b64encode(jpeg()).decode()},
    ]
    text = upload(hand, file_of(party, photos=photos)).content.decode()
    assert "4 not taken" in text
    assert KeptFile.objects.count() == 0


# ------------------------------------------------------------------ a phone's photo


def photo_post(client, about, content):
    return client.post(
        reverse("trips:field_photo"),
        {
            "about": json.dumps(about),
            "photo": SimpleUploadedFile("photo.jpg", content, "image/jpeg"),
        },
    )


def test_a_photo_waits_for_its_hole_and_is_kept_once(hand, party, user, trip, bend):
    about = {"id": key("ph"), "party": party.pk, "of": {"kind": "hole", "record": key("hole")}}
    assert photo_post(hand, about, jpeg()).json()["answer"] == "waiting"
    send(party, user, entry("hole", "hole", {"spot": str(bend.uuid), "opened_on": DAY}))
    assert photo_post(hand, about, jpeg()).json()["answer"] == "stored"
    assert photo_post(hand, about, jpeg()).json()["answer"] == "already"
    assert KeptFile.objects.get().hole == Hole.objects.get()


def test_place_and_time_are_kept_only_if_the_party_wants(hand, party, trip):
    about = {
        "party": party.pk,
        "trip": str(trip.uuid),
        "of": {"kind": "trip"},
        "taken_at": "2031-05-03T10:00:00Z",
        "lat": "46.5",
        "lon": "7.25",
    }
    photo_post(hand, {**about, "id": key("without")}, jpeg())
    assert KeptFile.objects.get().latitude_udeg is None
    party.refresh_from_db()
    party.keeps_photo_place = True
    party.save()
    other = io.BytesIO()
    Image.new("RGB", (41, 30), "#406080").save(other, "JPEG")
    photo_post(hand, {**about, "id": key("with")}, other.getvalue())
    kept = KeptFile.objects.get(uuid=key("with"))
    assert (kept.latitude_udeg, kept.longitude_udeg) == (46_500_000, 7_250_000)
    assert kept.taken_at == dt.datetime(2031, 5, 3, 10, tzinfo=dt.UTC)


def test_photos_that_cant_be_kept_say_why(hand, party, trip):
    theirs = make.make_trip(make.make_party(name="Theirs"))
    about = {"id": key("x"), "party": party.pk, "trip": str(trip.uuid)}
    assert "not kept" in photo_post(hand, about, b"no picture").json()["reason"]
    gone = photo_post(hand, {**about, "trip": str(theirs.uuid)}, jpeg()).json()
    assert (gone["answer"], "another trip" in gone["reason"]) == ("refused", True)
    assert photo_post(hand, 7, jpeg()).json()["answer"] == "refused"
    assert photo_post(hand, {**about, "party": 99999}, jpeg()).status_code == 409
    assert KeptFile.objects.count() == 0


# ------------------------------------------------------------------ plain lines

LINES = """
# Saturday
spot Upper bend
pan Bend 0/1/4 5.5 L gravel 30 cm
pan bend - / 0 / 12
pan Upper bend 1/2/3 false bedrock
run Bend 84 L 1:30 0/3/20
hours dig 1:30
hours strip overburden 45 min
cost fuel 41.50
cost permit day fee 12
hole Bend 1.2x0.8x0.5
note High water, brown
"""


def test_lines_of_every_kind(hand, party, trip, bend):
    text = paste(hand, trip, LINES).content.decode()
    assert "11 taken in" in text
    pans = TestPan.objects.order_by("sequence")
    assert [(p.spot.name, p.coarse, p.medium, p.fine) for p in pans] == [
        ("Bend", 0, 1, 4),
        ("Bend", None, 0, 12),
        ("Upper bend", 1, 2, 3),
    ]
    assert [p.volume_ml for p in pans] == [5_500] * 3
    assert [p.layer for p in pans] == ["gravel", "unknown", "false_bedrock"]
    assert (Run.objects.get().volume_ml, Run.objects.get().minutes) == (84_000, 90)
    assert sorted(HoursBlock.objects.values_list("activity", "minutes")) == [
        ("dig", 90),
        ("strip", 45),
    ]
    assert sorted(Cost.objects.values_list("kind", "amount_minor", "note")) == [
        ("fuel", 4_150, ""),
        ("other", 1_200, "permit day fee"),
    ]
    hole = Hole.objects.get()
    assert (hole.length_mm, hole.width_mm, hole.depth_mm) == (1_200, 800, 500)
    assert FieldNote.objects.get().text == "High water, brown"


def test_lines_pasted_twice_are_taken_once_and_equal_lines_are_two(hand, party, trip, bend):
    text = "pan Bend 0/0/1\npan Bend 0/0/1\n"
    paste(hand, trip, text)
    assert "2 there already" in paste(hand, trip, text).content.decode()
    assert TestPan.objects.count() == 2
    paste(hand, trip, "note one more\n" + text)
    assert (TestPan.objects.count(), FieldNote.objects.count()) == (2, 1)


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("gold 3 g", "A line starts with pan, run"),
        ("hours dig", "How long?"),
        ("hours dance 1:00", "an activity"),
        ("cost fuel", "How much?"),
        ("pan 0/1/4", "At which spot?"),
        ("note", "empty"),
        ("pan " + "x" * 501, "at most 500"),
        ("cost fuel 41.50 for 2 cans", "Which of the numbers"),
        # Figures in a form that isn't read must not end up in the name of a new spot.
        ("pan Bend 0 1 4", "no spot “Bend 0 1 4”"),
        ("pan Bend 0/1/4 5.5 L 6 L", "no spot “Bend 5.5 L”"),
        ("run Bend 84 L of 12 L", "no spot “Bend 84 L of”"),
        ("hole Upper bend 1x1x1", "add the line “spot Upper bend”"),
    ],
)
def test_a_line_that_cant_be_read_is_named_and_nothing_is_stored(hand, party, trip, line, words):
    response = paste(hand, trip, f"note good\n{line}")
    text = response.content.decode().replace("&#x27;", "'")
    assert "Line 2" in text
    assert words in text
    assert FieldEntry.objects.count() == Spot.objects.count() == 0


def test_more_lines_than_are_read_are_refused_and_none_left_out(hand, party, trip, bend):
    text = paste(hand, trip, "note x\n" * 501).content.decode()
    assert "501 lines at once; at most 500 are read" in text
    assert FieldEntry.objects.count() == 0


def test_lines_for_another_day_or_trip_are_refused(hand, party, trip):
    assert "outside it" in paste(hand, trip, "note x", day="2031-05-09").content.decode()
    theirs = make.make_trip(make.make_party(name="Theirs"))
    text = paste(hand, theirs, "note x").content.decode()
    assert "Theirs" not in text
    assert FieldEntry.objects.count() == 0


# ------------------------------------------------------------------ the printed card


def transfer(client, trip, rows, keys=None, **more):
    told = {"day": DAY, **more}
    for number in range(1, 13):
        told[f"r{number}-key"] = (keys or {}).get(number, key(f"row {number}"))
        for name, value in rows.get(number, {}).items():
            told[f"r{number}-{name}"] = value
    return client.post(reverse("trips:trip_transfer", args=[trip.pk]), told)


def test_rows_of_the_card_become_pans_once(hand, party, trip, bend):
    rows = {
        1: {"spot": bend.pk, "layer": "gravel", "volume": "5.5", "coarse": "0", "medium": "1"},
        2: {"fine": "0"},
        4: {"depth": "30", "volume": "5", "note": "wet"},
    }
    for _ in range(2):
        assert transfer(hand, trip, rows).status_code == 302
    pans = list(TestPan.objects.order_by("sequence"))
    assert [(p.coarse, p.medium, p.fine) for p in pans] == [
        (0, 1, None),
        (None, None, 0),
        (None, None, None),
    ]
    assert [(p.volume_ml, p.layer, p.spot) for p in pans] == [
        (5_500, "gravel", bend),
        (5_500, "gravel", bend),
        (5_000, "gravel", bend),
    ]
    assert pans[2].depth_mm == 300


def test_one_bad_row_saves_none_and_keeps_what_was_typed(hand, party, trip, bend):
    rows = {
        1: {"spot": bend.pk, "volume": "5.5", "fine": "3"},
        2: {"fine": "many"},
        3: {"volume": "-2", "fine": "1"},
    }
    response = transfer(hand, trip, rows)
    text = response.content.decode()
    assert "Row 2, fine" in text
    assert "Row 3, gravel" in text
    assert 'value="many"' in text
    assert TestPan.objects.count() == 0


def run_row(number, **parts):
    told = {"key": key(f"run {number}"), "spot": "", "gear": "", **parts}
    return {f"b{number}-{name}": value for name, value in told.items()}


def test_box_runs_go_in_with_the_pans_and_once(hand, party, trip, bend):
    box = make.make_gear(party, name="Short sluice", kind="sluice_stream_fed")
    rows = {1: {"spot": bend.pk, "volume": "5.5", "fine": "3"}}
    more = run_row(1, gear=box.pk, volume="120", minutes="1:30", fine="22") | run_row(
        2, volume="80", coarse="0"
    )
    for _ in range(2):
        assert transfer(hand, trip, rows, **more).status_code == 302
    runs = Run.objects.order_by("volume_ml")
    assert [(r.volume_ml, r.minutes, r.coarse, r.fine, r.gear, r.spot) for r in runs] == [
        (80_000, None, 0, None, box, bend),
        (120_000, 90, None, 22, box, bend),
    ]
    assert TestPan.objects.count() == 1


def test_runs_alone_make_no_pan_of_the_litres_filled_in(hand, party, trip, bend):
    more = run_row(1, spot=bend.pk, volume="120")
    transfer(hand, trip, {1: {"spot": "", "layer": "gravel", "volume": "5.5"}}, **more)
    assert (TestPan.objects.count(), Run.objects.count()) == (0, 1)


def test_a_bad_run_saves_none_of_the_card(hand, party, trip, bend):
    rows = {1: {"spot": bend.pk, "volume": "5.5", "fine": "3"}}
    more = run_row(1, volume="120", minutes="soon")
    assert "Run 1, how long" in transfer(hand, trip, rows, **more).content.decode()
    assert (TestPan.objects.count(), Run.objects.count()) == (0, 0)


def test_an_empty_card_and_a_wrong_day_are_told(hand, party, trip, bend):
    assert "Nothing was typed" in transfer(hand, trip, {}).content.decode()
    rows = {1: {"spot": bend.pk, "volume": "5", "fine": "1"}}
    assert "outside it" in transfer(hand, trip, rows, day="2031-05-09").content.decode()
    assert "expected a date" in transfer(hand, trip, rows, day="soon").content.decode()
    assert TestPan.objects.count() == 0
