"""What gold is worth: prices of a day, fineness, value of a mass."""

from datetime import date
from decimal import Decimal as D
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trips.calc.errors import OutOfRange
from trips.calc.gold import (
    PricePoint,
    Unknown,
    fine_mass_ug,
    fineness_from_analysis,
    minor_per_ug,
    price_on,
    prices_of,
    value_gold,
)
from trips.calc.units import to_base, unit


def price(day=date(2031, 5, 1), amount="100", unit="g", currency="EUR"):
    return PricePoint(day, D(amount), unit, currency, "own entry")


POINTS = [
    price(date(2031, 5, 1), "100"),
    price(date(2031, 5, 10), "110"),
    price(date(2031, 5, 20), "120"),
    price(date(2031, 5, 5), "900", currency="NOK"),
]


@pytest.mark.parametrize(
    ("day", "amount"),
    [(1, "100"), (9, "100"), (10, "110"), (19, "110"), (20, "120"), (31, "120")],
)
def test_the_price_is_the_latest_on_or_before_the_day(day, amount):
    found = price_on(POINTS, date(2031, 5, day), "EUR")
    assert isinstance(found, PricePoint)
    assert found.amount == D(amount)


def test_a_later_price_is_never_used():
    found = price_on(POINTS, date(2031, 4, 30), "EUR")
    assert isinstance(found, Unknown)
    assert "2031-04-30" in found.reason
    assert "2031-05-01" in found.reason


def test_a_missing_currency_names_those_that_exist():
    found = price_on(POINTS, date(2031, 5, 30), "SEK")
    assert isinstance(found, Unknown)
    assert "EUR, NOK" in found.reason
    assert isinstance(price_on([], date(2031, 5, 30), "SEK"), Unknown)


def test_of_two_prices_on_one_day_the_later_entered_holds():
    both = [price(amount="1"), price(amount="2")]
    assert price_on(both, date(2031, 5, 1), "EUR") == both[1]
    assert price_on(POINTS[::-1], date(2031, 5, 15), "EUR") == POINTS[1]


def test_an_ounce_price_per_gram_is_exact():
    ounce = price(amount="3110.34768", unit="ozt")
    assert ounce.exact_per_g == 100
    assert ounce.price_per_g == 100
    assert price(amount="1", unit="ozt").exact_per_g == Fraction(1) / Fraction(D("31.1034768"))


def test_value_is_rounded_once():
    got = value_gold(
        mass_ug=743_034, fineness=850, price=price(), payable_ratio=D("0.95"), fee_minor=100
    )
    # 0.743034 g x 100 x 0.85 x 0.95 = 59.9999955, less 1.00
    assert (got.amount_minor, got.currency) == (5900, "EUR")
    assert "2031-05-01" in got.reason


@pytest.mark.outside(
    "J. H. Wells, Placer Examination, US BLM Technical Bulletin 4, 1969, Part III sec. 1a(2): "
    "1 mg of 885-fine gold at $35/oz is a tenth of a cent (seen); product computed"
)
def test_a_milligram_at_the_old_price_is_a_tenth_of_a_cent():
    old = price(amount="35", unit="ozt", currency="USD")
    cents_per_mg = 1000 * minor_per_ug(old, 885, D(1))
    assert round(float(cents_per_mg), 4) == 0.0996


@pytest.mark.outside("Wells, Placer Examination, 1969, Part II sec. 5 (seen); masses computed")
@pytest.mark.parametrize(("per_cent", "micrograms"), [(1000, "10.04"), (5000, "2.01")])
def test_flour_gold_by_the_number_worth_a_cent(per_cent, micrograms):
    old = price(amount="35", unit="ozt", currency="USD")
    assert f"{float(1 / minor_per_ug(old, 885, D(1)) / per_cent):.2f}" == micrograms


@pytest.mark.outside(
    "Washington State gold text, colours per cent and per ounce (seen second-hand)"
)
@pytest.mark.parametrize(
    ("per_ounce", "colours", "cents", "implied"),
    [(14_000_000, 1000, 1, 140), (300_000, 100, 5, 150)],
)
def test_a_rule_of_thumb_hides_the_price_of_its_time(per_ounce, colours, cents, implied):
    ounce_ug = 31_103_476.8
    then = price(amount=str(implied), unit="ozt", currency="USD")
    worth = float(minor_per_ug(then, 1000, D(1))) * ounce_ug / per_ounce * colours
    assert worth == pytest.approx(cents, rel=1e-9)


