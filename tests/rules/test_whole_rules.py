"""Every shipped rule with all its own tests in place: its first and last day, its windows, limits.

`test_packs` looks at each part alone. Here a plan is made under which the rule's own tests hold,
so that a slip between a limit and what it hangs on shows as well.
"""

import datetime as dt
from dataclasses import replace

import pytest

from claims.rules import effects as e
from claims.rules import when as c
from claims.rules.crosscheck import walk
from claims.rules.evaluate import evaluate
from claims.rules.gearfit import fits
from tests.rules.meeting import holds, meet
from tests.rules.test_packs import DAY, LIMITED, RULES, STOPS, at_amount, limits, sides


def findings(pack, rule, situation):
    return evaluate([replace(pack, rule=(rule,))], situation).findings


def day_of(rule):
    """A day on which the rule is in force."""
    day = dt.date(2031, 5, 14)
    if rule.valid_to is not None and day > rule.valid_to:
        return rule.valid_to
    return rule.valid_from if rule.valid_from is not None and day < rule.valid_from else None


@pytest.mark.parametrize(("pack", "rule"), RULES)
def test_a_plan_that_meets_every_test_of_a_rule_is_found(pack, rule):
    plan = meet(pack, rule, day_of(rule))
    assert plan is not None


ENDED = [each for each in RULES if each.values[1].valid_from or each.values[1].valid_to]


@pytest.mark.parametrize(("pack", "rule"), ENDED)
def test_the_whole_rule_speaks_from_its_first_day_to_its_last(pack, rule):
    plan = meet(pack, rule, rule.valid_from or rule.valid_to)
    assert plan is not None
    for day, beyond in ((rule.valid_from, -DAY), (rule.valid_to, DAY)):
        if day is None:
            continue
        situation = replace(plan.situation(day), as_of=day)
        said = findings(pack, rule, situation)
        assert not any("held until" in each.text for each in said)
        silent = isinstance(rule.effect, e.NeedPaper | e.Standdown | e.Apply)
        assert said or silent
        after = findings(pack, rule, plan.situation(day + beyond))
        if beyond == DAY and not rule.replaced_by:
            assert ["held until" in each.text for each in after] == [True]
        else:
            assert after == ()


DATED = [each for each in RULES if any(isinstance(t, c.DateIn) for t in each.values[1].when)]


@pytest.mark.parametrize(("pack", "rule"), DATED)
def test_the_whole_rule_speaks_on_the_ends_of_its_windows_and_not_beside_them(pack, rule):
    plan = meet(pack, rule, day_of(rule))
    tests = [test for test in rule.when if isinstance(test, c.DateIn)]
    for test in tests:
        for window in test.within:
            ends = [
                dt.date(2032, *map(int, end.split("-")))
                if window.is_yearly
                else dt.date.fromisoformat(end)
                for end in (window.first, window.last)
            ]
            for end, beyond in ((ends[0], -DAY), (ends[1], DAY)):
                plan.day = end
                assert holds(pack, rule, plan)
                plan.day = end + beyond
                inside = all(any(w.holds(plan.day) for w in each.within) for each in tests)
                assert holds(pack, rule, plan) is inside


ONLY_ON = [
    pytest.param(pack, rule, test, id=f"{pack.id}/{rule.id}")
    for param in RULES
    for pack, rule in [param.values]
    for _, effect in walk(rule.effect)
    if isinstance(effect, e.OnlyIf)
    for test in effect.that
    if isinstance(test, c.DateIn)
]


def test_there_are_rules_of_each_sort():
    assert len(ENDED) >= 3
    assert len(DATED) >= 2
    assert ONLY_ON
    assert len(LIMITED) >= 30


@pytest.mark.parametrize(("pack", "rule", "test"), ONLY_ON)
def test_the_whole_rule_stops_beside_the_days_that_it_leaves(pack, rule, test):
    plan = meet(pack, rule, day_of(rule))
    for window in test.within:
        first, last = (
            dt.date(2032, *map(int, end.split("-"))) for end in (window.first, window.last)
        )
        for day, stops in ((first - DAY, True), (first, False), (last, False), (last + DAY, True)):
            said = findings(pack, rule, plan.situation(day))
            assert any(each.outcome == "stop" for each in said) is stops


@pytest.mark.parametrize(("pack", "rule", "limit"), LIMITED)
def test_the_whole_rule_stops_just_beyond_its_bound(pack, rule, limit):
    assert limit in limits(rule)
    day = day_of(rule)
    plan = meet(pack, rule, day, limit)
    assert plan is not None
    for side, word, quantity in sides(limit):
        for step, stops in zip((-1, 0, 1), STOPS[word], strict=True):
            situation = joined(
                plan, at_amount(limit, side, quantity.base + step, pack), limit, pack
            )
            said = findings(pack, rule, situation)
            assert said, f"{word} {quantity.text}, {step:+}: the rule says nothing"
            got = any(each.outcome == "stop" for each in said)
            assert got is stops, f"{word} {quantity.text}, {step:+}: {said}"


def joined(plan, bounded, limit, pack):
    """The plan that meets the rule, with the number that its limit is about."""
    situation = plan.situation()
    match limit:
        case e.GearLimit():
            others = [item for item in plan.gear if fits(item, limit, pack).value is False]
            piece = bounded.gear[0]
            mine = next((g for g in plan.gear if fits(g, limit, pack).value), piece)
            return replace(situation, gear=(replace(mine, numbers=piece.numbers), *others))
        case e.AmountLimit():
            line = replace(bounded.amounts[0], day=plan.day, water=plan.water or "W")
            return replace(situation, amounts=(line,))
        case e.HoleLimit():
            return replace(situation, holes=bounded.holes)
        case e.Setback():
            distances = {**plan.distances, **bounded.place.distances}
            return replace(situation, place=replace(situation.place, distances=distances))
        case e.CountLimit(of="open_holes"):
            return replace(situation, open_holes=bounded.open_holes)
        case e.CountLimit():
            return replace(situation, people=bounded.people, gear=tuple(plan.gear or bounded.gear))
    raise AssertionError(limit)
