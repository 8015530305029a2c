"""Rows pasted from a spreadsheet: checked line by line, stored all or none, once."""

import datetime as dt

import pytest
from django.urls import reverse

from claims.models import Spot
from claims.web.folded import fold
from tests import factories as make
from trips.calc.pasted_rows import MOST_ROWS, parting, read_rows
from trips.models import Cost, HoursBlock, Run, TestPan

SEED = "00000000-0000-4000-8000-000000000001"
USUAL = ("spot", "litres", "fine")
WORDS = {"spot": "spot", "litres": "litres", "gravel": "litres", "fine": "fine"}


def read(text):
    return [
        (row.number, dict(row.cells), row.problem)
        for row in read_rows(text, usual=USUAL, words=WORDS, fold=fold)
    ]


@pytest.mark.parametrize(
    ("text", "sign"), [("a\tb,c;d", "\t"), ("a;5,5", ";"), ("a,5.5", ","), ("", ",")]
)
def test_the_sign_between_cells(text, sign):
    assert parting(text) == sign


def test_rows_with_and_without_a_heading():
    want = {"spot": "Bend", "litres": "5,5", "fine": "3"}
    assert read("Bend\t5,5\t3\n") == [(1, want, "")]
    assert read("Fine\tSPOT\tGravel\n\n3\tBend\t5,5") == [(3, want, "")]
    assert read('Bend,"5,5",3') == [(1, want, "")]
    assert read("\ufeffBend;5,5;3\r\n;;\r\n") == [(1, want, "")]


def test_what_has_no_column_is_told_with_its_line():
    ((_, _, many),) = read("Bend\t5\t3\t9")
    assert "Cell 4 (“9”) has no column; expected spot, litres, fine" in many
    rows = read("spot\tfine\tdepht\nBend\t3\t40\nBend\t2\t\n")
    assert "“depht” isn't a column" in rows[0][2]
    assert rows[1] == (3, {"spot": "Bend", "fine": "2"}, "")


def test_hostile_text_is_told_and_never_breaks():
    assert "At most" in read("Bend\t1\n" * (MOST_ROWS + 5))[-1][2]
    assert read('"open quote\tBend') == [(1, {"spot": "open quote\tBend"}, "")]
    assert "at most" in read("x" * 5000)[0][2]
    assert read("\x00\x00") == read("") == []


@pytest.fixture
def trip(db):
    party = make.make_party(name="Ours", pan_volume_ml=5_000)
    site = make.make_site(party=party, name="Alder ford")
    trip = make.make_trip(party=party, site=site)
    make.make_spot(site=site, name="Inside bend")
    make.make_gear(party, name="Short sluice", kind="sluice_stream_fed")
    return trip


@pytest.fixture
def hand(client, trip):
    return make.signed_in(client, trip.party, "hand")


def paste(client, trip, kind, text, do="save", seed=SEED):
    sent = {"kind": kind, "text": text, "do": do, "seed": seed}
    return client.post(reverse("trips:trip_paste", args=[trip.pk]), sent)


def problems(response):
    return {row.number: row.problems for row in response.context["rows"] if row.problems}


PANS = "inside BEND\t5,5\t0\t1\t4\tGravel\nNew bar\t\t\t\t\n"


def test_pans_are_shown_first_and_stored_when_asked(hand, trip):
    shown = paste(hand, trip, "pan", PANS, do="look")
    assert problems(shown) == {}
    assert "new spot at Alder ford" in shown.content.decode()
    assert not TestPan.objects.exists()
    assert Spot.objects.count() == 1
    assert paste(hand, trip, "pan", PANS).url.endswith("#pan")
    first, second = TestPan.objects.order_by("sequence")
    assert (first.volume_ml, first.coarse, first.medium, first.fine) == (5_500, 0, 1, 4)
    assert (first.spot.name, first.layer) == ("Inside bend", "gravel")
    # Silent cells: a pan holds what the party's pan holds, a count is not counted.
    assert (second.volume_ml, second.fine, second.layer) == (5_000, None, "unknown")
    assert second.spot.name == "New bar"


