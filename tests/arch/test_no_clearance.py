"""Nothing that people read says or implies that a trip is lawful.

Every text shown is walked: templates, string literals of the code, scripts of the pages, texts of
the rule packs. Each place where such a word stands is listed with the reason; a new one fails.
"""

import ast
import re
import tomllib
from collections import Counter
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
WORDS = re.compile(
    r"\b(legal(?:ly|ity)?|illegal|(?:un)?lawful(?:ly)?|allow(?:s|ed)?|permitted|permissible|"
    r"permits? you|authori[sz](?:es?|ed)|licen[sc]ed|ok|okay|you may|"
    r"may (?:dig|work|go|pan|sluice)|"
    r"you can (?:dig|work|go|pan|sluice)|cleared|all clear|good to go|free to|safe to|"
    r"complian(?:t|ce)|compl(?:y|ies)|in order to go|nothing (?:forbids|stops)|"
    r"no (?:rule|permit|licence) (?:forbids|stops|is needed))\b",
    re.IGNORECASE,
)


def template_texts():
    """(file, text) of every template without its tags; what a tag prints in quotes counts."""
    for folder in (ROOT / "templates", *(ROOT / app / "templates" for app in APPS)):
        for path in sorted(folder.rglob("*")) if folder.is_dir() else ():
            if path.suffix in (".html", ".txt", ".webmanifest", ".svg"):
                text = re.sub(r"{%\s*comment.*?endcomment\s*%}", " ", path.read_text(), flags=re.S)
                text = re.sub(
                    r"{[%{#].*?[#%}]}", lambda tag: " ".join(QUOTED.findall(tag[0])), text
                )
                yield path, re.sub(r"<[^>]*>", lambda tag: " ".join(SAID.findall(tag[0])), text)


APPS = ("claims", "trips", "reports")
QUOTED = re.compile(r'"([^"]* [^"]*)"')
# Attributes that are read out or shown.
SAID = re.compile(r'(?:alt|title|aria-label|placeholder|value|content)="([^"]*)"')


def python_texts():
    """(file, text) of every string literal that isn't a docstring."""
    for app in APPS:
        for path in sorted((ROOT / app).rglob("*.py")):
            if "migrations" in path.parts:
                continue
            tree = ast.parse(path.read_text())
            docs = {
                id(node.body[0].value)
                for node in ast.walk(tree)
                if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef)
                and node.body
                and isinstance(node.body[0], ast.Expr)
            }
            for node in ast.walk(tree):
                literal = isinstance(node, ast.Constant) and isinstance(node.value, str)
                if literal and id(node) not in docs:
                    yield path, node.value


def script_texts():
    """(file, text) of the pages' own scripts without their comments."""
    for app in APPS:
        for path in sorted((ROOT / app / "static").rglob("*.js")):
            if "vendor" not in path.parts:
                text = re.sub(r"/\*.*?\*/", " ", path.read_text(), flags=re.S)
                text = re.sub(r"(?m)^\s*//.*$|\s//\s.*$", " ", text)
                yield path, re.sub(r"\.ok\b", " ", text)  # whether an answer arrived: code


def pack_texts():
    """(file, text) of everything in the packs that pages show."""
    folders = (ROOT / "claims/rules/packs", ROOT / "fixtures_demo/packs")
    for path in (each for folder in folders for each in sorted(folder.glob("*.toml"))):
        if path.name.endswith(".situations.toml"):
            continue
        pack = tomllib.loads(path.read_text())
        yield path, pack["pack"].get("notes", "")
        for name, keys in (("rule", ("text", "change")), ("question", ("text",)),
                           ("area", ("title",)), ("paper", ("title",))):  # fmt: skip
            for row in pack.get(name, ()):
                yield path, " ".join(str(row.get(key, "")) for key in keys)


def hits(texts):
    found = Counter()
    for path, text in texts:
        for match in WORDS.finditer(text):
            around = " ".join(text[max(0, match.start() - 40) : match.end() + 40].split())
            found[str(path.relative_to(ROOT)), match[0].lower(), around] += 1
    return found


