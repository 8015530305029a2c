"""The wrap-up: prefilled, saved whole or not at all, looked at again."""

import datetime as dt

import pytest
from django.urls import reverse

from claims.models import Hole
from claims.web.forms import ShownRows
from tests import factories as make
from trips.models import Cost, DerivedTripFigures, HoursBlock, Run, WeighIn

pytestmark = pytest.mark.django_db


@pytest.fixture
def party():
    return make.make_party()


@pytest.fixture
def keeper(client, party):
    return make.signed_in(client, party)


@pytest.fixture
def trip(party):
    people = [make.make_person(party, "Ada"), make.make_person(party, "Bo")]
    trip = make.make_trip(
        party,
        fallbacks=[make.make_site(party)],
        people=people,
        vehicle=make.make_vehicle(party),
        state="under_way",
    )
    make.make_cost(trip, stage=Cost.Stage.PLANNED, note="bread")
    return trip


def place(trip):
    return reverse("trips:trip_wrap_up", args=[trip.pk])


def sent(page, **changed):
    """What a browser would send for this page, with `changed` typed over it."""
    forms = page.context["forms"]
    data = {}
    sets = (forms.hours, forms.costs, forms.runs, forms.holes)
    parts = [forms.trip, forms.weigh_in]
    for rows in sets:
        parts += [rows.management_form, *rows]
    for form in parts:
        for bound in form:
            value = bound.value()
            if value is None or value is False or value in ("", []):
                continue
            data[bound.html_name] = "on" if value is True else value
    return data | changed


def test_page_is_prefilled_from_the_plan(keeper, trip):
    forms = keeper.get(place(trip)).context["forms"]
    assert forms.trip["visited"].value() == [trip.trip_sites.get(rank=0).site_id]
    assert forms.trip["driven_sealed_m"].value() == "30"
    assert forms.trip["driven_track_m"].value() == "2"
    rows = [(row["activity"].value(), row["minutes"].value()) for row in forms.hours][:3]
    assert rows == [("drive", "1:10"), ("walk", "0:20"), ("test", None)]
    first = forms.costs[0]
    assert (first["kind"].value(), first["amount_minor"].value()) == ("food", "12.00")
    assert first["note"].value() == "bread"


def test_as_it_stands_it_can_be_saved(keeper, trip):
    page = keeper.get(place(trip))
    answer = keeper.post(place(trip), sent(page))
    assert answer.url == reverse("trips:trip_detail", args=[trip.pk])
    trip.refresh_from_db()
    assert trip.state == "wrapped_up"
    assert list(trip.hours.values_list("activity", "minutes")) == [("drive", 70), ("walk", 20)]
    stages = sorted(trip.costs.values_list("stage", "amount_minor"))
    assert stages == [("paid", 1_200), ("planned", 1_200)]
    assert trip.derived_figures.door_minutes == 90
    assert [row.was_visited for row in trip.trip_sites.all()] == [True, False]


def everything(page, trip):
    """All parts filled: runs, gold, holes, story."""
    site = trip.trip_sites.get(rank=0).site
    ada = trip.people.get(name="Ada")
    old = Hole.objects.get(filled_on=None)
    return sent(
        page,
        **{
            "hours-4-minutes": "3 h",
            "costs-0-amount_minor": "14,20",
            "costs-0-paid_by": ada.pk,
            "engine_fuel_ml": "1.5",
            "runs-0-new_spot_name": "Ledge",
            "runs-0-new_spot_site": site.pk,
            "runs-0-volume_ml": "200",
            "runs-0-minutes": "2:00",
            "runs-0-fine": "30",
            "gold-gross_ug": "1.25",
            "gold-tare_ug": "0.25",
            "gold-resolution_ug": "10000",
            "holes-0-site": site.pk,
            "holes-0-length_mm": "1",
            "holes-0-depth_mm": "60 cm",
            "holes_filled": [old.pk],
            "story": "High water until noon.",
        },
    )


