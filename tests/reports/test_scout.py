"""Scouting's money: costs by hand, worth by plain draws, one site and several agreeing."""

import numpy as np
import pytest

from reports.decide.gammas import GammaMix
from reports.decide.ranking import Outing
from reports.decide.scouting import LATER
from reports.figures.outlook import Gold, Outlook, Place, Stay
from reports.figures.scout import scouting

GOLD = Gold(per_raw_g=80.0, mean_mg=1.0, colour_cv=1.0, psi_mean=0.5, log_sd=0.3, currency="EUR")
# Site, shape and rate of its gamma, gain, cost and hours of a trip, drive in minutes, fuel.
SITES = (
    (1, 40.0, 400.0, 900.0, 12.0, 8.0, 60, 1_200),
    (2, 1.5, 20.0, 900.0, 10.0, 7.0, 30, 700),
    (3, 1.0, 12.0, 700.0, 15.0, 9.0, 90, 1_500),
)
LITRES, LONG = 40.0 / 1.6, 8.0


def outlooks(sites=SITES):
    return [
        Outlook(
            Place(
                number, f"Site {number}", False, drive, None, None, fuel, "",
                GammaMix((1.0,), (shape,), (rate,)), None,
            ),
            Stay(1, 6.0, 60.0, 0, None, 3),
            Outing(number, GammaMix((1.0,), (shape,), (rate,)), gain, cost, hours),
            6.0,
            "ranked",
            "",
        )
        for number, shape, rate, gain, cost, hours, drive, fuel in sites
    ]  # fmt: skip


def asked(sites=SITES):
    return scouting(outlooks(sites), GOLD, pan_l=4.0, pans=10, dispersion=1.6, later=5, seed=3)


def drawn(looked_at, draws=2_000_000):
    """What looking adds to one later trip of eight hours, by drawing rates and colours."""
    rng = np.random.default_rng(8)
    best = np.zeros(draws)
    now = 0.0
    for number, shape, rate, gain, cost, hours, _, _ in SITES:
        mean = np.full(draws, shape / rate)
        if number in looked_at:
            colours = rng.poisson(rng.gamma(shape, 1 / rate, draws) * LITRES)
            mean = (shape + colours) / (rate + LITRES)
        best = np.maximum(best, LONG * (gain * mean - cost) / hours)
        now = max(now, LONG * (gain * shape / rate - cost) / hours)
    return best.mean() - now


def test_a_look_is_worth_what_draws_say_and_costs_what_it_takes():
    found = asked()
    # 900 × 0.1 − 12 in eight hours.
    assert found.hourly == pytest.approx(78 / 8)
    look = {each.site_id: each for each in found.looks}[2]
    assert look.value == pytest.approx(5 * LATER * drawn({2}), rel=0.01)
    assert look.hours == pytest.approx(1 + 10 / 6)
    assert look.cost == pytest.approx(7 + look.hours * 78 / 8)
    # 40 L of 0.075 colours of 1 mg at 80 a gram: pans lose nothing of what pans foretell.
    assert look.own_gold == pytest.approx(40 * 0.075 * 0.08)
    assert look.net == pytest.approx(look.value + look.own_gold - look.cost)
    assert look.value <= look.most


def test_several_sites_on_one_day_are_worth_what_draws_say():
    found = asked()
    pair, all_three = found.days
    assert (set(pair.site_ids), set(all_three.site_ids)) == ({2, 3}, {1, 2, 3})
    # Its own 20,000 draws stray by up to 2 %.
    assert pair.value == pytest.approx(5 * LATER * drawn({2, 3}), rel=0.04)
    assert all_three.value == pytest.approx(5 * LATER * drawn({1, 2, 3}), rel=0.04)
    # The farthest way once, half an hour between, ten pans each.
    assert pair.hours == pytest.approx(3 + 0.5 + 20 / 6)
    assert pair.cost == pytest.approx(15 + pair.hours * 78 / 8)
    looks = {each.site_id: each for each in found.looks}
    assert pair.own_gold == pytest.approx(looks[2].own_gold + looks[3].own_gold)
    assert pair.value > max(looks[2].value, looks[3].value)


def test_two_sites_make_one_day_and_one_none():
    assert [set(day.site_ids) for day in asked(SITES[:2]).days] == [{1, 2}]
    assert asked(SITES[:1]).looks == asked(SITES[:1]).days == ()
