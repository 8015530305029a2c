"""No text of a template is left out of translation."""

import re
from html.parser import HTMLParser
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
TEMPLATES = sorted((ROOT / "templates").rglob("*.html"))
# What Django puts in, and what is translated already.
TAGS = re.compile(
    r"\{%-?\s*comment\b.*?endcomment\s*%\}"
    r"|\{%\s*blocktrans(?:late)?\b.*?endblocktrans(?:late)?\s*%\}"
    r"|\{%.*?%\}|\{\{.*?\}\}|\{#.*?#\}",
    re.S,
)
ATTRIBUTES = {"title", "aria-label", "aria-description", "placeholder", "alt", "data-label"}
# Read by programs, or never text.
SILENT = {"script", "style", "code", "pre"}
WORD = re.compile(r"[^\W\d_]{2,}")
# Names of formats, units and the program are the same in every language.
NAMES = {"Gravel", "Ledger", "CSV", "XLSX", "PDF", "GPX", "GeoJSON", "JSON", "TOML"}
NAMES |= {"mg", "km", "min", "ml"}


class Texts(HTMLParser):
    """Collects what a person reads: text and attributes."""

    def __init__(self):
        super().__init__()
        self.found, self.quiet = [], 0

    def handle_starttag(self, tag, attrs):
        self.quiet += tag in SILENT
        self.found += [value for name, value in attrs if name in ATTRIBUTES and value]

    def handle_endtag(self, tag):
        self.quiet -= tag in SILENT

    def handle_data(self, data):
        if not self.quiet:
            self.found.append(data)


def untranslated(source):
    """The texts of a template that no tag translates."""
    reader = Texts()
    reader.feed(TAGS.sub("\ufffc", source))
    reader.close()
    return [text.strip() for text in reader.found if {*WORD.findall(text)} - NAMES]


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda path: path.relative_to(ROOT).as_posix())
def test_every_text_of_a_template_is_translated(path):
    """Wrap it: {% translate "…" %}, or {% blocktranslate %} with values in it."""
    assert untranslated(path.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize(
    ("source", "found"),
    [
        ("<p>Save</p>", ["Save"]),
        ('<a title="To the list">{{ x }}</a>', ["To the list"]),
        ('<p>{% translate "Save" %}</p>', []),
        ("<p>{% blocktranslate %}Saved by {{ x }}{% endblocktranslate %}</p>", []),
        ("<code>pip</code>{% comment %}Why{% endcomment %}<b>{{ x }} mg</b>", []),
        ("<b>{% if a %}not{% endif %}</b>", ["not"]),
    ],
)
def test_the_check_itself(source, found):
    assert [text.strip("\ufffc ") for text in untranslated(source)] == found
