"""Where the gold is and what the part on hand is worth."""

import datetime as dt
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trips.calc.errors import BadShares
from trips.calc.gold import PricePoint, Unknown
from trips.calc.holdings import LotPart, WeighedPart, holdings, value_on_hand

HUNDRED_A_GRAM = PricePoint(dt.date(2031, 5, 3), Decimal(100), "g", "EUR", "made up for tests")
NO_PRICE = Unknown("No gold price has been entered yet.")


def value(parts, price=HUNDRED_A_GRAM, **options):
    return value_on_hand(parts, price=price, currency="EUR", **options)


@given(
    st.lists(
        st.lists(
            st.tuples(st.integers(1, 10**9), st.sampled_from(["on_hand", "sold", "given"])),
            max_size=5,
        ),
        max_size=5,
    ),
    st.integers(0, 10**9),
)
def test_on_hand_sold_and_given_make_up_what_was_weighed(weighed, loose_ug):
    parts = [
        WeighedPart(
            sum(mass for mass, _ in lots) + loose_ug,
            885,
            tuple(LotPart(mass, state) for mass, state in lots),
        )
        for lots in weighed
    ]
    found = holdings(parts)
    assert found.on_hand_ug + found.sold_ug + found.given_ug == found.weighed_ug
    assert found.weighed_ug == sum(part.net_ug for part in parts)


def test_lots_heavier_than_their_weigh_in_are_refused():
    with pytest.raises(BadShares, match="11 µg"):
        holdings([WeighedPart(10, 885, (LotPart(11, "sold"),))])


def test_value_takes_each_weigh_ins_own_fineness_and_rounds_once():
    # Own figures: 1 g at 900 ‰ and 100 a gram is 90.00; 0.5 g at 1000 ‰ is 50.00.
    parts = [WeighedPart(1_000_000, 900), WeighedPart(500_000, 1000)]
    assert value(parts).amount_minor == 14_000
    # Three times a third of a cent make one cent, which rounding each would lose.
    crumbs = [WeighedPart(33, 1000)] * 3
    assert value(crumbs).amount_minor == 1


def test_payable_share_lowers_metal_but_not_an_own_value():
    parts = [WeighedPart(1_000_000, 1000, (LotPart(400_000, "on_hand", 9_900, "EUR"),))]
    assert value(parts, payable_ratio=Decimal("0.5")).amount_minor == 3_000 + 9_900


def test_sold_and_given_gold_has_no_value_on_hand():
    parts = [WeighedPart(1_000_000, 1000, (LotPart(600_000, "sold"), LotPart(400_000, "given")))]
    found = value(parts, price=NO_PRICE)
    assert (found.amount_minor, found.reason) == (0, "Nothing is on hand.")


def test_without_a_price_metal_is_unknown_with_the_reason():
    found = value([WeighedPart(1, 885)], price=NO_PRICE)
    assert (found.amount_minor, found.reason) == (None, NO_PRICE.reason)


def test_an_own_value_in_another_currency_is_never_added():
    parts = [WeighedPart(10, 885, (LotPart(10, "on_hand", 100, "USD"),))]
    found = value(parts)
    assert found.amount_minor is None
    assert "USD" in found.reason
