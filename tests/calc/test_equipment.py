"""Present value, internal rate and payback of yearly flows."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trips.calc.equipment import irr, npv, payback_years
from trips.calc.errors import OutOfRange


@pytest.mark.outside("numpy-financial docstring of npv (seen)")
def test_present_value_does_not_discount_the_first_flow():
    assert npv(0.08, [-40000, 5000, 8000, 12000, 30000]) == pytest.approx(3065.22267, abs=5e-6)
    assert npv(0.08, [-100]) == -100
    with pytest.raises(OutOfRange):
        npv(-1, [1])


@pytest.mark.outside("numpy-financial documentation of irr (memory)")
@pytest.mark.parametrize(
    ("flows", "rate", "digits"),
    [((-100, 39, 59, 55, 20), 0.28095, 5e-6), ((-100, 0, 0, 74), -0.0955, 5e-5)],
)
def test_internal_rate(flows, rate, digits):
    assert irr(flows) == pytest.approx(rate, abs=digits)


@pytest.mark.parametrize(
    "flows", [(-5, -1, -2), (), (0, 0), (5, 1), (-100, 250, -150), (-1, 2, -1, 2)]
)
def test_no_internal_rate_unless_the_sign_changes_once(flows):
    assert irr(flows) is None


@given(st.integers(1, 10**6), st.lists(st.integers(0, 10**6), min_size=1, max_size=10).filter(any))
def test_at_the_internal_rate_the_present_value_is_nothing(price, income):
    flows = [-price, *income]
    assert abs(npv(irr(flows), flows)) < 1e-6 * (price + sum(income))


def test_a_first_flow_of_zero_does_not_hide_the_rate():
    assert irr([0, -100, 110]) == pytest.approx(0.1)


@pytest.mark.parametrize(
    ("flows", "years"),
    [
        ((-100, 50, 40, 40), 2.25),
        ((-100, 50), None),
        ((10, 5), 0.0),
        ((-100, 150, -100, 100), 2.5),
        ((), 0.0),
    ],
    ids="own-{}".format,
)
def test_payback(flows, years):
    assert payback_years(flows) == years