def test_everything_in_one_go(keeper, trip):
    site = trip.trip_sites.get(rank=0).site
    old = make.make_hole(site, opened_on=dt.date(2031, 4, 1))
    page = keeper.get(place(trip))
    answer = keeper.post(place(trip), everything(page, trip))
    assert answer.status_code == 302
    trip.refresh_from_db()
    old.refresh_from_db()
    run, weigh_in = Run.objects.get(), WeighIn.objects.get()
    assert (run.spot.name, run.volume_ml, run.minutes, run.fine) == ("Ledge", 200_000, 120, 30)
    assert run.weigh_in == weigh_in
    assert (weigh_in.net_ug, weigh_in.resolution_ug) == (1_000_000, 10_000)
    assert run.derived_share.mass_ug == 1_000_000
    assert old.filled_on == trip.ends_on
    new = Hole.objects.exclude(pk=old.pk).get()
    assert (new.length_mm, new.depth_mm, new.opened_on) == (1_000, 600, trip.ends_on)
    assert trip.costs.get(stage="paid").paid_by.name == "Ada"
    assert (trip.engine_fuel_ml, trip.story) == (1_500, "High water until noon.")
    assert trip.derived_figures.mass_ug == 1_000_000


def nothing_stored(trip):
    trip.refresh_from_db()
    assert trip.state == "under_way"
    assert trip.story == ""
    assert not HoursBlock.objects.exists()
    assert not Cost.objects.filter(stage="paid").exists()
    assert not Run.objects.exists()
    assert not WeighIn.objects.exists()
    assert Hole.objects.filter(filled_on=None).count() == 1
    assert not DerivedTripFigures.objects.exists()
    assert not trip.trip_sites.filter(was_visited=True).exists()


WRONG = [
    ("gold-tare_ug", "2", "heavier than the gross"),
    ("gold-tare_ug", "0.255", "whole number of the scale"),
    ("gold-weighed_on", "2031-05-01", "is before that"),
    ("gold-fineness", "22", "looks like karat"),
    ("hours-4-minutes", "23 h", "a day has 24"),
    ("hours-4-day", "2031-05-09", "outside it"),
    ("costs-0-amount_minor", "14 USD", "mix currencies"),
    ("runs-0-volume_ml", "-1", "Expected a number"),
    ("holes-0-depth_mm", "deep", "could not be read"),
    ("driven_sealed_m", "far", "could not be read"),
]


@pytest.mark.parametrize(("name", "typed", "words"), WRONG)
def test_one_wrong_part_saves_nothing_and_keeps_all_that_was_typed(
    keeper, trip, name, typed, words
):
    make.make_hole(trip.trip_sites.get(rank=0).site, opened_on=dt.date(2031, 4, 1))
    page = keeper.get(place(trip))
    answer = keeper.post(place(trip), everything(page, trip) | {name: typed})
    text = answer.content.decode()
    assert answer.status_code == 200
    assert words in text
    assert "Nothing has been saved" in text
    assert "High water until noon." in text
    assert f'value="{typed}"' in text
    assert 'value="Ledge"' in text
    nothing_stored(trip)


def test_nowhere_visited_and_nothing_driven_is_asked_about(keeper, trip):
    make.make_hole(trip.trip_sites.get(rank=0).site, opened_on=dt.date(2031, 4, 1))
    page = keeper.get(place(trip))
    data = sent(page)
    for name in ("visited", "driven_sealed_m", "driven_unsealed_m", "driven_track_m"):
        data.pop(name)
    data = {k: v for k, v in data.items() if not (k.startswith("hours-") and k.endswith("-site"))}
    answer = keeper.post(place(trip), data)
    assert "Tick where you were" in answer.content.decode()
    nothing_stored(trip)


def test_another_site_ticked_lets_the_drive_follow_it(keeper, party, trip):
    """The offered distances belonged to the first choice; a farther fallback has its own."""
    far = trip.trip_sites.get(rank=1).site
    type(far).objects.filter(pk=far.pk).update(sealed_m=100_000)
    page = keeper.get(place(trip))
    data = {k: v for k, v in sent(page).items() if not k.endswith("-site")}
    keeper.post(place(trip), data | {"visited": [far.pk]})
    trip.refresh_from_db()
    assert trip.driven_sealed_m is None
    assert trip.state == "wrapped_up"


def test_a_typed_drive_is_kept(keeper, trip):
    page = keeper.get(place(trip))
    keeper.post(place(trip), sent(page, driven_sealed_m="34.5"))
    trip.refresh_from_db()
    assert (trip.driven_sealed_m, trip.driven_track_m) == (34_500, 2_000)


