"""What the law's text gives for each situation beside the packs, the page's lines say as well.

Outcomes in the files are named from the texts; here every line goes through what a trip's page
shows: the outcome, the rule's own words, its layer, source, date of text and whom to ask.
"""

import html
from types import SimpleNamespace

import pytest
from django.template.loader import render_to_string

from claims.management.commands.check_packs import beside, with_demo
from claims.models import Site
from claims.rulebook import PlanFacts, RuleBook
from claims.rulecheck import check_line
from claims.rules.loader import load_folders
from claims.rules.situations import load_situations, run_file

FOLDERS = with_demo([])
PACKS = load_folders(FOLDERS)
BOOK = RuleBook(PACKS, (), "a party")
READER = SimpleNamespace(membership=None, party=None, user=None)


@pytest.mark.parametrize("path", beside(FOLDERS), ids=lambda path: path.name)
def test_the_page_says_what_the_situation_expects_with_the_right_source(path):
    file = load_situations(path.read_bytes(), path.name)
    for text, made in zip(file.situation, run_file(file, path.name, PACKS), strict=True):
        lines = [
            check_line(finding, Site(pk=1, name="S"), BOOK, PlanFacts())
            for finding in made.evaluation.findings
        ]
        shown = {}
        for line in lines:
            body = render_to_string(
                "trips/_check_line.html", {"line": line, "site_id": 0, "request": READER}
            )
            body = " ".join(html.unescape(body).split())
            pack_id, _, rule_id = line.key.partition("/")
            pack = PACKS[pack_id].pack
            rule = next(each for each in pack.rule if each.id == rule_id)
            assert f'<span class="badge {line.outcome}">{line.outcome}</span>' in body
            assert " ".join(rule.text.split()) in body
            assert f"{pack.pack.title}. Source:" in body
            for source in pack.sources_of(rule):
                assert source.title in body
                assert source.date_of_text in body
            if pack.sources_of(rule)[0].url:
                assert f'href="{pack.sources_of(rule)[0].url}"' in body
            assert f"Confirm with: {pack.confirm_with(rule)}." in body
            shown.setdefault(line.outcome, set()).add(line.key)
        for outcome in ("stop", "do", "ask", "know"):
            wanted = getattr(text.expect, outcome)
            if wanted is not None:
                names = {key.partition("/")[2] for key in shown.get(outcome, ())}
                assert names == {name.rpartition("/")[2] for name in wanted}, text.name


def test_there_are_situations_for_every_pack():
    assert {path.name.partition(".")[0] for path in beside(FOLDERS)} >= set(PACKS)
