"""Each kind of rule can be written and comes out on both sides of what it tests.

Numbers are those of the list of kinds in `claims.rules.words`. Rules here are made up for the test.
"""

import datetime as dt
import tomllib
from pathlib import Path
from typing import get_args

import pytest

from claims.rules.evaluate import evaluate
from claims.rules.words import Kind
from tests.rules.making import DAY, outcome, outcomes, pack_of, plan, rule_text

NO_PAPERS = "papers = []"
MOVED = "amounts = [{ amount = 'moved_volume', day = 2031-05-13, much = '%s' }]"
CASES = tomllib.loads(Path(__file__).with_name("kinds.toml").read_text(encoding="utf-8"))["case"]


@pytest.mark.parametrize(
    "case", CASES, ids=[f"{case['number']:02d} {case['kind']} {n}" for n, case in enumerate(CASES)]
)
def test_a_kind_comes_out(case):
    rule = {key: case[key] for key in ("when", "unless", "more") if key in case}
    made = outcome(case["effect"], plan(case.get("plan", "")), kind=case["kind"], **rule)
    assert (made or "silent") == case["outcome"]


def test_every_kind_has_a_case_and_its_number():
    kinds = list(get_args(Kind))
    assert len(kinds) == 37
    assert {(case["number"], case["kind"]) for case in CASES} == set(enumerate(kinds, 1))


def test_a_distance_turns_notice_into_consent():
    """Beyond the distance a notice is enough; within it consent; not known asks."""
    effect = (
        "{ type = 'switch', when = [{ fact = 'distance', to = 'homestead', under = '2 km' }], "
        "then = { type = 'consent', of = ['owner'], lead_days = 14 }, "
        "otherwise = { type = 'notice', to = ['owner'], lead_days = 7 } }"
    )
    pack = pack_of(rule_text(effect, kind="notice_required"))
    far = "place = { distances = [{ to = 'homestead', by = '%s' }] }\npapers = []"
    due = {}
    for by in ("2 km", "1.999 km"):
        (finding,) = evaluate([pack], plan(far % by)).findings
        due[by] = (finding.outcome, finding.due_on)
    assert due == {
        "2 km": ("do", DAY - dt.timedelta(days=7)),
        "1.999 km": ("do", DAY - dt.timedelta(days=14)),
    }
    assert outcome(effect, plan()) == "ask"


@pytest.mark.parametrize(
    ("letters", "met", "comes_to"),
    [
        (["A"], {}, {"owner": "ask", "holder": "ask"}),
        (["A", "B"], {}, {"owner": "know", "holder": "know"}),
        (["A"], {"p/holder": True}, {"owner": "know", "holder": "know"}),
        (["A"], {"p/holder": False}, {"owner": "know", "holder": "stop"}),
        ([], {}, {"owner": "do", "holder": "do"}),
    ],
)
def test_one_letter_is_not_two_peoples_consent(letters, met, comes_to):
    """Owner and holder of a claim both have to agree; a letter is noted, and not whose it is."""
    rules = [
        rule_text(f"{{ type = 'consent', of = ['{of}'] }}", kind="consent_required", rule_id=of)
        for of in ("owner", "holder")
    ]
    rows = [
        f"{{ name = '{name}', kind = 'consent', issued = 2030-01-01, expires = 2031-12-31 }}"
        for name in letters
    ]
    situation = plan(f"papers = [{', '.join(rows)}]", met=met)
    assert outcomes(pack_of(*rules), situation) == comes_to


def test_an_amount_turns_a_pamphlet_into_a_permit():
    effect = (
        "{ type = 'switch', when = [{ fact = 'amount', amount = 'moved_volume', "
        "period = { kind = 'total' }, at_least = '50 yd3' }], "
        "then = { type = 'paper', any_of = ['permit'] }, "
        "otherwise = { type = 'paper', any_of = ['pamphlet'] } }"
    )
    facts = NO_PAPERS + "\nplanned = [{ amount = 'moved_volume', much = '1 yd3' }]\n"
    assert outcome(effect, plan(facts + MOVED % "49 yd3")) == "stop"
    assert outcome(effect, plan(facts + MOVED % "48.9 yd3")) == "do"


def test_an_assessment_year_starts_on_its_own_day():
    effect = (
        "{ type = 'amount_limit', amount = 'moved_volume', at_most = '1 m3', "
        "period = { kind = 'assessment_year', starts = '05-14' } }"
    )
    line = "amounts = [{ amount = 'moved_volume', day = 2031-05-13, much = '2 m3' }]"
    assert outcome(effect, plan(line)) == "do"
    assert outcome(effect, plan(line, day=DAY - dt.timedelta(days=1))) == "stop"


@pytest.mark.parametrize(("day", "counted"), [("2031-05-12", True), ("2031-05-11", False)])
def test_a_rolling_period_takes_in_every_day_it_may_touch(day, counted):
    """48 hours that end on the 14th may begin on the 12th; the record has no clock."""
    effect = (
        "{ type = 'amount_limit', amount = 'moved_volume', at_most = '1 m3', "
        "period = { kind = 'rolling', hours = 48 } }"
    )
    line = f"amounts = [{{ amount = 'moved_volume', day = {day}, much = '2 m3' }}]"
    assert outcome(effect, plan(line)) == ("stop" if counted else "do")


@pytest.mark.outside(
    "BLM announcement on mining fees, 2024-06-28 (seen/official, in a stored copy)"
)
@pytest.mark.parametrize(("acres", "dollars"), [("20", 200), ("40", 400), ("45", 600)])
def test_a_fee_for_twenty_acres_or_part_rounds_up(acres, dollars):
    from claims.rules.effects import Fee
    from claims.rules.fees import fee_minor
    from claims.rules.quantities import Quantity

    fee = Fee(amount_minor=20_000, currency="USD", unit_size=Quantity.parse("20 acre"))
    assert fee_minor(fee, Quantity.parse(f"{acres} acre").base) == dollars * 100


@pytest.mark.outside("ICMJ, Annual claim fees due September 3, Aug 2013 (seen second-hand)")
def test_a_date_on_a_sunday_rolls_to_monday_where_the_law_says_so():
    """1 September 2013 was a Sunday; the Monday was a holiday, which isn't known here."""
    from claims.rules.due import next_business_day

    assert next_business_day(dt.date(2013, 9, 1)) == dt.date(2013, 9, 2)
    assert next_business_day(dt.date(2013, 8, 31)) == dt.date(2013, 9, 2)
    assert next_business_day(dt.date(2013, 8, 30)) == dt.date(2013, 8, 30)
