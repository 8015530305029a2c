"""The order of sites, and in words how firm it is."""

import dataclasses

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reports.figures.ranking import (
    Contender,
    Thirst,
    Way,
    fuel_there_and_back,
    how_firm,
    other_price,
    ranking,
)
from reports.figures.returns import Outing, returns
from trips.calc.gold import Unknown

NONE = returns((), "EUR")
CAR = Thirst("Van", 8_000, 10_000, None)


def site(name, per_hour, low=None, high=None, *, trips=9, stopped=False):
    result = dataclasses.replace(
        NONE,
        trips=trips,
        known=trips,
        net_minor=per_hour,
        minutes=0 if per_hour is None else 60,
        per_hour_minor=per_hour,
        low_minor=low,
        high_minor=high,
    )
    return Contender(sum(map(ord, name)), name, result, stopped)


def test_the_best_net_per_hour_comes_first_and_ties_go_by_name():
    order = ranking([site("C", 100), site("B", 300), site("A", 100), site("D", -50)])
    assert [each.name for each in order] == ["B", "A", "C", "D"]


def outings(nets, minutes):
    return [
        Outing(at, f"Trip {at}", 1, net, 0, 0, mins, "")
        for at, (net, mins) in enumerate(zip(nets, minutes, strict=True))
    ]


day = st.tuples(st.integers(0, 10**5), st.integers(1, 10**5), st.integers(1, 900))


@given(st.lists(day, min_size=1, max_size=6))
def test_a_site_that_brought_less_on_every_day_is_never_first(days):
    less, more, minutes = zip(*((net, extra, mins) for net, extra, mins in days), strict=True)
    worse = returns(outings(less, minutes), "EUR")
    better = returns(outings([a + b for a, b in zip(less, more, strict=True)], minutes), "EUR")
    # The worse one has the name that would win a tie.
    order = ranking([Contender(1, "A", worse, False), Contender(2, "B", better, False)])
    assert [each.name for each in order] == ["B", "A"]


def test_a_lead_below_the_smallest_coin_still_counts_and_is_said():
    # 10.00 and 10.01 over 100 hours: both 0.10 an hour when rounded.
    by_name = [
        Contender(at, name, returns(outings([net], [6_000]), "EUR"), False)
        for at, (name, net) in enumerate([("A", 1_000), ("B", 1_001)])
    ]
    order = ranking(by_name)
    assert [each.name for each in order] == ["B", "A"]
    assert "B is ahead of A by less than 0.01\u202fEUR an hour" in how_firm(order, "EUR")


def test_equal_sites_are_said_to_be_equal():
    assert "A and B brought the same an hour" in how_firm([site("A", 5), site("B", 5)], "EUR")


def test_a_stopped_site_is_not_ranked_however_good():
    order = ranking([site("A", 1), site("B", 9_999, stopped=True)])
    assert [each.name for each in order] == ["A"]


def test_stopped_unknown_and_untried_sites_are_not_ranked():
    rest = [site("Stop", 900, stopped=True), site("Lost", None), site("New", None, trips=0)]
    assert ranking(rest) == ()
    assert [each.standing for each in rest] == ["stopped", "unknown", "untried"]


def test_overlapping_ranges_cannot_be_told_apart():
    words = how_firm([site("A", 300, 100, 500), site("B", 200, 50, 350)], "EUR")
    assert "A is ahead of B by 1.00\u202fEUR an hour" in words
    assert "can't tell them apart yet" in words


def test_ranges_that_touch_still_overlap_and_apart_they_do_not():
    touching = how_firm([site("A", 300, 200, 400), site("B", 100, 0, 200)], "EUR")
    assert "can't tell them apart" in touching
    apart = how_firm([site("A", 300, 201, 400), site("B", 100, 0, 200)], "EUR")
    assert "do not overlap" in apart


def test_a_site_without_a_range_is_named_with_its_trips():
    words = how_firm([site("A", 300, 100, 500), site("B", 200, trips=1)], "EUR")
    assert "no range for B (1 trip)" in words


def test_one_or_no_site_makes_no_comparison():
    assert how_firm([], "EUR") == ""
    assert "Only A" in how_firm([site("A", 300)], "EUR")


def test_another_price_that_turns_the_order_is_said():
    a, b, c = site("A", 3), site("B", 2), site("C", 1)
    assert other_price([a, b], [b, a], "at X") == "Valued at X, B would be first."
    assert other_price([a, b, c], [a, c, b], "at X").endswith("the order changes below the first.")
    assert other_price([a, b], [a, b], "at X").endswith("the order stays the same.")
    assert other_price([a], [a], "at X") == ""


def test_fuel_for_the_way_there_and_back():
    # 2 × (15 km × 8 L + 4 km × 10 L) / 100 km = 3.2 L at 1.80 a litre.
    minor, basis = fuel_there_and_back(Way(15_000, 4_000, None), CAR, 1_800, "EUR")
    assert minor == 576
    assert "3.2 L with Van" in basis


@pytest.mark.parametrize(
    ("way", "car", "price", "reason"),
    [
        (Way(1_000, None, None), None, 1_800, "No car"),
        (Way(None, None, None), CAR, 1_800, "way there is not recorded"),
        (Way(1_000, None, 500), CAR, 1_800, "fuel use on one of the roads"),
        (Way(1_000, None, None), CAR, None, "No fuel price"),
    ],
)
def test_fuel_that_cannot_be_worked_out_says_why(way, car, price, reason):
    found = fuel_there_and_back(way, car, price, "EUR")
    assert isinstance(found, Unknown)
    assert reason in found.reason
