"""Pages that merge, split and take apart lots."""

import datetime as dt

import pytest
from django.urls import reverse

from tests import factories as f
from tests.reports.asking import words
from trips.models import GoldLot, MergedLot

pytestmark = pytest.mark.django_db


@pytest.fixture
def party():
    return f.make_party()


@pytest.fixture
def keeper(client, party):
    return f.signed_in(client, party)


@pytest.fixture
def lots(party):
    weigh_in = f.make_weigh_in(f.make_trip(party))
    return [f.make_lot(weigh_in, name=name, mass_ug=200_000) for name in ("Vial", "Pieces")]


def address(name, *args):
    return reverse(f"trips:{name}", args=args)


def test_lots_are_merged_sold_and_shown(keeper, lots):
    keeper.post(address("merged_create"), {"name": "All of it", "lots": [lot.pk for lot in lots]})
    merged = MergedLot.objects.get()
    sale = {"name": "All of it", "state": "sold", "moved_on": "2031-06-01", "proceeds_minor": "35"}
    late = "?as_of=2031-12-31"
    assert keeper.post(address("merged_edit", merged.pk) + late, sale).status_code == 302
    assert set(GoldLot.objects.values_list("state", "moved_on")) == {("sold", dt.date(2031, 6, 1))}
    text = words(keeper.get(address("weighin_list") + "?as_of=2031-12-31"))
    assert "All of it" in text
    assert "brought 35.00 EUR" in text
    assert "Sold 0.400 g" in text.replace("</dt><dd>", " ").replace("<dd>", "")


@pytest.mark.parametrize(
    ("data", "told"),
    [
        ({"name": "x"}, "Tick at least two lots"),
        ({"name": "", "lots": "both"}, "required"),
        ({"name": "x", "lots": "one"}, "at least two lots to put together"),
        ({"name": "x", "lots": "theirs"}, "no longer on hand alone"),
    ],
)
def test_a_wrong_merge_is_told_and_nothing_changes(keeper, lots, data, told):
    theirs = f.make_lot(f.make_weigh_in(f.make_trip(f.make_party())))
    chosen = {"both": [lot.pk for lot in lots], "one": [lots[0].pk], "theirs": [theirs.pk]}
    if "lots" in data:
        data = data | {"lots": chosen[data["lots"]]}
    assert told in words(keeper.post(address("merged_create"), data))
    assert not MergedLot.objects.exists()


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({"state": "sold", "moved_on": "2031-06-01"}, "what the sale brought"),
        ({"state": "sold", "proceeds_minor": "1"}, "on which day"),
        ({"state": "given", "moved_on": "2031-05-01"}, "before that"),
        ({"state": "given", "moved_on": "2099-05-01"}, "still to come"),
        ({"state": "sold", "moved_on": "2031-06-01", "proceeds_minor": "-1"}, "Expected"),
    ],
)
def test_a_wrong_sale_is_told_and_nothing_changes(keeper, lots, changes, told):
    merged = f.make_merged(*lots)
    answer = keeper.post(
        address("merged_edit", merged.pk) + "?as_of=2031-12-31", {"name": "x"} | changes
    )
    assert told in words(answer)
    assert set(GoldLot.objects.values_list("state", flat=True)) == {"on_hand"}


def test_a_lot_and_a_merged_lot_are_split(keeper, lots):
    keeper.post(address("lot_split_start", lots[0].pk), {"name": "Half", "mass_ug": "0.05"})
    assert sorted(GoldLot.objects.values_list("mass_ug", flat=True)) == [50_000, 150_000, 200_000]
    merged = f.make_merged(*GoldLot.objects.filter(name__in=("Vial", "Pieces")))
    keeper.post(address("merged_split_start", merged.pk), {"name": "Rest", "mass_ug": "0.1"})
    assert MergedLot.objects.count() == 2
    assert sum(GoldLot.objects.values_list("mass_ug", flat=True)) == 400_000
    told = words(
        keeper.post(address("merged_split_start", merged.pk), {"name": "x", "mass_ug": "9"})
    )
    assert "less than the whole" in told


def test_taking_apart_asks_first_and_is_refused_once_sold(keeper, lots):
    merged = f.make_merged(*lots)
    assert "stand alone again" in words(keeper.get(address("merged_delete", merged.pk)))
    merged.lots.update(state="given", moved_on=f.DAY)
    assert "no longer on hand" in words(keeper.post(address("merged_delete", merged.pk)))
    merged.lots.update(state="on_hand", moved_on=None)
    keeper.post(address("merged_delete", merged.pk))
    assert not MergedLot.objects.exists()
    assert GoldLot.objects.count() == 2


def test_a_lot_in_a_merged_one_is_not_deleted_alone(keeper, lots):
    f.make_merged(*lots, name="Vial of all")
    answer = keeper.post(address("lot_delete", lots[0].pk), follow=True)
    assert "“Vial of all”" in words(answer)
    assert GoldLot.objects.count() == 2
