"""What sites share: the doubt about the region's mean, and the few points that stand for a grid."""

from dataclasses import replace
from math import log

import numpy as np
import pytest
from scipy.special import gammaln

from reports.decide.belief import learn
from reports.decide.evidence import Spot, Washed
from reports.decide.gammas import GammaMix
from reports.decide.hierarchy import GRID_HIGH, GRID_LOW, Region, prior_points
from trips.calc.counts import ClassCounts


def spot(spot_id, site_id, *washed):
    pans = tuple(Washed(ClassCounts(0, 0, colours), litres) for colours, litres in washed)
    return Spot(spot_id, site_id, pans)


THREE_SITES = [
    *(spot(1, 0, (5, 24)), spot(2, 0, (0, 16)), spot(3, 0, (2, 40))),
    *(spot(4, 1, (1, 24)), spot(5, 1, (0, 8))),
    *(spot(6, 2, (9, 32)), spot(7, 2, (4, 16))),
]


def test_few_points_say_what_the_whole_grid_says():
    region = Region(0.12, 0.5, 0.8, 1.0)
    points = prior_points(region)
    u = log(0.12) + np.arange(GRID_LOW, GRID_HIGH + 1e-9, 0.1)
    weights = np.exp(0.5 * u - 0.5 / 0.12 * np.exp(u))
    whole = GammaMix(tuple(weights / weights.sum()), (0.8,) * len(u), tuple(0.8 * np.exp(-u)))
    few = learn([], region).untested_site()
    assert len(points.weights) < 10
    assert few.mean() == pytest.approx(whole.mean(), rel=1e-4)
    for p in (0.1, 0.5, 0.9, 0.99):
        assert few.quantile(p) == pytest.approx(whole.quantile(p), rel=0.02)


def by_quadrature(spots, region, wanted):
    """E of `wanted(m, u)` over ln m and a site's u = ln μ on one fine square, sites by themselves.

    Another route to the posterior of m: its prior ln m ~ N(ln 0.1, 1) times every site's evidence.
    """
    log_m, u = np.arange(log(0.1) - 6, log(0.1) + 6, 0.04), np.arange(-16, 5, 0.02)
    m, b, w = np.exp(log_m)[:, None], region.site_shape, region.spot_shape
    prior = b * log(b) - b * log_m[:, None] + b * u - b / m * np.exp(u)
    prior = np.exp(prior - gammaln(b))
    weight = np.exp(-((log_m - log(0.1)) ** 2) / 2)
    told = {}
    for site in {s.site_id for s in spots}:
        likely = np.zeros(len(u))
        for s in (s for s in spots if s.site_id == site):
            y = sum(each.counts.total for each in s.washed) / region.dispersion
            v = sum(each.litres for each in s.washed) / region.dispersion
            likely += gammaln(y + w) - gammaln(w) + w * (log(w) - u)
            likely -= (w + y) * np.log(w * np.exp(-u) + v)
        told[site] = prior * np.exp(likely)
        weight = weight * told[site].sum(axis=1)
    weight /= weight.sum()
    told["none"] = prior
    return {
        site: (weight * (its @ wanted(u)) / its.sum(axis=1)).sum() for site, its in told.items()
    }


@pytest.mark.parametrize("spots", [THREE_SITES, THREE_SITES[:3], [spot(1, 1, (0, 60))]])
def test_the_doubt_about_the_regions_mean_is_summed_over(spots):
    belief = learn(spots)
    means = by_quadrature(spots, belief.region, np.exp)
    assert belief.untested_site().mean() == pytest.approx(means.pop("none"), rel=2e-3)
    assert belief.region.expected_mean == pytest.approx(belief.untested_site().mean(), rel=2e-3)
    for site, mean in means.items():
        assert belief.site_points(site).mean() == pytest.approx(mean, rel=2e-3)
    # Nobody knows the mean better than before only because a likeliest value was found.
    plugged = learn(spots, replace(belief.region, doubt=((1.0, 1.0),)))
    assert belief.prior.log_variance() > plugged.prior.log_variance()


def test_many_sites_leave_little_doubt_about_the_mean():
    many = [spot(n, n, (n % 5, 20), (n % 3, 20)) for n in range(150)]
    few, all_of_them = learn(many[:3]).region, learn(many).region
    spread = [np.std(np.log([f for f, _ in each.doubt])) for each in (few, all_of_them)]
    assert spread[1] < 0.3 * spread[0]
    assert sum(weight for _, weight in few.doubt) == pytest.approx(1)
    assert all_of_them.expected_mean == pytest.approx(all_of_them.mean, rel=0.03)
