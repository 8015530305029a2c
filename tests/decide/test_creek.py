"""Which method, from what, and what is said where something isn't known. Own figures throughout."""

from dataclasses import replace

import numpy as np
import pytest

from reports.decide import creek
from reports.decide.creek import Fallback, Ground, Setting, main_trigger, table_for
from reports.decide.creek_words import (
    number,
    row_signs,
    row_words,
    trigger_words,
    verdict,
    weights_words,
)
from reports.decide.equivalents import class_weights
from reports.decide.moving import WayHome, move_between
from reports.decide.stopping import MOST_COLOURS, Row
from trips.calc.counts import ClassCounts

EQUAL = class_weights((1, 1, 1), (0.2, 0.3, 0.5))
MIXED = class_weights((12, 2.5, 0.5), (0.02, 0.18, 0.80))
# 40 money an hour for each colour a litre: 400 L an hour × 1 mg × .1 a milligram.
SETTING = Setting("EUR", 0.1, 400, 1.0, 5.0, (8.0,), 1.25, EQUAL, transfer=1.0, phi=1.0)
GROUND = Ground("Bend", 1, 10)
SECOND = Fallback("Weir", 0.1, 0.75)  # brings 40 × .1 - 1 = 3 an hour


def test_the_worked_table_comes_out_of_plain_inputs():
    """Gain 40, cost 1, fallback 3 an hour, ten minutes a pan: the table of the stopping tests."""
    found = table_for(GROUND, SETTING, (SECOND,))
    assert SETTING.gain == pytest.approx(40)
    assert found.fallback_per_hour == pytest.approx(3)
    assert found.method == "stopping"
    assert found.table.value == pytest.approx(18.49924, abs=5e-6)
    assert found.even_rate == pytest.approx((1 + 3 * 4.25 / 5) / 40)
    assert found.notes == ()


def test_colours_that_weigh_twice_as_much_are_worth_twice_as_much():
    heavy = replace(SETTING, weights=class_weights((2, 2, 2), (0.2, 0.3, 0.5)))
    assert heavy.gain == pytest.approx(80)


@pytest.mark.parametrize(
    ("change", "choices", "method", "sentence"),
    [
        ({"money_per_mg": None}, (SECOND,), "card", creek.NO_PRICE),
        ({"litres_per_hour": None}, (SECOND,), "card", creek.NO_LITRES),
        ({"has_prior": False}, (SECOND,), "card", creek.NO_PRIOR),
        ({"even_rate": 0.2}, (SECOND,), "card", creek.TYPED),
        ({}, (), "stopping", creek.NO_FALLBACK),
        (
            {},
            (Fallback("Step", 0.1, 0.5, is_here=True),),
            "stopping",
            creek.NO_SECOND.format(name="Step"),
        ),
        ({}, (Fallback("Far", 0.1, 9),), "stopping", creek.FALLBACK_NOT_WORTH),
        ({}, (Fallback("Poor", 0.01, 0.5),), "stopping", creek.FALLBACK_NOT_WORTH),
        ({"hours": None}, (SECOND,), "stopping", creek.NO_HOURS),
        ({"hours": 0.0}, (SECOND,), "none", creek.NO_TIME),
        ({"cost_per_hour": None}, (SECOND,), "stopping", creek.NO_COST),
        ({"cost_per_hour": -4.0}, (SECOND,), "stopping", creek.NEGATIVE_COST),
        ({"money_per_mg": 0.0}, (SECOND,), "none", creek.NO_GAIN),
        ({"cost_per_hour": 0.0}, (), "stopping", creek.ALWAYS_DIG),
        ({"money_per_mg": 1e-7}, (), "stopping", creek.NEVER_DIG),
        ({"has_prior": False, "cost_per_hour": 0.0}, (), "none", creek.ALWAYS_DIG),
    ],
)
def test_each_gap_has_its_own_sentence(change, choices, method, sentence):
    found = table_for(GROUND, replace(SETTING, **change), choices)
    assert found.method == method
    assert " ".join((found.why, *found.notes)).count(sentence) == 1
    complete = table_for(GROUND, SETTING, (SECOND,))
    assert sentence not in " ".join((complete.why, *complete.notes))


