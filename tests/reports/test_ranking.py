"""The order of sites, and in words how firm it is."""

import dataclasses

import pytest

from reports.figures.ranking import (
    Contender,
    Thirst,
    Way,
    fuel_there_and_back,
    how_firm,
    other_price,
    ranking,
)
from reports.figures.returns import returns
from trips.calc.gold import Unknown

NONE = returns((), "EUR")
CAR = Thirst("Van", 8_000, 10_000, None)


def site(name, per_hour, low=None, high=None, *, trips=9, stopped=False):
    result = dataclasses.replace(
        NONE,
        trips=trips,
        known=trips,
        per_hour_minor=per_hour,
        low_minor=low,
        high_minor=high,
    )
    return Contender(sum(map(ord, name)), name, result, stopped)


def test_the_best_net_per_hour_comes_first_and_ties_go_by_name():
    order = ranking([site("C", 100), site("B", 300), site("A", 100), site("D", -50)])
    assert [each.name for each in order] == ["B", "A", "C", "D"]


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
