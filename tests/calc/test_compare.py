"""Two counted rates held against each other."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trips.calc.compare import compare_rates
from trips.calc.errors import OutOfRange

# Rows without an outside mark are own figures by a second package's conditional test.
GU = (60, 51477.5, 30, 54308.7)


def test_conditional_test_of_the_long_known_example():
    got = compare_rates(*GU)
    assert got.exact_p == pytest.approx(0.000675183, abs=5e-10)
    assert got.mid_p == pytest.approx(0.000557262, abs=5e-10)
    assert (got.ratio.low, got.ratio.high) == pytest.approx((1.33974, 3.38837), abs=5e-6)


@pytest.mark.outside(
    "Gu, Ng, Tang & Schucany, Biometrical Journal 50, 2008, ex. 1, as quoted in a test suite "
    "(seen second-hand): one-sided score p .000316, Wald p .000356"
)
def test_mid_p_lies_by_the_published_approximate_p_values():
    assert 0.000200 < compare_rates(*GU).mid_p / 2 < 0.000420


def test_a_count_of_zero_leaves_one_end_open():
    got = compare_rates(0, 100, 3, 100)
    assert got.exact_p == pytest.approx(0.25)
    assert got.ratio.low == 0
    turned = compare_rates(3, 100, 0, 100)
    assert turned.ratio.high == math.inf
    assert turned.ratio.low == pytest.approx(1 / got.ratio.high)


def test_few_colours_give_a_wide_ratio():
    got = compare_rates(7, 24, 2, 40)
    assert got.mid_p == pytest.approx(0.024231, abs=5e-7)
    assert got.exact_p == pytest.approx(0.0316, abs=5e-5)
    assert (got.ratio.low, got.ratio.high) == pytest.approx((1.11068, 57.5505), rel=5e-6)


def test_equal_rates_give_no_sign_of_a_difference():
    got = compare_rates(1, 1, 1, 1)
    assert got.exact_p == pytest.approx(1)
    assert got.mid_p == pytest.approx(0.75)  # less half of the chance 1/2 of one each


def test_no_colours_are_no_information_and_no_litres_no_test():
    got = compare_rates(0, 5, 0, 5)
    assert (got.exact_p, got.mid_p, got.ratio) == (1.0, 1.0, None)
    assert compare_rates(1, 0, 1, 5) is None
    with pytest.raises(OutOfRange):
        compare_rates(-1, 1, 1, 1)
    with pytest.raises(OutOfRange):
        compare_rates(1, 1, 1, 1, factor=0)


@given(st.integers(0, 40), st.integers(0, 40), st.integers(1, 50), st.integers(1, 50))
def test_turning_the_places_round_changes_nothing(a, b, litres_a, litres_b):
    one, other = compare_rates(a, litres_a, b, litres_b), compare_rates(b, litres_b, a, litres_a)
    assert one.exact_p == pytest.approx(other.exact_p)
    assert one.mid_p == pytest.approx(other.mid_p)
    assert one.mid_p <= 1
    assert one.exact_p <= 1
