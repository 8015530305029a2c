"""The two-level belief: published and recomputed values, and what a person would assert."""

from math import exp, log

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import chi2

from reports.decide.belief import learn
from reports.decide.evidence import (
    BoxAgainstPans,
    Discount,
    Spot,
    Transfer,
    Washed,
    box_weight,
    class_shares,
    dispersion,
    seen,
    transfer_factor,
)
from reports.decide.gammas import GammaMix, ends_of
from reports.decide.hierarchy import Region, _spot_log_weights, log_evidence
from reports.decide.stored import from_plain, to_plain
from trips.calc.counts import ClassCounts, poisson_interval
from trips.calc.errors import OutOfRange

SHARES = {"coarse": 0.02, "medium": 0.2, "fine": 0.78}


def pan(colours, litres, **more):
    return Washed(ClassCounts(0, 0, colours), litres, **more)


def spot(spot_id, site_id, *washed):
    return Spot(spot_id, site_id, tuple(pan(*each) for each in washed))


THREE_SITES = [
    *(spot(1, 0, (5, 24)), spot(2, 0, (0, 16)), spot(3, 0, (2, 40))),
    *(spot(4, 1, (1, 24)), spot(5, 1, (0, 8))),
    *(spot(6, 2, (9, 32)), spot(7, 2, (4, 16))),
]
KNOWN = Region(0.1, 1.0, 1.5, 1.0)


# Recomputed with a 4 001-point grid and by importance sampling: regression values of our own.
def test_site_means_and_spreads_of_the_worked_example():
    belief = learn(THREE_SITES, KNOWN)
    means = [belief.site_points(site).mean() for site in range(3)]
    assert means == pytest.approx([0.103251, 0.061270, 0.207150], abs=2e-5)
    spreads = [belief.site_points(site).sd() for site in range(3)]
    assert spreads == pytest.approx([0.057374, 0.053842, 0.096405], abs=2e-5)


def test_spot_means_of_the_worked_example():
    belief = learn(THREE_SITES, KNOWN)
    means = [belief.spot(number).mean() for number in range(1, 8)]
    expected = [0.15834, 0.04597, 0.06080, 0.04414, 0.04106, 0.25940, 0.22673]
    assert means == pytest.approx(expected, abs=2e-5)


PUMP_COUNTS = np.array([5, 1, 5, 14, 3, 19, 1, 1, 4, 22.0])
PUMP_TIMES = np.array([94.3, 15.7, 62.9, 126, 5.24, 31.4, 1.05, 1.05, 2.1, 10.5])


def pump_evidence(alpha, beta):
    """One spot a site and no spread within sites: the pumps' one-level model as a corner of ours.

    Our counts' own constant (v^y / y!) is left out on both sides, as it cancels.
    """
    u = np.arange(-12, 6, 0.05)
    region = Region(alpha / beta, alpha, 1e7)
    return log_evidence(u, np.arange(10), PUMP_COUNTS, PUMP_TIMES, region).sum()


@pytest.mark.outside(
    "George, Makov and Smith, Scand. J. Statist. 20, 1993: pump failures, by a Julia package's "
    "documentation, MCMC output with error up to 0.03 (seen)"
)
def test_pump_failures_by_a_grid_over_the_hyperparameters():
    alphas, betas = np.exp(np.linspace(-2.5, 1.7, 40)), np.exp(np.linspace(-4.0, 2.0, 30))
    logs = np.array([[pump_evidence(a, b) for b in betas] for a in alphas])
    logs += -alphas[:, None] + np.log(alphas)[:, None]  # α ~ Exp(1), and the grid is of ln α
    logs += 0.1 * np.log(betas) - betas  # β ~ Gamma(0.1, 1), grid of ln β
    weights = np.exp(logs - logs.max())
    weights /= weights.sum()
    assert (weights * alphas[:, None]).sum() == pytest.approx(0.679, abs=0.03)
    assert (weights * betas).sum() == pytest.approx(0.894, abs=0.05)
    means = [
        (weights * (x + alphas[:, None]) / (t + betas)).sum()
        for x, t in zip(PUMP_COUNTS, PUMP_TIMES, strict=True)
    ]
    published = [0.0597, 0.0998, 0.0890, 0.1162, 0.6037, 0.6089, 0.894, 0.884, 1.562, 1.988]
    assert means == pytest.approx(published, abs=0.03)
    # Own value of the same grid, regression.
    assert (weights * alphas[:, None]).sum() == pytest.approx(0.6972, abs=2e-3)


