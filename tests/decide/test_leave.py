"""When a hole stops paying: falling rates, what is left, season and day."""

from itertools import pairwise
from math import exp

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from reports.decide.leave import (
    CleanUp,
    averages,
    depletion,
    falling,
    interior_stay,
    isotonic,
    lambert_root,
    safe_root,
    saturating,
    season_rate,
    steady,
    today,
)
from trips.calc.errors import OutOfRange

BASS = [CleanUp(7, catch) for catch in (131, 69, 99, 78, 56, 76, 49, 42, 63, 47)]
GOLD = [
    CleanUp(h, g) for h, g in zip((1, 1.5, 1, 2, 1), (0.42, 0.48, 0.36, 0.40, 0.10), strict=True)
]
FSA = "Omand 1951 smallmouth bass; FSA package, `depletion` reference output (seen)"
# Rows without an outside mark are own figures of methods notes.


@pytest.mark.outside(FSA)
def test_leslie_line_of_the_bass_fishery():
    found = depletion(BASS, half_catch=False)
    assert found.whole == pytest.approx(1060.296, abs=5e-4)
    assert -found.slope == pytest.approx(0.01484403, abs=5e-9)
    assert found.slope_se == pytest.approx(0.003520491, abs=5e-10)
    assert found.r_squared == pytest.approx(0.6896648, abs=5e-8)
    from scipy.stats import t

    reach = t.ppf(0.975, 8) * found.slope_se
    assert -found.slope - reach == pytest.approx(0.006725759, abs=5e-9)
    assert -found.slope + reach == pytest.approx(0.02296229, abs=5e-8)


@pytest.mark.outside(FSA + ": standard error of the whole, 169.2676")
def test_standard_error_of_what_was_there():
    """By the delta method for the ratio of intercept and slope, as the package does."""
    found = depletion(BASS, half_catch=False)
    catch = np.array([row.gain for row in BASS])
    before, rate = np.cumsum(catch) - catch, catch / 7
    design = np.stack([np.ones(10), before], axis=1)
    line, *_ = np.linalg.lstsq(design, rate, rcond=None)
    error = ((rate - design @ line) ** 2).sum() / 8
    spread = error * np.linalg.inv(design.T @ design)
    q = -line[1]
    slope = np.array([1 / q, line[0] / q**2])
    assert np.sqrt(slope @ spread @ slope) == pytest.approx(169.2676, abs=5e-4)
    assert line[0] / q == pytest.approx(found.whole)


def test_leslie_with_half_of_the_present_catch():
    found = depletion(BASS)
    assert found.whole == pytest.approx(1077.571, abs=5e-4)
    assert -found.slope == pytest.approx(0.01525078, abs=5e-9)


@pytest.mark.outside("R manual, isoreg example (call seen, values from memory)")
def test_isotonic_regression_of_the_manual():
    got = isotonic([1, 0, 4, 3, 3, 5, 4, 2, 0], [1] * 9, increasing=True)
    assert got == pytest.approx([0.5, 0.5, 3, 3, 3, 3, 3, 3, 3])


def test_falling_rates_of_the_bass_and_of_the_gold():
    expected = [18.7143, 12, 12, 11.1429, 9.4286, 9.4286, 7.3333, 7.3333, 7.3333, 6.7143]
    assert [step.fitted for step in falling(BASS)] == pytest.approx(expected, abs=5e-5)
    steps = falling(GOLD)
    assert [s.fitted for s in steps] == pytest.approx([0.42, 0.336, 0.336, 0.20, 0.10])
    assert sum(s.fitted * s.hours for s in steps) == pytest.approx(1.76)


def test_average_with_travel_says_leave_after_the_third():
    got = averages(GOLD, 0.75)
    assert got == pytest.approx([0.24, 0.28431, 0.29647, 0.2656, 0.24276], abs=5e-6)
    assert got.index(max(got)) == 2
    assert falling(GOLD)[3].fitted < max(got)


def test_depletion_of_the_gold_and_its_leave_rate():
    found = depletion(GOLD)
    assert (found.whole, found.tau) == pytest.approx((2.496134, 5.292542), abs=5e-7)
    season = season_rate(found.whole, found.tau, 0.75)
    assert season.hours == pytest.approx(2.588, abs=5e-4)
    assert season.rate == pytest.approx(0.28921, abs=5e-6)


@pytest.mark.outside("Marginal value notebook, shivchitinous.github.io: exit at 4.76 (seen)")
def test_marginal_value_of_the_notebook():
    """It steps by hundredths; exact is 3 + 1.749."""
    found = season_rate(1, 1, 3)
    assert 3 + found.hours == pytest.approx(4.76, abs=0.012)
    assert (found.hours, found.rate) == pytest.approx((1.749031, 0.173942), abs=5e-7)


@pytest.mark.parametrize(
    ("given_", "hours", "rate"),
    [
        ((12, 6, 5), 6.382083, 0.690366),
        ((10, 2, 1), 1.715353, 2.120732),
        ((60, 2, 0.75, 4, 3, 2), 1.608680, 9.421496),
    ],
)
def test_marginal_value_against_a_numeric_optimum(given_, hours, rate):
    found = season_rate(*given_)
    assert (found.hours, found.rate) == pytest.approx((hours, rate), abs=6e-7)
    from scipy.optimize import minimize_scalar

    whole, tau, travel, cost, move, way = (*given_, 0, 0, 0)[:6]

    def average(t):
        spent = cost * t + move + way * travel
        return -(whole * (1 - exp(-t / tau)) - spent) / (travel + t)

    best = minimize_scalar(average, bounds=(1e-6, 20 * tau), method="bounded")
    assert best.x == pytest.approx(hours, abs=1e-3)
    assert -best.fun == pytest.approx(rate, abs=1e-6)


