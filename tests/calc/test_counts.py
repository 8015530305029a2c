"""Rates of counted colours with their ranges, and the mass of counted colours."""

import math
from decimal import Decimal as D

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import chi2, poisson

from trips.calc.counts import (
    PRIOR_MASSES,
    ClassCounts,
    PanCount,
    effective_colours,
    estimate_mass,
    grade_relative_sd,
    poisson_interval,
    pooled_rate,
    zero_bound,
)
from trips.calc.errors import OutOfRange
from trips.calc.pans import mg_per_colour

GARWOOD = "Garwood, Biometrika 28, 1936 / Pearson & Hartley, table 40 (memory)"


def row(colours, low, high, source, confidence=0.95):
    mark = pytest.mark.outside(source)
    return pytest.param(colours, low, high, confidence, marks=mark, id=f"{colours}-{confidence}")


@pytest.mark.parametrize(
    ("colours", "low", "high", "confidence"),
    [
        row(0, 0, 3.6889, "epitools reference, pois.exact page (seen)"),
        row(1, 0.0253, 5.5716, GARWOOD),
        row(2, 0.2422, 7.2247, GARWOOD),
        row(3, 0.6187, 8.7673, GARWOOD),
        row(4, 1.0899, 10.2416, GARWOOD),
        row(5, 1.6235, 11.6683, GARWOOD),
        row(10, 4.7954, 18.3904, "Poisson interval calculator page, 4.80 and 18.39 (seen)"),
        row(20, 12.2165, 30.8884, GARWOOD),
        row(50, 37.1110, 65.9188, GARWOOD),
        row(100, 81.3640, 121.6268, GARWOOD),
        row(5, 1.9701, 10.5130, GARWOOD, confidence=0.90),
    ],
)
def test_garwood_table(colours, low, high, confidence):
    got = poisson_interval(colours, 1.0, confidence)
    assert got.low == pytest.approx(low, abs=5.1e-5)
    assert got.high == pytest.approx(high, abs=5.1e-5)
    if colours:  # the other formula of the same limits
        assert got.low == pytest.approx(chi2.ppf((1 - confidence) / 2, 2 * colours) / 2)
    assert got.high == pytest.approx(chi2.ppf((1 + confidence) / 2, 2 * colours + 2) / 2)


@pytest.mark.outside("R manual, poisson.test example (call seen, output from memory)")
def test_rate_with_an_exposure_that_is_no_whole_number():
    got = poisson_interval(137, 24.19893)
    assert got.low == pytest.approx(4.753125, abs=1e-6)
    assert got.high == pytest.approx(6.692709, abs=1e-6)
    assert pooled_rate([PanCount(137, 24_199)]).best == pytest.approx(5.661407, abs=2e-5)


@pytest.mark.outside("epitools reference, pois.daly: one-sided 95 % bound of zero, 2.9957 (seen)")
def test_zero_colours_one_sided_is_not_the_two_sided_bound():
    assert zero_bound(1.0, 0.95) == pytest.approx(2.9957, abs=5e-5)
    assert poisson_interval(0, 1.0, 0.95).high == pytest.approx(3.6889, abs=5e-5)
    assert zero_bound(10.0, 0.90) == pytest.approx(0.230, abs=5e-4)


def test_no_litres_gives_no_interval():
    assert poisson_interval(3, 0) is None
    assert zero_bound(0) is None
    assert pooled_rate([]) is None


@pytest.mark.parametrize("wrong", [(-1, 1.0, 0.9), (1, 1.0, 0.0), (1, 1.0, 1.0)])
def test_counts_and_confidences_that_mean_nothing_are_refused(wrong):
    with pytest.raises(OutOfRange):
        poisson_interval(*wrong)


@pytest.mark.outside("Exact Poisson table; 20 colours for ±50 %: Clifton 1969, restated (seen)")
@pytest.mark.parametrize(
    ("colours", "sd_pct", "below_pct", "above_pct"),
    [
        (1, 100, -97, 457),
        (2, 71, -88, 261),
        (5, 45, -68, 133),
        (10, 32, -52, 84),
        (20, 22, -39, 54),
        (50, 14, -26, 32),
        (100, 10, -19, 22),
    ],
)
def test_how_far_the_true_mean_may_lie_from_a_count(colours, sd_pct, below_pct, above_pct):
    got = poisson_interval(colours, 1.0)
    assert round(100 * grade_relative_sd(colours, 0, 0)) == sd_pct
    assert round(100 * (got.low / colours - 1)) == below_pct
    assert round(100 * (got.high / colours - 1)) == above_pct


