from datetime import date, timedelta
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trips.calc.errors import BadShares, OutOfRange
from trips.calc.fees import fee_basis, fee_by_days, fee_by_trips
from trips.calc.settle import Payment, Transfer, settle

FIRST, LAST = date(2031, 1, 1), date(2031, 12, 31)


def test_a_fee_by_the_days_of_its_term():
    assert fee_by_days(36_500, FIRST, LAST, date(2031, 5, 3), date(2031, 5, 4)) == 200
    assert fee_by_days(36_500, FIRST, LAST, FIRST, LAST) == 36_500


@pytest.mark.parametrize(
    ("first", "last", "share"),
    [
        (date(2030, 12, 31), date(2030, 12, 31), 0),
        (date(2030, 12, 30), date(2031, 1, 1), 100),
        (date(2031, 12, 31), date(2032, 1, 5), 100),
        (date(2032, 1, 1), date(2032, 1, 1), 0),
    ],
)
def test_days_outside_the_term_carry_nothing(first, last, share):
    assert fee_by_days(36_500, FIRST, LAST, first, last) == share


@given(st.integers(0, 10**6), st.integers(1, 400), st.sets(st.integers(1, 399)))
def test_the_days_of_a_term_carry_the_whole_fee_at_any_grouping(fee, days, cuts):
    last = FIRST + timedelta(days=days - 1)
    starts = [0, *sorted(cut for cut in cuts if cut < days), days]
    parts = [
        fee_by_days(fee, FIRST, last, FIRST + timedelta(days=a), FIRST + timedelta(days=b - 1))
        for a, b in pairwise(starts)
    ]
    assert sum(parts) == fee


def test_a_fee_by_its_trips():
    assert fee_by_trips(1000, ["a", "b", "c"]) == {"a": 334, "b": 333, "c": 333}
    assert "3 trips" in fee_basis(None, 3)
    assert "365 days" in fee_basis(365, None)


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: fee_by_days(-1, FIRST, LAST, FIRST, LAST),
        lambda: fee_by_days(1, LAST, FIRST, FIRST, LAST),
        lambda: fee_by_days(1, FIRST, LAST, LAST, FIRST),
        lambda: fee_by_trips(1, ["a", "a"]),
    ],
)
def test_fees_that_mean_nothing_are_refused(wrong):
    with pytest.raises(OutOfRange):
        wrong()


def test_who_owes_whom():
    got = settle(["Ana", "Bo", "Cy"], [Payment("Ana", 5000), Payment("Bo", 1000)])
    assert got.shares == {"Ana": 2000, "Bo": 2000, "Cy": 2000}
    assert got.balances == {"Ana": 3000, "Bo": -1000, "Cy": -2000}
    assert got.transfers == (Transfer("Cy", "Ana", 2000), Transfer("Bo", "Ana", 1000))


def test_nobody_is_paid_more_than_is_owed_to_them():
    got = settle(["Ana", "Bo", "Cy"], [Payment("Ana", 500), Payment("Bo", 400)])
    assert got.transfers == (Transfer("Cy", "Ana", 200), Transfer("Cy", "Bo", 100))


def test_weights_share_unevenly_and_a_guest_pays_nothing():
    got = settle(["Ana", "Bo"], [Payment("Bo", 999)], {"Ana": 2, "Bo": 1})
    assert got.shares == {"Ana": 666, "Bo": 333}
    assert settle(["Ana", "Bo"], [Payment("Bo", 10)], {"Bo": 1}).transfers == ()


@pytest.mark.parametrize(
    "wrong",
    [([], []), (["Ana", "Ana"], []), (["Ana"], [Payment("Bo", 1)])],
)
def test_shares_without_people_or_by_strangers_are_refused(wrong):
    with pytest.raises(BadShares):
        settle(*wrong)


@given(st.lists(st.integers(0, 10**6), min_size=1, max_size=7))
def test_balances_sum_to_zero_and_the_transfers_settle_them(amounts):
    people = [f"p{at}" for at in range(len(amounts))]
    payments = [Payment(*each) for each in zip(people, amounts, strict=True)]
    got = settle(people, payments)
    assert sum(got.balances.values()) == 0
    assert sum(got.shares.values()) == sum(amounts)
    left = dict(got.balances)
    for move in got.transfers:
        assert move.amount_minor > 0
        left[move.payer] += move.amount_minor
        left[move.payee] -= move.amount_minor
    assert not any(left.values())
    assert len(got.transfers) < len(people)
