"""Entries become rows: each once, in any order, with the reason where that can't be."""

import random

import pytest

from claims.models import Hole, Spot
from claims.services.ground import save_spot
from tests import factories as make
from tests.sync.entries import entry, hours, key, pan, run, send, spot
from trips.models import (
    Cost,
    DerivedTripFigures,
    FieldEntry,
    FieldNote,
    FieldRecord,
    HoursBlock,
    Run,
    TestPan,
)
from trips.services import records as desk
from trips.services.trips import call_off, delete_trip
from trips.sync.rows import row_digest

TABLES = (Spot, TestPan, Run, HoursBlock, Cost, Hole, FieldNote)
BOOKKEEPING = {"id", "spot_id", "version"}


def answers(found):
    return [each.answer for each in found]


def stored_rows():
    """Every row as facts, without the numbers that the database gives out."""
    found = []
    for model in TABLES:
        names = [f.attname for f in model._meta.concrete_fields if f.attname not in BOOKKEEPING]
        if model not in (Spot, HoursBlock, Cost):
            names.append("spot__uuid")
        found += [(model.__name__, *map(str, row)) for row in model.objects.values_list(*names)]
    states = FieldRecord.objects.values_list("uuid", "state", "head", "reason")
    figures = DerivedTripFigures.objects.values_list("washed_ml", "door_minutes", "outlay_minor")
    return sorted(found), sorted(map(str, states)), list(figures)


def a_days_entries(trip, site):
    """A spot, what was done there, corrections, a removal, two versions and a forgotten clock."""
    here = key("spot")
    pans = [
        pan(f"pan {n}", trip, here, counts=(None, "0", str(n)), at=f"2031-05-03T10:{n:02d}:00Z")
        for n in range(12)
    ]
    return [
        spot("spot", site),
        spot("twin", site, "inside BEND"),
        *pans,
        pan("pan twin", trip, key("twin"), at="2031-05-03T11:00:00Z"),
        pan("fix 1", trip, here, of="pan 1", replaces=["pan 1"], counts=("2", "0", "1")),
        pan("fix 2", trip, here, of="pan 1", replaces=["pan 1", "fix 1"], volume="6 L"),
        pan("gone", trip, here, of="pan 2", replaces=["pan 2"], removed=True),
        pan("mine", trip, here, of="pan 3", replaces=["pan 3"], counts=("1", "1", "1")),
        pan("yours", trip, here, of="pan 3", replaces=["pan 3"], counts=("3", "3", "3")),
        run("run", trip, here, {"started_at": "2031-05-03T11:00:00Z"}),
        run(
            "run end",
            trip,
            here,
            {
                "started_at": "2031-05-03T11:00:00Z",
                "ended_at": "2031-05-03T12:30:20Z",
                "tubs": "7",
                "tub": "12 L",
                "coarse": "0",
                "medium": "3",
                "fine": "20",
            },
            of="run",
            replaces=["run"],
        ),
        hours("dig", trip, {"started_at": "2031-05-03T09:00:00Z"}),
        hours(
            "dig end",
            trip,
            {"started_at": "2031-05-03T09:00:00Z", "ended_at": "2031-05-03T10:30:00Z"},
            of="dig",
            replaces=["dig"],
        ),
        hours("long 1", trip, {"minutes": "20:00", "activity": "rest"}),
        hours("long 2", trip, {"minutes": "10:00", "activity": "walk"}),
        entry("fuel", "cost", {"what": "fuel", "amount": "41,50"}, trip=trip),
        entry(
            "hole",
            "hole",
            {"spot": here, "opened_on": "2031-05-03", "length": "1.2 m", "depth": "60 cm"},
        ),
        entry("note", "note", {"text": "High water.", "day": "2031-05-03"}, trip=trip),
        pan("bad", trip, here, volume="lots"),
    ]


def test_a_pan_with_what_wasnt_counted(party, user, trip, bend):
    [answer] = send(party, user, pan("p", trip, str(bend.uuid), counts=(None, "0", "12")))
    assert answer.answer == "stored"
    row = TestPan.objects.get()
    assert (row.coarse, row.medium, row.fine) == (None, 0, 12)
    assert (row.volume_ml, str(row.uuid), row.spot) == (5_500, key("p"), bend)
    assert trip.trip_sites.get().was_visited is True


