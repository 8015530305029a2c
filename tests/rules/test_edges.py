"""Each edge of `edges`, with the shipped rule alone."""

import datetime as dt
from dataclasses import replace

import pytest
from django.conf import settings

from claims.rules.evaluate import evaluate
from claims.rules.loader import load_folders
from tests.rules.edges import AHEAD, BOUNDS, DAYS, DUE, HOURS
from tests.rules.making import plan

PACKS = load_folders([settings.BASE_DIR / "claims" / "rules" / "packs"])


def finding(key, situation):
    """What one rule says, as on a day on which its pack has just been read."""
    pack_id, _, rule_id = key.partition("/")
    pack = PACKS[pack_id].pack
    (rule,) = (each for each in pack.rule if each.id == rule_id)
    fresh = replace(pack.pack, review_by=dt.date(2099, 12, 31))
    found = evaluate([replace(pack, pack=fresh, rule=(rule,))], situation).findings
    return found[0] if found else None


@pytest.mark.parametrize(("rule", "outcome", "text", "day"), [*BOUNDS, *HOURS, *AHEAD, *DAYS])
def test_an_edge_comes_out_as_the_text_says(rule, outcome, text, day):
    said = finding(rule, plan(text, day=dt.date.fromisoformat(day)))
    assert (said.outcome if said else "silent") == outcome, said


@pytest.mark.parametrize(
    ("rule", "text", "due"),
    [
        pytest.param(rule, text, due, marks=pytest.mark.outside(source), id=f"{rule} {due}")
        for source, rule, text, due in DUE
    ],
)
def test_a_day_is_due_as_the_text_says(rule, text, due):
    said = finding(rule, plan(text))
    assert said.due_on == dt.date.fromisoformat(due)
    assert said.duty is not None
