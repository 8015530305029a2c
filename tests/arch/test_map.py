"""The map in DEVELOPERS.md names what is there, and every package is on it."""

import re
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
APPS = ("claims", "trips", "reports")
TOP = (*APPS, "templates", "tests", "fixtures_demo", ".ci")


def spelled_out(path):
    """Every path that one with {a,b} or <app> stands for."""
    if braces := re.search(r"\{([^}]*)\}", path):
        parts = braces[1].split(",")
        return [one for each in parts for one in spelled_out(path.replace(braces[0], each, 1))]
    apps = [path.replace("<app>", app) for app in APPS] if "<app>" in path else []
    return [each for each in apps if (ROOT / each).exists()] or [path]


def named_paths(text):
    """(path, name looked for in it or "") of every path of this tree in backquotes."""
    found = []
    for words in re.findall(r"`([^`\n]+)`", text):
        path, _, inside = words.partition(": ")
        first = path.split("/")[0]
        if "/" in path and " " not in path and first in {*TOP, "<app>"}:
            names = [name.strip() for name in inside.split(",")] if inside else [""]
            found += [(each, name) for each in spelled_out(path) for name in names]
    return found


def is_there(path, name):
    place = ROOT / path
    if "<" in path:  # a file of any name
        return bool(list(ROOT.glob(re.sub(r"<[^>]*>", "*", path))))
    return place.exists() and (not name or name in place.read_text(encoding="utf-8"))


def packages():
    """Folders of each app with code in them, without the migrations that Django asks for."""
    for app in APPS:
        for start in sorted((ROOT / app).rglob("__init__.py")):
            folder = start.parent
            if "migrations" not in folder.parts and len(list(folder.glob("*.py"))) > 1:
                yield folder.relative_to(ROOT).as_posix()


def guide():
    return (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


def test_every_path_in_the_guide_exists():
    named = named_paths(guide())
    assert len(named) > 50
    assert [(path, name) for path, name in named if not is_there(path, name)] == []


def test_every_package_is_on_the_map():
    text = guide()
    drawn = text[text.index("## Map of the code") : text.index("## Recipes")]
    named = {path.rstrip("/") for path, _ in named_paths(drawn)}
    assert [each for each in packages() if each not in (*APPS, *named)] == []


def test_the_check_itself_tells_what_is_missing():
    said = named_paths("`claims/{views,nowhere}/` and `trips/units.py: gram` but not `a / b`")
    assert [path for path, _ in said] == ["claims/views/", "claims/nowhere/", "trips/units.py"]
    assert [is_there(*each) for each in said] == [True, False, False]
