"""How many digits a figure and its range are shown with. The expected values are own ones."""

from decimal import Decimal as D

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trips.calc import digits
from trips.calc.errors import OutOfRange


@pytest.mark.parametrize(
    ("value", "shown"),
    [
        ("12345", "12300"),
        ("0.0012345", "0.00123"),
        ("9.996", "10.0"),
        ("0", "0"),
        ("-7.777", "-7.78"),
    ],
)
def test_three_significant_digits_without_an_exponent(value, shown):
    assert str(digits.sensible(D(value))) == shown


@pytest.mark.parametrize(
    ("low", "high", "places"), [(-6.1, 1.2, 1), (-2, 14.2, 0), (100, 2300, -2), (0.01, 0.05, 3)]
)
def test_places_follow_the_width_of_the_range(low, high, places):
    assert digits.places_known(low, high) == places


def test_a_range_without_end_has_no_places():
    with pytest.raises(OutOfRange, match="finite"):
        digits.places_known(1.0, float("inf"))


@pytest.mark.parametrize(
    ("minor", "words"),
    [
        ((121, 250, 392), ("1.2", "2.5", "3.9")),
        ((-8, 25, 54), ("\u22120.08", "0.25", "0.54")),
        ((1234, 2345, 4567), ("12", "23", "46")),
        ((-31_234, 51_700, 131_000), ("\u2212300", "500", "1\u202f300")),
        ((2500, 2500, 2500), ("25.00", "25.00", "25.00")),
        ((-4, 600, 700), ("0.0", "6.0", "7.0")),
    ],
)
def test_money_shows_no_more_digits_than_its_range_knows(minor, words):
    shown = digits.money_range(*minor, "EUR")
    assert shown == tuple(f"{each}\u202fEUR" for each in words)


def test_an_amount_without_a_range_stays_whole():
    assert digits.money_range(None, 1234, None, "EUR") == ("unknown", "12.34\u202fEUR", "unknown")
    assert digits.money_range(None, None, None, "EUR").best == "unknown"


def test_a_currency_without_minor_units_has_no_decimals():
    assert digits.money_range(1, 2, 4, "JPY") == ("1\u202fJPY", "2\u202fJPY", "4\u202fJPY")


def test_a_forecast_in_the_main_unit_reads_the_same():
    assert digits.main_money_range(1.21, 2.5, 3.92, "EUR") == digits.money_range(
        121, 250, 392, "EUR"
    )


def test_rates_show_no_more_digits_than_their_range_knows():
    assert digits.number_range(0.0123, 0.2345, 1.9) == ("0.0", "0.2", "1.9")
    assert digits.number_range(120.0, 230.4, 2250.0) == ("100", "200", "2\u202f200")


@given(st.tuples(*[st.decimals(-10000, 10000, places=5)] * 3).map(sorted))
def test_rounding_keeps_order_and_stays_close(three):
    low, best, high = shown = digits.known_digits(*three)
    assert low <= best <= high
    assert all(abs(a - b) <= (three[2] - three[0]) / 10 for a, b in zip(shown, three, strict=True))
