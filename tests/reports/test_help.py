"""Help: every page there without a log-in, its examples as the sums have them, links that lead."""

import json
import re
from pathlib import Path

import pytest
from django.conf import settings
from django.urls import reverse

from claims.web.topics import TOPICS
from reports.help.checked import FILE, checked_groups, how_known
from reports.help.examples import EXAMPLES, examples
from reports.help.glossary import TERMS, by_letter
from tests.outside_marks import functions_of, outside_marks, sources_of

TEMPLATES = Path(settings.BASE_DIR, "templates")
LINK = re.compile(r"""\{% how ["'](\w+)["'](?: ["']([\w-]+)["'])? %\}""")


def numbers(key, place=0):
    """Cells of an example by the first cell of their row."""
    return {row[0]: row[1:] for row in examples(key)[place].rows}


@pytest.mark.django_db
@pytest.mark.parametrize("key", list(TOPICS))
def test_every_page_opens_without_a_log_in(client, key):
    answer = client.get(reverse("reports:help_page", args=[key]))
    assert answer.status_code == 200
    text = answer.content.decode()
    assert text.count("<h1>") == 1
    assert "Sign out" not in text
    for example in examples(key):
        assert example.rows
        assert example.result


@pytest.mark.django_db
def test_the_index_names_every_page_and_every_page_leads_to_it(client):
    text = client.get(reverse("reports:help_index")).content.decode()
    for key in TOPICS:
        assert reverse("reports:help_page", args=[key]) in text
    assert reverse("reports:checked") in text
    for address in (reverse("login"), "/nothing-here/"):
        page = client.get(address).content.decode()
        assert f'href="{reverse("reports:help_index")}"' in page


@pytest.mark.django_db
def test_a_page_that_is_not_there_is_said_so(client):
    assert client.get("/help/perhaps/").status_code == 404


def test_pages_link_to_anchors_that_exist():
    found = set()
    for file in TEMPLATES.rglob("*.html"):
        found |= {match.groups() for match in LINK.finditer(file.read_text(encoding="utf-8"))}
    keys = {key for key, _ in found}
    # The cautions hang below a checklist; words of the trade stand in the foot of every page.
    assert keys >= set(TOPICS) - {"interval", "glossary", "cautions"}
    for key, place in found:
        text = (TEMPLATES / "reports" / "help" / f"{key}.html").read_text(encoding="utf-8")
        assert place is None or f'id="{place}"' in text, (key, place)


def test_only_ideas_that_are_told_without_figures_have_no_example():
    assert set(TOPICS) - set(EXAMPLES) == {"cautions", "record", "glossary"}


def test_examples_of_money_agree_with_sums_by_hand():
    """Own sums: 0.64 g × 885 ‰ × 95 × 95 %; 12.75 L and 1.2 L at 1.75; 360 over 300 hours."""
    assert numbers("value")["value at the price, times what is paid"] == ("51.12\u202fEUR",)
    lines = {row[0]: row[2] for row in examples("cost")[0].rows}
    assert lines["Fuel for the drive"] == "22.31\u202fEUR"
    assert lines["Wear of pump"] == "3.00\u202fEUR"
    reached = {row[0]: row[3] for row in examples("ladder")[0].rows}
    assert list(reached.values()) == ["yes", "yes", "no", "no"]
    assert "0.28 EUR" in examples("mean")[0].result[0]
    assert "−0.70 EUR" in examples("mean")[0].result[1]


def test_examples_show_what_their_pages_say():
    """Own recomputed values of the methods behind the pages; a change of a sum shows here."""
    order = [row[0].split(",")[0] for row in examples("ranking")[0].rows]
    assert order == ["Mill Bend", "High Fork", "Otter Bar"]
    assert numbers("stopping")["3"] == ("24 L", "1 or fewer", "3 or more")
    assert "highest after clean-up 3" in examples("leaving")[0].result[0]
    shares = [int(row[3].split()[0]) for row in examples("split")[0].rows]
    assert sum(shares) == 150
    said = numbers("rules")
    assert said["pan, 14 May"][0].startswith("stop")
    assert said["pan, 9 August"] == ("neither rule speaks",)
    assert said["gear not noted, 9 August"][0].startswith("ask")
    ground = numbers("ground")
    assert ground["Filled in June"] == ("2", "1.50 m²", "0.70 m³", "0")
    assert ground["Still open on 30 June"][1:3] == ("unknown", "unknown")


def test_no_help_says_that_something_is_lawful():
    for file in (TEMPLATES / "reports" / "help").glob("*.html"):
        text = file.read_text(encoding="utf-8")
        bare = re.sub(r"[Nn]o (line|rule)[^.]*lawful|There is no line that says[^.]*", "", text)
        assert not re.search(r"\b(is|are) (legal|allowed|lawful|permitted)\b", bare), file.name


def test_words_of_the_trade_stand_once_in_order_with_a_source():
    words = [term.word.casefold() for term in TERMS]
    assert len(set(words)) == len(words)
    assert all(term.source.endswith(".") and term.meaning for term in TERMS)
    shown = [term.word for _, terms in by_letter() for term in terms]
    assert shown == sorted(shown, key=str.casefold)


class TestChecked:
    def test_the_list_is_what_the_marks_of_the_tests_say(self):
        assert json.loads(FILE.read_text(encoding="utf-8")) == outside_marks(), (
            "Run: manage.py outside_sources"
        )

    def test_every_mark_of_this_run_is_in_the_list(self, request):
        """The tests that run, as pytest itself found them."""
        listed = {each.source for room in checked_groups() for each in room.checks}
        run = {
            mark.args[0] for item in request.session.items for mark in item.iter_markers("outside")
        }
        assert run <= listed

    def test_marks_on_tests_and_on_single_rows_are_found(self):
        @pytest.mark.outside("A (seen)")
        @pytest.mark.parametrize("x", [1, pytest.param(2, marks=pytest.mark.outside("B (memory)"))])
        def both(x):
            pass

        assert sorted(sources_of(both)) == ["A (seen)", "B (memory)"]

    def test_tests_in_classes_are_found(self):
        import sys

        assert "test_tests_in_classes_are_found" in dict(functions_of(sys.modules[__name__]))

    @pytest.mark.parametrize(
        ("source", "how"),
        [
            ("Text (seen)", "seen"),
            ("Text (seen 2nd)", "seen second-hand"),
            ("Text (memory)", "from memory"),
            ("Call seen, values from memory", "from memory, in part"),
        ],
    )
    def test_the_weaker_way_of_knowing_is_told(self, source, how):
        assert how_known(source) == how

    @pytest.mark.django_db
    def test_the_page_shows_every_source(self, client):
        text = client.get(reverse("reports:checked")).content.decode()
        assert "Placer Examination" in text
        assert text.count("<details") == len(checked_groups())

    def test_the_readme_links_to_the_list(self):
        readme = Path(settings.BASE_DIR, "README.md").read_text(encoding="utf-8")
        assert "manage.py outside_sources" in readme
        assert reverse("reports:checked") in readme
