"""What a rule says of a paper's term stands on the paper's page with its source."""

import datetime as dt

import pytest

from claims.paper_pages import rule_terms
from tests import factories as make
from tests.claims.pages import text_of, url
from tests.factories_rules import PACK_TEXT, make_party_pack

pytestmark = pytest.mark.django_db
TERM = """
[[rule]]
id = "term"
kind = "authority_term"
text = "A hill pass runs for one year."
sources = ["s"]
valid_to = 2032-12-31
effect = { type = "term", paper = "pass", years = [1] }
"""


def test_the_term_of_the_papers_own_rule_shows_while_it_holds(client):
    party = make.make_party()
    make_party_pack(party, PACK_TEXT + TERM)
    paper = make.make_paper(party, name="Pass", rule_code="gravel-hills/pass")
    assert rule_terms(paper, dt.date(2032, 12, 31)) == (
        ("A hill pass runs for one year.", "Hill text"),
    )
    assert rule_terms(paper, dt.date(2033, 1, 1)) == ()
    client = make.signed_in(client, party)
    shown = text_of(client.get(url("paper_detail", paper.pk), {"as_of": "2031-06-01"}))
    assert "A rule says of its term: A hill pass runs for one year. (Hill text)" in shown
    for other in ("", "gravel-hills/other", "gone/pass"):
        paper.rule_code = other
        assert rule_terms(paper, dt.date(2031, 6, 1)) == ()