def test_all_that_is_missing_is_named_and_what_is_used_instead():
    """A record on its first day: no price, no gear, no pan, nowhere else, no hours, no cost."""
    first_day = replace(
        SETTING,
        money_per_mg=None,
        litres_per_hour=None,
        has_prior=False,
        hours=None,
        cost_per_hour=None,
    )
    found = table_for(GROUND, first_day, ())
    said = " ".join((found.why, *found.notes))
    for sentence in (
        creek.NO_PRICE, creek.NO_LITRES, creek.NO_PRIOR, creek.NO_FALLBACK, creek.NO_HOURS,
        creek.NO_COST,
    ):  # fmt: skip
        assert said.count(sentence) == 1, sentence
    assert "your usual ground" not in said, "nobody has any yet"
    assert "beats 0.1 colours a litre, the starting value" in said
    assert {row.low for row in found.rows} == {"home"}
    assert "usual ground" in table_for(GROUND, replace(SETTING, money_per_mg=None), ()).why


@pytest.mark.parametrize(
    ("belief", "choices", "first", "said"),
    [
        (Ground("Bend", 1, 10), (SECOND,), "dig", "believed before: dig."),
        (Ground("Bend", 1, 100), (), "home", "believed before: go home."),
        (
            Ground("Bend", 1, 100),
            (Fallback("Step", 0.1, 0.05, is_here=True),),
            "move",
            "believed before: go to Step.",
        ),
    ],
)
def test_without_time_for_a_pan_the_belief_decides(belief, choices, first, said):
    """Ten minutes a pan and nine left: dig or move by what is expected, without a table."""
    found = table_for(belief, replace(SETTING, hours=0.15), choices)
    assert (found.method, found.first, found.rows) == ("none", first, ())
    assert said in found.why
    got = verdict(found, [], EQUAL)
    assert got.action == first
    without = table_for(belief, replace(SETTING, hours=0.15, has_prior=False), choices)
    assert (without.method, without.first) == ("none", "home")


def test_the_cards_chances_are_those_of_pans_that_scatter_as_the_card_takes_them():
    """By draws of pans with variance φ times the mean; plain chance would say .03 and .94."""
    setting = replace(SETTING, money_per_mg=None, phi=4.0, usual_rate=0.107, hours=2.0)
    found = table_for(GROUND, setting, (SECOND,))
    rng, n = np.random.default_rng(5), 40_000
    for rate, told in zip(
        (found.lines.poor, found.lines.slope, found.lines.rich), found.chances, strict=True
    ):
        mean = rate * 8
        counts = rng.negative_binomial(mean / 3, 1 / 4, (n, len(found.rows))).cumsum(axis=1)
        dug, pans, alive = 0, 0, np.ones(n, dtype=bool)
        for at, row in enumerate(found.rows):
            pans += alive.sum()
            low = -1 if row.move_at_most is None else row.move_at_most
            dig = alive & (counts[:, at] >= row.dig_at_least)
            dug += dig.sum()
            alive &= ~dig & (counts[:, at] > low)
        assert told.dig == pytest.approx(dug / n, abs=0.01)
        assert told.pans == pytest.approx(pans / n, abs=0.06)
        assert told.dig + told.move == pytest.approx(1)
    assert found.chances[0].dig > 0.1


def test_a_cost_below_zero_counts_as_none():
    below = table_for(GROUND, replace(SETTING, cost_per_hour=-4.0), (SECOND,))
    none = table_for(GROUND, replace(SETTING, cost_per_hour=0.0), (SECOND,))
    assert below.rows == none.rows


def test_the_better_place_to_go_is_taken():
    near = Fallback("Step", 0.095, 0.25, is_here=True)
    assert table_for(GROUND, SETTING, (SECOND, near)).fallback == near
    assert table_for(GROUND, SETTING, (SECOND, replace(near, mean_rate=0.05))).fallback == SECOND


def test_the_card_is_cut_to_the_time_left():
    short = replace(SETTING, has_prior=False, hours=0.6)
    assert len(table_for(GROUND, short, (SECOND,)).rows) == 3


def test_pans_after_the_typed_ones_have_the_last_size():
    pans = replace(SETTING, pan_litres=(8.0, 4.0)).pans
    assert [pan.litres for pan in pans] == [8] + [4] * 11
    assert pans[1].hours == pytest.approx(pans[0].hours / 2)


def test_the_trigger_to_remember_is_the_one_nearest_to_four_pans():
    found = table_for(GROUND, SETTING, (SECOND,))
    point = main_trigger(found.rows)
    assert (point.pans, point.colours) == (4, 2)
    said = "after 4 pans (32 L) with 2 colours or fewer, go to Weir"
    assert trigger_words(point, "Weir", EQUAL) == said
    assert trigger_words(point, "Weir", MIXED) == said.replace("colours", "weighted colours")
    assert trigger_words(point, "Weir", EQUAL, "Bend").startswith(
        "after 4 pans (32 L) at Bend with"
    )
    none = main_trigger(found.rows, wanted=2)
    assert trigger_words(none, "", MIXED) == "after 2 pans (16 L) without a colour, go home"
    assert main_trigger(()) is None


