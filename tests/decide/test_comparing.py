"""Outside checks of the ways to compare two rates, those not used included: so that nobody swaps
one for another without seeing what changes."""

from math import exp, lgamma, log

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binom, poisson

from reports.decide.comparing import (
    colours_to_tell,
    gamma_better,
    mix_better,
    say_better,
    site_gamma,
    with_counts,
)
from reports.decide.gammas import GammaMix
from reports.decide.hierarchy import Points
from trips.calc.compare import compare_rates
from trips.calc.errors import OutOfRange

E_TEST = "Krishnamoorthy & Thomson, JSPI 119, 2004, §6 ex. 1, in a library's tests (seen 2nd-hand)"
GU = "Gu, Ng, Tang & Schucany, Biometrical Journal 50, 2008, ex. 1, in a library's tests (seen 2nd)"


@pytest.mark.outside(E_TEST)
def test_the_e_test_of_the_paper_is_far_less_careful_than_the_conditional_one():
    from scipy.stats import poisson_means_test

    assert poisson_means_test(0, 100, 3, 100).pvalue == pytest.approx(0.0884, abs=5e-5)
    assert compare_rates(0, 100, 3, 100).exact_p == pytest.approx(0.25)


@pytest.mark.outside(E_TEST + ": Fortran output for equal rates")
def test_the_e_test_of_equal_rates_and_its_defect():
    """At equal rates the outcome (0, 0) is dropped, which is why the E-test isn't used."""
    from scipy.stats import poisson_means_test

    assert poisson_means_test(20, 10, 20, 10).pvalue == pytest.approx(0.9999997568929630, abs=3e-7)
    assert poisson_means_test(1, 1, 1, 1).pvalue == pytest.approx(0.8647, abs=5e-5)
    assert compare_rates(1, 1, 1, 1).exact_p == pytest.approx(1)


@pytest.mark.outside(GU)
@pytest.mark.parametrize(
    ("method", "one_sided"),
    [
        ("wald", 0.000356),
        ("score", 0.000316),
        ("wald-log", 0.000420),
        ("score-log", 0.000200),
        ("sqrt", 0.000285),
    ],
)
def test_the_approximate_tests_of_the_paper(method, one_sided):
    from statsmodels.stats.rates import test_poisson_2indep as two_rates

    got = two_rates(60, 51477.5, 30, 54308.7, method=method, compare="ratio").pvalue
    assert got / 2 == pytest.approx(one_sided, abs=1e-6)


@pytest.mark.parametrize(
    ("method", "p"),
    [("exact-cond", 0.0316), ("cond-midp", 0.0242), ("etest-score", 0.0098)],
)
def test_one_example_has_as_many_p_values_as_tests(method, p):
    """Own figures by the second package; the page shows the mid-p one and says so."""
    from statsmodels.stats.rates import test_poisson_2indep as two_rates

    assert two_rates(7, 24, 2, 40, method=method, compare="ratio").pvalue == pytest.approx(
        p, abs=6e-5
    )


def test_two_packages_have_two_e_tests():
    """Own figure: SciPy's statistic is another than the one above, with .0453 for .0098."""
    from scipy.stats import poisson_means_test

    assert poisson_means_test(7, 24, 2, 40).pvalue == pytest.approx(0.0453, abs=5e-5)


@pytest.mark.outside("Binomial identity P(Bin(9, 1/2) ≤ 6) = 466/512 (exact)")
def test_chance_that_one_gamma_beats_another_by_a_binomial_identity():
    assert gamma_better(7, 20, 3, 20) == pytest.approx(466 / 512, abs=1e-12)


@pytest.mark.outside("E. Miller, Bayesian A/B Testing of Count Data, 2014: sum formula (seen)")
@pytest.mark.parametrize("given_", [(7, 20, 3, 20), (12, 30, 9, 30), (5, 12, 8, 31)])
def test_integer_shapes_against_the_published_sum(given_):
    """P(A > B) = Σ (b_A)^k (b_B)^(a_B) / ((k + a_B) (b_A + b_B)^(k + a_B) B(k + 1, a_B))."""
    shape_a, rate_a, shape_b, rate_b = given_
    total = 0.0
    for k in range(shape_a):
        log_term = (
            k * log(rate_a)
            + shape_b * log(rate_b)
            - (k + shape_b) * log(rate_a + rate_b)
            - log(k + shape_b)
            - (lgamma(k + 1) + lgamma(shape_b) - lgamma(k + 1 + shape_b))
        )
        total += exp(log_term)
    assert gamma_better(*given_) == pytest.approx(total, abs=1e-12)