def test_pump_failures_by_greatest_likelihood():
    # Own value (no published one): α 0.8230, β 1.2617.
    from scipy.optimize import minimize

    found = minimize(lambda x: -pump_evidence(exp(x[0]), exp(x[1])), [0, 0], method="Nelder-Mead")
    assert np.exp(found.x) == pytest.approx([0.8230, 1.2617], abs=1e-3)


def test_dispersion_of_six_pans():
    # Own value, recomputed by hand: raw 3.215385 on 5 degrees, shrunk with 4 of 1.5.
    pans = [spot(1, 1, *((count, 8) for count in (0, 3, 1, 0, 7, 2)))]
    assert dispersion(pans, SHARES) == pytest.approx(2.452991, abs=1e-6)


def test_dispersion_without_replicates_is_the_starting_value_and_never_below_one():
    assert dispersion([], SHARES) == 1.5
    assert dispersion([spot(1, 1, (3, 8)), spot(2, 1, (0, 8), (0, 8))], SHARES) == 1.5
    assert dispersion([spot(1, 1, *[(2, 8)] * 40)], SHARES) == 1.0


@pytest.mark.parametrize(
    ("shape", "rate", "expected"),
    [
        (1, 10, (0.00513, 0.06931, 0.29957)),
        (1, 34, (0.00151, 0.02039, 0.08811)),  # no colour in 24 L
        (1 + 13 / 2.452991, 10 + 48 / 2.452991, (0.09509, 0.20190, 0.36912)),
    ],
)
def test_quantiles_of_one_spot(shape, rate, expected):
    # Own values, regression; they also hold shape and *rate* against scipy's scale.
    mix = GammaMix((1.0,), (shape,), (rate,))
    found = [mix.quantile(p) for p in (0.05, 0.5, 0.95)]
    assert found == pytest.approx(expected, abs=6e-6)


@pytest.mark.parametrize(("colours", "litres", "chance"), [(6, 48, 0.638391), (0, 24, 0.033373)])
def test_chance_that_a_spot_beats_a_rate(colours, litres, chance):
    mix = GammaMix((1.0,), (1.0 + colours,), (10.0 + litres,))  # own values
    assert 1 - mix.cdf(0.1) == pytest.approx(chance, abs=1e-6)


def test_one_gamma_stands_for_a_mixture_by_its_moments():
    mix = learn(THREE_SITES, KNOWN).spot(1)
    shape, rate = mix.moment_gamma()
    assert shape / rate == pytest.approx(mix.mean())
    assert shape / rate**2 == pytest.approx(mix.variance())
    assert mix.quantile(0.1) < mix.quantile(0.5) < mix.quantile(0.9)
    assert mix.cdf(mix.quantile(0.3)) == pytest.approx(0.3)
    assert mix.scaled(2).mean() == pytest.approx(2 * mix.mean())


def test_no_sample_at_all_gives_the_starting_belief():
    belief = learn([])
    assert belief.region.mean == pytest.approx(0.1)
    # ln m ~ N(ln 0.1, 1): the likeliest rate is 0.1, and its mean is 0.1 · e^½.
    assert belief.untested_site().mean() == pytest.approx(0.1 * exp(0.5), rel=0.005)
    assert belief.spot(5) == belief.new_spot(7) == belief.untested_site()
    assert belief.site_shares(7).borrowed == 1.0


def test_all_zero_counts_are_data_and_lower_the_belief():
    belief = learn([spot(1, 1, (0, 8), (0, 8)), spot(2, 2, (0, 8), (0, 8))])
    assert 0 < belief.spot(1).mean() < 0.05
    assert belief.untested_site().mean() < 0.1
    assert belief.spot(1).quantile(0.9) > belief.spot(1).mean()