@pytest.mark.parametrize(
    ("mass_ug", "fineness", "known", "says"),
    [
        (None, 885, price(), "not been weighed"),
        (1000, None, price(), "fineness"),
        (1000, 885, Unknown("No gold price in EUR."), "No gold price in EUR."),
    ],
)
def test_what_is_not_known_is_unknown_with_its_reason_and_never_zero(
    mass_ug, fineness, known, says
):
    got = value_gold(mass_ug=mass_ug, fineness=fineness, price=known)
    assert got.amount_minor is None
    assert says in got.reason


@pytest.mark.outside("Crude ounces of 2005, US$29.9 million: miningnewsnorth, 26 Mar 2006 (seen)")
def test_a_year_of_crude_ounces_at_their_printed_value():
    then = price(amount="425.19", unit="ozt", currency="USD")
    mass_ug = to_base(D(70_322), unit("mass", "ozt"))
    got = value_gold(mass_ug=mass_ug, fineness=1000, price=then)
    assert got.amount_minor / 100 == pytest.approx(29_900_000, abs=400)  # half a cent an ounce


def test_zero_gold_is_worth_zero_and_a_fee_may_exceed_the_value():
    assert value_gold(mass_ug=0, fineness=885, price=price()).amount_minor == 0
    assert value_gold(mass_ug=0, fineness=885, price=price(), fee_minor=5).amount_minor == -5


@pytest.mark.parametrize(
    "wrong",
    [{"mass_ug": -1}, {"fineness": 1001}, {"payable_ratio": D("1.01")}, {"fee_minor": -1}],
)
def test_values_outside_their_range_are_refused(wrong):
    with pytest.raises(OutOfRange):
        value_gold(**{"mass_ug": 1000, "fineness": 885, "price": price()} | wrong)


@pytest.mark.outside(
    "E. H. Macdonald, Handbook of Gold Exploration, Table 1.7, p. 17 (analyses seen)"
)
@pytest.mark.parametrize(
    ("gold", "silver", "fine"),
    [
        ("95.6", "2.91", "970.5"),
        ("96.1", "3.41", "965.7"),
        ("90.4", "8.67", "912.5"),
        ("92.1", "8.04", "919.7"),
        ("94.6", "3.77", "961.7"),
        ("90.7", "5.43", "943.5"),
    ],
)
def test_fineness_from_an_analysis(gold, silver, fine):
    assert round(fineness_from_analysis(D(gold), D(silver)), 1) == D(fine)


@pytest.mark.outside("Wells, Placer Examination, 1969, Part II sec. 4: 25-30 cents a day (seen)")
def test_snipers_of_the_depression_earned_a_quarter_gram_a_day():
    old = price(amount="35", unit="ozt", currency="USD")
    grams = [float(cents / minor_per_ug(old, 885, D(1)) / 10**6) for cents in (25, 30)]
    assert [round(each, 2) for each in grams] == [0.25, 0.30]


def test_fine_mass():
    assert fine_mass_ug(1_000_000, 885) == 885_000


@given(st.integers(0, 10**9), st.integers(0, 10**9), st.integers(0, 1000))
def test_more_gold_is_never_worth_less(one, other, fineness):
    low, high = sorted((one, other))
    values = [
        value_gold(mass_ug=m, fineness=fineness, price=price()).amount_minor for m in (low, high)
    ]
    assert values[0] <= values[1]


@given(
    st.lists(st.tuples(st.integers(1, 9), st.sampled_from(["EUR", "USD"]), st.integers(1, 99))),
    st.integers(1, 11),
)
def test_prices_put_in_order_once_give_the_price_of_each_day(rows, day):
    points = [price(date(2031, 5, on), str(amount), "g", code) for on, code, amount in rows]
    asked = date(2031, 5, day)
    assert prices_of(points, "EUR")(asked) == price_on(points, asked, "EUR")
