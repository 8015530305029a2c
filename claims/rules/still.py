"""Which rules say the same on every day of the calendar, whatever else is known of a plan.

Named one by one, so that a new test or effect counts as one that hangs on the day until somebody
has looked.
"""

from claims.rules import effects as e
from claims.rules import when as c
from claims.rules.schema import Pack, Rule

STILL_TESTS = (
    *(c.GearIs, c.OnlyGear, c.LandIs, c.TitleIs, c.AreaIs, c.WaterIs, c.ZoneIs, c.DistanceIs),
    *(c.PersonIs, c.CountIs, c.PurposeIs, c.AnswerIs),
)
STILL_EFFECTS = (
    *(e.Prohibit, e.GearList, e.GearLimit, e.GearCount, e.HoleLimit, e.CountLimit, e.Setback),
    *(e.Fee, e.Warn, e.Ask, e.Inform),
)


def stands_still(rule: Rule, pack: Pack) -> bool:
    """Whether the day has no bearing on what a rule says; looked at once a pack."""
    return _kept(rule, pack)[1]


def tests_stand_still(rule: Rule, pack: Pack) -> bool:
    """Whether the day has no bearing on when a rule speaks, though it may on what it says."""
    return _kept(rule, pack)[0]


def _kept(rule: Rule, pack: Pack) -> tuple[bool, bool]:
    key = f"{rule.id}: stands still"  # no rule's id has a space
    kept: tuple[bool, bool] | None = pack.made.get(key)
    if kept is None:
        tests = _tests((*rule.when, *rule.unless))
        dated = rule.valid_from is not None or rule.valid_to is not None
        kept = pack.made[key] = tests, tests and not dated and _effect(rule.effect)
    return kept


def _tests(tests: tuple[c.Condition, ...]) -> bool:
    return all(
        _tests(test.of)
        if isinstance(test, c.AllOf | c.AnyOf | c.NotAll)
        else isinstance(test, STILL_TESTS)
        for test in tests
    )


def _effect(effect: e.Effect) -> bool:
    if isinstance(effect, e.Switch):
        return _tests(effect.when) and _effect(effect.then) and _effect(effect.otherwise)
    if isinstance(effect, e.OnlyIf):
        return _tests(effect.that)
    return isinstance(effect, STILL_EFFECTS)