def test_the_same_again_is_already_there_and_other_content_differs(party, user, trip, bend):
    first = pan("p", trip, str(bend.uuid))
    assert answers(send(party, user, first, first)) == ["stored", "already"]
    assert answers(send(party, user, first)) == ["already"]
    other = pan("p", trip, str(bend.uuid), counts=("9", "9", "9"))
    [answer] = send(party, user, other)
    assert answer.answer == "differs"
    assert "stays as it is" in answer.reason
    assert TestPan.objects.get().fine == 4


@pytest.mark.parametrize("seed", range(10))
def test_any_order_any_batches_any_number_of_times_gives_the_same_rows(
    party, user, trip, site, seed
):
    from django.db import transaction

    everything = a_days_entries(trip, site)

    def outcome(entries, chance):
        todo = list(entries)
        while todo:
            size = chance.randint(1, 9)
            send(party, user, *todo[:size])
            todo = todo[size:]
        found = stored_rows()
        transaction.set_rollback(True)
        return found

    with transaction.atomic():
        straight = outcome(everything, random.Random(1))
    chance = random.Random(seed)
    mixed = [each for each in everything for _ in range(chance.randint(1, 3))]
    chance.shuffle(mixed)
    with transaction.atomic():
        assert outcome(mixed, chance) == straight
    rows, _, [figures] = straight
    assert sum(row[0] == "TestPan" for row in rows) == 12  # 13 good ones less the removed one
    assert sum(row[0] == "Spot" for row in rows) == 1
    assert figures == (84_000, 1_890, 4_150)


def test_a_pan_waits_for_its_spot(party, user, trip, site):
    [answer] = send(party, user, pan("p", trip, key("spot")))
    assert (answer.answer, TestPan.objects.count()) == ("stored", 0)
    assert "spot" in answer.reason
    send(party, user, spot("spot", site))
    assert TestPan.objects.get().spot.name == "Inside bend"


def test_two_spots_of_one_name_are_one_place(party, user, trip, site):
    send(party, user, spot("a", site, "Log jam"), spot("b", site, "log jam"))
    send(party, user, pan("p", trip, key("a")), pan("q", trip, key("b")))
    assert Spot.objects.count() == 1
    assert TestPan.objects.filter(spot=Spot.objects.get()).count() == 2


def test_a_spot_that_gets_its_own_name_takes_its_pans_along(party, user, trip, site, bend):
    send(party, user, spot("b", site, "bend"), pan("p", trip, key("b")))
    assert TestPan.objects.get().spot == bend
    send(party, user, spot("b2", site, "Upper bend", of="b", replaces=["b"]))
    assert TestPan.objects.get().spot.name == "Upper bend"
    assert Spot.objects.count() == 2


def test_a_spot_isnt_removed_from_under_its_pans(party, user, trip, site):
    send(party, user, spot("s", site), pan("p", trip, key("s")))
    gone = spot("s2", site, of="s", replaces=["s"], removed=True)
    [answer] = send(party, user, gone)
    assert (answer.answer, answer.about) == ("look", "name")
    send(party, user, pan("p2", trip, key("s"), of="p", replaces=["p"], removed=True))
    assert Spot.objects.count() == TestPan.objects.count() == 0
    assert answers(send(party, user, gone)) == ["already"]


def test_edits_of_two_people_are_kept_and_asked_about(party, user, trip, bend):
    here = str(bend.uuid)
    send(party, user, pan("p", trip, here))
    mine = pan("mine", trip, here, of="p", replaces=["p"], counts=("0", "2", "4"))
    yours = pan("yours", trip, here, of="p", replaces=["p"], counts=("0", "1", "9"))
    assert answers(send(party, user, mine)) == ["stored"]
    [answer] = send(party, user, yours)
    assert answer.answer == "look"
    assert "Both versions are kept" in answer.reason
    assert FieldEntry.objects.count() == 3
    assert (TestPan.objects.get().medium, TestPan.objects.get().fine) == (1, 4)
    both = pan("both", trip, here, of="p", replaces=["p", "mine", "yours"], counts=("0", "2", "9"))
    assert answers(send(party, user, both)) == ["stored"]
    assert (TestPan.objects.get().medium, TestPan.objects.get().fine) == (2, 9)