def test_chances_of_the_worked_rows():
    # Own figures; the first also by two million draws.
    assert gamma_better(12, 30, 9, 30) == pytest.approx(0.7482776642, abs=5e-11)
    assert gamma_better(3.5, 40, 0.5, 40) == pytest.approx(0.9668544997, abs=5e-11)


def test_colours_needed_to_tell_rates_apart():
    # Own figures: 78 and 117, 23 and 46, 7.3 and 22, 3.9 and 15.7.
    for ratio, poorer, richer in ((1.5, 78, 117), (2, 23, 46), (3, 7.3, 22), (4, 3.9, 15.7)):
        assert colours_to_tell(ratio) == pytest.approx((poorer, richer), rel=0.01)


def test_the_power_of_those_colours_by_the_exact_test():
    """Own figures: .799 to .783 for twice the smaller mid-p tail, the bolder of two forms.

    The page's mid-p takes half of the one seen off the exact p and finds a difference less often.
    """
    grid_a, grid_b = np.meshgrid(np.arange(220), np.arange(160), indexing="ij")
    total = grid_a + grid_b
    upper = binom.sf(grid_a - 1, total, 0.5)
    tail = np.minimum(upper, binom.cdf(grid_a, total, 0.5))
    found = 2 * tail - binom.pmf(grid_a, total, 0.5) < 0.05
    for ratio, power in ((1.5, 0.799), (2, 0.796), (3, 0.782), (4, 0.783)):
        poorer, richer = colours_to_tell(ratio)
        chance = poisson.pmf(grid_a, richer) * poisson.pmf(grid_b, poorer)
        assert (chance * found).sum() == pytest.approx(power, abs=5e-3)


MIX_A = GammaMix((0.3, 0.7), (4.0, 6.0), (20.0, 24.0))
MIX_B = GammaMix((0.3, 0.7), (2.0, 3.5), (18.0, 30.0))


@pytest.mark.parametrize("same_site", [False, True])
@pytest.mark.parametrize("factor", [1.0, 1.5])
def test_mixtures_by_draws(same_site, factor):
    rng, n = np.random.default_rng(3), 400_000
    which = rng.random(n) < MIX_A.weights[1]
    other = which if same_site else rng.random(n) < MIX_B.weights[1]

    def draw(mix, second):
        at = second.astype(int)
        return rng.gamma(np.array(mix.shapes)[at]) / np.array(mix.rates)[at]

    seen = (draw(MIX_A, which) > factor * draw(MIX_B, other)).mean()
    assert mix_better(MIX_A, MIX_B, factor, same_site) == pytest.approx(seen, abs=4e-3)


@given(*[st.floats(0.05, 200)] * 4, st.floats(0.2, 4))
def test_one_of_two_is_better_and_a_factor_only_lowers_the_chance(a, b, c, d, factor):
    assert gamma_better(a, b, c, d) + gamma_better(c, d, a, b) == pytest.approx(1, abs=1e-9)
    more = gamma_better(a, b, c, d, 1 + factor)
    assert more <= gamma_better(a, b, c, d) + 1e-12


@pytest.mark.parametrize(
    ("chance", "words"),
    [(0.5, "cannot tell"), (0.59, "cannot tell"), (0.60, "leaning"), (0.80, "probably"),
     (0.951, "clearly"), (0.03, "clearly"), (0.35, "leaning")],
)  # fmt: skip
def test_words_on_both_sides_of_each_border(chance, words):
    assert say_better(chance) == words


def test_a_belief_after_more_counts_and_a_sites_mean():
    more = with_counts(MIX_A, 5, 10, 2.5)
    assert more.shapes == (6, 8)
    assert more.rates == (24, 28)
    points = Points((log(0.1), log(0.3)), (0.5, 0.5))
    mix = site_gamma(points)
    assert mix.mean() == pytest.approx(0.2)
    assert mix.variance() ** 0.5 == pytest.approx(0.1)


def test_figures_without_meaning_are_refused():
    with pytest.raises(OutOfRange):
        gamma_better(0, 1, 1, 1)
    with pytest.raises(OutOfRange):
        colours_to_tell(1)
