"""Scouting: recomputed values, bounds, and what pans can change."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from reports.decide.gammas import GammaMix
from reports.decide.ranking import Outing
from reports.decide.scouting import (
    Prospect,
    evpi,
    evsi,
    evsi_each,
    joint_evsi,
    knowledge_gradient,
    lessons,
    normal_loss,
    pans_worth,
    turn,
)
from trips.calc.errors import OutOfRange

ONE = Prospect(1, 10, 400, 20)
TWO = Prospect(0.5, 5, 400, 20)


@pytest.mark.parametrize(
    ("prospect", "litres", "other", "sample", "perfect"),
    [(ONE, 40, 25, 11.46880, 12.98610), (TWO, 80, 30, 15.89121, 16.46393)],
)
def test_value_of_a_sample_and_of_knowing(prospect, litres, other, sample, perfect):
    # Own values, recomputed with two million draws; regression.
    assert evsi(prospect, litres, other) == pytest.approx(sample, abs=1e-5)
    assert evpi(prospect, other) == pytest.approx(perfect, abs=1e-5)


@pytest.mark.outside(
    "H. Raiffa and R. Schlaifer, Applied Statistical Decision Theory, 1961, table of the unit "
    "normal linear loss (memory)"
)
@pytest.mark.parametrize(
    ("z", "loss"), [(0, 0.3989), (0.5, 0.1978), (1, 0.08332), (1.5, 0.02931), (2, 0.00849)]
)
def test_unit_normal_loss(z, loss):
    assert normal_loss(z) == pytest.approx(loss, abs=5e-5)


def test_knowledge_gradient_of_five():
    # Own values from the formulas, recomputed with four million draws.
    found = knowledge_gradient([20, 22, 24, 26, 28], [18, 16, 14, 12, 10], 10)
    assert found == pytest.approx([3.07158, 2.93364, 2.82216, 2.76392, 1.93304], abs=1e-5)


@settings(max_examples=40)
@given(
    st.floats(0.3, 20),
    st.floats(1, 100),
    st.floats(50, 900),
    st.floats(0, 80),
    st.floats(0, 200),
    st.floats(-20, 100),
)
def test_a_sample_is_worth_something_but_never_more_than_knowing(a, b, gain, cost, litres, other):
    prospect = Prospect(a, b, gain, cost)
    assert 0 <= evsi(prospect, litres, other) <= evpi(prospect, other) + 1e-6


def test_no_litres_teach_nothing_and_more_teach_more():
    values = [evsi(ONE, litres, 25) for litres in (0, 5, 20, 80, 2000)]
    assert values[0] == 0
    assert values == sorted(values)
    assert values[-1] == pytest.approx(evpi(ONE, 25), rel=0.01)


@settings(max_examples=40)
@given(
    st.builds(
        Prospect, st.floats(0.3, 20), st.floats(1, 100), st.floats(50, 900), st.floats(0, 80)
    ),
    st.lists(st.floats(0, 200), min_size=1, max_size=5),
    st.floats(-20, 100),
)
def test_several_amounts_at_once_are_worth_what_each_is_alone(prospect, litres, other):
    together = evsi_each(prospect, tuple(litres), other)
    assert together == tuple(evsi(prospect, each, other) for each in litres)


def test_several_sites_on_one_day_agree_with_one_and_are_worth_more():
    alone = joint_evsi([ONE], [40], 25, seed=5, draws=200_000)
    assert alone == pytest.approx(11.4688, abs=0.25)
    both = joint_evsi([ONE, TWO], [40, 40], 25, seed=5, draws=200_000)
    assert both > alone
    assert both < alone + evsi(TWO, 40, 25) + 0.3
    assert joint_evsi([ONE, TWO], [40, 40], 25, seed=5, draws=200_000) == both


def test_pans_stop_being_worth_it():
    cheap = pans_worth(ONE, pan_l=5, other=25, uses=3, pan_cost=0.2)
    dear = pans_worth(ONE, pan_l=5, other=25, uses=3, pan_cost=3.0)
    assert 0 < dear.enough < cheap.enough
    assert pans_worth(ONE, pan_l=5, other=25, uses=3, pan_cost=1e6).enough == 0
    # At that number the next pan adds less than it costs, the last one at least as much.
    gains = np.diff(dear.value)
    assert gains[dear.enough :].max() < 3.0 + 1e-9


def test_a_count_that_would_turn_the_order():
    behind = turn(3, 10, litres=40, dispersion=1, line=0.5, leads=False)
    # The mean (3 + x) / 50 passes 0.5 from 23 colours on.
    assert (behind.colours, behind.fewer) == (23, False)
    assert 0 < behind.chance < 0.5
    ahead = turn(3, 10, litres=40, dispersion=1, line=0.2, leads=True)
    assert (ahead.colours, ahead.fewer) == (6, True)  # (3 + 6) / 50 < 0.2 < (3 + 7) / 50 is level


def test_a_count_that_turns_the_order_when_gold_is_clumped():
    """Half the evidence: (3 + x/2) / (10 + 40/2) passes 0.5 from 25 colours on, 0.49 from 24."""
    found = turn(3, 10, litres=40, dispersion=2, line=0.5, leads=False)
    assert found.colours == 25
    assert turn(3, 10, litres=40, dispersion=2, line=0.49, leads=False).colours == 24
    # Another route: the rate drawn, then clumps of a gamma that makes variance twice the mean.
    rng = np.random.default_rng(4)
    expected = 40 * rng.gamma(3, 1 / 10, 1_000_000)
    colours = rng.poisson(rng.gamma(expected))
    assert found.chance == pytest.approx((colours >= 25).mean(), abs=0.005)
    ahead = turn(3, 10, litres=40, dispersion=2, line=0.2, leads=True)
    assert ahead.colours == 5  # (3 + 5/2) / 30 < 0.2 = (3 + 6/2) / 30
    assert ahead.chance == pytest.approx((colours <= 5).mean(), abs=0.01)


@pytest.mark.parametrize("wrong", [(0, 1, 1, 0), (1, 0, 1, 0), (1, 1, 0, 0)])
def test_a_belief_that_is_none_is_refused(wrong):
    with pytest.raises(OutOfRange, match="above zero"):
        Prospect(*wrong)
    with pytest.raises(OutOfRange, match="litres"):
        evsi(ONE, -1, 0)


def outing(site_id, shape, rate, hours=8.0):
    return Outing(site_id, GammaMix((1.0,), (float(shape),), (float(rate),)), 400.0, 20.0, hours)


def test_with_trips_to_come_an_untried_place_may_come_first():
    known, untried = outing(1, 60, 500), outing(2, 1, 10)
    assert [row.site_id for row in lessons([known, untried], later=0, litres=40)] == [1, 2]
    later = lessons([known, untried], later=10, litres=40)
    assert [row.site_id for row in later] == [2, 1]
    assert later[0].lesson > 0
    # The lesson is ten times four fifths of the value of the sample, an hour.
    prospect = Prospect(1, 10, 400, 20)
    assert later[0].lesson * 8 == pytest.approx(10 * 0.8 * evsi(prospect, 40, 400 * 0.12 - 20))


def test_what_cannot_come_first_teaches_nothing():
    sure = outing(1, 6000, 5000)
    assert lessons([sure, outing(2, 600, 50_000)], later=10, litres=40)[1].lesson == 0
    [alone] = lessons([sure], later=10, litres=40)
    assert alone.lesson == 0
    assert lessons([], later=3, litres=1) == ()


@settings(max_examples=20)
@given(st.integers(0, 20), st.integers(0, 20))
def test_more_trips_to_come_never_teach_less(few, more):
    options = [outing(1, 20, 200), outing(2, 2, 20), outing(3, 0.5, 5, hours=3)]
    by = [
        {row.site_id: row.lesson for row in lessons(options, later=n, litres=30)}
        for n in sorted((few, more))
    ]
    assert all(by[0][site] <= by[1][site] + 1e-12 for site in by[0])
