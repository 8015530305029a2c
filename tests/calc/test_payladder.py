from datetime import date
from decimal import Decimal as D

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trips.calc.costs import CostLine, TripCost
from trips.calc.errors import OutOfRange
from trips.calc.gold import PricePoint, Unknown, minor_per_ug, value_gold
from trips.calc.payladder import break_even_price_per_g, break_even_ug, rungs

PRICE = PricePoint(date(2031, 5, 1), D("100"), "g", "EUR", "own entry")
PAID = D("0.95")


def trip(fuel=1000, food=500, wear=300):
    lines = (
        CostLine("fuel", "fuel", fuel, "", True),
        CostLine("food", "food", food, "", False),
        CostLine("wear", "wear", wear, "", True),
    )
    known = [line.amount_minor or 0 for line in lines]
    gaps = tuple(f"{line.label} is not known." for line in lines if line.amount_minor is None)
    return TripCost(lines, known[0], known[0] + known[1], known[2], gaps, "EUR")


def test_each_rung_holds_the_rungs_below_it():
    got = rungs(1600, trip(), 120, 1500)
    assert [rung.key for rung in got] == ["fuel", "outlay", "wear", "hours"]
    assert [rung.threshold_minor for rung in got] == [1000, 1500, 1800, 4800]
    assert [rung.reached for rung in got] == [True, True, False, False]


@pytest.mark.parametrize(("value", "reached"), [(999, False), (1000, True), (1001, True)])
def test_a_rung_is_reached_exactly_at_its_threshold(value, reached):
    assert rungs(value, trip(), 0, 0)[0].reached is reached


def test_an_unknown_value_reaches_nothing_and_says_why():
    got = rungs(None, trip(), 60, 100, "No gold price in EUR.")
    assert [rung.reached for rung in got] == [None] * 4
    assert all("No gold price in EUR." in rung.reason for rung in got)
    assert [rung.threshold_minor for rung in got] == [1000, 1500, 1800, 1900]


def test_with_part_of_a_cost_unknown_a_rung_can_be_missed_but_never_reached():
    cost = trip(food=None)
    low, high = rungs(900, cost, 60, 100), rungs(10**6, cost, 60, 100)
    assert [rung.reached for rung in low] == [False] * 4
    assert [rung.reached for rung in high] == [True, None, None, None]
    assert high[1].threshold_minor is None
    assert "food is not known" in high[1].reason


@pytest.mark.parametrize(
    ("minutes", "figure", "says"), [(None, 1500, "hours"), (60, None, "figure for an hour")]
)
def test_hours_or_figure_missing_leave_the_last_rung_unknown(minutes, figure, says):
    last = rungs(10**6, trip(), minutes, figure)[-1]
    assert (last.reached, last.threshold_minor) == (None, None)
    assert says in last.reason
    assert rungs(1700, trip(), minutes, figure)[-1].reached is False


def test_negative_hours_are_refused():
    with pytest.raises(OutOfRange):
        rungs(1, trip(), -1, 1)


def test_break_even_grams_and_price_of_the_table():
    # cost 60, price 100/g, 850 fine, fee 5 % (own): .743034 g; with .9 g found 82.5593
    got = break_even_ug(6000, PRICE, 850, PAID)
    assert got.mass_ug / 10**6 == pytest.approx(0.743034, abs=1.1e-6)  # rounded up
    price = break_even_price_per_g(6000, "EUR", 900_000, 850, PAID)
    assert round(price.per_g, 4) == D("82.5593")


def test_break_even_is_none_with_its_reason_where_nothing_would_do():
    assert "No gold price" in break_even_ug(1, Unknown("No gold price yet."), 885).reason
    for got in (
        break_even_ug(None, PRICE, 885),
        break_even_ug(1, PRICE, None),
        break_even_ug(1, PRICE, 0),
        break_even_ug(1, PRICE, 885, D(0)),
    ):
        assert got.mass_ug is None
        assert got.reason
    for price in (
        break_even_price_per_g(None, "EUR", 1, 885),
        break_even_price_per_g(1, "EUR", None, 885),
        break_even_price_per_g(1, "EUR", 1, None),
        break_even_price_per_g(1, "EUR", 0, 885),
    ):
        assert price.per_g is None
        assert price.reason


def test_without_a_cost_nothing_is_needed():
    assert break_even_ug(0, PRICE, 885).mass_ug == 0
    assert break_even_price_per_g(-5, "EUR", 0, 885).per_g == 0


@given(st.integers(0, 10**7), st.integers(0, 10**7), st.integers(1, 1000))
def test_higher_cost_never_lowers_break_even(one, other, fineness):
    low, high = sorted((one, other))
    assert (
        break_even_ug(low, PRICE, fineness, PAID).mass_ug
        <= break_even_ug(high, PRICE, fineness, PAID).mass_ug
    )
    assert (
        break_even_price_per_g(low, "EUR", 5000, fineness).per_g
        <= break_even_price_per_g(high, "EUR", 5000, fineness).per_g
    )


@given(st.integers(1, 10**7), st.integers(1, 1000))
def test_the_break_even_mass_does_pay(cost, fineness):
    mass = break_even_ug(cost, PRICE, fineness, PAID).mass_ug
    value = value_gold(mass_ug=mass, fineness=fineness, price=PRICE, payable_ratio=PAID)
    assert value.amount_minor >= cost


@given(st.integers(1, 10**7), st.integers(1, 1000))
def test_break_even_is_the_least_whole_microgram_before_any_rounding_of_money(cost, fineness):
    mass = break_even_ug(cost, PRICE, fineness, PAID).mass_ug
    each = minor_per_ug(PRICE, fineness, PAID)
    assert (mass - 1) * each < cost <= mass * each


@given(st.lists(st.integers(0, 10**6), min_size=3, max_size=3), st.integers(0, 10**7))
def test_a_rung_reached_has_every_lower_rung_reached(costs, value):
    got = [rung.reached for rung in rungs(value, trip(*costs), 90, 1234)]
    assert got == sorted(got, reverse=True)
