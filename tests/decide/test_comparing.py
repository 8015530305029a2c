"""Outside checks of the ways to compare two rates, those not used included: so that nobody swaps
one for another without seeing what changes."""

import pytest

from trips.calc.compare import compare_rates

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
