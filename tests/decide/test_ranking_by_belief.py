"""Ranking by belief: recomputed values, draws as the check, what a person would assert."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from reports.decide.belief import learn
from reports.decide.chances import rung_chances
from reports.decide.evidence import Spot, Washed
from reports.decide.gammas import GammaMix, arrays, mix_cdf
from reports.decide.ranking import Outing, _distribution, rank
from trips.calc.counts import ClassCounts
from trips.calc.errors import OutOfRange
from trips.calc.predictive import chance_mass_reaches


def gamma(shape, rate):
    return GammaMix((1.0,), (float(shape),), (float(rate),))


def outing(site_id, rate, gain=1.0, cost=0.0, hours=1.0):
    return Outing(site_id, rate, gain, cost, hours)


def by_id(ranking, name):
    return [getattr(row, name) for row in sorted(ranking.rows, key=lambda row: row.site_id)]


THREE = [outing(1, gamma(12, 40)), outing(2, gamma(9, 40)), outing(3, gamma(3, 10))]


def test_three_gammas():
    # Own values by quadrature, recomputed with two million draws.
    found = rank(THREE, 0.0)
    assert by_id(found, "best_chance") == pytest.approx([0.45260, 0.13898, 0.40843], abs=2e-5)
    assert by_id(found, "regret") == pytest.approx([0.083680, 0.158680, 0.083680], abs=5e-6)
    assert found.perfect == pytest.approx(0.383680 - 0.3, abs=5e-6)


def test_two_sites_close_to_normal():
    # Φ(1/2.5) = 0.6554217 for means 5 and 4 with sd 2 and 1.5 (own value); gammas of 10 000 times
    # the shape, moved down by the cost, are normal to about 1e-3.
    def near_normal(mean, sd, shift=200.0):
        shape = ((mean + shift) / sd) ** 2
        return gamma(shape, shape / (mean + shift))

    found = rank(
        [outing(1, near_normal(5, 2), cost=200), outing(2, near_normal(4, 1.5), cost=200)], 0
    )
    assert found.rows[0].best_chance == pytest.approx(0.6554217, abs=1e-3)


def test_per_hour_is_a_ratio_of_sums_not_a_mean_of_ratios():
    sites = [outing(1, gamma(8, 8), gain=30, hours=10), outing(2, gamma(8, 8), gain=20, hours=4)]
    assert [row.site_id for row in rank(sites, 0.2, "hour").rows] == [2, 1]
    assert [row.site_id for row in rank(sites, 0.2, "trip").rows] == [1, 2]
    assert rank(sites, 0.2, "hour").rows[0].mean == pytest.approx(5.0)


def simulated(count, seed):
    """A region of sites as the belief itself sees it, and outings to them."""
    rng = np.random.default_rng(seed)
    spots = []
    for site in range(count):
        mean = rng.gamma(1, 0.12)
        for _ in range(rng.integers(0, 4)):
            rate = mean * rng.gamma(1.5, 1 / 1.5)
            pans = rng.poisson(rate * 6, rng.integers(1, 7))
            washed = tuple(Washed(ClassCounts(0, 0, int(n)), 6.0) for n in pans)
            spots.append(Spot(len(spots), site, washed))
    belief = learn(spots)
    return [
        outing(
            site,
            belief.new_spot(site)
            if belief.best_spot(site) is None
            else belief.spot(belief.best_spot(site)),
            *(float(rng.uniform(*ends)) for ends in ((400, 900), (10, 60), (4, 10))),
        )
        for site in range(count)
    ]


def drawn(outings, log_sd, draws, seed=1):
    """Scores by draws, (sites, draws): the common factor is one draw for all sites."""
    rng = np.random.default_rng(seed)
    common = np.exp(log_sd * rng.standard_normal(draws) - log_sd**2 / 2)
    scores = np.empty((len(outings), draws))
    for n, each in enumerate(outings):
        weights = np.array(each.rate.weights)
        part = rng.choice(len(weights), draws, p=weights / weights.sum())
        rate = (
            rng.standard_gamma(np.array(each.rate.shapes)[part]) / np.array(each.rate.rates)[part]
        )
        scores[n] = (each.gain * common * rate - each.cost) / each.hours
    return scores


@pytest.mark.parametrize("count", [2, 25, 90])
def test_draws_agree_within_their_error(count):
    outings, draws = simulated(count, 7), 40_000
    scores = drawn(outings, 0.45, draws)
    found = rank(outings, 0.45)
    won = np.bincount(scores.argmax(axis=0), minlength=count) / draws
    chance = np.array(by_id(found, "best_chance"))
    error = np.sqrt(chance * (1 - chance) / draws) + 1e-3
    assert np.all(np.abs(won - chance) < 4.5 * error)
    assert chance.sum() == pytest.approx(1)
    top = scores.max(axis=0)
    assert found.rows[0].mean + found.perfect == pytest.approx(
        top.mean(), abs=5 * top.std() / draws**0.5
    )
    width = np.array(by_id(found, "high")) - np.array(by_id(found, "low"))
    for end, probability in (("low", 0.1), ("high", 0.9)):
        off = np.array(by_id(found, end)) - np.quantile(scores, probability, axis=1)
        assert np.all(np.abs(off) < (0.045 if count < 60 else 0.075) * width)


@pytest.mark.parametrize("log_sd", [0.05, 0.3, 0.8])
@pytest.mark.parametrize("shape", [0.3, 3, 30, 3000])
def test_the_ends_of_the_range_hold_a_tenth_each(shape, log_sd):
    """Another route: the common factor on 4,001 fine steps, for well and badly known rates."""
    mixed = GammaMix((0.5, 0.3, 0.2), (shape,) * 3, (shape / 0.05, shape / 0.1, shape / 0.4))
    score = np.linspace(-6, 6, 4_001)
    chance = np.exp(-(score**2) / 2)
    common = np.exp(log_sd * score - log_sd**2 / 2)
    [row] = rank([outing(1, mixed, gain=1, cost=0.0, hours=1)], log_sd).rows
    for end, probability in ((row.low, 0.1), (row.high, 0.9)):
        below = [mixed.cdf(end / each) for each in common[::4]]
        assert np.average(below, weights=chance[::4]) == pytest.approx(probability, abs=2e-3)


def test_many_sites_read_between_points_as_few_are_read_exactly():
    outings = simulated(61, 3)
    many, few = rank(outings, 0.3), rank(outings[:60], 0.3)
    known = {row.site_id: row for row in few.rows}
    for row in many.rows:
        if row.site_id in known:
            exact = known[row.site_id]
            width = exact.high - exact.low
            assert row.low == pytest.approx(exact.low, abs=0.06 * width)
            assert row.high == pytest.approx(exact.high, abs=0.06 * width)


def untried(count, seed, shape=0.9):
    """Spots that nobody tried: one shape, and sites of different means."""
    rng = np.random.default_rng(seed)
    return [
        Outing(
            n,
            GammaMix(
                (0.3, 0.7), (shape, shape), tuple(map(float, shape / rng.uniform(0.02, 1, 2)))
            ),
            *(float(rng.uniform(*ends)) for ends in ((400, 900), (10, 60), (4, 10))),
        )
        for n in range(count)
    ]


@pytest.mark.parametrize("shape", [0.25, 0.9, 6.0])
def test_the_table_for_spots_not_tried_reads_as_the_function(shape):
    weights, shapes, rates = arrays([each.rate for each in untried(70, 2, shape)])
    values = np.concatenate([np.zeros(1), np.geomspace(1e-7, 300, 41)])
    values = np.broadcast_to(values, (70, 42))
    found = _distribution(weights, shapes, rates)(values)
    exact = [mix_cdf(weights, shapes, rates, np.full(70, value)) for value in values[0]]
    assert np.abs(found - np.transpose(exact)).max() < 1e-5


def test_many_spots_not_tried_agree_with_draws():
    outings, draws = untried(90, 4), 40_000
    won = np.bincount(drawn(outings, 0.4, draws).argmax(axis=0), minlength=90) / draws
    chance = np.array(by_id(rank(outings, 0.4), "best_chance"))
    assert np.all(np.abs(won - chance) < 4.5 * np.sqrt(chance * (1 - chance) / draws) + 1e-3)


def test_sites_with_one_belief_differ_only_by_the_way_there():
    [first, *_] = untried(1, 5)
    sites = [Outing(n, first.rate, first.gain, 10.0 + n, 8.0) for n in range(80)]
    rows = rank(sites, 0.3, "trip").rows
    assert [row.site_id for row in rows] == list(range(80))
    for row in rows:
        assert row.low - rows[0].low == pytest.approx(-row.site_id)
        assert row.high - rows[0].high == pytest.approx(-row.site_id)
    chances = [row.best_chance for row in rows]
    assert chances == sorted(chances, reverse=True)
    assert chances[0] > chances[-1]


def test_a_site_that_everything_speaks_against_is_never_best():
    sure_loss = outing(9, gamma(3, 10), gain=1.0, cost=500.0)
    assert by_id(rank([*THREE, sure_loss], 0.4), "best_chance")[-1] == pytest.approx(0, abs=1e-9)


def test_the_same_site_twice_shares_alike():
    chances = by_id(rank([outing(n, gamma(3, 10)) for n in range(4)], 0.3), "best_chance")
    assert chances == pytest.approx([0.25] * 4)


@settings(max_examples=20)
@given(
    st.lists(
        st.tuples(st.floats(0.4, 30), st.floats(2, 80), st.floats(0, 80), st.floats(1, 12)),
        min_size=1,
        max_size=6,
    ),
    st.floats(0, 0.8),
)
def test_what_holds_for_any_sites(rows, log_sd):
    sites = [
        outing(n, gamma(a, b), 500.0, cost, hours) for n, (a, b, cost, hours) in enumerate(rows)
    ]
    found = rank(sites, log_sd)
    assert sum(by_id(found, "best_chance")) == pytest.approx(1)
    assert min(by_id(found, "regret")) >= -1e-9
    assert found.rows[0].regret == min(by_id(found, "regret"))
    for row in found.rows:
        assert row.low <= row.high
    free = [outing(each.site_id, each.rate, 500.0, 0.0, each.hours) for each in sites]
    dear = [outing(each.site_id, each.rate, 1500.0, 0.0, each.hours) for each in sites]
    # Without costs a price three times as high changes nothing about who is best.
    assert by_id(rank(free, log_sd), "best_chance") == pytest.approx(
        by_id(rank(dear, log_sd), "best_chance"), abs=1e-6
    )


def test_no_site_and_one_site():
    assert rank([], 0.3).rows == ()
    [only] = rank(THREE[:1], 0.3).rows
    assert only.best_chance == pytest.approx(1)
    assert only.regret == pytest.approx(0, abs=1e-4)


def test_a_day_without_hours_or_light():
    with pytest.raises(OutOfRange, match="hours above zero"):
        outing(1, gamma(1, 1), hours=0)
    dark = outing(1, gamma(1, 1), gain=0.0, cost=12.0, hours=3)
    row = rank([dark, outing(2, gamma(5, 1), gain=10)], 0.2).rows[-1]
    assert (row.low, row.mean, row.high) == pytest.approx((-4, -4, -4), abs=1e-6)


def test_chance_of_a_rung_is_the_compound_sum():
    # Own example of methods of the predictive sum: 0.515145 (a million draws: 0.51556).
    chances = rung_chances(
        gamma(12, 40), kept_l=270, log_sd=0, mean_mg=0.8, mass_cv=1.0, thresholds_mg=[61.9195]
    )
    assert chances[0] == pytest.approx(0.515145, abs=1e-4)


@pytest.mark.parametrize("threshold", [0.5, 5, 80, 900])
@pytest.mark.parametrize(("shape", "rate", "litres"), [(0.8, 2, 1200), (5, 60, 300), (2, 90, 40)])
def test_chances_by_blocks_agree_with_the_sum_colour_by_colour(shape, rate, litres, threshold):
    [found] = rung_chances(
        gamma(shape, rate),
        kept_l=litres,
        log_sd=0,
        mean_mg=0.8,
        mass_cv=1.2,
        thresholds_mg=[threshold],
    )
    exact = chance_mass_reaches(
        shape=shape,
        rate_l=rate,
        litres=litres,
        transfer_ratio=1,
        mean_mg=0.8,
        mass_cv=1.2,
        threshold_mg=threshold,
    )
    assert found == pytest.approx(exact, abs=5e-4)


def test_each_rung_is_at_most_as_likely_as_the_one_below():
    chances = rung_chances(
        THREE[2].rate,
        kept_l=200,
        log_sd=0.5,
        mean_mg=0.8,
        mass_cv=1.5,
        thresholds_mg=[-3, 0, 10, 20, 400],
    )
    assert chances[0] == chances[1] == pytest.approx(1)
    assert list(chances) == sorted(chances, reverse=True)
    assert rung_chances(
        THREE[2].rate, kept_l=0, log_sd=0.5, mean_mg=0.8, mass_cv=1.5, thresholds_mg=[0, 1]
    ) == (1.0, 0.0)
    with pytest.raises(OutOfRange, match="above zero"):
        rung_chances(gamma(1, 1), kept_l=1, log_sd=0, mean_mg=0, mass_cv=1, thresholds_mg=[1])