def test_the_same_correction_by_two_people_isnt_asked_about(party, user, trip, bend):
    here = str(bend.uuid)
    fixes = [pan(w, trip, here, of="p", replaces=["p"], volume="6 L") for w in ("mine", "yours")]
    assert answers(send(party, user, pan("p", trip, here), *fixes)) == ["stored"] * 3
    assert TestPan.objects.get().volume_ml == 6_000


def test_a_change_on_the_desk_isnt_overwritten(party, user, trip, bend):
    here = str(bend.uuid)
    send(party, user, pan("p", trip, here))
    row = TestPan.objects.get()
    row.note = "recounted at home"
    desk.save_pan(trip=trip, pan=row, place=desk.Place(spot=bend))
    [answer] = send(party, user, pan("fix", trip, here, of="p", replaces=["p"], volume="6 L"))
    assert answer.answer == "look"
    assert "changed on the desk" in answer.reason
    assert (TestPan.objects.get().note, TestPan.objects.get().volume_ml) == (
        "recounted at home",
        5_500,
    )


def test_a_change_that_knew_the_desks_goes_in(party, user, trip, bend):
    row = make.make_pan(trip, bend)
    change = pan("fix", trip, str(bend.uuid), volume="6 L", base=row_digest("pan", row))
    change["record"] = str(row.uuid)
    assert answers(send(party, user, change)) == ["stored"]
    assert (TestPan.objects.count(), TestPan.objects.get().volume_ml) == (1, 6_000)
    older = pan("late", trip, str(bend.uuid), volume="7 L", base=row_digest("pan", row))
    older["record"] = str(row.uuid)
    assert answers(send(party, user, older)) == ["look"]
    assert FieldRecord.objects.get().state == "conflict"
    assert FieldEntry.objects.count() == 2


def test_what_the_desk_deleted_doesnt_come_back_by_itself(party, user, trip, bend):
    here = str(bend.uuid)
    send(party, user, pan("p", trip, here))
    desk.delete_record(record=TestPan.objects.get())
    [answer] = send(party, user, pan("fix", trip, here, of="p", replaces=["p"], volume="6 L"))
    assert answer.answer == "look"
    assert "deleted on the desk" in answer.reason
    assert TestPan.objects.count() == 0


def test_the_trip_was_deleted_meanwhile(party, user, trip, bend):
    here = str(bend.uuid)
    send(party, user, pan("early", trip, here))
    delete_trip(trip=trip)
    late = pan("late", trip, here)
    late["trip"] = key("trip that is gone")
    [answer] = send(party, user, late)
    assert (answer.answer, answer.about) == ("look", "trip")
    assert "choose the trip" in answer.reason
    assert FieldEntry.objects.count() == 2
    assert TestPan.objects.count() == 0


def test_a_trip_that_was_called_off_says_so(party, user, trip, bend):
    call_off(trip=trip, reason="flood")
    [answer] = send(party, user, pan("p", trip, str(bend.uuid)))
    assert (answer.answer, "called off" in answer.reason) == ("look", True)


def test_a_clock_two_days_ahead_is_told_and_the_day_proposed(party, user, trip, bend):
    late = pan("p", trip, str(bend.uuid))
    late["body"]["day"] = "2031-05-05"
    [answer] = send(party, user, late, sent_at="2031-05-05T12:00:00+00:00")
    assert (answer.answer, answer.about) == ("look", "day")
    assert "clock was 2 days ahead" in answer.reason
    assert "3 May 2031" in answer.reason
    assert FieldRecord.objects.get().proposal == {"day": "2031-05-03"}


def test_more_than_a_day_of_hours_is_asked_about_and_settled_by_a_correction(party, user, trip):
    long = hours("a", trip, {"minutes": "20:00"})
    found = send(party, user, long, hours("b", trip, {"minutes": "10:00"}))
    assert answers(found) == ["look", "look"]
    assert "a day has 24" in found[0].reason
    assert HoursBlock.objects.count() == 2
    send(party, user, hours("b2", trip, {"minutes": "2:00"}, of="b", replaces=["b"]))
    assert set(FieldRecord.objects.values_list("state", flat=True)) == {"applied"}


