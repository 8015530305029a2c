"""Every test that is checked against something outside, read off the tests' own marks.

The modules are imported and their marks looked at, on tests and on single rows of them, so that
the list can't say anything that no test says. No test is run.
"""

import importlib
import inspect
from pathlib import Path
from types import ModuleType

ROOT = Path(__file__).resolve().parents[1]
MARK = "outside"


def files_of_tests() -> list[Path]:
    """Every file of tests, in the order of its path."""
    return sorted(path for path in (ROOT / "tests").rglob("test_*.py"))


def outside_marks() -> list[dict[str, object]]:
    """Rooms of tests with their sources: {"room", "title", "checks": [{"source", "tests"}]}.

    `tests` are names of tests in words; every list is in a fixed order.
    """
    rooms = []
    for path in files_of_tests():
        text = path.read_text(encoding="utf-8")
        # Rows of figures are made elsewhere; every other mark stands in the file itself.
        if MARK not in text and "figures" not in text:
            continue
        relative = path.relative_to(ROOT)
        module = importlib.import_module(".".join(relative.with_suffix("").parts))
        found: dict[str, list[str]] = {}
        for name, function in functions_of(module):
            for source in sources_of(function):
                words = name.removeprefix("test_").replace("_", " ")
                if words not in found.setdefault(source, []):
                    found[source].append(words)
        if found:
            title = " ".join((module.__doc__ or relative.stem).strip().split("\n\n")[0].split())
            rooms.append(
                {
                    "room": relative.as_posix(),
                    "title": title,
                    "checks": [{"source": s, "tests": found[s]} for s in sorted(found)],
                }
            )
    return rooms


def functions_of(module: ModuleType) -> list[tuple[str, object]]:
    """Tests of a module, those in its classes included."""
    found = []
    for name, thing in vars(module).items():
        if inspect.isfunction(thing) and name.startswith("test_"):
            if thing.__module__ == module.__name__:
                found.append((name, thing))
        elif inspect.isclass(thing) and name.startswith("Test"):
            found += [(n, t) for n, t in vars(thing).items() if n.startswith("test_")]
    return found


def sources_of(function: object) -> list[str]:
    """What the marks of a test, and of the rows it is given, name."""
    sources = []
    for mark in getattr(function, "pytestmark", []):
        if mark.name == MARK:
            sources.append(mark.args[0])
        elif mark.name == "parametrize":
            rows = mark.args[1] if len(mark.args) > 1 else mark.kwargs.get("argvalues", ())
            for row in rows:
                sources += [m.args[0] for m in getattr(row, "marks", ()) if m.name == MARK]
    return sources