# (file, part of the text around the word) → why it says nothing of the kind.
DENIES = "says that nothing here tells whether it is lawful"
CODE = "a word of the code or of a machine, not shown"
REASONS = {
    ("templates/base.html", "It never decides what is allowed"): DENIES,
    ("templates/claims/pack_detail.html", "say that anything is lawful"): DENIES,
    ("templates/claims/pack_detail.html", "They aren't legal advice"): DENIES,
    ("templates/claims/rule_list.html", "None of it says that a trip is lawful"): DENIES,
    ("templates/reports/creek_page.html", "Whether you may work there"): DENIES,
    ("templates/reports/help/cautions.html", "licensed practice come first"): "defers to others",
    ("templates/reports/help/rules.html", "no line that says a trip is lawful"): DENIES,
    ("templates/reports/help/stopping.html", "the last pan that time allows"): "about time",
    (
        "templates/reports/purchase.html",
        "Whether you may go or use an engine there is a question",
    ): DENIES,
    ("templates/trips/_trip_checks.html", "No line here says that a trip is lawful"): DENIES,
    ("templates/trips/_trip_checks.html", "nothing about whether the trip is lawful"): DENIES,
    ("templates/trips/signoff_detail.html", "doesn't say that the trip was lawful"): DENIES,
    ("reports/help/ruled.py", "No line ever says that a trip is lawful"): DENIES,
    ("reports/pages/field_card.py", "It doesn't know whether you may work here"): DENIES,
    ("claims/models/ground.py", "permitted"): CODE,
    ("claims/rules/crosscheck.py", "allow"): CODE,
    ("trips/backup/bring_back.py", "ok"): CODE,
    ("trips/drills/kill.py", "ok"): CODE,
    ("trips/drills/power.py", "ok"): CODE,
    ("trips/demo/places.py", "permitted"): CODE,
    ("trips/management/commands/backup.py", "the site may go on running"): "about the computer",
    ("trips/serve.py", "is taken or not allowed. Choose another --port"): "about the computer",
    (
        "trips/static/trips/field/camera.js",
        "wasn't allowed to give its position",
    ): "about the phone",
    ("claims/rules/packs/au-nsw.toml", "nothing is cleared"): "says that native title stays open",
    ("claims/rules/packs/au-nt.toml", "Is authorised work under way"): "asks about others' work",
    ("claims/rules/packs/ca-bc.toml", "authorised to work in Canada"): "about who can hold a paper",
    ("claims/rules/packs/nz.toml", "Legal road is left out"): "a kind of land in New Zealand",
}
WALKS = (template_texts, python_texts, script_texts, pack_texts)


def reason_for(file, around):
    """Why a word stands there; a single word has to be the whole text."""
    found = (
        why
        for (name, part), why in REASONS.items()
        if name == file and (part in around if re.search(r"[ .]", part) else part == around)
    )
    return next(found, "")


@pytest.mark.parametrize("walk", WALKS, ids=lambda walk: walk.__name__)
def test_every_such_word_has_a_reason(walk):
    assert sum(1 for _ in walk()) > 20
    unexplained = [key for key in hits(walk()) if not reason_for(key[0], key[2])]
    assert unexplained == []


def test_every_reason_is_still_needed():
    found = {(file, around) for walk in WALKS for file, _, around in hits(walk())}
    idle = [
        (name, part)
        for name, part in REASONS
        if not any(name == file and part in around for file, around in found)
    ]
    assert idle == []


@pytest.mark.parametrize(
    "text",
    [
        "This trip is legal.",
        "You may dig here.",
        "Allowed on this day",
        "all clear",
        "OK to go",
        "The plan complies with the rules.",
        "Permitted: pan, shovel",
        "No permit is needed here.",
    ],
)
def test_the_words_are_found(text):
    assert WORDS.search(text)
