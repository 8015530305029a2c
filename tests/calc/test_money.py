"""Amounts in minor units, and sharing them out."""

from decimal import Decimal as D
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trips.calc import money
from trips.calc.errors import (
    BadShares,
    OutOfRange,
    TooManyDecimals,
    UnknownCurrency,
)
from trips.calc.shares import largest_remainder, split_evenly


@pytest.mark.outside("ISO 4217 list one, minor units (memory)")
@pytest.mark.parametrize(
    ("currency", "places"),
    [
        ("JPY", 0),
        ("KRW", 0),
        ("CLP", 0),
        ("ISK", 0),
        ("VND", 0),
        ("XAF", 0),
        ("XOF", 0),
        ("BHD", 3),
        ("KWD", 3),
        ("OMR", 3),
        ("TND", 3),
        ("JOD", 3),
        ("EUR", 2),
        ("NZD", 2),
    ],
)
def test_minor_digits_of_currencies(currency, places):
    assert money.exponent(currency) == places
    assert money.from_minor(1, currency) == D(1).scaleb(-places)
    assert money.to_minor(D(1), currency) == 10**places == money.minor_per_main(currency)


@pytest.mark.parametrize("code", ["eur", "EURO", "", "E1R", "€", "ÆØÅ"])
def test_a_code_that_is_no_currency_is_refused(code):
    with pytest.raises(UnknownCurrency):
        money.exponent(code)


def test_rounding_is_half_to_even():
    assert [money.to_minor(D(x), "EUR") for x in ("0.005", "0.015", "-0.025")] == [0, 2, -2]
    assert money.round_minor(Fraction(5, 2)) == 2
    with pytest.raises(OutOfRange):
        money.to_minor(D("Infinity"), "EUR")


def test_a_typed_amount_with_too_many_decimals_is_refused():
    assert money.to_minor_exact(D("12.5"), "EUR") == 1250
    assert money.to_minor_exact(D("1.234"), "KWD") == 1234
    with pytest.raises(TooManyDecimals, match=r"1\.234 EUR"):
        money.to_minor_exact(D("1.234"), "EUR")
    with pytest.raises(TooManyDecimals):
        money.to_minor_exact(D("0.5"), "JPY")


@given(st.integers(-(10**15), 10**15), st.sampled_from(["EUR", "JPY", "KWD", "CLF"]))
def test_minor_units_there_and_back(minor, currency):
    assert money.to_minor_exact(money.from_minor(minor, currency), currency) == minor


@pytest.mark.parametrize(
    ("total", "weights", "expected"),
    [
        pytest.param(
            7,
            (50, 30, 20),
            (4, 2, 1),
            marks=pytest.mark.outside("Largest remainder example page (first two quotas seen)"),
        ),
        pytest.param(
            10,
            (47000, 16000, 15800, 12000, 6100, 3100),
            (5, 2, 1, 1, 1, 0),
            marks=pytest.mark.outside("Textbook example of Hamilton's method (memory)"),
        ),
        (1237, (D("3.2"), D("1.1"), D("0.7")), (792, 272, 173)),
        (100, (1, 1, 1), (34, 33, 33)),
        (-100, (1, 1, 1), (-34, -33, -33)),
        (0, (0, 0), (0, 0)),
        (5, (0, 2, 0), (0, 5, 0)),
    ],
)
def test_largest_remainder(total, weights, expected):
    assert largest_remainder(total, weights) == expected


@pytest.mark.parametrize(("total", "weights"), [(1, ()), (1, (0, 0)), (1, (1, -1)), (0, (-1,))])
def test_what_cannot_be_shared_is_refused(total, weights):
    with pytest.raises(BadShares):
        largest_remainder(total, weights)
    with pytest.raises(BadShares):
        split_evenly(5, 0)


@given(
    st.integers(-(10**9), 10**9),
    st.lists(st.fractions(0, 1000), min_size=1, max_size=12).filter(any),
)
def test_shares_sum_to_the_whole_and_stay_within_one_of_their_quota(total, weights):
    shares = largest_remainder(total, weights)
    assert sum(shares) == total
    for share, weight in zip(shares, weights, strict=True):
        assert abs(share - total * weight / sum(weights)) < 1


@given(st.integers(-(10**6), 10**6), st.integers(1, 30))
def test_even_shares_differ_by_at_most_one(total, parts):
    shares = split_evenly(total, parts)
    assert sum(shares) == total
    assert max(shares) - min(shares) <= 1
