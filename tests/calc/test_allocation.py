from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trips.calc.allocation import (
    RunEvidence,
    expect_masses,
    net_units,
    split_weighin,
    tilt_masses,
)
from trips.calc.counts import PRIOR_MASSES, ClassCounts, ClassMass
from trips.calc.errors import BadShares, NegativeNet, NotOnScale, OutOfRange


def run(key, counts=None, volume_ml=None, minutes=None):
    return RunEvidence(key, None if counts is None else ClassCounts(*counts), volume_ml, minutes)


def split(runs, units, resolution_ug=1000, **more):
    return split_weighin(runs, net_units=units, resolution_ug=resolution_ug, **more)


def units_of(got):
    return [share.units for share in got.shares]


@pytest.mark.parametrize(
    ("means", "variances", "total", "expected"),
    [
        ((20, 50), (400, 16), 100, (49.5185, 50.4815)),
        ((47, 65, 37.5), (180.8, 65.6, 301.92), 150, (47.1646, 65.0596, 37.7759)),
        ((47, 65, 37.5), (180.8, 65.6, 301.92), 90, (24.6110, 52.4757, 12.9133)),
    ],
    ids=["own: simulated 49.19 50.81", "own: simulated 47.8 65.6 36.6", "own: 24.56 52.80 12.64"],
)
def test_tilt_table(means, variances, total, expected):
    assert tilt_masses(means, variances, total) == pytest.approx(expected, abs=5e-5)


def test_the_table_row_in_whole_milligrams():
    # means 47, 65, 37.5 mg and variances 180.8, 65.6, 301.92 from the starting masses (own)
    runs = [run("a", (1, 10, 20)), run("b", (0, 10, 80)), run("c", (2, 3, 12))]
    expected = expect_masses(runs)
    assert [each.mean_ug / 1000 for each in expected] == [47, 65, 37.5]
    assert [each.variance / 1e6 for each in expected] == pytest.approx([187.2, 52.8, 301.92])
    assert units_of(split(runs, 150)) == [47, 65, 38]


def test_equal_spread_ratios_give_shares_in_proportion():
    assert tilt_masses((20, 60), (40, 120), 100) == pytest.approx((25, 75))


def test_without_spread_there_is_no_tilt_and_the_split_is_proportional():
    assert tilt_masses((20, 60), (0, 0), 100) is None
    assert tilt_masses((20, 60), (0, 30), 15) is None  # below what is taken as certain
    sure = replace(PRIOR_MASSES, fine=ClassMass(500, 0))
    got = split([run("a", (0, 0, 1)), run("b", (0, 0, 3))], 8, masses=sure)
    assert (got.method, units_of(got)) == ("proportional", [2, 6])
    assert got.shares[0].sd_ug is None


def test_a_surplus_goes_mainly_to_the_run_with_coarse_gold():
    got = split([run("coarse", (2, 0, 0)), run("fine", (0, 0, 48))], 80)
    assert got.method == "tilt"
    assert units_of(got)[0] > 80 / 2 + 10


@given(
    st.lists(st.tuples(st.floats(0.01, 1e6), st.floats(0.01, 1e12)), min_size=1, max_size=8),
    st.floats(0.001, 1e9),
)
def test_tilted_masses_are_never_negative_and_sum_to_the_total(rows, total):
    got = tilt_masses([m for m, _ in rows], [v for _, v in rows], total)
    assert got is not None
    assert min(got) >= 0
    assert sum(got) == pytest.approx(total, rel=1e-6)


COUNT = st.none() | st.integers(0, 60)
EVIDENCE = st.lists(
    st.tuples(
        st.none() | st.tuples(COUNT, COUNT, COUNT),
        st.none() | st.integers(0, 10**6),
        st.none() | st.integers(0, 600),
    ),
    min_size=1,
    max_size=8,
)


@given(EVIDENCE, st.integers(0, 10**6), st.sampled_from([100, 1000, 10_000]))
def test_any_evidence_splits_exactly_on_the_scale(rows, units, resolution_ug):
    runs = [run(str(at), *row) for at, row in enumerate(rows)]
    got = split(runs, units, resolution_ug)
    assert sum(units_of(got)) == units
    assert sum(share.mass_ug for share in got.shares) == units * resolution_ug
    assert min(units_of(got)) >= 0
    assert [share.key for share in got.shares] == [each.key for each in runs]
    assert got.note


@given(EVIDENCE, st.integers(0, 10**4))
def test_the_order_of_runs_moves_no_more_than_a_tie(rows, units):
    runs = [run(str(at), *row) for at, row in enumerate(rows)]
    there, back = split(runs, units), split(runs[::-1], units)
    assert there.method == back.method
    for one, other in zip(there.shares, back.shares[::-1], strict=True):
        assert abs(one.units - other.units) <= 1


