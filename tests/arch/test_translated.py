"""No text of a template, of pure code, of a PDF or of the field page is left out of translation."""

import ast
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


# Where every sentence is said through `trips.calc.words`, whoever shows it in the end.
ROOMS = (
    "trips/calc",
    "claims/rules",
    "reports/figures",
    "reports/decide",
    "reports/charts",
    "reports/pdf",
)
# What a text may stand in: it is said there, describes the format of packs, or names a type.
SAYS = {
    "TypeVar",
    "say",
    "several",
    "counted",
    "marked",
    "gettext",
    "gettext_lazy",
    "ngettext",
    "doc",
}
SENTENCE = re.compile(r"[A-Za-z]{2,} +[A-Za-z(]|^[A-Z][a-z]+[ a-z]*$")
# Names, drawings, words that are read instead of said, and texts for those who make a pack or data.
NO_SENTENCES = {
    "trips/calc/geo_out.py",
    "trips/calc/pans.py",
    "trips/calc/ratefile.py",
    "trips/calc/units.py",
    "claims/rules/conditions.py",
    "claims/rules/json_schema.py",
    "claims/rules/situations.py",
    "claims/rules/still.py",
    "reports/decide/rehearsal.py",
    "reports/charts/plots.py",
    "reports/charts/svg.py",
    "reports/pdf/faces.py",
    "reports/pdf/styles.py",
}
NO_SENTENCE = {
    '<gpx version="1.1" creator="read"><trk>',
    "last day",
    "on site",
    "(at line ",
    "oz t",
    "one two three four five six seven eight nine ten eleven twelve",
    "Gravel Ledger",
    "<font size=9.5> </font>",
    "Affected",
    "Kit",
    "Words",
}


def parents_of(tree):
    return {child: node for node in ast.walk(tree) for child in ast.iter_child_nodes(node)}


def is_no_text(child, parent):
    """Docstrings, refusals of a programmer's mistake, types, keys and what is only compared."""
    return (
        isinstance(parent, ast.Expr | ast.Raise | ast.arg | ast.Compare)
        or (isinstance(parent, ast.AnnAssign) and child is parent.annotation)
        or (isinstance(parent, ast.Subscript) and child is parent.slice)
        or (isinstance(parent, ast.FunctionDef) and child is parent.returns)
        or (isinstance(parent, ast.Dict) and child in parent.keys)
        or (isinstance(parent, ast.Call) and name_of(parent) in SAYS)
    )


def name_of(call):
    return getattr(call.func, "id", getattr(call.func, "attr", ""))


def unsaid(source):
    """Sentences of a module that nothing looks up in the reader's language."""
    tree = ast.parse(source)
    parents, found = parents_of(tree), []
    for node in ast.walk(tree):
        if isinstance(node, ast.JoinedStr):
            text = " ".join(v.value for v in node.values if isinstance(v, ast.Constant)).strip()
        elif isinstance(node, ast.Constant) and isinstance(node.value, str):
            text = "" if isinstance(parents.get(node), ast.JoinedStr) else node.value
        else:
            continue
        at, quiet = node, False
        while at in parents and not quiet:
            quiet = is_no_text(at, parents[at])
            at = parents[at]
        if SENTENCE.search(text) and not quiet and text not in NO_SENTENCE:
            found.append(text)
    return found


PURE_FILES = [
    path
    for room in ROOMS
    for path in sorted((ROOT / room).rglob("*.py"))
    if path.relative_to(ROOT).as_posix() not in NO_SENTENCES
]


def test_every_sentence_of_pure_code_and_of_pdfs_is_said_in_the_readers_language():
    """Say it: say("… {x} …", x=…), several("{n} pan", "{n} pans", n), marked(…) in a constant."""
    found = {
        path.relative_to(ROOT).as_posix(): texts
        for path in PURE_FILES
        if (texts := unsaid(path.read_text(encoding="utf-8")))
    }
    assert found == {}


@pytest.mark.parametrize(
    ("source", "found"),
    [
        ('x = f"Not known: {y} is missing"', ["Not known:   is missing"]),
        ('x = say("Not known: {y} is missing", y=y)', []),
        ('HEAD = "Gold weighed"', ["Gold weighed"]),
        ('HEAD = marked("Gold weighed")', []),
        ('"""Says it."""\nx: "NDArray[np.float64] | None" = None\nkey = "gold-weighed"', []),
        ('raise OutOfRange(f"A mass of {x} was given.")', []),
    ],
)
def test_the_check_of_sentences_itself(source, found):
    assert unsaid(source) == found


