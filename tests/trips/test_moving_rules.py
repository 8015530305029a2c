"""Packs of one's own and signed checklists go out with the record and come in as they were."""

import json
import zipfile

import pytest
from django.urls import reverse
from django.utils import timezone

from claims.models import Party
from tests import factories as make
from tests.factories_rules import make_answer, make_party_pack
from tests.trips.test_moving import changed, taken_out
from trips.models import SignOff, TripAnswer
from trips.moving.bring_in import NoRecord, bring_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def party(client):
    """A party with a pack of its own, an answer, and a checklist that was signed off."""
    party = make.make_party(name="Marl party")
    make_party_pack(party)
    site = make.make_site(party, rule_packs=["gravel-hills"])
    trip = make.make_trip(party, site, state="planned")
    make_answer(trip, site)
    make.signed_in(client, party)
    client.post(reverse("trips:trip_signoff_create", args=[trip.pk]))
    assert SignOff.objects.count() == 1
    return party


def brought_in(record):
    return bring_in(record, user=make.make_user(), now=timezone.now())


def kept(party):
    packs = party.packs.values_list("pack_id", "title", "text", "sha256", "added_at")
    signed = SignOff.objects.filter(trip__party=party)
    words = signed.values_list("signer", "signed_at", "snapshot", "sha256", "trip__starts_on")
    said = TripAnswer.objects.filter(trip__party=party)
    return list(packs), list(words), list(said.values_list("key", "value", "said_by", "said_at"))


def test_packs_sign_offs_and_answers_come_in_as_they_went_out(party, client):
    new = brought_in(taken_out(party))
    assert kept(new) == kept(party)
    assert [len(rows) for rows in kept(new)] == [1, 1, 1]
    again = brought_in(taken_out(new))
    assert kept(again) == kept(party)
    make.signed_in(client, new)
    signed = SignOff.objects.get(trip__party=new)
    body = client.get(reverse("trips:signoff_detail", args=[signed.pk])).content.decode()
    assert "Checklist as signed off" in body
    assert signed.sha256 in body


def test_the_files_are_plain_toml_and_json(party):
    with zipfile.ZipFile(taken_out(party)) as inside:
        pack = next(name for name in inside.namelist() if name.startswith("packs/"))
        signed = next(name for name in inside.namelist() if name.startswith("sign-offs/"))
        assert inside.read(pack).decode() == party.packs.get().text
        assert json.loads(inside.read(signed)) == SignOff.objects.get().snapshot


def put(old, new):
    def change(data):
        assert old in data
        return data.replace(old, new, 1)

    return change


@pytest.mark.parametrize(
    ("start", "change", "says"),
    [
        ("sign-offs/", put(b"Gravel Hills", b"Gravel Hillz"), "isn't what was signed"),
        ("sign-offs/", lambda data: b"[]", "no checklist that was signed off"),
        ("sign-offs/", lambda data: b"{", "can't be read"),
        ("sign-offs/", put(b'"plan"', b'"plans"'), "no checklist that was signed off"),
        ("tables/sign-offs.csv", put(b"sign-offs/", b"files/"), "there is no file"),
        ("packs/", put(b"[pack]", b"[pakc]"), "pack: is missing"),
        ("packs/", put(b'id = "gravel-hills"', b'id = "own"'), "kept for own rules"),
        ("tables/packs.csv", put(b"packs/", b"packs/x"), "There is no file"),
    ],
)
def test_what_was_tampered_with_is_refused_whole(party, start, change, says):
    with zipfile.ZipFile(taken_out(party)) as inside:
        name = next(each for each in inside.namelist() if each.startswith(start))
    before = Party.objects.count()
    with pytest.raises(NoRecord, match=says):
        brought_in(changed(party, name, change))
    assert Party.objects.count() == before


def test_a_record_of_before_without_packs_comes_in(party):
    """Records that went out earlier have neither table."""
    import io

    old = io.BytesIO()
    with zipfile.ZipFile(taken_out(party)) as inside, zipfile.ZipFile(old, "w") as out:
        for name in inside.namelist():
            if not name.startswith(("packs/", "sign-offs/", "tables/packs", "tables/sign-offs")):
                out.writestr(name, inside.read(name))
    old.seek(0)
    new = brought_in(old)
    assert kept(new)[:2] == ([], [])
