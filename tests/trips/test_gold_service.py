"""Weigh-ins and lots as they are written: what is refused, and that no gold is made or lost."""

import datetime as dt

import pytest
from django.core.exceptions import ValidationError
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.django import TestCase

from tests import factories as make
from trips.calc.holdings import holdings
from trips.models import DerivedShare, DerivedTripFigures, GoldLot, WeighIn
from trips.selectors.gold import weighed_parts
from trips.services.gold import delete_lot, delete_weigh_in, save_lot, save_weigh_in

pytestmark = pytest.mark.django_db

DAY = dt.date(2031, 5, 3)


@pytest.fixture
def trip():
    return make.make_trip(make.make_party())


def weigh(trip, **overrides):
    values = {
        "trip": trip,
        "weighed_on": DAY,
        "gross_ug": 1_250_000,
        "tare_ug": 250_000,
        "resolution_ug": 10_000,
        "fineness": None,
        "runs": (),
        "pans": (),
        "note": "",
    }
    return save_weigh_in(**values | overrides)


def refusal(**overrides) -> dict:
    with pytest.raises(ValidationError) as caught:
        weigh(**overrides)
    return caught.value.message_dict


def test_a_weigh_in_takes_its_runs_and_shares_add_up_to_the_net(trip):
    runs = [make.make_run(trip), make.make_run(trip, coarse=3), make.make_run(trip, fine=None)]
    pan = make.make_pan(trip)
    weigh_in = weigh(trip, runs=runs, pans=[pan])
    shares = DerivedShare.objects.filter(weigh_in=weigh_in)
    assert shares.count() == 4
    assert sum(share.mass_ug for share in shares) == weigh_in.net_ug == 1_000_000
    assert all(share.mass_ug % 10_000 == 0 for share in shares)
    assert DerivedTripFigures.objects.get(trip=trip).mass_ug == 1_000_000


def test_changing_it_lets_go_of_runs_that_are_no_longer_ticked(trip):
    first, second = make.make_run(trip), make.make_run(trip)
    weigh_in = weigh(trip, runs=[first, second])
    weigh(trip, runs=[second], instance=weigh_in, gross_ug=950_000)
    first.refresh_from_db()
    second.refresh_from_db()
    assert (first.weigh_in, second.weigh_in) == (None, weigh_in)
    [share] = DerivedShare.objects.filter(weigh_in=weigh_in)
    assert (share.run, share.mass_ug) == (second, 700_000)


@pytest.mark.parametrize(
    ("field", "words", "changes"),
    [
        ("tare_ug", "heavier than the gross", {"gross_ug": 240_000}),
        ("gross_ug", "not a whole number", {"gross_ug": 1_255_000}),
        ("tare_ug", "not a whole number", {"tare_ug": 255_000}),
        ("resolution_ug", "more than zero", {"resolution_ug": 0}),
        ("weighed_on", "before that", {"weighed_on": dt.date(2031, 5, 2)}),
        ("fineness", "25", {"fineness": 24}),
        ("fineness", "1000", {"fineness": 1001}),
        ("note", "200", {"note": "x" * 201}),
    ],
)
def test_refused_with_words_at_the_field_and_nothing_is_saved(trip, field, words, changes):
    message = refusal(trip=trip, **changes)[field][0]
    assert words in message
    assert not WeighIn.objects.exists()


def test_equal_gross_and_tare_are_a_net_of_zero_and_no_refusal(trip):
    run = make.make_run(trip)
    weigh_in = weigh(trip, gross_ug=250_000, runs=[run, make.make_run(trip)])
    assert weigh_in.net_ug == 0
    assert [s.mass_ug for s in weigh_in.derived_shares.all()] == [0, 0]


def test_weighed_on_the_trips_first_day_is_taken(trip):
    assert weigh(trip, weighed_on=trip.starts_on).pk


@pytest.mark.parametrize("kind", ["runs", "pans"])
def test_a_record_of_another_trip_is_refused(trip, kind):
    other = make.make_trip(trip.party)
    record = make.make_run(other) if kind == "runs" else make.make_pan(other)
    assert "does not belong to this trip" in refusal(trip=trip, **{kind: [record]})[kind][0]
    record.refresh_from_db()
    assert record.weigh_in is None


@pytest.mark.parametrize("kind", ["runs", "pans"])
def test_a_record_that_is_weighed_already_is_refused(trip, kind):
    record = make.make_run(trip) if kind == "runs" else make.make_pan(trip)
    weigh(trip, **{kind: [record]})
    assert "would count twice" in refusal(trip=trip, **{kind: [record]})[kind][0]
    assert WeighIn.objects.count() == 1


