"""Numbers, dates and money in each region's manner, against Unicode's published data."""

import datetime as dt
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trips.calc import local
from trips.calc.money import from_minor
from trips.calc.numbers import parse_decimal

CLDR = "Unicode CLDR common/main (seen second-hand, through Babel's copy; patterns from memory)"
DAY = dt.date(2031, 5, 3)
NNBSP, NBSP = "\u202f", "\u00a0"


def without_marks(text):
    """Direction marks come and go between editions of the data."""
    return "".join(c for c in text if c not in "\u200e\u200f\u061c")


def test_the_programs_own_manner_is_as_it_always_was():
    assert local.number(Decimal("-1234567.50")) == "−1 234 567.50".replace(" ", NNBSP)
    assert local.money(Decimal("12.50"), "EUR") == f"12.50{NNBSP}EUR"
    assert local.day(DAY) == "3 May 2031"
    assert local.month_and_day(10, 31) == "31 October"
    assert local.weekday_names()[0] == ("Mo", "Monday")


@pytest.mark.outside(CLDR)
@pytest.mark.parametrize(
    ("region", "expected"),
    [
        ("en_GB", "-1,234,567.50"),
        ("de_DE", "-1.234.567,50"),
        ("de_CH", "-1’234’567.50"),
        ("fr_FR", "-1 234 567,50".replace(" ", NNBSP)),
        ("sv_SE", "-1 234 567,50".replace(" ", NBSP)),
        ("hi_IN", "-12,34,567.50"),
        ("ar_EG", "-١٬٢٣٤٬٥٦٧٫٥٠"),
        ("ar_MA", "-1.234.567,50"),
        ("fa_IR", "-۱٬۲۳۴٬۵۶۷٫۵۰"),
    ],
)
def test_a_regions_marks_groups_and_digits(region, expected):
    with local.written(local.Manner(region)):
        text = local.number(Decimal("-1234567.50"))
    assert without_marks(text).replace("−", "-") == expected


@pytest.mark.outside(CLDR)
@pytest.mark.parametrize(
    ("region", "minor", "currency", "expected"),
    [
        ("de_DE", -123450, "EUR", f"-1.234,50{NBSP}€"),
        ("en_US", 123450, "USD", "$1,234.50"),
        ("fr_FR", 123450, "EUR", f"1{NNBSP}234,50{NBSP}€"),
        ("hi_IN", 12345650, "INR", "₹1,23,456.50"),
        ("ja_JP", 1234, "JPY", "￥1,234"),
        ("en_GB", 1234567, "KWD", "KWD1,234.567"),
    ],
)
def test_money_in_a_regions_manner(region, minor, currency, expected):
    with local.written(local.Manner(region)):
        text = local.money(from_minor(minor, currency), currency)
    assert text.replace("KWD" + NBSP, "KWD") == expected


def test_a_currency_keeps_every_decimal_of_the_amount():
    """Regression: CLDR shows the Iraqi dinar without decimals, ISO 4217 gives it three."""
    with local.written(local.Manner("en_GB")):
        assert "1.234" in local.money(from_minor(1234, "IQD"), "IQD")


@pytest.mark.outside(CLDR)
@pytest.mark.parametrize(
    ("region", "dates", "expected"),
    [
        ("en_GB", "region", "3 May 2031"),
        ("en_US", "region", "May 3, 2031"),
        ("de_DE", "region", "03.05.2031"),
        ("de_DE", "words", "3. Mai 2031"),
        ("fr_FR", "region", "3 mai 2031"),
        ("hi_IN", "region", "3 मई 2031"),
        ("ar_EG", "words", "٣ مايو ٢٠٣١"),
        ("ja_JP", "region", "2031/05/03"),
        ("de_DE", "iso", "2031-05-03"),
        ("", "iso", "2031-05-03"),
        ("", "words", "3 May 2031"),
    ],
)
def test_dates(region, dates, expected):
    with local.written(local.Manner(region, dates)):
        text = local.day(DAY)
    assert without_marks(text).replace("،", "") == expected


@given(
    number=st.decimals(min_value=-(10**9), max_value=10**9, places=3),
    region=st.sampled_from(["", "en_GB", "de_DE", "de_CH", "fr_FR", "hi_IN", "ar_EG", "fa_IR"]),
)
def test_what_a_region_shows_is_read_back_as_the_same_number(number, region):
    with local.written(local.Manner(region)):
        text, mark = local.number(number), local.decimal_mark()
    if region == "hi_IN":  # groups by two, which the reader refuses on purpose
        text = text.replace(",", "")
    assert parse_decimal(text, mark) == number
