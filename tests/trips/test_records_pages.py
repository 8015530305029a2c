"""Test pans, box runs, hours and costs: saved, refused, deleted."""

import datetime as dt
import re

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from claims.models import Spot
from tests import factories as make
from trips.models import Cost, HoursBlock, Run, TestPan
from trips.services.records import Place, save_cost, save_pan

pytestmark = pytest.mark.django_db


@pytest.fixture
def party():
    return make.make_party(pan_volume_ml=5_500)


@pytest.fixture
def keeper(client, party):
    return make.signed_in(client, party)


@pytest.fixture
def trip(party):
    return make.make_trip(party, state="under_way")


@pytest.fixture
def spot(trip):
    return make.make_spot(trip.trip_sites.get().site)


def address(kind, trip):
    return reverse(f"trips:{kind}_create", args=[trip.pk])


def pan(spot, **overrides):
    data = {"day": "2031-05-03", "spot": spot.pk, "layer": "gravel", "volume_ml": "5"}
    return data | overrides


def run(spot, **overrides):
    return {"day": "2031-05-03", "spot": spot.pk, "layer": "gravel"} | overrides


def hours(**overrides):
    return {"day": "2031-05-03", "activity": "dig", "minutes": "1:30"} | overrides


def cost(**overrides):
    return {"kind": "food", "amount_minor": "12.00"} | overrides


def test_pan_is_saved_with_zero_kept_apart_from_not_counted(keeper, trip, spot):
    keeper.post(address("pan", trip), pan(spot, coarse="0", medium="", fine="7"))
    stored = TestPan.objects.get()
    assert (stored.coarse, stored.medium, stored.fine) == (0, None, 7)
    assert (stored.volume_ml, stored.sequence) == (5_000, 1)
    assert trip.trip_sites.get().was_visited is True


def test_pan_takes_litres_in_another_unit_and_milligrams(keeper, trip, spot):
    keeper.post(address("pan", trip), pan(spot, volume_ml="1 us gal", mass_ug="2,5"))
    stored = TestPan.objects.get()
    assert (stored.volume_ml, stored.mass_ug) == (3_785, 2_500)


def test_litres_start_from_the_partys_pan(keeper, trip, spot):
    page = keeper.get(address("pan", trip))
    assert page.context["form"]["volume_ml"].value() == "5.5"


def test_save_and_add_another_keeps_spot_layer_and_litres(keeper, trip, spot):
    answer = keeper.post(
        address("pan", trip), pan(spot, layer="bedrock", volume_ml="4", another="1")
    )
    form = keeper.get(answer.url).context["form"]
    assert form["spot"].value() == str(spot.pk)
    assert form["layer"].value() == "bedrock"
    assert form["volume_ml"].value() == "4"
    assert form["fine"].value() is None


def test_a_new_spot_is_named_inline_and_found_again(keeper, trip, spot):
    data = pan(spot) | {"spot": "", "new_spot_name": "Roots", "new_spot_site": spot.site.pk}
    keeper.post(address("pan", trip), data)
    keeper.post(address("pan", trip), data | {"new_spot_name": "roots"})
    assert TestPan.objects.filter(spot__name="Roots").count() == 2


def test_a_record_elsewhere_adds_that_site_as_visited(keeper, party, trip):
    other = make.make_spot(make.make_site(party))
    keeper.post(address("pan", trip), pan(other))
    row = trip.trip_sites.get(site=other.site)
    assert (row.rank, row.was_visited) == (1, True)


def test_run_hours_and_cost_are_saved_and_rebuild_the_figures(keeper, party, trip, spot):
    box, ada = make.make_gear(party), make.make_person(party)
    trip.people.add(ada)
    keeper.post(
        address("run", trip), run(spot, gear=box.pk, volume_ml="120", minutes="45 min", fine="9")
    )
    keeper.post(address("hours", trip), hours(person=ada.pk, site=spot.site.pk))
    keeper.post(address("cost", trip), cost(paid_by=ada.pk))
    stored = Run.objects.get()
    assert (stored.gear, stored.volume_ml, stored.minutes, stored.fine) == (box, 120_000, 45, 9)
    assert HoursBlock.objects.get().minutes == 90
    paid = Cost.objects.get()
    assert (paid.stage, paid.currency, paid.paid_by) == ("paid", "EUR", ada)
    trip.refresh_from_db()
    assert trip.derived_figures.washed_ml == 120_000
    assert trip.derived_figures.door_minutes == 90


