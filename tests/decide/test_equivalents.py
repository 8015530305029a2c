import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from reports.decide.equivalents import class_weights, weighted
from trips.calc.counts import ClassCounts
from trips.calc.errors import OutOfRange

# Own figures: the starting masses and a mix of 2 %, 18 % and 80 %.
MASSES, MIX = (12, 2.5, 0.5), (0.02, 0.18, 0.80)


def test_the_starting_weights():
    got = class_weights(MASSES, MIX)
    # A mean colour weighs .24 + .45 + .40 = 1.09 mg: 11.0, 2.3 and .46 of it.
    assert (got.coarse, got.medium, got.fine) == (11, 2.5, 0.5)
    assert got.mean == pytest.approx(0.22 + 0.45 + 0.40)
    assert got.mean * got.mean_mg == pytest.approx(1.09)
    assert got.spread == pytest.approx((2.42 + 1.125 + 0.2) / 1.07)


def test_colours_that_weigh_the_same_count_the_same():
    got = class_weights((2, 2, 2), (0.2, 0.3, 0.5))
    assert (got.coarse, got.medium, got.fine, got.mean, got.spread) == (1, 1, 1, 1, 1)


def test_a_count_is_weighted_and_what_is_missing_is_named():
    weights = class_weights(MASSES, MIX)
    assert weighted(ClassCounts(1, 2, 3), weights).colours == 17.5
    assert weighted(ClassCounts(0, 0, 0), weights).colours == 0
    part = weighted(ClassCounts(None, 2, 0), weights)
    assert (part.colours, part.missing) == (5, ("coarse",))
    assert weighted(ClassCounts(), weights).colours is None


@given(
    st.tuples(*[st.floats(0.05, 50)] * 3),
    st.tuples(*[st.floats(0.01, 1)] * 3),
)
def test_rounding_moves_no_mass(masses, mix):
    got = class_weights(masses, mix)
    usual = sum(m * p for m, p in zip(masses, mix, strict=True)) / sum(mix)
    assert got.mean * got.mean_mg == pytest.approx(usual)
    assert got.scatter(1) >= 1
    assert got.scatter(2) >= got.scatter(1)
    assert all((2 * w).is_integer() for w in (got.coarse, got.medium, got.fine))


def test_a_mix_that_weighs_nothing_is_refused():
    with pytest.raises(OutOfRange):
        class_weights((0, 0, 0), MIX)
    with pytest.raises(OutOfRange):
        class_weights(MASSES, (-0.1, 0.3, 0.8))


def test_weighted_counts_of_clumped_pans_scatter_as_said():
    """Clumps of colours, classes dealt at random: the simulated variance over the mean."""
    rng = np.random.default_rng(11)
    got, phi, mean = class_weights(MASSES, MIX), 2.5, 6.0
    colours = rng.negative_binomial(mean / (phi - 1), 1 / phi, 200_000)
    dealt = rng.multinomial(colours, MIX)
    counts = dealt @ [got.coarse, got.medium, got.fine]
    assert counts.var() / counts.mean() == pytest.approx(got.scatter(phi), rel=0.02)
    assert class_weights((1, 1, 1), MIX).scatter(phi) == pytest.approx(phi)