def test_samples_not_counted_are_left_out_and_told():
    nothing = Washed(ClassCounts(), 8.0)
    belief = learn([Spot(1, 1, (nothing, nothing))])
    assert belief.seen_at(1).left_out == 2
    assert belief.spot(1).mean() == belief.untested_site().mean()
    assert belief.site_shares(1).borrowed == 1.0


def test_a_class_not_counted_thins_the_litres_and_not_the_colours():
    whole, part = Washed(ClassCounts(0, 2, 8), 10.0), Washed(ClassCounts(0, 2, None), 10.0)
    shares = class_shares([whole])
    assert sum(shares.values()) == pytest.approx(1)
    assert shares["medium"] == pytest.approx((20 * 0.2 + 2) / 30)
    assert seen(part, shares) == (2, pytest.approx(10 * (1 - shares["fine"])))
    assert seen(Washed(ClassCounts(), 10.0), shares) is None
    assert seen(Washed(ClassCounts(1, 1, 1), 0.0), shares) is None


@pytest.mark.parametrize(
    ("left", "mean", "sd"),
    [
        (1, 0.202703, 0.052338),
        (0.5, 0.190476, 0.067344),
        (0.25, 0.173077, 0.081589),
        (0, 0.1, 0.1),
    ],
)
def test_a_flood_pulls_a_spot_back_to_its_site(left, mean, sd):
    # Own values: prior Gamma(1, 10), 14 colours in 64 litres. One fixed site mean of 0.1.
    mix = GammaMix((1.0,), (1 + left * 14,), (10 + left * 64,))
    assert (mix.mean(), mix.variance() ** 0.5) == pytest.approx((mean, sd), abs=1e-6)
    # The same through the whole belief: a very even region pins the site mean at 0.1.
    region = Region(0.1, 1e5, 1.0, 1.0)
    washed = Washed(ClassCounts(0, 0, 14), 64.0, discount=Discount(left, 1.0))
    found = learn([Spot(1, 1, (washed,))], region).spot(1)
    assert (found.mean(), found.variance() ** 0.5) == pytest.approx((mean, sd), abs=2e-4)


def test_a_run_that_was_only_weighed_counts_by_its_weight():
    weighed = Washed(ClassCounts(), 100.0, is_box=True, worth=30.0)
    belief = learn([Spot(1, 1, (weighed,)), Spot(2, 2, (Washed(ClassCounts(), 100.0, True),))])
    assert (belief.seen_at(1).weighed, belief.seen_at(1).runs) == (1, 1)
    assert belief.seen_at(2).left_out == 1
    # 30 colours in 100 L of a box that brings 0.7 of what pans foretell; drawn towards all ground.
    assert 0.3 < belief.spot(1).mean() < 30 / 70
    assert belief.spot(2).mean() == pytest.approx(belief.new_spot(2).mean())


def test_transfer_factor_is_a_ratio_of_sums_held_by_its_prior():
    assert transfer_factor([]) == Transfer(0.7, 0.4, 0)
    assert transfer_factor([BoxAgainstPans(0, 40, 9)]) == Transfer()
    many = transfer_factor([BoxAgainstPans(50, 100, 1000)] * 200)
    assert many.median == pytest.approx(0.5, rel=0.01)
    assert many.log_sd < 0.05
    one = transfer_factor([BoxAgainstPans(140, 100, 9)])
    # By hand: ln 1.4 with variance 1/9 + 0.09 against ln 0.7 with 0.16.
    own, prior = 1 / (1 / 9 + 0.09), 1 / 0.16
    expected = exp((own * log(1.4) + prior * log(0.7)) / (own + prior))
    assert one.median == pytest.approx(expected)
    assert one.median < one.mean


