"""Files kept from others are the ones listed, unchanged, with nothing beside them unlisted."""

import hashlib
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
FOLDERS = [ROOT / "tests" / "vendor", ROOT / "trips" / "static" / "trips" / "vendor"]
ROW = re.compile(r"^\| (?P<file>[^|]+) \|.*\| (?P<sha>[0-9a-f]{64}) \|$", re.MULTILINE)


def listed(folder):
    text = (folder / "VENDORED.md").read_text(encoding="utf-8")
    return {match["file"].strip(): match["sha"] for match in ROW.finditer(text)}


@pytest.mark.parametrize("folder", FOLDERS, ids=lambda folder: folder.parent.name)
def test_every_vendored_file_is_listed_with_its_hash(folder):
    kept = {
        path.relative_to(folder).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in folder.rglob("*")
        if path.is_file() and path.name != "VENDORED.md"
    }
    assert kept
    assert kept == listed(folder)


@pytest.mark.parametrize("folder", FOLDERS, ids=lambda folder: folder.parent.name)
def test_no_vendored_script_points_at_a_source_map(folder):
    scripts = [*folder.rglob("*.js"), *folder.rglob("*.css")]
    assert scripts
    assert [s.name for s in scripts if b"sourceMappingURL=" in s.read_bytes()] == []