def test_another_look_edits_and_adds_nothing_by_itself(keeper, trip):
    make.make_hole(trip.trip_sites.get(rank=0).site, opened_on=dt.date(2031, 4, 1))
    keeper.post(place(trip), everything(keeper.get(place(trip)), trip))
    before = (trip.hours.count(), trip.costs.count(), trip.runs.count(), WeighIn.objects.count())
    again = keeper.get(place(trip))
    keeper.post(place(trip), sent(again, story="Changed."))
    trip.refresh_from_db()
    after = (trip.hours.count(), trip.costs.count(), trip.runs.count(), WeighIn.objects.count())
    assert after == before
    assert trip.story == "Changed."


def test_a_row_can_be_deleted_in_another_look(keeper, trip):
    keeper.post(place(trip), sent(keeper.get(place(trip))))
    again = keeper.get(place(trip))
    keeper.post(place(trip), sent(again, **{"hours-0-DELETE": "on"}))
    assert list(trip.hours.values_list("activity", flat=True)) == ["walk"]


def test_pans_join_the_weigh_in_only_when_said(keeper, trip):
    pan = make.make_pan(trip)
    page = keeper.get(place(trip))
    keeper.post(place(trip), sent(page, **{"gold-gross_ug": "0.1", "gold-with_pans": "on"}))
    pan.refresh_from_db()
    assert pan.weigh_in == WeighIn.objects.get()


def test_the_same_weighing_again_is_asked_about(keeper, trip):
    gold = {"gold-gross_ug": "0.1", "gold-weighed_on": "2031-05-04"}
    keeper.post(place(trip), sent(keeper.get(place(trip)), **gold))
    page = keeper.get(place(trip))
    asked = keeper.post(place(trip), sent(page, **gold))
    assert "Is it the same gold?" in asked.content.decode()
    assert WeighIn.objects.count() == 1
    keeper.post(place(trip), sent(page, **gold, **{"gold-is_other_gold": "on"}))
    assert WeighIn.objects.count() == 2


def test_called_off_trip_is_not_wrapped_up(keeper, party):
    trip = make.make_trip(party, state="called_off")
    answer = keeper.get(place(trip), follow=True)
    assert "Reopen it before" in answer.content.decode()


def test_another_partys_hole_is_no_choice(keeper, trip):
    theirs = make.make_hole(make.make_site(make.make_party()))
    make.make_hole(trip.trip_sites.get(rank=0).site, opened_on=dt.date(2031, 4, 1))
    page = keeper.get(place(trip))
    answer = keeper.post(place(trip), sent(page, holes_filled=[theirs.pk]))
    assert answer.status_code == 200
    theirs.refresh_from_db()
    assert theirs.filled_on is None


def test_a_trip_with_more_rows_than_any_bound_can_be_wrapped_up(keeper, trip):
    many = 2 * ShownRows.SPARE + 7
    for _ in range(many):
        make.make_hours(trip, minutes=1)
    page = keeper.get(place(trip))
    typed = {f"hours-{many - 1}-note": "the last of them", f"hours-{many}-minutes": "45 min"}
    answer = keeper.post(place(trip), sent(page, **typed))
    assert answer.status_code == 302
    assert trip.hours.filter(note="the last of them").count() == 1
    # The time was typed over the drive that is offered; the walk is taken over as it is.
    assert trip.hours.count() == many + 2


def parts(answer):
    return {part.key: part for part in answer.context["parts"]}


def test_a_first_look_opens_what_is_to_be_done_and_says_what_the_plan_filled_in(keeper, trip):
    make.make_hole(trip.trip_sites.get(rank=0).site, opened_on=dt.date(2031, 4, 1))
    found = parts(keeper.get(place(trip)))
    opened = [key for key, part in found.items() if part.is_open]
    assert opened == ["hours", "costs", "gold", "holes", "story"]
    site = trip.trip_sites.get(rank=0).site
    assert found["way"].said == f"{site}; 40.0\u202fkm driven; as planned"
    assert found["hours"].said == "2 blocks; 1\u202fh\u202f30; no work at the creek noted yet"
    assert found["costs"].said == "1 cost; 12.00\u202fEUR; as planned"
    assert found["runs"].said == "none; no box came along"
    assert found["gold"].said == "not weighed yet"
    assert found["holes"].said == "1 open at these sites"
    assert found["story"].said == "nothing written yet"