def test_a_paste_sent_twice_is_stored_once(hand, trip):
    paste(hand, trip, "pan", PANS)
    again = hand.get(paste(hand, trip, "pan", PANS).url)
    assert "saved already" in again.content.decode()
    assert TestPan.objects.count() == 2


@pytest.mark.parametrize(
    ("kind", "text", "line", "words"),
    [
        ("pan", "Inside bend\t5\nInside bend\tlots\n", 2, "litres: "),
        ("pan", "Inside bend\t5\t1\t2\t-3", 1, "fine: "),
        ("pan", "\t5\t1\t2\t3", 1, "spot: each row needs one"),
        ("pan", "spot\tday\nInside bend\t1999-01-01", 2, "outside"),
        ("run", "Inside bend\tLong sluice\t100", 1, "expected short sluice"),
        ("hours", "dance\t1:30", 1, "activity: “dance” isn't known; expected drive"),
        ("hours", "dig\tlong", 1, "time: "),
        ("cost", "fuel\tmuch", 1, "amount: "),
    ],
)
def test_one_bad_line_is_named_and_nothing_is_saved(hand, trip, kind, text, line, words):
    answer = paste(hand, trip, kind, text)
    assert answer.status_code == 200
    (found,) = problems(answer).items()
    assert found[0] == line
    assert words in " ".join(found[1])
    assert text.split("\t")[-1].strip() in answer.content.decode()
    counts = [model.objects.count() for model in (TestPan, Run, HoursBlock, Cost)]
    assert counts == [0, 0, 0, 0]


def test_runs_hours_and_costs(hand, trip):
    paste(hand, trip, "run", "spot;box;litres;time;fine\nInside bend;Short sluice;120;1:30;22")
    run = Run.objects.get()
    assert (run.volume_ml, run.minutes, run.fine, run.coarse) == (120_000, 90, 22, None)
    paste(hand, trip, "hours", "dig,1:30\ndrive,50 min")
    assert sorted(HoursBlock.objects.values_list("activity", "minutes")) == [
        ("dig", 90), ("drive", 50),
    ]  # fmt: skip
    paste(hand, trip, "cost", "what\tamount\tnote\nfuel\t41,50\tfull tank\nfood\t7.5\t")
    assert sorted(Cost.objects.values_list("kind", "amount_minor", "note")) == [
        ("food", 750, ""), ("fuel", 4150, "full tank"),
    ]  # fmt: skip


def test_more_than_a_days_hours_are_refused_as_a_whole(hand, trip):
    answer = paste(hand, trip, "hours", "dig\t13:00\nrest\t12:00")
    assert "a day has 24" in answer.content.decode()
    assert not HoursBlock.objects.exists()


def test_a_name_at_two_sites_is_asked_about(hand, trip):
    for name in ("Mill race", "Quarry"):
        site = make.make_site(party=trip.party, name=name)
        make.make_spot(site=site, name="Gravel bar")
    answer = paste(hand, trip, "pan", "gravel bar\t5\nQuarry: Gravel bar\t5", do="look")
    assert "write the site, a colon, the spot" in problems(answer)[1][0]
    assert 2 not in problems(answer)


def test_empty_text_and_an_unknown_kind_are_told(hand, trip):
    assert paste(hand, trip, "pan", "").context["form"].errors["text"]
    assert paste(hand, trip, "pan", "spot\tlitres\n").context["form"].errors["text"]
    assert paste(hand, trip, "hole", "x").context["form"].errors["kind"]


def test_another_partys_spots_are_no_ones(hand, trip):
    theirs = make.make_site(party=make.make_party(), name="Theirs")
    spot = make.make_spot(site=theirs, name="Far bar")
    paste(hand, trip, "pan", "Far bar\t5")
    assert TestPan.objects.get().spot != spot
    assert dt.date.fromisoformat(str(TestPan.objects.get().day)) == trip.starts_on
