"""Mass per colour by class, learned from merged weigh-ins."""

from math import sqrt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import poisson

from reports.decide.colour_mass import (
    Weighed,
    class_mix,
    data_share,
    fit_masses,
    learned_masses,
    mean_colour,
    nonnegative_least_squares,
)
from trips.calc.counts import CLASSES, PRIOR_MASSES, ClassCounts, ClassMass, ClassMasses
from trips.calc.errors import OutOfRange

COUNTS = [(3, 25, 102), (1, 40, 180), (5, 30, 90), (0, 22, 75)]
MASSES_MG = [155, 190, 185, 88]
PRIOR_SD = [PRIOR_MASSES.of(name).mean_sd_ug for name in CLASSES]


def weighed(counts, mg, key="a", litres=100.0, resolution_ug=1_000):
    return Weighed(key, ClassCounts(*counts), litres, round(mg * 1_000), resolution_ug)


def table():
    return [
        weighed(counts, mg, str(at))
        for at, (counts, mg) in enumerate(zip(COUNTS, MASSES_MG, strict=True))
    ]


@pytest.mark.outside("SciPy documentation of optimize.nnls, both examples (memory)")
@pytest.mark.parametrize(
    ("target", "expected", "length"),
    [((2, 1, 1), (1.5, 1), 0.7071067812), ((-1, -1, -1), (0, 0), 1.7320508076)],
)
def test_least_squares_above_zero(target, expected, length):
    found, residual = nonnegative_least_squares([[1, 0], [1, 0], [0, 1]], target)
    assert found == pytest.approx(expected)
    assert residual == pytest.approx(length)


def test_four_weigh_ins_without_starting_values():
    """Own value: an unconstrained least-squares routine gives the same."""
    found, residual = nonnegative_least_squares(COUNTS, MASSES_MG)
    assert found == pytest.approx((15.09865, 2.299707, 0.472356), rel=1e-5)
    assert residual == pytest.approx(5.348947, rel=1e-6)


def test_four_weigh_ins_over_the_starting_values():
    """Own value: an unconstrained least-squares routine gives the same."""
    fit = fit_masses(table())
    assert fit.mean_ug == pytest.approx((13_901.188, 2_402.738, 464.983), rel=2e-6)
    assert fit.sd_ug == pytest.approx((4_507.0, 742.5, 183.8), rel=3e-4)
    assert fit.used == ("0", "1", "2", "3")
    assert fit.active == (True, True, True)


@pytest.mark.outside("Clifton and others, USGS Prof. Paper 625-C, 1969: ±50 % from 20 (seen 2nd)")
def test_twenty_colours_stay_within_half_nearly_always():
    assert poisson.cdf(30, 20) - poisson.cdf(9, 20) == pytest.approx(0.98153, abs=1e-5)


def test_without_a_weigh_in_the_starting_values_stay():
    fit = fit_masses([])
    assert fit.mean_ug == pytest.approx((12_000, 2_500, 500))
    assert fit.sd_ug == pytest.approx(PRIOR_SD)
    assert data_share(fit) == pytest.approx((0, 0, 0))


def test_one_weigh_in_moves_along_one_direction_only():
    """What three counts weigh together is known well; what each weighs is hardly any clearer."""
    fit = fit_masses([weighed((2, 20, 100), 150)])
    counts = (2, 20, 100)
    together = sum(counts[i] * counts[j] * fit.covariance[i][j] for i in range(3) for j in range(3))
    before = sum((n * sd) ** 2 for n, sd in zip(counts, PRIOR_SD, strict=True))
    assert sqrt(together / before) < 0.6
    assert min(sd / start for sd, start in zip(fit.sd_ug, PRIOR_SD, strict=True)) > 0.6


def test_a_class_at_zero_keeps_a_spread():
    """More medium colours made the weigh-in lighter: their mass stops at zero, not below."""
    fit = fit_masses([weighed((0, 10, 4_000), 2_000), weighed((0, 4_000, 4_000), 1_000)])
    assert fit.mean_ug[1] == 0
    assert fit.active == (True, False, True)
    assert min(fit.sd_ug) > 0


def test_gold_without_a_colour_goes_to_the_gold_too_fine_to_count():
    zero = weighed((0, 0, 0), 20, "none seen", litres=500.0)
    fit = fit_masses([*table(), zero])
    assert 0 < fit.uncounted_ug_per_l < 40
    assert "none seen" in fit.used
    assert learned_masses(fit).uncounted_ug_per_l == fit.uncounted_ug_per_l


def test_weigh_ins_that_teach_nothing_are_named():
    fit = fit_masses(
        [
            weighed((1, None, 3), 20, "uncounted"),
            weighed((0, 0, 1), 0.4, "below the step"),
            weighed((0, 0, 0), 5, "nowhere", litres=None),
        ]
    )
    assert fit.used == ()
    assert [each.key for each in fit.skipped] == ["uncounted", "below the step", "nowhere"]
    assert "medium colours were not counted" in fit.skipped[0].reason
    assert "smallest step" in fit.skipped[1].reason
    assert "litres are not noted" in fit.skipped[2].reason


def test_a_start_without_doubt_is_refused():
    sure = ClassMasses(ClassMass(12_000, 12_000), PRIOR_MASSES.medium, PRIOR_MASSES.fine)
    with pytest.raises(OutOfRange, match="above zero"):
        fit_masses([], sure)


def test_the_mix_starts_at_the_guess_and_ends_at_the_counts():
    assert class_mix((0, 0, 0)) == pytest.approx((0.02, 0.2, 0.78))
    assert class_mix((10_000, 20_000, 70_000)) == pytest.approx((0.1, 0.2, 0.7), abs=1e-3)


def test_mean_colour_of_one_class_is_that_class():
    fit = fit_masses([])
    mean = mean_colour((0, 0, 1), fit)
    assert mean.mean_ug == pytest.approx(500)
    assert mean.colour_cv == pytest.approx(0.8)
    assert mean.mean_cv == pytest.approx(0.5)


def test_weights_count_mass():
    """Counts times weights times the mean colour is the mass of the counts."""
    fit = fit_masses(table())
    mix = class_mix((9, 117, 447))
    mean = mean_colour(mix, fit)
    for counts in COUNTS:
        mass = sum(n * m for n, m in zip(counts, fit.mean_ug, strict=True))
        weighted = sum(n * w for n, w in zip(counts, mean.weights, strict=True)) * mean.mean_ug
        assert weighted == pytest.approx(mass)


@settings(max_examples=40, deadline=None)
@given(
    st.lists(
        st.tuples(st.integers(0, 8), st.integers(0, 60), st.integers(0, 300), st.integers(0, 500)),
        min_size=1,
        max_size=6,
    )
)
def test_no_mass_is_below_zero_and_evidence_never_widens(rows):
    entries = [weighed(row[:3], row[3], str(at)) for at, row in enumerate(rows)]
    fit = fit_masses(entries)
    assert min(fit.mean_ug) >= 0
    assert len(fit.used) + len(fit.skipped) == len(entries)
    for sd, start in zip(fit.sd_ug, PRIOR_SD, strict=True):
        assert 0 < sd <= start * (1 + 1e-9)