BAD_PANS = [
    ({"volume_ml": ""}, "volume_ml", "how much gravel was washed"),
    ({"volume_ml": "0"}, "volume_ml", "Expected a number"),
    ({"volume_ml": "-5"}, "volume_ml", "Expected a number"),
    ({"volume_ml": "400"}, "volume_ml", "Expected a number"),
    ({"volume_ml": "much"}, "volume_ml", "could not be read"),
    ({"fine": "-1"}, "fine", "whole number"),
    ({"fine": "1.5"}, "fine", "whole number"),
    ({"day": "2031-05-02"}, "day", "outside it"),
    ({"day": "2031-05-04"}, "day", "outside it"),
    ({"spot": ""}, "spot", "Choose the spot"),
    ({"new_spot_name": "Second"}, "new_spot_name", "or name a new one"),
    ({"layer": "cheese"}, "layer", "valid choice"),
    ({"note": "x" * 201}, "note", "at most 200"),
    ({"mass_ug": "1 furlong"}, "mass_ug", "not a unit"),
]


@pytest.mark.parametrize(("changed", "field", "words"), BAD_PANS)
def test_pan_refusals_name_the_field_and_keep_what_was_typed(
    keeper, trip, spot, changed, field, words
):
    answer = keeper.post(address("pan", trip), pan(spot, fine="3", note="kept") | changed)
    assert words in " ".join(answer.context["form"].errors[field])
    assert not TestPan.objects.exists()
    assert "note" in changed or 'value="kept"' in answer.content.decode()


BAD_HOURS = [
    ({"minutes": ""}, "minutes", "required"),
    ({"minutes": "0"}, "minutes", "Expected"),
    ({"minutes": "25 h"}, "minutes", "Expected"),
    ({"minutes": "soon"}, "minutes", "Expected a time"),
    ({"day": "2031-05-04"}, "day", "outside it"),
    ({"activity": ""}, "activity", "required"),
]


@pytest.mark.parametrize(("changed", "field", "words"), BAD_HOURS)
def test_hours_refusals(keeper, trip, changed, field, words):
    answer = keeper.post(address("hours", trip), hours() | changed)
    assert words in " ".join(answer.context["form"].errors[field])
    assert not HoursBlock.objects.exists()


BAD_COSTS = [
    ({"amount_minor": ""}, "required"),
    ({"amount_minor": "12 USD"}, "would mix currencies"),
    ({"amount_minor": "-3"}, "Expected an amount"),
    ({"amount_minor": "1.234"}, "too many decimals"),
]


@pytest.mark.parametrize(("changed", "words"), BAD_COSTS)
def test_cost_refusals(keeper, trip, changed, words):
    answer = keeper.post(address("cost", trip), cost() | changed)
    assert words in " ".join(answer.context["form"].errors["amount_minor"])
    assert not Cost.objects.exists()


def test_a_day_has_24_hours_for_each_person_with_what_everybody_did(keeper, party, trip):
    ada = make.make_person(party, "Ada")
    trip.people.add(ada)
    make.make_hours(trip, "drive", 12 * 60)
    make.make_hours(trip, "dig", 11 * 60, person=ada)
    answer = keeper.post(address("hours", trip), hours(minutes="1:01"))
    message = answer.context["form"].errors["minutes"][0]
    assert "24\u202fh\u202f01" in message
    assert "Ada" in message
    assert HoursBlock.objects.count() == 2
    keeper.post(address("hours", trip), hours(minutes="1:00"))
    assert HoursBlock.objects.count() == 3


def test_a_called_off_trip_takes_no_records(keeper, party):
    trip = make.make_trip(party, state="called_off")
    spot = make.make_spot(trip.trip_sites.get().site)
    answer = keeper.post(address("pan", trip), pan(spot))
    assert "Reopen it" in answer.content.decode()
    assert not TestPan.objects.exists()


def test_another_partys_spot_person_and_gear_are_no_choices(keeper, trip, spot):
    theirs = make.make_party()
    their_spot = make.make_spot(make.make_site(theirs))
    answer = keeper.post(address("pan", trip), pan(spot) | {"spot": their_spot.pk})
    assert "spot" in answer.context["form"].errors
    answer = keeper.post(address("run", trip), run(spot, gear=make.make_gear(theirs).pk))
    assert "gear" in answer.context["form"].errors
    answer = keeper.post(address("cost", trip), cost(paid_by=make.make_person(theirs).pk))
    assert "paid_by" in answer.context["form"].errors


def test_services_refuse_another_partys_rows_and_currency(trip):
    their_spot = make.make_spot(make.make_site(make.make_party()))
    fresh = TestPan(day=trip.starts_on, volume_ml=5_000)
    with pytest.raises(ValidationError, match="isn't in this record"):
        save_pan(trip=trip, pan=fresh, place=Place(their_spot))
    with pytest.raises(ValidationError, match="counts in EUR"):
        save_cost(trip=trip, cost=Cost(kind="food", amount_minor=5, currency="USD"))


def test_a_refused_pan_leaves_no_new_spot_behind(trip):
    site = trip.trip_sites.get().site
    wrong = TestPan(day=trip.starts_on, volume_ml=200_000)
    with pytest.raises(ValidationError):
        save_pan(trip=trip, pan=wrong, place=Place(None, site, "Ghost"))
    assert not Spot.objects.filter(name="Ghost").exists()


MAKERS = {
    "pan": make.make_pan,
    "run": make.make_run,
    "hours": make.make_hours,
    "cost": make.make_cost,
}