@pytest.mark.outside("Clifton and others, USGS Prof. Paper 625-C, 1969: ±50 % (seen second-hand)")
def test_twenty_colours_are_within_half_nearly_always():
    within = poisson.cdf(30, 20) - poisson.cdf(9, 20)
    assert within == pytest.approx(0.98153, abs=5e-6)
    got = poisson_interval(20, 1.0)
    assert got.low / 20 - 1 == pytest.approx(-0.389, abs=5e-4)
    assert got.high / 20 - 1 == pytest.approx(0.544, abs=5e-4)


@pytest.mark.parametrize(
    ("mean", "empty_pct"), [(1, 36.8), (2, 13.5), (3, 5.0)], ids="own-{}".format
)
def test_the_zero_bound_is_where_an_empty_sample_has_that_chance(mean, empty_pct):
    assert zero_bound(1.0, 1 - math.exp(-mean)) == pytest.approx(mean)
    assert 100 * math.exp(-mean) == pytest.approx(empty_pct, abs=0.05)


def test_pooled_rate_uses_litres_not_pans():
    got = pooled_rate([PanCount(4, 4000), PanCount(0, 12000)])
    assert (got.colours, got.litres, got.pans, got.best) == (4, 16.0, 2, 0.25)
    assert got.low < got.best < got.high


def test_a_pan_not_counted_is_left_out_and_a_pan_of_zero_is_not():
    counted = pooled_rate([PanCount(4, 4000), PanCount(None, 4000)])
    zero = pooled_rate([PanCount(4, 4000), PanCount(0, 4000)])
    assert (counted.best, counted.pans, counted.not_counted) == (1.0, 1, 1)
    assert (zero.best, zero.pans, zero.not_counted) == (0.5, 2, 0)


def test_litres_are_never_guessed_silently():
    without = pooled_rate([PanCount(4, None), PanCount(1, 5000)])
    assert (without.pans, without.not_counted) == (1, 1)
    usual = pooled_rate([PanCount(4, None), PanCount(1, 5000)], usual_pan_ml=5000)
    assert (usual.pans, usual.litres_assumed, usual.best) == (2, 1, 0.5)
    assert pooled_rate([PanCount(4, None)]) is None


@given(st.lists(st.tuples(st.integers(0, 50), st.integers(1, 20000)), min_size=1, max_size=8))
def test_the_order_of_pans_does_not_matter(rows):
    pans = [PanCount(*each) for each in rows]
    assert pooled_rate(pans) == pooled_rate(pans[::-1])
    assert pooled_rate(pans).low <= pooled_rate(pans).best <= pooled_rate(pans).high


def test_missing_classes_are_named_and_nothing_counted_is_no_estimate():
    assert estimate_mass(ClassCounts()) is None
    assert ClassCounts().total is None
    got = estimate_mass(ClassCounts(coarse=1, fine=10))
    assert got.missing == ("medium",)
    assert got.mass_ug == 12_000 + 10 * 500
    assert got.colours == 11
    zero = estimate_mass(ClassCounts(0, 0, 0))
    assert (zero.mass_ug, zero.missing, zero.effective_colours) == (0, (), 0)
    with pytest.raises(OutOfRange):
        ClassCounts(coarse=-1)


def test_estimate_spread_adds_colours_and_the_doubt_about_their_mean():
    got = estimate_mass(ClassCounts(0, 4, 0))
    assert got.sd_ug == pytest.approx(math.sqrt(4 * 2000**2 + (4 * 1200) ** 2))


def test_one_flake_outweighs_many_fine_colours_in_what_they_tell():
    # 100 fine colours of 0.5 mg and one flake of 12 mg: 62² / 169 (own)
    assert effective_colours([(100, 0.5), (1, 12.0)]) == pytest.approx(22.7, abs=0.05)
    assert effective_colours([(20, 3.0)]) == pytest.approx(20)
    assert grade_relative_sd(0, 1, 0) is None
    assert grade_relative_sd(4, 1, 0.5) == pytest.approx(math.sqrt(0.5 + 0.25))


@pytest.mark.outside("Washington State gold text: 12 000 and 40 000 colours an ounce (seen 2nd)")
def test_starting_masses_lie_by_their_published_anchors():
    fine, very_fine = (float(mg_per_colour(D(n))) * 1000 for n in (12_000, 40_000))
    assert PRIOR_MASSES.medium.mean_ug == pytest.approx(fine, rel=0.05)
    assert 0.5 * very_fine < PRIOR_MASSES.fine.mean_ug < very_fine
