"""The addresses that the field page talks to, with what a phone or a stranger may send."""

import datetime as dt
import json
import re
import shutil
import time

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from tests import factories as make
from tests.sync.entries import DAY, entry, key, pan
from trips.models import FieldEntry, FieldRecord, TestPan
from trips.services import derive
from trips.sync import shell

pytestmark = pytest.mark.django_db


@pytest.fixture
def hand(client, party):
    return make.signed_in(client, party, "hand")


def post(client, party, entries, **more):
    body = {"device": "phone", "party": party.pk, "entries": entries, **more}
    return client.post(
        reverse("trips:field_sync"), json.dumps(body), content_type="application/json"
    )


def test_a_hand_sends_and_is_answered_per_entry(hand, party, trip, bend):
    response = post(hand, party, [pan("p", trip, str(bend.uuid)), {"id": "nonsense"}])
    assert response.status_code == 200
    first, second = response.json()["answers"]
    assert (first["id"], first["answer"]) == (key("p"), "stored")
    assert (second["id"], second["answer"]) == ("nonsense", "refused")
    assert FieldEntry.objects.get().sent_by.memberships.get().role == "hand"


def test_a_reader_is_told_so_and_nothing_is_stored(client, party, trip, bend):
    make.signed_in(client, party, "reader")
    assert post(client, party, [pan("p", trip, str(bend.uuid))]).status_code == 403
    assert FieldEntry.objects.count() == 0


def test_without_a_log_in_the_answer_is_no_json(client, party, trip, bend):
    response = post(client, party, [pan("p", trip, str(bend.uuid))])
    assert response.status_code == 302
    assert FieldEntry.objects.count() == 0


def test_without_the_token_nothing_is_stored(party, trip, bend):
    from django.test import Client

    client = Client(enforce_csrf_checks=True)
    make.signed_in(client, party, "hand")
    assert post(client, party, [pan("p", trip, str(bend.uuid))]).status_code == 403
    token = client.get(reverse("trips:field_hello")).json()["csrf"]
    sent = client.post(
        reverse("trips:field_sync"),
        json.dumps({"party": party.pk, "entries": [pan("p", trip, str(bend.uuid))]}),
        content_type="application/json",
        headers={"X-CSRFToken": token},
    )
    assert sent.status_code == 200
    assert TestPan.objects.count() == 1


def test_entries_made_for_another_record_stay_on_the_phone(hand, party, trip, bend):
    theirs = make.make_party(name="Theirs")
    response = post(hand, theirs, [pan("p", trip, str(bend.uuid))])
    assert response.status_code == 409
    assert "Nothing was stored" in response.json()["refused"]
    assert FieldEntry.objects.count() == 0


@pytest.mark.parametrize(
    "body",
    [
        b"",
        b"{",
        b"[]",
        b"null",
        b'{"entries": {}}',
        b'{"entries": 7}',
        b"\xff\xfe",
        b"[" * 100_000,
        b'{"entries": [' + b"9" * 10_000 + b"]}",
        b"x" * 5_300_000,
    ],
    ids=range(10),
)
def test_what_isnt_a_batch_is_refused_with_a_sentence(hand, body):
    response = hand.post(reverse("trips:field_sync"), body, content_type="application/json")
    assert response.status_code in (400, 413)
    assert re.search("nothing was stored|isn't a field file", response.json()["refused"])
    assert not FieldEntry.objects.exists()


def test_a_hundred_thousand_entries_at_once_are_refused_quickly(hand, party):
    # Each is as short as JSON can be, so that the limit on size alone doesn't catch it.
    began = time.process_time()
    response = post(hand, party, [{}] * 100_000)
    assert response.status_code == 400
    assert "at most 50" in response.json()["refused"]
    assert time.process_time() - began < 5
    assert FieldEntry.objects.count() == 0


def wrong(**changes):
    return {**entry("w", "note", {"text": "x", "day": DAY}), **changes}


@pytest.mark.parametrize(
    "item",
    [
        None,
        7,
        "text",
        [],
        {},
        wrong(id=7),
        wrong(id="1" * 36),
        wrong(id=None),
        wrong(record=[]),
        wrong(kind="gold"),
        wrong(kind={}),
        wrong(trip="no"),
        wrong(replaces="all"),
        wrong(replaces=["x"]),
        wrong(replaces=[key("a")] * 501),
        wrong(body=None),
        wrong(body={"text": {"deep": []}}),
        wrong(body={"text": "x" * 4001}),
        wrong(body={f"n{n}": "" for n in range(41)}),
        wrong(body={f"n{n}": "x" * 3000 for n in range(8)}),
        wrong(at=7),
        wrong(base=["x"]),
    ],
    ids=range(22),
)
def test_wrong_types_are_refused_one_by_one(hand, party, trip, bend, item):
    good = pan("p", trip, str(bend.uuid))
    first, second = post(hand, party, [item, good]).json()["answers"]
    assert first["answer"] == "refused"
    assert len(first["reason"]) > 15
    assert second["answer"] == "stored"
    assert FieldEntry.objects.count() == 1


@pytest.mark.parametrize(
    "changes",
    [
        {"at": "9999-12-31T23:59:59+00:00"},
        {"at": "yesterday"},
        {"at": ""},
        {"body": {"text": "\x00 and \ud800", "day": DAY}},
        {"body": {"text": "<script>alert(1)</script>", "day": DAY}},
        {"removed": "yes"},
        {"base": "0" * 64},
        {"replaces": [key("w")]},
    ],
    ids=range(8),
)
def test_strange_but_storable_entries_are_kept(hand, party, trip, changes):
    answer = post(hand, party, [wrong(trip=str(trip.uuid), **changes)]).json()["answers"][0]
    assert answer["answer"] in {"stored", "look"}
    assert FieldEntry.objects.count() == FieldRecord.objects.count() == 1


