"""The season played on known creeks: chance by seed, knowing is best, parties learn."""

import numpy as np
import pytest

from reports.decide.rehearsal import (
    ADVISED,
    KNOWING,
    PLAYS,
    TOLD,
    Party,
    draw_creeks,
    play_knowing,
    play_season,
    rehearse,
)


def test_a_seed_repeats_a_season_and_another_does_not():
    once = rehearse("own prior", 1, 3, 5)
    assert rehearse("own prior", 1, 3, 5) == once
    assert set(once) == set(PLAYS)
    assert rehearse("own prior", 1, 3, 6) != once


@pytest.mark.parametrize("world", ["own prior", "clumpier"])
def test_creeks_have_the_form_that_was_asked(world):
    creeks = draw_creeks(np.random.default_rng(1), world, sites=3, spots=4)
    assert creeks.rates.shape == (3, 4)
    assert (creeks.rates >= 0).all()
    assert (creeks.clump is None) == (world == "own prior")
    rng = np.random.default_rng(2)
    seen = [creeks.seen(rng, 0.4, 8.0, 8.0) for _ in range(4000)]
    assert np.mean(seen) == pytest.approx(3.2, rel=0.1)
    # Clumps of a pan's size: variance μ + μ²/k with k = 0.7; by chance alone it is μ.
    expected = 3.2 if creeks.clump is None else 3.2 + 3.2**2 / 0.7
    assert np.var(seen) == pytest.approx(expected, rel=0.2)


def test_knowing_every_spot_earns_most_on_average():
    found = rehearse("clumpier", 3, 5, 11)
    assert sum(found[KNOWING]) > sum(found[ADVISED])


def test_a_day_never_gets_longer_and_a_pan_is_remembered():
    creeks = draw_creeks(np.random.default_rng(3), "own prior")
    party = Party(creeks, np.random.default_rng(4))
    day = party.start(2)
    left = day.left
    party.pan(day, 1)
    assert day.left < left
    party.dig(day, 1)
    assert day.left == 0
    assert [row.is_box for row in party.memory.washed[2, 1]] == [False, True]


def test_one_site_leaves_nothing_to_choose():
    creeks = draw_creeks(np.random.default_rng(7), "own prior", sites=1, spots=1)
    known = play_knowing(creeks, 4, np.random.default_rng(1))
    advised = play_season(creeks, 4, np.random.default_rng(1))
    assert advised == pytest.approx(known, abs=abs(known) * 0.6 + 60)


def test_parts_of_the_truth_can_be_told_without_changing_the_others():
    plain, told = rehearse("clumpier", 1, 2, 5), rehearse("clumpier", 1, 2, 5, told=True)
    assert set(told) == {*PLAYS, *TOLD}
    assert {name: told[name] for name in PLAYS} == plain
    true = draw_creeks(np.random.default_rng(1), "clumpier").region
    means = {name: of_truth(true).mean == true.mean for name, of_truth in TOLD.items()}
    assert not means["told the true shapes"]
    assert sum(means.values()) == 3
    assert true.dispersion > 1
