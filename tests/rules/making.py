"""Packs and plans for tests of the rules, from short texts."""

import datetime as dt

from claims.rules.evaluate import evaluate
from claims.rules.facts import Situation
from claims.rules.loader import load_text
from claims.rules.situations import as_situation, load_situations

HEAD = """
[pack]
id = "p"
title = "Place P"
level = "region"
code = "XX-P"
version = "1"
checked_on = 2031-01-01
review_by = 2039-12-31
confirm_with = "office P"
sourcing = "good"

[[source]]
id = "s"
title = "Text S"
url = "https://example.org/s"
date_of_text = "2030-01-01"
how_known = "official"

[[source]]
id = "hearsay"
title = "Somebody's summary"
url = "https://example.org/h"
date_of_text = "undated"
how_known = "second_hand"

[[paper]]
code = "licence"
title = "the licence"
kind = "licence"

[[paper]]
code = "permit"
title = "the permit"
kind = "permit"

[[paper]]
code = "pamphlet"
title = "the pamphlet"
kind = "permit"
is_these_rules = true

[[area]]
id = "gfa"
title = "the listed area"

[[question]]
id = "fish"
text = "Are fish there?"
scope = "trip"

[[question]]
id = "eggs"
text = "Do you see eggs?"
scope = "creek"

[[question]]
id = "tier"
text = "How much ground is disturbed?"
scope = "trip"
choices = ["casual", "notice", "plan"]
"""
DAY = dt.date(2031, 5, 14)


def rule_text(effect, *, kind="penalty", when="", unless="", more="", rule_id="r"):
    """One rule as a pack writes it; `when` and `unless` are the insides of their lists."""
    return (
        f'\n[[rule]]\nid = "{rule_id}"\nkind = "{kind}"\ntext = "The rule."\nsources = ["s"]\n'
        f"when = [{when}]\nunless = [{unless}]\neffect = {effect}\n{more}\n"
    )


def pack_of(*rules, head=HEAD, more="", file="p.toml"):
    """A pack from its rules."""
    return load_text(head + more + "".join(rules), file).pack


def plan(text="", *, day=DAY, **changes):
    """A plan from the keys of a file of situations."""
    whole = (
        f'packs = ["p"]\n[[situation]]\nname = "x"\nday = {day.isoformat()}\n{text}\n'
        "expect = { stop = [] }\n"
    )
    made = as_situation(load_situations(whole.encode(), "x").situation[0], {"p/r"})
    return Situation(**{**vars(made), **changes})


def outcomes(pack_or_rule, situation, *more):
    """Outcome of each rule by id; the gravest where a rule gives several."""
    packs = [pack_of(pack_or_rule)] if isinstance(pack_or_rule, str) else [pack_or_rule]
    made = evaluate([*packs, *more], situation)
    found: dict[str, str] = {}
    for finding in made.findings:
        found.setdefault(finding.rule_id, finding.outcome)
    return found


def outcome(effect, situation, **rule):
    """Outcome of one rule with this effect; None where it says nothing."""
    return outcomes(rule_text(effect, **rule), situation).get("r")