def test_the_clock_of_the_phone_is_told(hand, party, trip, bend):
    now = dt.datetime.now(dt.UTC)
    for days, word in ((2, "2 days ahead"), (-2, "2 days behind"), (0, "")):
        sent_at = (now + dt.timedelta(days=days, seconds=30)).isoformat()
        found = post(hand, party, [], sent_at=sent_at).json()["clock"]
        assert word in found
    assert found == ""
    assert post(hand, party, [], sent_at="9999-12-31T23:59:59Z").status_code == 200


def test_hello_says_who_and_gives_a_token(hand, party):
    response = hand.get(reverse("trips:field_hello"))
    body = response.json()
    assert (body["role"], body["party"]["id"]) == ("hand", party.pk)
    assert len(body["csrf"]) == 64
    assert "no-store" in response["Cache-Control"]


def test_the_bundle_holds_the_trip_and_how_to_correct_it(hand, party, trip, bend):
    make.make_pan(trip, bend, medium=None)
    make.make_hole(trip.trip_sites.get().site)
    body = hand.get(reverse("trips:field_bundle") + f"?as_of={DAY}").json()
    assert [each["uuid"] for each in body["trips"]] == [str(trip.uuid)]
    assert body["pan"] == "5.5"
    found = {each["kind"]: each for each in body["records"]}
    assert found["pan"]["body"]["medium"] is None
    assert found["pan"]["body"]["volume"] == "5 L"
    assert found["hole"]["body"]["length"] == "1 m"
    due = {line["phase"] for line in body["trips"][0]["due"] if "Fill" in line["text"]}
    assert due == {"home"}
    change = {
        **entry("fix", "pan", {**found["pan"]["body"], "medium": "3"}, trip=trip),
        "record": found["pan"]["record"],
        "base": found["pan"]["base"],
    }
    assert post(hand, party, [change]).json()["answers"][0]["answer"] == "stored"
    assert TestPan.objects.get().medium == 3


def test_the_bundle_costs_the_same_for_more_rows(hand, party, trip, bend):
    address = reverse("trips:field_bundle") + f"?as_of={DAY}"
    for _ in range(2):
        make.make_pan(trip, bend)
    with CaptureQueriesContext(connection) as few:
        hand.get(address)
    for _ in range(6):
        make.make_pan(trip, make.make_spot(bend.site))
        make.make_run(trip, bend)
        make.make_hole(bend.site)
    with CaptureQueriesContext(connection) as many:
        hand.get(address)
    assert len(many) == len(few) <= 27
    day = dt.date.fromisoformat(DAY)
    for _ in range(3):
        near = make.make_trip(party, name="Near", starts_on=day, state="planned")
        make.make_pan(near)
    with CaptureQueriesContext(connection) as more_trips:
        assert len(hand.get(address).json()["trips"]) == 4
    assert len(more_trips) == len(few)


def test_the_bundle_holds_nothing_of_another_party(hand, party, trip):
    theirs = make.make_party(name="Theirs")
    other = make.make_trip(theirs, name="Secret trip", state="under_way")
    make.make_pan(other)
    text = hand.get(reverse("trips:field_bundle") + f"?as_of={DAY}").content.decode()
    assert "Secret" not in text
    assert str(other.uuid) not in text


def test_derived_rows_are_what_a_rebuild_makes(hand, party, trip, bend):
    make.make_weigh_in(trip)
    post(hand, party, [pan(f"p{n}", trip, str(bend.uuid)) for n in range(5)])
    before = list(trip.derived_figures.__class__.objects.values())
    derive.rebuild_party(party)
    after = list(trip.derived_figures.__class__.objects.values())
    assert [{**row, "id": 0} for row in before] == [{**row, "id": 0} for row in after]


def test_the_shell_holds_nobodys_data_and_is_always_asked_for_anew(client, party, trip):
    for name in ("field_page", "field_worker", "field_manifest"):
        response = client.get(reverse(f"trips:{name}"))
        assert response.status_code == 200
        assert response["Cache-Control"] == "no-cache"
        assert party.name not in response.content.decode()
        assert "csrf" not in response.content.decode().lower()


def test_signed_in_the_shell_is_the_same(client, hand, party):
    from django.test import Client

    address = reverse("trips:field_page")
    assert hand.get(address).content == Client().get(address).content


def test_the_caches_name_follows_from_every_file(client, tmp_path, monkeypatch):
    first = client.get(reverse("trips:field_worker")).content.decode()
    assert first == client.get(reverse("trips:field_worker")).content.decode()
    copy = shutil.copytree(shell.FOLDER, tmp_path / "field")
    monkeypatch.setattr(shell, "FOLDER", copy)
    assert client.get(reverse("trips:field_worker")).content.decode() == first
    (copy / "screens" / "pan.js").write_text("// changed\n")
    assert client.get(reverse("trips:field_worker")).content.decode() != first


def test_the_manifest_names_icons_that_are_there(client):
    body = client.get(reverse("trips:field_manifest")).json()
    assert {icon["sizes"] for icon in body["icons"]} == {"192x192", "512x512"}
    for icon in body["icons"]:
        response = client.get(icon["src"])
        assert b"".join(response.streaming_content)[1:4] == b"PNG"
        response.close()