def test_a_box_counts_as_evidence_but_never_for_more_than_eleven_colours():
    assert box_weight(0) == pytest.approx(1 / 1.09)
    assert 10 < 1000 * box_weight(1000) < 1 / 0.09
    pans = spot(1, 1, (4, 20))
    poor = Spot(2, 2, (pan(4, 20), pan(0, 400, is_box=True)))
    belief = learn([pans, poor])
    assert belief.spot(2).mean() < 0.5 * belief.spot(1).mean()
    assert belief.seen_at(2).runs == 1


def test_shares_of_an_estimate_add_up_and_follow_the_evidence():
    belief = learn([*THREE_SITES, spot(8, 9, *[(3, 20)] * 30)])
    for spot_id, row in belief.spots.items():
        shares = belief.spot_shares(spot_id, row.site_id)
        assert shares.spot + shares.site + shares.borrowed == pytest.approx(1)
    assert belief.spot_shares(8, 9).spot > 0.9
    assert belief.spot_shares(99, 1).spot == 0
    assert belief.site_shares(0).site > belief.site_shares(1).site > 0


def test_best_spot_is_none_where_an_untested_one_promises_more():
    belief = learn([spot(1, 1, (0, 40)), spot(2, 2, (9, 24))], KNOWN)
    assert belief.best_spot(1) is None
    assert belief.best_spot(2) == 2
    assert belief.best_spot(77) is None


@pytest.mark.parametrize("probability", [0, 1, -0.1, 2])
def test_a_probability_outside_is_refused(probability):
    with pytest.raises(OutOfRange, match="between 0 and 1"):
        GammaMix((1.0,), (1.0,), (1.0,)).quantile(probability)


def test_kept_and_read_again_it_is_the_same():
    import json

    belief = learn([*THREE_SITES, Spot(9, 4, (pan(20, 300, is_box=True), pan(3, 8)))])
    assert from_plain(json.loads(json.dumps(to_plain(belief)))) == belief


COUNTS = st.lists(st.tuples(st.integers(0, 30), st.floats(1, 60)), min_size=1, max_size=5)