LOOKS_UP = {"say", "several", "counted", "gettext", "ngettext", "pgettext"}
ALL_CODE = [
    path
    for app in ("claims", "trips", "reports")
    for path in sorted((ROOT / app).rglob("*.py"))
    if not {"migrations", "demo", "commands"} & set(path.parts)
]


def looked_up_too_soon(source):
    """Lines that look a text up while the module is loaded: in English for everybody then."""
    found = []

    def walk(node, runs_later):
        for name, value in ast.iter_fields(node):
            for child in value if isinstance(value, list) else [value]:
                if not isinstance(child, ast.AST):
                    continue
                is_body = name == "body" and isinstance(node, ast.FunctionDef | ast.Lambda)
                later = runs_later or is_body
                if isinstance(child, ast.Call) and name_of(child) in LOOKS_UP and not later:
                    found.append(child.lineno)
                walk(child, later)

    walk(ast.parse(source), False)
    return found


def hidden_in_f_strings(source):
    """Lines whose text stands inside an f-string, where it isn't taken out."""
    return [
        call.lineno
        for node in ast.walk(ast.parse(source))
        if isinstance(node, ast.JoinedStr)
        for call in ast.walk(node)
        if isinstance(call, ast.Call)
        and name_of(call) in LOOKS_UP
        and any(isinstance(each, ast.Constant) for each in call.args)
    ]


@pytest.mark.parametrize("check", [looked_up_too_soon, hidden_in_f_strings])
def test_texts_are_looked_up_where_a_reader_is_known_and_can_be_taken_out(check):
    found = {
        path.relative_to(ROOT).as_posix(): lines
        for path in ALL_CODE
        if (lines := check(path.read_text(encoding="utf-8")))
    }
    assert found == {}


def test_the_checks_of_looking_up_themselves():
    assert looked_up_too_soon('A = say("x")\ndef f(a=say("y")):\n    return say("z")') == [1, 2]
    assert hidden_in_f_strings("x = f\"{say('a b')} {say(B)}\"") == [1]


FIELD = sorted((ROOT / "trips" / "static" / "trips" / "field").rglob("*.js"))
SCRIPT_TEXT = re.compile(r"""("(?:[^"\\\n]|\\.)*"|`[^`\n]*`)""")
# Names of the browser, classes of style and what is read instead of shown.
SCRIPT_NAMES = re.compile(
    r"^(\.{1,2}/.*|BroadcastChannel|Content-Type|AbortError|NaN|Point|MultiPolygon|us gal|imp gal"
    r"|button, a, summary|(button|wide|plain|keepbar|step|g-mark|verdict|record|warning|wait|spot"
    r"|hole|M)\b.*)$"
)


def unsaid_in_script(source):
    """Texts of a script that are no argument of `t` or `many`."""
    code = re.sub(r"(^|\s)//.*$", "", source, flags=re.M)
    found = []
    for match in SCRIPT_TEXT.finditer(code):
        text = re.sub(r"\$\{[^}]*\}", " ", match[0][1:-1])
        before = code[: match.start()].rstrip()
        said = before.endswith(("t(", "many(")) or re.search(r'many\("[^"]*",$', before)
        if re.search(r"[A-Za-z]{3,} +[A-Za-z]|^[A-Z][a-z]{2,}", text) and not said:
            found += [] if SCRIPT_NAMES.match(text.strip()) else [text.strip()]
    return found


@pytest.mark.parametrize("path", FIELD, ids=lambda path: path.name)
def test_every_text_of_the_field_page_is_said_in_the_readers_language(path):
    """Say it: t("… {x} …", { x }), many("{n} pan", "{n} pans", n)."""
    assert unsaid_in_script(path.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize(
    ("source", "found"),
    [
        ('h("p", {}, "Nothing is kept yet")', ["Nothing is kept yet"]),
        ('h("p", { class: "plain small" }, t("Nothing is kept yet"))', []),
        ("say(`Kept: ${words}.`) // Comments say what they like", ["Kept:  ."]),
        ('many("{n} pan left", "{n} pans left", n)', []),
    ],
)
def test_the_check_of_scripts_itself(source, found):
    assert unsaid_in_script(source) == found
