"""What can be set from outside is written down in README.md."""

import ast
import re
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
READERS = {"boolean", "words", "choice", "whole_number", "get", "pop", "setdefault"}


def names_read(source):
    """Names of environment variables a source reads, by the ways this project reads them."""
    found = set()
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
            owner, reader = ast.unparse(node.func.value), node.func.attr
            if owner == "dj_database_url" and reader == "config":
                found.add("DATABASE_URL")
            elif owner in {"env", "environ", "os.environ"} and reader in READERS and node.args:
                found |= constant(node.args[0])
        elif isinstance(node, ast.Subscript) and ast.unparse(node.value) == "os.environ":
            found |= constant(node.slice)
    return found


def constant(node):
    return {node.value} if isinstance(node, ast.Constant) and isinstance(node.value, str) else set()


def settings_read():
    files = [
        ROOT / "manage.py",
        *(ROOT / "trips" / "project").rglob("*.py"),
        ROOT / "trips" / "management" / "commands" / "test.py",
    ]
    names = set().union(*(names_read(path.read_text(encoding="utf-8")) for path in files))
    return names - {"DJANGO_SETTINGS_MODULE"}


def test_every_setting_from_the_environment_is_in_the_readme():
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    assert {name for name in settings_read() if not re.search(rf"`{name}`", readme)} == set()


def test_the_settings_are_found():
    assert settings_read() >= {
        "CHROME",
        "DATABASE_URL",
        "DATA_DIR",
        "DEBUG",
        "LEDGER_NO_BOOTSTRAP",
        "SECRET_KEY",
    }


def test_the_check_itself_knows_every_way_of_reading():
    source = (
        "a = env.boolean('A', False); b = os.environ['B']; c = os.environ.get('C')\n"
        "d = dj_database_url.config(default='x'); e = environ.get('E'); f = names.get('F')\n"
    )
    assert names_read(source) == {"A", "B", "C", "DATABASE_URL", "E"}