@settings(max_examples=15)
@given(st.lists(COUNTS, min_size=1, max_size=5))
def test_order_and_names_of_sites_change_nothing(sites):
    spots = [spot(n, n // 2, *pans) for n, pans in enumerate(sites)]
    there = learn(spots)
    back = learn([Spot(s.spot_id, 100 - s.site_id, s.washed) for s in reversed(spots)])
    for number in range(len(sites)):
        mean = there.spot(number).mean()
        assert 0 < mean < 40
        assert back.spot(number).mean() == pytest.approx(mean, rel=2e-2)


@settings(max_examples=15)
@given(COUNTS, st.integers(1, 20))
def test_more_colours_in_the_same_litres_never_lower_the_belief(pans, extra):
    more = [(count + extra, litres) for count, litres in pans]
    low = learn([spot(1, 1, *pans)], KNOWN).spot(1)
    high = learn([spot(1, 1, *more)], KNOWN).spot(1)
    assert high.mean() > low.mean()
    assert high.quantile(0.1) > low.quantile(0.1)


# Adult female red mites on each of 150 apple leaves: leaves with 0, 1, … 8 mites.
MITES = (70, 38, 17, 10, 9, 3, 2, 1, 0)
ON_LEAVES = [mites for mites, leaves in enumerate(MITES) for _ in range(leaves)]
BLISS = "Bliss & Fisher, Biometrics 9:176, 1953: red mites on apple leaves "


def clumped_evidence(mean: float, shape: float) -> float:
    """ln likelihood of the leaves as the belief's own spots: counts in one litre each."""
    y = np.array(ON_LEAVES, dtype=float)
    starts, u = np.array([0]), np.log([mean])
    return float(_spot_log_weights(u, starts, y, np.ones(150), shape)[0, 0])


@pytest.mark.outside(BLISS + "(frequencies seen in example files; k = 1.02459 from memory)")
def test_clumped_counts_have_the_published_shape():
    """The belief's own likelihood of spots is the negative binomial of the published fit."""
    from scipy.optimize import minimize

    found = minimize(
        lambda x: -clumped_evidence(exp(x[0]), exp(x[1])),
        [0, 0],
        method="Nelder-Mead",
        options={"xatol": 1e-9, "fatol": 1e-12},
    )
    mean, shape = np.exp(found.x)
    assert mean == pytest.approx(1.14667, abs=1e-5)
    assert shape == pytest.approx(1.02459, abs=1e-5)


@pytest.mark.outside(BLISS + "(table of expected leaves, from memory)")
def test_published_table_of_expected_leaves():
    """The predictive count of a spot of that belief, in one litre."""
    from scipy.stats import nbinom

    mix = GammaMix((1.0,), (1.024592,), (1.024592 / 1.146667,))
    shape, rate = mix.moment_gamma()
    expected = 150 * nbinom.pmf(range(8), shape, rate / (rate + 1))
    published = [69.49, 37.60, 20.10, 10.70, 5.69, 3.02, 1.60, 0.85]
    assert expected == pytest.approx(published, abs=0.006)


def test_dispersion_of_clumped_leaves():
    # Own values of the published frequencies: χ² 295.44 on 149, so variance/mean 1.98283;
    # moment shape ȳ²/(s² − ȳ) 1.16670; shrunk with 4 of 1.5.
    mean, variance = np.mean(ON_LEAVES), np.var(ON_LEAVES, ddof=1)
    assert (mean, variance) == pytest.approx((1.146667, 2.273647), abs=1e-6)
    assert mean**2 / (variance - mean) == pytest.approx(1.16670, abs=1e-5)
    leaves = spot(1, 1, *((count, 1) for count in ON_LEAVES))
    found = dispersion([leaves], SHARES)
    assert found * (4 + 149) - 4 * 1.5 == pytest.approx(295.44, abs=0.005)
    assert found == pytest.approx((6 + 149 * 1.98283) / 153, abs=1e-5)


def test_an_interval_widened_by_the_dispersion():
    # Own values: six pans of 8 L with 13 colours, Garwood plain and with y/φ, v/φ, raw φ 3.215385.
    plain = poisson_interval(13, 48)
    assert (plain.low, plain.high) == pytest.approx((0.14421, 0.46313), abs=1e-5)
    phi = 3.215385
    low, high = chi2.ppf(0.025, 2 * 13 / phi) / 2, chi2.ppf(0.975, 2 * 13 / phi + 2) / 2
    assert (low / (48 / phi), high / (48 / phi)) == pytest.approx((0.07447, 0.69023), abs=1e-5)


@pytest.mark.outside(
    "Gelfand & Smith, JASA 85, 1990: moment estimate of α for the pumps, 1.802 (memory)"
)
def test_pump_failures_by_moments():
    """Why the belief isn't fitted by moments: twice what its own likelihood finds best (0.82)."""
    times = np.array([94.32, 15.72, 62.88, 125.76, 5.24, 31.44, 1.048, 1.048, 2.096, 10.48])
    rates = np.array(PUMP_COUNTS) / times
    alpha = rates.mean() ** 2 / (rates.var() - rates.mean() * (1 / times).mean())
    assert alpha == pytest.approx(1.802, abs=5e-4)


def test_widening_a_belief_instead_of_discounting_it_keeps_its_mean():
    # Own value of the rule that isn't used after floods: Gamma(ω·15, ω·74) with ω = 0.5.
    mix = GammaMix((1.0,), (7.5,), (37.0,))
    assert mix.mean() == pytest.approx(0.202703, abs=1e-6)
    assert mix.variance() ** 0.5 == pytest.approx(0.074017, abs=1e-6)


def test_ends_of_many_are_those_of_each():
    mixes = [learn(THREE_SITES, KNOWN).spot(spot_id) for spot_id in (1, 4, 6)]
    mixes.append(GammaMix((1.0,), (3.0,), (10.0,)))
    for mix, ends in zip(mixes, ends_of(mixes), strict=True):
        assert ends == pytest.approx((mix.quantile(0.1), mix.quantile(0.9)), rel=1e-9)
    assert ends_of([]) == []
