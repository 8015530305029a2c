"""The shipped packs against the figures of the texts they rest on.

Each figure is written here a second time, from the text named beside it, so that a slip in a pack
shows. The situations beside the packs hold what comes of them for a plan.
"""

from dataclasses import fields
from datetime import date
from pathlib import Path

import pytest
from django.conf import settings

from claims.management.commands.check_packs import shipped_table, with_demo
from claims.rules import effects as e
from claims.rules import when as c
from claims.rules.crosscheck import walk
from claims.rules.loader import SITUATIONS, load_folders
from claims.rules.quantities import Quantity
from claims.rules.situations import load_situations
from claims.rules.windows import DayWindow, HourWindow, MonthDay
from tests.rules import figures_elsewhere, figures_us_and_scotland

FOLDERS = with_demo([])
PACKS = load_folders(FOLDERS)
HELD = (
    "au-nsw",
    "au-nt",
    "au-tas",
    "au-vic",
    "au-wa",
    "ca-ab",
    "ca-bc",
    "fi",
    "nz",
    "uk-sct",
    "us-ak",
    "us-ca",
    "us-fed",
    "us-ga",
    "us-id",
    "us-nf",
    "us-or",
    "us-ut",
)


def rule_of(key):
    pack, _, rule = key.partition("/")
    return next(each for each in PACKS[pack].pack.rule if each.id == rule)


def plain(value):
    if isinstance(value, Quantity):
        return value.text
    if isinstance(value, DayWindow | HourWindow):
        return f"{value.first}..{value.last}"
    return value


def values_of(rule, name):
    """All values under a key anywhere in a rule, in order of size."""
    found = set()
    for _, item in walk((rule,)):
        value = getattr(item, name, None)
        several = value if isinstance(value, tuple) else (value,)
        found |= {plain(each) for each in several if each is not None}
    return sorted(found)


FIGURES = [*figures_elsewhere.FIGURES, *figures_us_and_scotland.FIGURES]


@pytest.mark.parametrize(("key", "name", "values"), FIGURES)
def test_a_figure_is_the_text_s(key, name, values):
    assert values_of(rule_of(key), name) == sorted(values)


FIGURE = Quantity | DayWindow | HourWindow | MonthDay | int | date


def has_figures(value):
    several = value if isinstance(value, tuple) else (value,)
    return any(isinstance(each, FIGURE) and not isinstance(each, bool) for each in several)


@pytest.mark.parametrize("pack_id", HELD)
def test_no_number_and_no_day_of_a_rule_is_left_out_above(pack_id):
    """How long before a date to remind is the pack's own choice and no text's."""
    written = {(each.values[0], each.values[1]) for each in FIGURES}
    for rule in PACKS[pack_id].pack.rule:
        there = {
            (f"{pack_id}/{rule.id}", entry.name)
            for _, item in walk((rule,))
            for entry in fields(item)
            if has_figures(getattr(item, entry.name))
            and not (isinstance(item, e.Remind) and entry.name == "lead_days")
        }
        assert there <= written


@pytest.mark.parametrize("pack_id", HELD)
def test_every_rule_speaks_in_a_situation_and_what_is_conditional_is_silent_in_another(pack_id):
    loaded = PACKS[pack_id]
    file = Path(FOLDERS[0], f"{pack_id}{SITUATIONS}")
    expected = [each.expect for each in load_situations(file.read_bytes(), file.name).situation]
    outcomes = {
        outcome: {name for each in expected for name in getattr(each, outcome) or ()}
        for outcome in ("stop", "do", "ask", "know", "silent")
    }
    for rule in loaded.pack.rule:
        met = {outcome for outcome, names in outcomes.items() if rule.id in names}
        assert met - {"silent"}, f"{rule.id} is in no situation"
        if rule.when or rule.unless:
            assert len(met) > 1, f"{rule.id} comes out in one way only"


@pytest.mark.parametrize("pack_id", HELD)
def test_a_situation_of_each_pack_knows_nothing_and_none_of_its_rules_is_passed(pack_id):
    file = Path(FOLDERS[0], f"{pack_id}{SITUATIONS}")
    bare = [
        each
        for each in load_situations(file.read_bytes(), file.name).situation
        if each.gear is None and each.papers is None and each.place.land is None
    ]
    assert bare, "no situation in which nothing is known"
    assert all(each.expect.ask and not each.expect.stop for each in bare)


def test_what_could_not_be_read_is_in_no_pack():
    """Figures that were only known by hearsay stay out, until somebody reads the texts."""

    def effects(pack_id):
        return [item for _, item in walk(PACKS[pack_id].pack.rule)]

    gold = [i for i in effects("au-nsw") if isinstance(i, e.AmountLimit | c.AmountIs)]
    assert {item.amount for item in gold} == {"moved_volume"}
    assert not [i for i in effects("au-wa") if isinstance(i, e.HoleLimit)]
    terms = [i for i in effects("au-wa") if isinstance(i, e.PaperTerm)]
    assert {item.paper for item in terms} == {"s40e_permit"}
    assert not [i for i in effects("au-nt") if isinstance(i, e.AmountLimit | c.AmountIs)]
    alberta = PACKS["ca-ab"].pack.rule
    assert not [rule for rule in alberta if rule.kind == "no_authorisation_needed"]
    assert PACKS["ca-bc"].pack.table[0].rows == ()


def test_the_readmes_list_the_packs_that_come_along():
    packs_readme = Path(FOLDERS[0], "README.md").read_text(encoding="utf-8")
    assert shipped_table() in packs_readme
    readme = " ".join(Path(settings.BASE_DIR, "README.md").read_text(encoding="utf-8").split())
    shipped = [each.pack.pack for each in load_folders([FOLDERS[0]]).values()]
    assert [head.title for head in shipped if head.title not in readme] == []
