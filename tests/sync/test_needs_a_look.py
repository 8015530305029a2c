"""What needs a look, on the desk: each reason can be settled, and nothing that was sent is lost."""

import pytest
from django.urls import reverse

from tests import factories as make
from tests.sync.entries import DAY, hours, key, pan, send
from trips.models import FieldEntry, FieldRecord, HoursBlock, TestPan
from trips.services import records as desk
from trips.services.trips import delete_trip

pytestmark = pytest.mark.django_db


@pytest.fixture
def hand(client, party):
    return make.signed_in(client, party, "hand")


def settle(client, record, **told):
    return client.post(reverse("trips:field_record_edit", args=[record.pk]), told)


def test_the_list_shows_the_reason_and_an_empty_one_teaches(hand, party, user, trip, bend):
    assert "it waits here" in hand.get(reverse("trips:field_look")).content.decode()
    send(party, user, pan("p", trip, str(bend.uuid), volume="lots"))
    text = hand.get(reverse("trips:field_look")).content.decode()
    assert "“lots”" in text


def test_an_unreadable_part_is_mended(hand, party, user, trip, bend):
    send(party, user, pan("p", trip, str(bend.uuid), volume="lots"))
    record = FieldRecord.objects.get()
    page = hand.get(reverse("trips:field_record_edit", args=[record.pk])).content.decode()
    assert 'value="lots"' in page
    body = {"spot": bend.uuid, "day": DAY, "layer": "gravel", "volume": "6 L", "fine": "4"}
    assert settle(hand, record, do="mend", trip=trip.pk, **body).status_code == 302
    assert (TestPan.objects.get().volume_ml, TestPan.objects.get().medium) == (6_000, None)
    assert FieldEntry.objects.count() == 2


def test_still_wrong_stays_with_its_reason(hand, party, user, trip, bend):
    send(party, user, pan("p", trip, str(bend.uuid), volume="lots"))
    record = FieldRecord.objects.get()
    response = settle(hand, record, do="mend", trip=trip.pk, spot=bend.uuid, day=DAY, volume="xx")
    assert response["Location"].endswith(f"/{record.pk}/")
    record.refresh_from_db()
    assert record.state == "look"


def test_one_of_two_versions_is_chosen(hand, party, user, trip, bend):
    here = str(bend.uuid)
    send(party, user, pan("p", trip, here))
    mine = pan("mine", trip, here, of="p", replaces=["p"], counts=("0", "2", "4"))
    yours = pan("yours", trip, here, of="p", replaces=["p"], counts=("0", "1", "9"))
    send(party, user, mine, yours)
    record = FieldRecord.objects.get()
    page = hand.get(reverse("trips:field_record_edit", args=[record.pk])).content.decode()
    assert "Version 2" in page
    assert f"{bend.site}: Bend" in page
    assert here not in page.partition("Or write it")[0]
    settle(hand, record, do="choose", version=key("yours"))
    assert TestPan.objects.get().fine == 9
    record.refresh_from_db()
    assert record.state == "applied"
    assert settle(hand, record, do="choose", version=key("nothing")).status_code == 200


@pytest.mark.parametrize(("do", "volume"), [("desk", 7_000), ("choose", 6_000)])
def test_desk_or_phone(hand, party, user, trip, bend, do, volume):
    here = str(bend.uuid)
    send(party, user, pan("p", trip, here))
    row = TestPan.objects.get()
    row.volume_ml = 7_000
    desk.save_pan(trip=trip, pan=row, place=desk.Place(spot=bend))
    send(party, user, pan("fix", trip, here, of="p", replaces=["p"], volume="6 L"))
    record = FieldRecord.objects.get()
    assert (
        "On the desk"
        in hand.get(reverse("trips:field_record_edit", args=[record.pk])).content.decode()
    )
    settle(hand, record, do=do, version=key("fix"))
    assert TestPan.objects.get().volume_ml == volume
    record.refresh_from_db()
    assert record.state == "applied"


def test_what_the_desk_deleted_is_put_back_or_left_out(hand, party, user, trip, bend):
    here = str(bend.uuid)
    send(party, user, pan("p", trip, here), pan("q", trip, here))
    for row in TestPan.objects.all():
        desk.delete_record(record=row)
    fixes = [pan(f"{w}2", trip, here, of=w, replaces=[w], volume="6 L") for w in "pq"]
    send(party, user, *fixes)
    settle(hand, FieldRecord.objects.get(uuid=key("p")), do="choose", version=key("p2"))
    settle(hand, FieldRecord.objects.get(uuid=key("q")), do="desk")
    assert str(TestPan.objects.get().uuid) == key("p")
    states = dict(FieldRecord.objects.values_list("uuid", "state"))
    assert sorted(states.values()) == ["applied", "removed"]


def test_an_entry_of_a_deleted_trip_moves_to_another(hand, party, user, trip, bend):
    here = str(bend.uuid)
    send(party, user, pan("early", trip, here))
    delete_trip(trip=trip)
    fix = pan("fix", trip, here, of="early", replaces=["early"], volume="6 L")
    fix["trip"] = key("a trip that is gone")
    send(party, user, fix)
    other = make.make_trip(party, bend.site)
    record = FieldRecord.objects.get()
    body = {"spot": here, "day": DAY, "layer": "gravel", "volume": "6 L", "fine": "4"}
    settle(hand, record, do="mend", trip=other.pk, **body)
    assert TestPan.objects.get().trip == other


def test_leaving_out_keeps_what_was_sent(hand, party, user, trip, bend):
    send(party, user, pan("p", trip, str(bend.uuid), volume="lots"))
    record = FieldRecord.objects.get()
    settle(hand, record, do="leave_out")
    record.refresh_from_db()
    assert (record.state, TestPan.objects.count()) == ("removed", 0)
    assert FieldEntry.objects.filter(body__volume="lots").exists()


def test_the_right_day_is_offered_after_a_wrong_clock(hand, party, user, trip, bend):
    late = pan("p", trip, str(bend.uuid))
    late["body"]["day"] = "2031-05-05"
    send(party, user, late, sent_at="2031-05-05T12:00:00+00:00")
    record = FieldRecord.objects.get()
    page = hand.get(reverse("trips:field_record_edit", args=[record.pk])).content.decode()
    assert 'value="2031-05-03"' in page


def test_a_clock_of_a_lost_phone_is_named_and_ended_on_the_desk(hand, party, user, trip):
    began = {"started_at": "2031-05-03T09:00:00+00:00"}
    send(party, user, hours("h", trip, began))
    look = reverse("trips:field_look")
    assert "Clocks that still run on a phone" in hand.get(look).content.decode()
    record = FieldRecord.objects.get()
    page = hand.get(reverse("trips:field_record_edit", args=[record.pk])).content.decode()
    assert "Try again" not in page
    told = {"activity": "dig", "day": DAY, "minutes": "1:45"}
    settle(hand, record, do="mend", trip=trip.pk, **told)
    assert HoursBlock.objects.get().minutes == 105
    assert "still run" not in hand.get(look).content.decode()
    # The phone turns up again and stops its clock: both are kept and asked about.
    end = {**began, "ended_at": "2031-05-03T12:00:00+00:00"}
    [answer] = send(party, user, hours("end", trip, end, of="h", replaces=["h"]))
    assert answer.answer == "look"
    said = FieldEntry.objects.get(body__minutes="1:45")
    settle(hand, record, do="choose", version=said.uuid)
    assert HoursBlock.objects.get().minutes == 105
