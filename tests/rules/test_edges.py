"""Each edge of `edges`, with the shipped rule alone."""

import datetime as dt
from dataclasses import replace

import pytest
from django.conf import settings

from claims.rules.evaluate import evaluate
from claims.rules.loader import load_folders
from tests.rules.edges import AHEAD, BOUNDS, DAYS, HOURS, OWN_CLAIM
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


FORM = (
    "place = { land = 'public' }\nanswers = { placer_form = true }\n"
    "gear = []\nlast_day = 2031-05-16"
)
S40E = "papers = [{ code = 's40e_permit', issued = 2031-03-01, expires = 2031-05-31 }]"
SMALL_MINER = OWN_CLAIM + "\nanswers = { small_miner = %s }\nas_of = 2031-05-14"


def held(code):
    return (
        f"papers = [{{ code = '{code}', issued = 2031-01-01, expires = 2031-12-31 }}]\nas_of = %s"
    )


DUE = [
    ("BLM placer form: within 14 days (seen in a copy)", "us-fed/form-fill", FORM, "2031-05-30"),
    ("WA Government, Obligations: within 14 days (seen)", "au-wa/permit-report",
     S40E, "2031-06-14"),
    ("BLM announcement of 2024-06-28: 1 September (seen)", "us-fed/fee-day",
     SMALL_MINER % "false", "2031-09-01"),
    ("43 CFR 3835.10: 1 September (seen in a copy)", "us-fed/waiver",
     SMALL_MINER % "true", "2031-09-01"),
    ("43 CFR 3835.16: 30 December (seen in a copy)", "us-fed/affidavit",
     SMALL_MINER % "true", "2031-12-30"),
    ("NZP&M, Complying with your mineral permit: 31 March (seen)", "nz/permit-report",
     held("minerals_permit") % "2031-03-31", "2031-03-31"),
    ("NZP&M, Complying with your mineral permit: 31 March (seen)", "nz/permit-report",
     held("minerals_permit") % "2031-04-01", "2032-03-31"),
    ("Oregon DSL page: 28 February (seen)", "us-or/habitat-report",
     held("general_authorisation") % "2031-02-28", "2031-02-28"),
    ("Oregon DSL page: 28 February (seen)", "us-or/habitat-report",
     held("general_authorisation") % "2031-03-01", "2032-02-28"),
    ("Province of BC, Placer permit applications: end of the year (seen)", "ca-bc/permit-report",
     held("mines_act_permit") % "2031-12-31", "2031-12-31"),
    ("SEPA gold panning position: the same day (seen in a copy)", "uk-sct/fill", "", "2031-05-14"),
]  # fmt: skip


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
