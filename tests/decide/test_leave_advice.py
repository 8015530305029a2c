"""Stay or go, and what staying cost or won. Own figures throughout."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.special import gammainc

from reports.decide import leave_advice
from reports.decide.comparing import gamma_better
from reports.decide.hindsight import staying
from reports.decide.leave import CleanUp
from reports.decide.leave_advice import There, advise

# 100 mg an hour there, give or take a third, half an hour away.
WEIR = There("Weir", 100_000, 9.0, 9.0 / 100_000, 0.5)


def clean_ups(*milligrams, hours=1.0):
    return [CleanUp(hours, mg * 1000) for mg in milligrams]


def test_a_good_hole_is_stayed_at_and_a_poor_one_left():
    good = advise(clean_ups(120), hours_left=4, there=WEIR)
    assert good.action == "stay"
    assert good.day.stay_hours == pytest.approx(4)
    poor = advise(clean_ups(60), hours_left=4, there=WEIR)
    assert poor.action == "leave"
    # Steady on both sides: going pays below 100 · 3.5 / 4.
    assert poor.line == pytest.approx(87_500)
    assert poor.chance_go > 0.5 > good.chance_go


def test_late_in_the_day_the_line_falls_and_one_stays():
    early = advise(clean_ups(60), hours_left=4, there=WEIR)
    late = advise(clean_ups(60), hours_left=0.6, there=WEIR)
    assert (early.action, late.action) == ("leave", "stay")
    assert late.line < early.line


def test_a_running_cost_alone_sends_one_home_from_too_poor_a_hole():
    with_cost = advise(clean_ups(20), hours_left=3, there=None, cost=30_000)
    assert with_cost.action == "leave"
    assert with_cost.line == pytest.approx(30_000)
    assert leave_advice.NOWHERE in with_cost.notes
    assert advise(clean_ups(40), hours_left=3, there=None, cost=30_000).action == "stay"


@pytest.mark.parametrize(
    ("rows", "hours", "sentence"),
    [
        ([], 3, leave_advice.NO_RATE),
        ([CleanUp(None, 5_000)], 3, leave_advice.NO_RATE),
        (clean_ups(50), 3, leave_advice.ONE),
        (clean_ups(50, 0), 3, leave_advice.NOTHING),
        (clean_ups(50, 40), 0, leave_advice.NO_TIME),
        (clean_ups(50, 40), 3, leave_advice.STEADY),
        ([*clean_ups(50), CleanUp(None, 5_000)], 3, leave_advice.MERGED),
    ],
)
def test_each_case_of_thin_data_has_its_sentence(rows, hours, sentence):
    assert sentence in advise(rows, hours_left=hours, there=WEIR).notes


def test_no_range_is_given_where_next_to_nothing_was_found():
    some = advise(clean_ups(50), hours_left=3, there=WEIR, colour_ug=1_000)
    assert some.low < some.rate < some.high
    assert advise(clean_ups(50, 2), hours_left=3, there=WEIR, colour_ug=1_000).low is None
    assert advise([], hours_left=3, there=WEIR).rate is None


def test_a_measured_fall_gives_a_time_to_leave_inside_the_day():
    rows = clean_ups(300, 210, 150, 105, 73)
    got = advise(rows, hours_left=5, there=There("Weir", 40_000, 9, 9 / 40_000, 0.5))
    assert got.line_fit is not None
    assert got.action == "stay"
    assert 0 < got.day.stay_hours < 5
    assert got.season is not None
    # Rate there and rate here after the stay meet, to the five minutes of the grid.
    left = got.line_fit.whole - sum(row.gain for row in rows)
    from math import exp

    here = left / got.line_fit.tau * exp(-got.day.stay_hours / got.line_fit.tau)
    assert here == pytest.approx(40_000, rel=0.05)


def test_more_clumping_widens_the_range():
    plain = advise(clean_ups(50), hours_left=3, there=WEIR)
    clumped = advise(clean_ups(50), hours_left=3, there=WEIR, scatter=4)
    assert clumped.high - clumped.low > 1.5 * (plain.high - plain.low)


@settings(max_examples=40)
@given(st.floats(1, 400), st.floats(0.1, 8), st.floats(1, 400), st.floats(0, 2))
def test_advice_follows_the_line_when_both_rates_are_steady(here, hours, rate, move):
    there = There("Weir", rate * 1000, 4, 4 / (rate * 1000), move)
    got = advise(clean_ups(here), hours_left=hours, there=there)
    if abs(here * 1000 - got.line) > 1e-6 * got.line:
        # On the grid's last step one may leave a little before the end; never against the line.
        assert (got.action == "leave") == (here * 1000 < got.line)


def test_the_chance_of_going_is_the_closed_form_where_both_rates_are_steady():
    """P(there over the hours after the move > here over all): one gamma against another."""
    got = advise(clean_ups(60), hours_left=4, there=WEIR)
    # Here: one colour at the foretold rate and sixty seen in an hour; there: nine of 100 mg.
    expected = gamma_better(9, 9 / 100_000, 61, (1 / 60 + 1) / 1_000, 4 / 3.5)
    assert got.chance_go == pytest.approx(expected, abs=2e-4)


@pytest.mark.parametrize("cost", [0.0, 25_000.0])
@pytest.mark.parametrize("milligrams", [(70,), (300, 210, 150, 105, 73)])
def test_the_chance_of_going_by_draws(milligrams, cost):
    """Draw both rates; going is best where no stay of the grid brings more."""
    rows = clean_ups(*milligrams)
    there = There("Weir", 60_000, 6, 6 / 60_000, 0.5)
    got = advise(rows, hours_left=3, there=there, cost=cost)
    last, hours = rows[-1].gain, 3.0
    left = got.line_fit.whole - sum(row.gain for row in rows) if got.line_fit else None
    rng = np.random.default_rng(8)
    here = rng.gamma(1 + last / 1_000, 1 / ((1 + 1_000 / last) / 1_000), 4_000)
    beyond = np.maximum(0, rng.gamma(6, 10_000, 4_000) - cost)
    best = np.ones(4_000, dtype=bool)
    for stay in np.arange(1, 37) / 12:
        gain = here * stay
        if left is not None:
            gain = here / last * left * (1 - np.exp(-stay / got.line_fit.tau))
        lost = beyond * (2.5 - max(0.0, hours - stay - 0.5))
        best &= gain - cost * stay <= lost
    assert got.chance_go == pytest.approx(best.mean(), abs=0.03)
    assert 0.02 < got.chance_go < 0.98


@settings(max_examples=40)
@given(
    st.lists(st.floats(1, 300), min_size=1, max_size=6),
    st.floats(0.2, 8),
    st.floats(1, 300),
    st.floats(0, 2),
    st.floats(0, 40_000),
)
def test_leaving_is_said_below_the_line_and_only_there(milligrams, hours, rate, move, cost):
    """Falling holes too: the line is of the rate now, whatever course the rest takes."""
    there = There("Weir", rate * 1000, 4, 4 / (rate * 1000), move)
    got = advise(clean_ups(*milligrams), hours_left=hours, there=there, cost=cost)
    if abs(got.rate - got.line) > 1e-6 * got.line:
        assert (got.action == "leave") == (got.rate < got.line)


def test_with_nowhere_to_go_the_cost_alone_may_send_one_home():
    assert advise(clean_ups(20), hours_left=3, there=None).chance_go is None
    dear = advise(clean_ups(20), hours_left=3, there=None, cost=30_000)
    # 21 colours' worth in 1.05 h, below 30 an hour.
    assert dear.chance_go == pytest.approx(gammainc(21, 30 * 1.05), abs=1e-9)


def advice_after_each(rows, left, there):
    return [advise(rows[: n + 1], hours_left=hours, there=there) for n, hours in enumerate(left)]


def test_staying_past_a_leave_is_weighed_against_the_range_of_the_other_place():
    rows = clean_ups(150, 40, 30, 20)
    found = staying(rows, advice_after_each(rows, (5, 4, 3, 2), WEIR), WEIR)
    assert found.after == 2
    assert found.hours == 2
    assert found.brought == pytest.approx(50_000)
    # An hour and a half there after the move: 150 mg expected.
    assert found.expected == pytest.approx(150_000)
    assert found.expected_low < found.expected < found.expected_high
    assert found.lost_low > 0
    assert found.finding == "cost"


def test_staying_can_win_and_can_be_too_close_to_call():
    won = clean_ups(60, 300, 300)
    assert staying(won, advice_after_each(won, (5, 4, 3), WEIR), WEIR).finding == "won"
    close = clean_ups(60, 70, 80)
    assert staying(close, advice_after_each(close, (5, 4, 3), WEIR), WEIR).finding == "even"


def test_nobody_is_told_of_a_day_that_went_by_the_rules():
    rows = clean_ups(150, 140, 60)
    assert staying(rows, advice_after_each(rows, (3, 2, 1), WEIR), WEIR) is None
    assert staying([], [], WEIR) is None
    unknown = [CleanUp(None, 1_000)]
    assert staying(unknown, advice_after_each(unknown, (3,), WEIR), WEIR) is None


def test_without_anywhere_to_go_staying_costs_what_running_cost():
    rows = clean_ups(10, 5)
    advice = [advise(rows[:1], hours_left=3, there=None, cost=20_000)]
    found = staying(rows, advice, None, cost=20_000)
    assert found.brought == pytest.approx(-15_000)
    assert found.finding == "cost"
