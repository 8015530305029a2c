"""A condition of a paper becomes an own rule, which checklists take in; the paper says so."""

import pytest

from claims.models import OwnRule, PaperCondition
from tests import factories as make
from tests.claims.pages import text_of, url

pytestmark = pytest.mark.django_db


@pytest.fixture
def line(db):
    party = make.make_party()
    site = make.make_site(party, "Upper bend")
    paper = make.make_paper(party, [site], name="Reach permit", issuer="The river board")
    return PaperCondition.objects.create(
        paper=paper, kind="fill_in", text="Every hole is filled\nbefore leaving.",
        fill_due="leaving", position=2,
    )  # fmt: skip


def start(client, line):
    return client.get(url("rule_create"), {"condition": line.pk})


def test_the_form_starts_with_the_words_and_the_source_and_the_paper_shows_the_rule(client, line):
    client = make.signed_in(client, line.paper.party)
    paper = url("paper_detail", line.paper.pk)
    assert "Make it a rule" in text_of(client.get(paper))
    form = start(client, line).context["page"].form
    values = {name: form[name].value() for name in form.fields}
    assert values["text"] == "Every hole is filled before leaving."
    assert (values["shape"], values["due"]) == ("fill", "before_leaving")
    assert (values["agreed_with"], values["site"]) == ("The river board", line.paper.sites.get().pk)
    assert "condition 2" in values["written_where"]
    sent = {name: "" if value is None else str(value) for name, value in values.items()}
    answer = client.post(f"{url('rule_create')}?condition={line.pk}", sent)
    assert answer.status_code == 302, answer.context["page"].form.errors
    rule = OwnRule.objects.get()
    assert rule.text == "Every hole is filled before leaving."
    shown = text_of(client.get(paper))
    assert "Checklists take it in as an own rule" in shown
    assert "Make it a rule" not in shown


def test_a_condition_of_another_party_starts_nothing(client, line):
    client = make.signed_in(client, make.make_party(name="Others"))
    assert start(client, line).status_code == 404
    assert client.get(url("rule_create"), {"condition": "x"}).status_code == 404


def test_a_long_condition_is_cut_at_a_word_for_a_person_to_see(client, line):
    line.text = "word " * 120
    line.save()
    client = make.signed_in(client, line.paper.party)
    text = start(client, line).context["page"].form["text"].value()
    assert len(text) <= 400
    assert text.endswith("word …")


def test_rules_that_named_their_condition_in_words_are_linked_by_the_migration(line):
    from importlib import import_module

    from django.apps import apps

    from tests.factories_rules import make_own_rule

    party = line.paper.party
    rule = make_own_rule(party, written_where="Reach permit, condition 2")
    make_own_rule(make.make_party(name="Others"), written_where="Reach permit, condition 2")
    other = PaperCondition.objects.create(paper=line.paper, text="Report.", position=3)
    import_module("claims.migrations.0012_link_condition_rules").link(apps, None)
    line.refresh_from_db()
    other.refresh_from_db()
    assert (line.own_rule, other.own_rule) == (rule, None)