def test_a_box_that_came_along_asks_for_its_runs(keeper, trip):
    box = make.make_gear(trip.party)
    trip.gear.add(box)
    answer = keeper.get(place(trip))
    runs = parts(answer)["runs"]
    assert (runs.said, runs.is_open) == ("none noted yet", True)
    # The only box is offered; of two, one is chosen.
    assert [row["gear"].value() for row in answer.context["forms"].runs] == [box.pk, box.pk]
    trip.gear.add(make.make_gear(trip.party))
    rows = keeper.get(place(trip)).context["forms"].runs
    assert [row["gear"].value() for row in rows] == [None, None]


def test_what_is_done_is_closed_and_says_what_it_holds(keeper, trip):
    make.make_hole(trip.trip_sites.get(rank=0).site, opened_on=dt.date(2031, 4, 1))
    keeper.post(place(trip), everything(keeper.get(place(trip)), trip))
    found = parts(keeper.get(place(trip)))
    assert [key for key, part in found.items() if part.is_open] == []
    assert found["hours"].said == "3 blocks; 4\u202fh\u202f30"
    assert found["costs"].said == "1 cost; 14.20\u202fEUR"
    assert found["runs"].said == "1 run; 200.0\u202fL"
    assert found["gold"].said == "1.000\u202fg weighed"
    assert found["holes"].said == "1 open at these sites"
    assert found["story"].said == "High water until noon."


def test_gold_that_waits_for_the_scale_keeps_its_part_open(keeper, trip):
    make.make_run(trip)
    trip.state = "wrapped_up"
    trip.save()
    gold = parts(keeper.get(place(trip)))["gold"]
    assert (gold.said, gold.is_open) == ("1 run not weighed yet", True)


@pytest.mark.parametrize(
    ("name", "typed", "key"),
    [
        ("driven_sealed_m", "far", "way"),
        ("hours-1-day", "2031-05-09", "hours"),
        ("engine_fuel_ml", "much", "costs"),
        ("runs-0-began", "noonish", "runs"),
        ("gold-tare_ug", "2", "gold"),
        ("holes-0-depth_mm", "deep", "holes"),
        ("incidents", "torn\0glove", "story"),
    ],
)
def test_what_is_wrong_opens_its_part_and_its_row(keeper, trip, name, typed, key):
    make.make_hole(trip.trip_sites.get(rank=0).site, opened_on=dt.date(2031, 4, 1))
    keeper.post(place(trip), everything(keeper.get(place(trip)), trip))
    answer = keeper.post(place(trip), sent(keeper.get(place(trip))) | {name: typed})
    assert answer.status_code == 200
    assert [each for each, part in parts(answer).items() if part.has_errors] == [key]
    assert parts(answer)[key].is_open
    sets = {"hours": answer.context["forms"].hours, "runs": answer.context["forms"].runs}
    for row in sets.get(key, ()):
        assert row.has_folded_errors == bool(row.errors)
    assert answer.content.decode().count('badge stop">needs another look') == 1


def test_a_row_says_what_is_folded_in_it(keeper, trip):
    ada = trip.people.get(name="Ada")
    make.make_cost(trip, stage=Cost.Stage.PAID, paid_by=ada, note="bread")
    forms = keeper.get(place(trip)).context["forms"]
    site = trip.trip_sites.get(rank=0).site
    assert forms.hours[0].folded_said == "3 May 2031 · everybody on the trip"
    assert forms.hours[2].folded_said == f"3 May 2031 · everybody on the trip · {site}"
    assert forms.costs[0].folded_said == "Paid by: Ada · bread"
    assert "DELETE" in [field.name for field in forms.costs[0].folded_fields]
    assert "DELETE" not in [field.name for field in forms.costs[1].folded_fields]


def test_empty_rows_wait_in_a_fold_of_their_own(keeper, trip):
    forms = keeper.get(place(trip)).context["forms"]
    assert [len(rows.shown) for rows in (forms.hours, forms.costs, forms.runs)] == [7, 1, 1]
    assert [len(rows.spare) for rows in (forms.hours, forms.costs, forms.runs)] == [2, 2, 1]