def test_newton_agrees_with_lambert_over_a_wide_grid():
    """u from 1.000001 to 631, q from .001 to 1."""
    rng = np.random.default_rng(7)
    for u, q in zip(
        1 + 10 ** rng.uniform(-6, 2.8, 2000), 10 ** rng.uniform(-3, 0, 2000), strict=True
    ):
        if q < u:
            x = safe_root(u, q)
            assert x == pytest.approx(lambert_root(u, q), rel=1e-9, abs=1e-9)
            assert q * exp(x) == pytest.approx(x + u, rel=1e-9)


def test_newton_agrees_with_lambert_where_moving_saves_cost():
    """q above 1 up to nearly u: an hour of digging costs more than an hour on the way."""
    rng = np.random.default_rng(9)
    us = 1 + 10 ** rng.uniform(-2, 2.8, 2000)
    for u, part in zip(us, rng.uniform(0, 0.999, 2000), strict=True):
        q = u**part
        x = safe_root(u, q)
        assert x == pytest.approx(lambert_root(u, q), rel=1e-6, abs=1e-9)
        assert q * exp(x) == pytest.approx(x + u, rel=1e-9)


@pytest.mark.parametrize("u", [701.0, 1e4, 1e8])
def test_newton_holds_where_lambert_underflows(u):
    x = safe_root(u, 1.0)
    assert exp(x) == pytest.approx(x + u, rel=1e-9)
    if u > 745:
        assert lambert_root(u, 1.0) == float("inf")


def test_ends_of_the_season_rate():
    assert season_rate(1, 1, 1, move_cost=1.5) is None
    assert season_rate(1, 1, 1, cost=2).hours == 0
    with pytest.raises(OutOfRange):
        season_rate(0, 1, 1)
    with pytest.raises(OutOfRange):
        season_rate(1, 1, 0)


def test_today_on_the_grid_is_the_closed_form():
    got = today(saturating(1.2, 3), saturating(1.5, 2.5), 5, 0.75)
    exact = interior_stay(1.2, 3, 1.5, 2.5, 5, 0.75)
    assert exact == pytest.approx(1.765275, abs=5e-7)
    assert got.stay_hours == pytest.approx(exact, abs=5 / 60)
    assert got.best == pytest.approx(1.478558, abs=1e-4)
    assert (got.stay_all, got.go_now) == pytest.approx((0.973349, 1.225975), abs=5e-7)
    fine = today(saturating(1.2, 3), saturating(1.5, 2.5), 5, 0.75, step=1 / 3600)
    assert fine.stay_hours == pytest.approx(exact, abs=2e-4)
    assert fine.best == pytest.approx(1.478558, abs=5e-7)


def test_late_in_the_day_there_is_no_time_to_leave():
    """The season's rate would say leave; with less time than the move takes one stays."""
    assert today(steady(1), steady(5), 0.5, 0.75).stay_hours == pytest.approx(0.5)
    assert today(steady(1), steady(5), 3, 0.75).stay_hours == 0
    assert today(steady(1), steady(5), 0, 0.75).stay_hours == 0


def test_a_clean_up_without_hours_joins_its_neighbour():
    rows = [CleanUp(None, 2), CleanUp(1, 3), CleanUp(0, 4), CleanUp(2, 5)]
    steps = falling(rows)
    assert [(s.hours, s.gain, s.merged) for s in steps] == [(1, 9, 3), (2, 5, 1)]
    assert falling([CleanUp(None, 2), CleanUp(0, 1)]) == ()
    assert falling([]) == ()
    with pytest.raises(OutOfRange):
        falling([CleanUp(1, -1)])


def test_nothing_in_the_box_is_a_rate_of_zero():
    assert falling([CleanUp(1, 5), CleanUp(1, 0)])[-1].fitted == 0
    assert falling([CleanUp(1, 0), CleanUp(1, 0)])[0].fitted == 0


def test_depletion_is_refused_where_it_measures_nothing():
    assert depletion(GOLD[:3]) is None, "fewer than four"
    assert depletion([CleanUp(1, g) for g in (1, 2, 3, 4)]) is None, "rising"
    assert depletion([CleanUp(1, g) for g in (1, 1, 1, 1)]) is None, "level"
    assert depletion([CleanUp(1, g) for g in (10, 9.9, 10, 9.8)]) is None, "promises too much"
    assert depletion([CleanUp(1, 0)] * 5) is None, "no gold"


@settings(max_examples=60)
@given(st.lists(st.tuples(st.floats(0.1, 5), st.floats(0, 10)), min_size=1, max_size=8))
def test_smoothing_keeps_the_sum_and_never_rises(pairs):
    steps = falling([CleanUp(h, g) for h, g in pairs])
    assert sum(s.fitted * s.hours for s in steps) == pytest.approx(sum(g for _, g in pairs))
    rates = [s.fitted for s in steps]
    assert all(a >= b - 1e-9 for a, b in pairwise(rates))