@pytest.mark.parametrize(
    ("body", "words"),
    [
        ({"started_at": "2031-05-03T10:00:00Z", "ended_at": "2031-05-03T09:00:00Z"}, "before the"),
        ({"started_at": "2031-05-01T10:00:00Z", "ended_at": "2031-05-03T09:00:00Z"}, "47 hours"),
        ({"started_at": "soon", "ended_at": "9999-12-31T23:59:59Z"}, "can't be read"),
        ({"minutes": "-3"}, "-3"),
        ({"minutes": "1:00", "activity": "fly"}, "“fly” isn't known"),
        ({"minutes": "1:00", "person": "999999999999999999"}, "isn't in the record"),
        ({"minutes": "1:00", "day": "9999-99-99"}, "Expected a date"),
        ({"minutes": "1:00", "day": "9999-12-31"}, "is outside it"),
    ],
)
def test_hours_that_cant_be(party, user, trip, body, words):
    [answer] = send(party, user, hours("h", trip, body))
    assert answer.answer == "look"
    assert words in answer.reason
    assert (HoursBlock.objects.count(), FieldEntry.objects.count()) == (0, 1)


def test_a_clock_that_runs_makes_no_row_yet(party, user, trip):
    send(party, user, hours("h", trip, {"started_at": "2031-05-03T10:00:00Z"}))
    assert HoursBlock.objects.count() == 0
    assert FieldRecord.objects.get().state == "open"


def test_rows_of_another_party_arent_there(party, user, trip, bend):
    theirs = make.make_party(name="Theirs")
    their_trip = make.make_trip(theirs)
    their_spot = make.make_spot(make.make_site(theirs))
    gear = make.make_gear(theirs)
    site = str(their_spot.site_id)
    found = send(
        party,
        user,
        pan("a", trip, str(their_spot.uuid)),
        pan("b", their_trip, str(bend.uuid)),
        run("c", trip, str(bend.uuid), {"gear": str(gear.pk)}),
        entry("d", "hole", {"site": site, "opened_on": "2031-05-03"}),
    )
    assert answers(found) == ["stored", "look", "look", "look"]
    assert not any("Theirs" in each.reason for each in found)
    assert [model.objects.count() for model in (TestPan, Run, Hole)] == [0, 0, 0]


def test_the_same_id_in_two_parties_is_two_entries(party, user, trip, bend):
    theirs = make.make_party(name="Theirs")
    other = make.make_trip(theirs)
    spot_there = make.make_spot(other.trip_sites.get().site)
    assert answers(send(party, user, pan("p", trip, str(bend.uuid)))) == ["stored"]
    assert answers(send(theirs, user, pan("p", other, str(spot_there.uuid)))) == ["stored"]
    assert TestPan.objects.count() == 2


def test_a_hole_of_the_desk_is_filled_from_the_phone(party, user, trip, site):
    hole = make.make_hole(site)
    filled = entry(
        "f",
        "hole",
        {"site": str(site.pk), "opened_on": "2031-05-03", "filled_on": "2031-05-03"},
        base=row_digest("hole", hole),
    )
    filled["record"] = str(hole.uuid)
    assert answers(send(party, user, filled)) == ["stored"]
    assert Hole.objects.get().filled_on is not None


def test_pans_are_numbered_by_when_they_were_made(party, user, trip, bend):
    here = str(bend.uuid)
    make.make_pan(trip, bend)
    for word, at in (("c", "12:00"), ("a", "10:00"), ("b", "11:00")):
        send(party, user, pan(word, trip, here, at=f"2031-05-03T{at}:00Z"))
    numbers = dict(TestPan.objects.values_list("uuid", "sequence"))
    assert [numbers[row.uuid] for row in TestPan.objects.order_by("sequence")] == [1, 2, 3, 4]
    by_word = {str(uuid): number for uuid, number in numbers.items()}
    assert [by_word[key(word)] for word in "abc"] == [2, 3, 4]


def test_a_renamed_spot_on_the_desk_keeps_its_pans(party, user, trip, site):
    send(party, user, spot("s", site))
    row = Spot.objects.get()
    row.name = "Corner"
    save_spot(spot=row)
    assert answers(send(party, user, pan("p", trip, key("s")))) == ["stored"]
    assert TestPan.objects.get().spot.name == "Corner"
