"""The layers hold: claims ← trips ← reports, and the sums know neither Django nor the clock."""

import ast
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
LAYERS = ["claims", "trips", "reports"]
PURE = ["trips.calc", "claims.rules", "reports.figures", "reports.decide", "reports.charts"]
HEAVY = ["pandas", "scipy", "numpy", "reportlab", "openpyxl"]
MAX_LINES = 400
CLOCK = {
    "date.today",
    "datetime.now",
    "datetime.today",
    "datetime.utcnow",
    "timezone.now",
    "timezone.localdate",
    "timezone.localtime",
    "time.time",
}


def python_files(*folders):
    return [
        path
        for folder in folders
        for path in sorted((ROOT / folder).rglob("*.py"))
        if "migrations" not in path.parts
    ]


def module_name(path):
    parts = path.relative_to(ROOT).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def pure_files(package):
    base = ROOT.joinpath(*package.split("."))
    single = base.with_suffix(".py")
    return [single] if single.is_file() else sorted(base.rglob("*.py"))


def is_pure(module):
    return any(module == pure or module.startswith(f"{pure}.") for pure in PURE)


def imported_modules(source, module, is_package=False):
    """Absolute names of what a source imports, also inside functions."""
    package = module.split(".") if is_package else module.split(".")[:-1]
    names = set()
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Import):
            names.update(alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            base = package[: len(package) - node.level + 1] if node.level else []
            stem = ".".join([*base, *([node.module] if node.module else [])])
            names.update(f"{stem}.{alias.name}" for alias in node.names)
    return names


def imports_of(path):
    source = path.read_text(encoding="utf-8")
    return imported_modules(source, module_name(path), path.name == "__init__.py")


def upward(module, imported):
    """True if an import points up the layers. Sums without Django may be used by anyone."""
    home, target = module.partition(".")[0], imported.partition(".")[0]
    if home not in LAYERS or target not in LAYERS or is_pure(imported):
        return False
    return LAYERS.index(target) > LAYERS.index(home)


def clock_reads(source):
    """Names in a source that stand for reading the clock, called or handed on.

    A field's `default=timezone.now` is left out: it stamps when a row was written, which no
    figure rests on, and a test can give another value.
    """
    found = []
    tree = ast.parse(source)
    stamps = {
        id(node.value)
        for node in ast.walk(tree)
        if isinstance(node, ast.keyword)
        and node.arg == "default"
        and ast.unparse(node.value) == "timezone.now"
    }
    for node in ast.walk(tree):
        if isinstance(node, ast.Attribute) and id(node) not in stamps:
            dotted = ast.unparse(node)
            if ".".join(dotted.split(".")[-2:]) in CLOCK:
                found.append(dotted)
    return found


def inline_parts(template):
    """What a strict content policy would block in a template."""
    text = re.sub(r"\{#.*?#\}|\{%\s*comment.*?endcomment\s*%\}", "", template, flags=re.DOTALL)
    text = re.sub(r"\{%.*?%\}|\{\{.*?\}\}", "", text, flags=re.DOTALL)
    found = [tag for tag in re.findall(r"<script\b[^>]*>", text) if "src=" not in tag]
    found += re.findall(r"<style\b[^>]*>", text)
    for tag in re.findall(r"<[a-zA-Z][^<>]*>", text):
        bare = re.sub(r"=\s*(\"[^\"]*\"|'[^']*')", "=", tag)
        found += re.findall(r"\s(?:on[a-z]+|style)\s*=", bare)
    return found


def run_fresh(code, **environ):
    return subprocess.run(
        [sys.executable, "-c", code],
        cwd=ROOT,
        env={**os.environ, **environ},
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
    )


@pytest.mark.parametrize("package", PURE)
def test_pure_code_loads_without_django_and_without_heavy_libraries(package):
    files = pure_files(package)
    assert files, f"{package} is not there"
    names = [module_name(path) for path in files]
    done = run_fresh(
        f"import importlib, sys\n"
        f"for name in {names!r}: importlib.import_module(name)\n"
        f"print(sorted({{name.partition('.')[0] for name in sys.modules}} & "
        f"{{'django', *{HEAVY!r}}}))"
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout.strip() == "[]"


@pytest.mark.parametrize("package", PURE)
def test_pure_code_imports_only_pure_code_of_ours(package):
    wrong = [
        f"{module_name(path)} imports {name}"
        for path in pure_files(package)
        for name in imports_of(path)
        if name.partition(".")[0] in {*LAYERS, "django"} and not is_pure(name)
    ]
    assert wrong == []


def test_nothing_imports_upwards():
    wrong = [
        f"{module_name(path)} imports {name}"
        for path in python_files(*LAYERS)
        if not module_name(path).startswith("trips.project")  # joins all three by its nature
        for name in imports_of(path)
        if upward(module_name(path), name)
    ]
    assert wrong == []


def test_the_site_starts_without_loading_heavy_libraries(tmp_path):
    done = run_fresh(
        "import os, sys, django\n"
        "os.environ['DJANGO_SETTINGS_MODULE'] = 'trips.project.settings'\n"
        "django.setup()\n"
        "import trips.project.urls\n"
        f"print(sorted(set({HEAVY!r}) & set(sys.modules)))",
        DATA_DIR=str(tmp_path),
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout.strip() == "[]"


@pytest.mark.parametrize("folder", LAYERS)
def test_the_package_above_pure_code_is_empty(folder):
    assert (ROOT / folder / "__init__.py").read_text(encoding="utf-8").strip() == ""


def test_no_file_is_too_long():
    files = [ROOT / "manage.py", *python_files(*LAYERS, "tests")]
    lengths = {
        str(path.relative_to(ROOT)): len(path.read_text(encoding="utf-8").splitlines())
        for path in files
    }
    assert {name: lines for name, lines in lengths.items() if lines > MAX_LINES} == {}


def may_read_clock(path):
    parts = path.relative_to(ROOT).parts
    return (
        "commands" in parts
        or "views" in parts[:-1]
        or path.name == "views.py"
        or parts == ("claims", "web", "asof.py")
    )


def test_only_views_and_commands_read_the_clock():
    found = {
        str(path.relative_to(ROOT)): reads
        for path in python_files(*LAYERS)
        if not may_read_clock(path)
        if (reads := clock_reads(path.read_text(encoding="utf-8")))
    }
    assert found == {}


def test_templates_hold_nothing_inline():
    templates = sorted((ROOT / "templates").rglob("*.html"))
    assert templates, "no templates found"
    found = {
        str(path.relative_to(ROOT)): parts
        for path in templates
        if (parts := inline_parts(path.read_text(encoding="utf-8")))
    }
    assert found == {}


@pytest.mark.parametrize(
    ("module", "imported", "expected"),
    [
        ("claims.models", "trips.models.Trip", True),
        ("trips.services", "reports.views", True),
        ("reports.views", "trips.models", False),
        ("trips.models", "claims.models", False),
        ("claims.views", "trips.calc.units", False),
        ("claims.views", "trips.calculator", True),
        ("claims.views", "django.db", False),
    ],
)
def test_the_check_itself_knows_up_from_down(module, imported, expected):
    assert upward(module, imported) is expected


def test_the_check_itself_finds_imports_in_functions_and_relative_ones():
    source = (
        "def f():\n    from trips import models\n\nfrom . import rules\nfrom ..web import asof\n"
    )
    assert imported_modules(source, "claims.views.site") == {
        "trips.models",
        "claims.views.rules",
        "claims.web.asof",
    }


@pytest.mark.parametrize(
    ("source", "count"),
    [
        ("date.today()", 1),
        ("datetime.datetime.now(tz)", 1),
        ("field(default=timezone.now)", 0),
        ("field(default=timezone.now())", 1),
        ("field(clock=timezone.now)", 1),
        ("day.today_view()", 0),
        ("as_of(request)", 0),
    ],
)
def test_the_check_itself_sees_the_clock(source, count):
    assert len(clock_reads(source)) == count


@pytest.mark.parametrize(
    ("template", "count"),
    [
        ("<script>go()</script>", 1),
        ('<script src="{% static "a.js" %}" defer></script>', 0),
        ("<style>p{}</style>", 1),
        ('<p class="a" style="color:red">', 1),
        ('<button onclick="go()">', 1),
        ('<button\n  onclick="go()">', 1),
        ('<p title="write style=x or onclick=y">', 0),
        ('<p class="{% if a > b %}on{% endif %}">', 0),
        ("{# <style> #}<p>", 0),
    ],
)
def test_the_check_itself_sees_inline_parts(template, count):
    assert len(inline_parts(template)) == count


# Writing many rows at once passes by the version and the past of a fact.
MAY_WRITE_MANY = {
    "claims/services/changes.py": "the one place that keeps both",
    "claims/services/parties.py": "an invitation is used once; it is no fact",
    "claims/services/files.py": "takes away where photos were taken, for good, on purpose",
    "claims/services/jobs.py": "the state of work in the background, no fact",
    "claims/models/fact.py": "is the rule itself",
    "trips/services/derive.py": "derived rows",
    "trips/backup/rows.py": "brings rows and their past back as they were",
    "reports/selectors/belief.py": "a counter of changes, no fact",
    "reports/benchmark/ground.py": "an invented record; `record.py` adds the past of every row",
    "reports/benchmark/imports.py": "the floor of imports, undone at once",
}


def writes_of_many(source):
    """Lines that call `bulk_create`, `bulk_update` or `update` with columns by name."""
    return [
        node.lineno
        for node in ast.walk(ast.parse(source))
        if isinstance(node, ast.Call)
        and isinstance(node.func, ast.Attribute)
        and (
            node.func.attr in {"bulk_create", "bulk_update"}
            or (node.func.attr == "update" and node.keywords and not node.args)
        )
        # Attributes of a box on a page.
        and "attrs.update" not in ast.unparse(node.func)
    ]


def test_many_facts_are_only_written_where_their_past_is_kept():
    found = {
        path.relative_to(ROOT).as_posix(): lines
        for path in python_files(*LAYERS)
        if (lines := writes_of_many(path.read_text(encoding="utf-8")))
    }
    assert {name: lines for name, lines in found.items() if name not in MAY_WRITE_MANY} == {}


def test_the_check_sees_a_write_of_many():
    assert writes_of_many("rows.filter(a=1).update(b=2)\nT.objects.bulk_create(x)") == [1, 2]
    assert writes_of_many("d.update({}); h.update(b'x'); w.attrs.update(a=1)") == []


def test_the_bound_of_a_cell_is_set_at_one_place():
    """It holds for the whole process: two readers would change it for one another."""
    setting = [
        module_name(path)
        for path in python_files(*LAYERS)
        if "field_size_limit(" in path.read_text(encoding="utf-8")
    ]
    assert setting == ["trips.calc.csv_cells"]