@pytest.mark.parametrize("kind", MAKERS)
def test_edit_shows_and_changes_the_row_and_delete_asks_first(keeper, trip, kind):
    record = MAKERS[kind](trip)
    edit, delete = (
        reverse(f"trips:{kind}_{step}", args=[record.pk]) for step in ("edit", "delete")
    )
    form = keeper.get(edit).context["form"]
    data = {name: form[name].value() for name in form.fields}
    data = {name: "" if value is None else value for name, value in data.items()}
    data["new_spot_name"] = ""
    answer = keeper.post(edit, data | {"note": "changed"})
    assert answer.status_code == 302, answer.context["form"].errors
    record.refresh_from_db()
    assert record.note == "changed"
    assert keeper.get(delete).status_code == 200
    assert type(record).objects.exists()
    keeper.post(delete)
    assert not type(record).objects.exists()


@pytest.mark.parametrize("step", ["edit", "delete"])
@pytest.mark.parametrize("kind", MAKERS)
def test_another_partys_record_does_not_exist(keeper, kind, step):
    record = MAKERS[kind](make.make_trip(make.make_party()))
    place = reverse(f"trips:{kind}_{step}", args=[record.pk])
    assert keeper.get(place).status_code == 404
    assert keeper.post(place).status_code == 404
    assert type(record).objects.exists()


@pytest.mark.parametrize("step", ["edit", "delete"])
@pytest.mark.parametrize("kind", MAKERS)
def test_reader_may_not_change_a_record(client, party, trip, kind, step):
    make.signed_in(client, party, "reader")
    record = MAKERS[kind](trip)
    assert client.post(reverse(f"trips:{kind}_{step}", args=[record.pk])).status_code == 403


def test_a_hand_may_record(client, party, trip, spot):
    make.signed_in(client, party, "hand")
    client.post(address("pan", trip), pan(spot))
    assert TestPan.objects.exists()


def test_deleting_a_run_shares_its_weigh_in_anew(keeper, trip):
    first, second = make.make_run(trip), make.make_run(trip)
    make.make_weigh_in(trip, runs=[first, second])
    keeper.post(reverse("trips:run_delete", args=[second.pk]))
    first.refresh_from_db()
    assert first.derived_share.mass_ug == 1_000_000


def test_a_two_day_trip_takes_both_its_days(keeper, party, spot):
    trip = make.make_trip(party, spot.site, ends_on=dt.date(2031, 5, 4))
    for day in ("2031-05-03", "2031-05-04"):
        keeper.post(address("pan", trip), pan(spot, day=day))
    assert trip.pans.count() == 2


def test_the_next_record_starts_as_the_last_one_without_what_was_found(keeper, trip, spot):
    address_of = address("pan", trip)
    assert "Start as the last one" not in keeper.get(address_of).content.decode()
    keeper.post(address_of, pan(spot, layer="clay", volume_ml="4.5", depth_mm="30", fine="7"))
    assert "Start as the last one" in keeper.get(address_of).content.decode()
    form = keeper.get(address_of, {"like": "last"}).context["form"]
    shown = {name: form[name].value() for name in ("spot", "layer", "volume_ml", "fine")}
    assert (shown["layer"], shown["fine"]) == ("clay", None)
    assert str(shown["volume_ml"]) in ("4.5", "4500")
    assert str(getattr(shown["spot"], "pk", shown["spot"])) == str(spot.pk)


def test_hours_and_costs_start_as_the_last_ones(keeper, trip):
    keeper.post(address("hours", trip), hours(activity="run", minutes="1:15"))
    keeper.post(address("cost", trip), cost(kind="camp", amount_minor="18.50"))
    block = keeper.get(address("hours", trip), {"like": "last"}).content.decode()
    assert '<option value="run" selected>' in block
    assert 'value="1:15"' in block
    paid = keeper.get(address("cost", trip), {"like": "last"}).content.decode()
    assert '<option value="camp" selected>' in paid
    assert 'value="18.5' in paid


@pytest.mark.parametrize("name", ["pan", "run", "hours", "cost"])
def test_a_form_sent_twice_is_one_fact_and_a_changed_one_another(keeper, trip, spot, name):
    sent = {"pan": pan(spot), "run": run(spot), "hours": hours(), "cost": cost()}[name]
    html = keeper.get(address(name, trip)).content.decode()
    sent["once"] = re.search(r'name="once" value="([0-9a-f-]{36})"', html)[1]
    model = {"pan": TestPan, "run": Run, "hours": HoursBlock, "cost": Cost}[name]
    for _ in range(2):
        answer = keeper.post(address(name, trip), sent)
    assert answer.status_code == 302
    assert model.objects.count() == 1
    keeper.post(address(name, trip), sent | {"note": "another one"})
    assert model.objects.count() == 2
    keeper.post(address(name, trip), sent | {"once": "no id", "note": "a third"})
    assert model.objects.count() == 3
