"""Files kept from others are the ones listed, unchanged, with nothing beside them unlisted."""

import hashlib
import re
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
VENDOR = ROOT / "tests" / "vendor"
ROW = re.compile(r"^\| (?P<file>[^|]+) \|.*\| (?P<sha>[0-9a-f]{64}) \|$", re.MULTILINE)


def listed():
    text = (VENDOR / "VENDORED.md").read_text(encoding="utf-8")
    return {match["file"].strip(): match["sha"] for match in ROW.finditer(text)}


def test_every_vendored_file_is_listed_with_its_hash():
    kept = {
        path.relative_to(VENDOR).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in VENDOR.rglob("*")
        if path.is_file() and path.name != "VENDORED.md"
    }
    assert kept == listed()


def test_no_vendored_script_points_at_a_source_map():
    scripts = [*VENDOR.rglob("*.js"), *VENDOR.rglob("*.css")]
    assert scripts
    assert [s.name for s in scripts if b"sourceMappingURL=" in s.read_bytes()] == []