def test_nothing_weighed_gives_nothing_to_all():
    got = split([run("a", (1, 0, 0)), run("b", (0, 1, 0))], 0)
    assert (got.method, units_of(got)) == ("nothing", [0, 0])


def test_one_run_gets_the_whole_without_doubt():
    got = split([run("a")], 37)
    assert (got.method, units_of(got), got.shares[0].sd_ug) == ("single", [37], 0.0)


@pytest.mark.parametrize(
    ("rows", "method", "units"),
    [
        ([((0, 0, 0), 100, 9), ((0, 0, 0), 300, 1)], "litres", [25, 75]),
        ([((0, 0, 0), None, 30), ((0, 0, 0), 300, 10)], "minutes", [75, 25]),
        ([((0, 0, 0), None, None), ((0, 0, 0), 300, 10)], "equal", [50, 50]),
        ([(None, 100, 9), (None, 300, 1)], "litres", [25, 75]),
        ([((0, 9, 9), None, 10), (None, None, 30)], "minutes", [25, 75]),
    ],
)
def test_without_colours_litres_then_time_then_even(rows, method, units):
    got = split([run(str(at), *row) for at, row in enumerate(rows)], 100)
    assert (got.method, units_of(got)) == (method, units)
    assert all(share.flag and share.sd_ug is None for share in got.shares)


def test_a_run_not_counted_is_estimated_from_litres_and_flagged_never_zero():
    runs = [run("a", (0, 10, 40), 100_000), run("b", None, 50_000)]
    got = split(runs, 100)
    assert got.method == "tilt"
    assert units_of(got)[1] > 20
    assert "litres" in got.shares[1].flag
    assert got.shares[0].flag == ""
    counted_zero = split([runs[0], run("b", (0, 0, 0), 50_000)], 100)
    assert units_of(counted_zero) == [100, 0]


def test_one_class_not_counted_is_estimated_from_the_others():
    runs = [run("a", (2, 10, 40), 100_000), run("b", (None, 5, 20), 50_000)]
    flagged = expect_masses(runs)[1]
    assert flagged.mean_ug == pytest.approx(5 * 2500 + 20 * 500 + 1 * 12_000)
    assert "coarse not counted: estimated" in flagged.flag
    lone = expect_masses([run("a", (None, 5, 20))])[0]
    assert lone.mean_ug == 5 * 2500 + 20 * 500
    assert "left out" in lone.flag


def test_zero_of_one_class_and_the_rest_missing_is_no_evidence_of_nothing():
    assert expect_masses([run("a", (0, None, None))])[0].mean_ug is None


def test_the_site_mean_serves_where_no_run_was_counted_with_litres():
    got = expect_masses([run("a", (0, 4, 0)), run("b", None, 10_000)], site_mean_ug_per_l=300.0)
    assert got[1].mean_ug == pytest.approx(3000)
    assert "site" in got[1].flag


def test_gold_too_fine_to_count_comes_by_the_litre():
    masses = replace(PRIOR_MASSES, uncounted_ug_per_l=50.0)
    assert expect_masses([run("a", (0, 0, 2), 10_000)], masses)[0].mean_ug == 1500


def test_spread_after_the_split_follows_the_other_runs():
    runs = [run("a", (1, 0, 0)), run("b", (0, 4, 0))]
    sds = [share.sd_ug for share in split(runs, 30).shares]
    # 12 000·sqrt(1 - 144/160) for both: with two runs what one gains the other loses
    assert sds == pytest.approx([3794.7, 3794.7], abs=0.1)


def test_net_reading_in_whole_steps():
    assert net_units(12_340_000, 12_000_000, 10_000) == 34
    assert net_units(5, 5, 5) == 0


def test_a_gross_below_the_tare_is_refused_with_both_readings():
    with pytest.raises(NegativeNet, match=r"340 mg.*500 mg"):
        net_units(340_000, 500_000, 10_000)


@pytest.mark.parametrize("readings", [(15_000, 10_000), (20_000, 5_000)])
def test_a_reading_between_two_steps_is_refused(readings):
    with pytest.raises(NotOnScale, match="steps of 10 mg"):
        net_units(*readings, 10_000)


def test_splits_that_mean_nothing_are_refused():
    with pytest.raises(BadShares):
        split([], 5)
    with pytest.raises(BadShares):
        split([run("a"), run("a")], 5)
    with pytest.raises(OutOfRange):
        split([run("a")], -1)
    with pytest.raises(OutOfRange):
        net_units(1, 0, 0)
