"""Lots merged, parted, moved and brought back, case by case; test_conservation does any order."""

import datetime as dt

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone

from claims.past import deleted_sets
from claims.services.undo import bring_back
from tests import factories as f
from tests.trips.test_conservation import LATE, one_press
from trips.models import GoldLot, MergedLot, WeighIn
from trips.services.gold import delete_lot, left_ug, save_lot
from trips.services.lots import merge_lots, save_merged, split_lot, split_merged, take_apart

pytestmark = pytest.mark.django_db


def test_a_lot_whose_gold_went_into_another_lot_does_not_come_back(lots):
    [lot, *_], party = lots, party_of(lots)
    with one_press():
        delete_lot(lot=lot)
    f.make_lot(lots[1].weigh_in, mass_ug=left_ug(lots[1].weigh_in))
    [one] = deleted_sets(party, timezone.now())
    words = refused(bring_back, party=party, key=one.key, now=timezone.now())
    assert "“Lot 1” can't come back" in words
    assert "left outside lots" in words
    assert GoldLot.objects.count() == 3


def test_a_merged_lot_does_not_come_back_over_a_lot_sold_alone(lots):
    party = party_of(lots)
    merged = merge_lots(party=party, lots=lots, name="Vial")
    with one_press():
        take_apart(merged=merged)
    lot = GoldLot.objects.get(pk=lots[0].pk)
    lot.state, lot.moved_on, lot.proceeds_minor = "sold", LATE, 500
    save_lot(lot=lot)
    [one] = deleted_sets(party, timezone.now())
    words = refused(bring_back, party=party, key=one.key, now=timezone.now())
    assert "“Vial” has been sold" in words
    assert not GoldLot.objects.filter(merged__isnull=False).exists()
    lot.state = "on_hand"
    save_lot(lot=lot)
    bring_back(party=party, key=one.key, now=timezone.now())
    assert GoldLot.objects.filter(merged__name="Vial").count() == 3


def test_a_merged_lot_without_any_of_its_lots_does_not_come_back(lots):
    party = party_of(lots)
    merged = merge_lots(party=party, lots=lots[:2], name="Vial")
    with one_press():
        take_apart(merged=merged)
    loose = GoldLot.objects.filter(pk__in=[lots[0].pk, lots[1].pk])
    merge_lots(party=party, lots=loose, name="Jar")
    [one] = deleted_sets(party, timezone.now())
    words = refused(bring_back, party=party, key=one.key, now=timezone.now())
    assert "None of the lots of “Vial”" in words
    assert MergedLot.objects.get().name == "Jar"


def test_a_sale_does_not_come_back_from_before_the_weighing(lots):
    lot, party = lots[0], party_of(lots)
    lot.state, lot.moved_on, lot.proceeds_minor = "sold", f.DAY, 500
    save_lot(lot=lot)
    with one_press():
        delete_lot(lot=lot)
    weigh_in = WeighIn.objects.get()
    weigh_in.weighed_on = LATE
    weigh_in.save()
    [one] = deleted_sets(party, timezone.now())
    words = refused(bring_back, party=party, key=one.key, now=timezone.now())
    assert "before its gold was weighed" in words


@pytest.fixture
def lots():
    trip = f.make_trip(f.make_party(), state="wrapped_up")
    weigh_in = f.make_weigh_in(trip)
    return [f.make_lot(weigh_in, mass_ug=mass) for mass in (300_000, 200_000, 100_000)]


def party_of(lots):
    return lots[0].party


def refused(act, **given) -> str:
    with pytest.raises(ValidationError) as caught:
        act(**given)
    return " ".join(caught.value.messages)


def test_merged_lots_are_sold_as_one_and_brought_back_as_one(lots):
    merged = merge_lots(party=party_of(lots), lots=lots, name="Vial")
    merged.proceeds_minor, merged.fee_minor = 4_000, 100
    save_merged(merged=merged, state="sold", moved_on=LATE, to_whom="A counter")
    assert set(merged.lots.values_list("state", "moved_on")) == {("sold", LATE)}
    assert "no longer on hand" in refused(take_apart, merged=merged)
    save_merged(merged=merged, state="on_hand", moved_on=LATE, to_whom="x")
    merged.refresh_from_db()
    assert merged.proceeds_minor is None
    take_apart(merged=merged)
    assert GoldLot.objects.filter(merged__isnull=True).count() == 3


def test_a_merged_lot_is_split_in_proportion_to_the_microgram(lots):
    merged = merge_lots(party=party_of(lots), lots=lots, name="Vial")
    half = split_merged(merged=merged, mass_ug=100_001, name="Part")
    assert sorted(half.lots.values_list("mass_ug", flat=True)) == [16_667, 33_334, 50_000]
    assert sorted(merged.lots.values_list("mass_ug", flat=True)) == [83_333, 166_666, 250_000]


def test_what_cannot_be_merged_is_named(lots):
    party = party_of(lots)
    one = lots[0]
    assert "at least two" in refused(merge_lots, party=party, lots=[one], name="x")
    theirs = f.make_lot(f.make_weigh_in(f.make_trip(f.make_party())))
    assert "not there" in refused(merge_lots, party=party, lots=[one, theirs], name="x")
    priced = f.make_lot(one.weigh_in, mass_ug=1, own_value_minor=1, name="the bean")
    assert "“the bean”" in refused(merge_lots, party=party, lots=[one, priced], name="x")
    merge_lots(party=party, lots=lots[:2], name="x")
    assert "already" in refused(merge_lots, party=party, lots=lots, name="y")


def test_a_part_of_a_merged_lot_cannot_be_moved_alone(lots):
    merge_lots(party=party_of(lots), lots=lots[:2], name="Vial")
    lot = GoldLot.objects.get(pk=lots[0].pk)
    lot.state, lot.moved_on = "given", LATE
    assert "“Vial”" in refused(save_lot, lot=lot)
    assert "“Vial”" in refused(delete_lot, lot=lot)
    assert "Take that apart" in refused(split_lot, lot=lot, mass_ug=1, name="x")


@pytest.mark.parametrize("mass_ug", [0, 300_000, 300_001])
def test_a_split_leaves_something_on_both_sides(lots, mass_ug):
    words = refused(split_lot, lot=lots[0], mass_ug=mass_ug, name="x")
    assert "less than the whole" in words


def test_a_sale_before_the_weighing_is_refused(lots):
    merged = merge_lots(party=party_of(lots), lots=lots, name="Vial")
    merged.proceeds_minor = 1
    early = f.DAY - dt.timedelta(days=1)
    assert "before that" in refused(
        save_merged, merged=merged, state="sold", moved_on=early, to_whom=""
    )