def test_a_weigh_in_of_another_trip_cannot_be_changed_through_this_one(trip):
    other = weigh(make.make_trip(trip.party))
    with pytest.raises(ValidationError, match="another trip"):
        weigh(trip, instance=other)


def test_it_cannot_shrink_below_its_lots(trip):
    weigh_in = weigh(trip)
    make.make_lot(weigh_in, mass_ug=800_000)
    message = refusal(trip=trip, instance=weigh_in, gross_ug=1_040_000)["gross_ug"][0]
    assert "0.8" in message
    assert "0.79" in message
    assert weigh(trip, instance=weigh_in, gross_ug=1_050_000).net_ug == 800_000


def test_deleting_frees_the_runs_and_makes_the_trips_gold_unknown(trip):
    run = make.make_run(trip)
    delete_weigh_in(weigh_in=weigh(trip, runs=[run]))
    run.refresh_from_db()
    assert run.weigh_in is None
    assert DerivedTripFigures.objects.get(trip=trip).mass_ug is None


def test_deleting_is_refused_while_lots_exist_and_names_them(trip):
    weigh_in = weigh(trip)
    lot = make.make_lot(weigh_in, name="the bean")
    with pytest.raises(ValidationError, match="the bean"):
        delete_weigh_in(weigh_in=weigh_in)
    delete_lot(lot=lot)
    delete_weigh_in(weigh_in=weigh_in)
    assert not WeighIn.objects.exists()


def new_lot(weigh_in, **overrides):
    values = {"name": "Lot", "mass_ug": 100_000, "currency": "EUR", "weigh_in": weigh_in}
    return save_lot(lot=GoldLot(**values | overrides))


@pytest.mark.parametrize(
    ("field", "words", "values"),
    [
        ("mass_ug", "1\u202fg left", {"mass_ug": 1_000_001}),
        ("mass_ug", "more than nothing", {"mass_ug": 0}),
        ("moved_on", "sold", {"state": "sold", "proceeds_minor": 100}),
        ("moved_on", "given away", {"state": "given"}),
        ("proceeds_minor", "brought", {"state": "sold", "moved_on": DAY}),
        ("moved_on", "before that", {"state": "given", "moved_on": dt.date(2031, 5, 2)}),
    ],
)
def test_a_lot_is_refused_with_words(trip, field, words, values):
    weigh_in = weigh(trip)
    with pytest.raises(ValidationError) as caught:
        new_lot(weigh_in, **values)
    told = caught.value.message_dict
    # A mass of nothing is refused by the database's own rule, which speaks for the whole row.
    assert words in " ".join(told.get(field) or told["__all__"])
    assert not GoldLot.objects.exists()


def test_lots_may_use_up_the_weigh_in_but_no_microgram_more(trip):
    weigh_in = weigh(trip)
    new_lot(weigh_in, mass_ug=999_999)
    last = new_lot(weigh_in, mass_ug=1)
    last.mass_ug = 2
    with pytest.raises(ValidationError):
        save_lot(lot=last)


def test_a_lot_taken_back_on_hand_forgets_its_sale(trip):
    lot = new_lot(weigh(trip), state="sold", moved_on=DAY, proceeds_minor=900, fee_minor=10)
    lot.state = "on_hand"
    save_lot(lot=lot)
    lot.refresh_from_db()
    assert (lot.moved_on, lot.proceeds_minor, lot.fee_minor) == (None, None, None)


class Conservation(TestCase):
    @settings(max_examples=25)
    @given(
        st.lists(
            st.tuples(
                st.integers(1, 600_000),
                st.sampled_from(["on_hand", "sold", "given"]),
                st.booleans(),
            ),
            max_size=6,
        )
    )
    def test_whatever_lots_are_made_moved_and_deleted_the_parts_make_up_the_whole(self, wishes):
        trip = make.make_trip(make.make_party())
        weigh_in = weigh(trip)
        left = weigh_in.net_ug
        for mass_ug, state, is_kept in wishes:
            try:
                lot = new_lot(
                    weigh_in, mass_ug=mass_ug, state=state, moved_on=DAY, proceeds_minor=1
                )
            except ValidationError:
                assert mass_ug > left
                continue
            assert mass_ug <= left
            if is_kept:
                left -= mass_ug
            else:
                delete_lot(lot=lot)
            found = holdings(weighed_parts(trip.party))
            assert found.on_hand_ug + found.sold_ug + found.given_ug == found.weighed_ug
            assert found.weighed_ug == 1_000_000