def test_rows_and_weights_in_words():
    assert row_words(Row(1, 8, None, 2)) == ("–", "2 or more")
    assert row_words(Row(2, 16, 0, None)) == ("0", "–")
    assert row_words(Row(2, 16, 3, 5)) == ("3 or fewer", "5 or more")
    assert row_words(Row(2, 16, None, 0)) == ("–", "any")
    assert row_words(Row(2, 16, MOST_COLOURS, None)) == ("any", "–")
    assert row_signs(Row(2, 16, MOST_COLOURS, None)) == ("any", "–")
    assert row_signs(Row(2, 16, 3, 5)) == ("≤ 3", "≥ 5")
    assert row_signs(Row(2, 16, 0, None)) == ("0", "–")
    assert [number(n) for n in (0, 0.5, 1, 2.5, 12)] == ["0", "½", "1", "2½", "12"]
    assert weights_words(EQUAL).startswith("Every colour counts 1")
    assert weights_words(MIXED) == (
        "A coarse colour counts 11, a medium colour counts 2½, a fine colour counts ½."
    )


def pan(coarse=0, medium=0, fine=0, litres=8.0):
    return ClassCounts(coarse, medium, fine), litres


@pytest.mark.parametrize(
    ("pans", "action", "said"),
    [
        ([], "pan", "No counted pan here yet"),
        ([pan(fine=0)], "pan", "No colour in 8 L"),
        ([pan(), pan()], "move", "No colour in 16 L: with 90 % confidence fewer than 0.14"),
        ([pan(fine=2)], "dig", ""),
        ([pan(litres=4, fine=1)], "pan", "Less than the first row's gravel"),
        ([pan(), pan(None, None, None)], "pan", "1 pan not counted and left out"),
        ([pan(), pan(None, 0, 0)], "unknown", "In 1 pan a class of colours was not counted"),
        ([pan(), pan(None, 4, 0)], "dig", ""),
    ],
)
def test_the_pans_so_far_are_looked_up(pans, action, said):
    got = verdict(table_for(GROUND, SETTING, (SECOND,)), pans, EQUAL)
    assert got.action == action
    assert said in got.why
    if action == "move":
        assert got.words.startswith("Go to Weir. 0 colours in 16 L, 2 pans")


def test_a_weighted_count_says_that_it_is_one():
    """Two fine colours count ½ each: "1 colour" would contradict what was seen in the pan."""
    table = table_for(GROUND, SETTING, (SECOND,))
    assert ". 1 weighted colour in 8 L, 1 pan" in verdict(table, [pan(fine=2)], MIXED).words
    assert ". 2 colours in 8 L, 1 pan" in verdict(table, [pan(fine=2)], EQUAL).words


def test_no_interval_is_said_of_pans_that_were_not_all_counted():
    got = verdict(table_for(GROUND, SETTING, (SECOND,)), [pan(None, 0, 0)], EQUAL)
    assert "confidence" not in got.why


def test_pans_of_overburden_are_named_when_left_out():
    got = verdict(table_for(GROUND, SETTING, (SECOND,)), [pan()], EQUAL, overburden=2)
    assert "2 pans of overburden left out" in got.why
    assert got.pans == 1


def test_without_a_table_the_verdict_is_the_reason():
    got = verdict(table_for(GROUND, replace(SETTING, hours=0.0)), [pan(fine=9)], EQUAL)
    assert got.action == "home"
    assert creek.NO_TIME in got.why


WAY = WayHome(35, 10, 20_000)


def test_moving_takes_both_walks_and_the_drive_between():
    near = move_between(WAY, WayHome(45, 20, 28_000), 10_000)
    # 14 km of road at 48 km over 80 minutes, and half an hour on foot.
    assert near.hours == pytest.approx((14 / 48 * 80 + 30) / 60)
    far = move_between(WAY, WayHome(45, 20, 28_000), None)
    assert far.hours == pytest.approx(75 / 60)
    assert "for want of positions" in far.words


def test_what_is_not_noted_of_a_way_is_said():
    blank = WayHome(None, None, None)
    got = move_between(blank, blank, None)
    assert got.hours == pytest.approx(65 / 60)
    assert "none is noted" in got.words
    assert "walk that isn't noted" in got.words
    assert move_between(blank, blank, 20_000).hours == pytest.approx((28 / 40 * 60 + 20) / 60)
