"""Backups that nobody made by accident, each given to `manage.py restore` in a process of its own.

Memory and processor time count above those of a restore that finds no file. Linux.
"""

import copy
import dataclasses
import hashlib
import io
import json
import os
import random
import subprocess
import sys
import tempfile
import zipfile
from collections.abc import Callable, Iterator
from pathlib import Path

from django.conf import settings

from trips.backup import archive
from trips.drills.hostile import Seen
from trips.drills.hostile_files import MB, Hostile

# A process of its own: what a large parent held before it started a child counts as the child's.
MEASURE = """
import json, resource, subprocess, sys
done = subprocess.run(sys.argv[1:], capture_output=True, text=True, errors="replace")
used = resource.getrusage(resource.RUSAGE_CHILDREN)
print(json.dumps([done.returncode, done.stdout + done.stderr, used.ru_maxrss / 1024,
                  used.ru_utime + used.ru_stime]))
"""
TABLE = "rows/auth.group.jsonl"
HEADS = b'["id","name"]\n'
DEEP = b"[" * 900_000
Content = bytes | Callable[[], Iterator[bytes]]


def all_backups() -> Iterator[Hostile]:
    """Every backup, with the words of the answer."""
    for what, made, says in (
        ("a bomb of 600 MB", lambda: _backup("files/a", _zeros), "far larger than its place"),
        ("packed by another way", lambda: _otherwise(b"0" * MB), "packed as no backup"),
        ("a list of 45 MB of empty lists",
         lambda: _sealed({archive.MANIFEST: _lists(15 * MB)}), "list of"),
        ("a list nested 900,000 deep", lambda: _sealed({archive.MANIFEST: DEEP}), "list of"),
        ("a list too long", lambda: _sealed({archive.MANIFEST: b" " * 70 * MB}), "too long"),
        ("a million marks of parts", lambda: _seal(b"PK\1\2" * MB), "more than 200,000 parts"),
        ("as many parts as are taken", lambda: _sealed(_names(199_999)),
         "no list of parts"),
        ("a path that climbs out", lambda: _backup("files/../../evil", b"x"), "leave its folder"),
        ("a path with two strokes", lambda: _backup("files//etc/evil", b"x"), "leave its folder"),
        ("a name of 300 letters", lambda: _backup("files/" + "n" * 300, b"x"), "too long"),
        ("a photo that is packed", lambda: _backup("files/a", b"0" * MB), "with its files"),
        ("a hundred parts at one place", lambda: _at_one_place(100), "larger than the whole"),
        ("more than its rows can be", lambda: _backup(TABLE, _letters(), 0), "0 rows can't be"),
        ("a gigabyte of lines, none of them a row", lambda: _backup(TABLE, _sevens), "Line 1 of"),
        ("a line of 40 MB", lambda: _backup(TABLE, _letters()), "longer than 12 MB"),
        ("a line of 3 million lists", lambda: _backup(TABLE, _lists(3 * MB)), "500,000 lists"),
        ("a line of 2.4 million short texts", lambda: _backup(TABLE, _texts()), "the list says"),
        ("a line nested 400,000 deep", lambda: _backup(TABLE, HEADS + DEEP[:400_000]), "recursion"),
        ("a million rows, the last one none", lambda: _backup(TABLE, _rows() + b"7"), "1000002"),
        ("another number of rows", lambda: _backup(TABLE, HEADS, 2), "the list says 2"),
        ("tables of nobody's", lambda: _backup("rows/a.jsonl", b"[]\n", 0), "its own tables"),
    ):  # fmt: skip
        yield Hostile("backup", what, "hostile.zip", made, says)


def drill(backups: list[Hostile]) -> Iterator[Seen]:
    """Give each to a restore of its own."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        nothing = restore(Hostile("backup", "no file", "", bytes), folder, folder / "none.zip")
        for file in backups:
            path = folder / file.name
            path.write_bytes(file.content())
            seen = restore(file, folder, path)
            mb, seconds = seen.mb - nothing.mb, seen.seconds - nothing.seconds
            yield dataclasses.replace(seen, mb=mb, seconds=seconds)


def restore(file: Hostile, folder: Path, path: Path) -> Seen:
    """What a restore of `path` into an empty folder says and costs; 500 where it says no reason."""
    environ = {**os.environ, "DATA_DIR": str(folder / "data"), "LEDGER_NO_BOOTSTRAP": "1"}
    environ["DATABASE_URL"] = f"sqlite:///{folder}/restored.sqlite3"
    manage = str(settings.BASE_DIR / "manage.py")
    command = [sys.executable, "-c", MEASURE, sys.executable, manage, "restore", str(path)]
    told = subprocess.run(command, env=environ, capture_output=True, text=True, check=True).stdout
    code, words, mb, seconds = json.loads(told)
    is_refused = code == 1 and "Traceback" not in words
    left = [each.name for each in folder.iterdir() if "restoring" in each.name]
    if left:
        words += f" It left {left} behind."
    return Seen(file, 400 if is_refused and not left else 500, words, mb, seconds)


def _names(number: int) -> dict[str, bytes]:
    return dict.fromkeys(map(str, range(number)), b"")


def _lists(number: int) -> bytes:
    return b"[%s]" % (b"[]," * number + b"[]")


def _texts() -> bytes:
    return b"[%s]\n" % (b'"ab",' * 2_400_000 + b'"ab"')


def _rows() -> bytes:
    return HEADS + b"".join(b'[%d,"g"]\n' % number for number in range(MB))


def _letters() -> bytes:
    return random.Random(1).randbytes(20 * MB).hex().encode()


def _zeros() -> Iterator[bytes]:
    yield from [b"0" * MB] * 600


def _sevens() -> Iterator[bytes]:
    """Packs to about a hundred and fiftieth, which is no bomb yet."""
    chance = random.Random(2)
    for _ in range(1024):
        yield b"7\n" * (MB // 2 - 6 * 1024) + chance.randbytes(6 * 1024).hex().encode()


def _backup(name: str, content: Content, rows: int = 1_000) -> bytes:
    """A backup with one part, whose list and seal are as they should be."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "made.zip"
        writer = archive.start(path)
        chunks = [content] if isinstance(content, bytes) else content()
        writer.add(name, chunks, packed=True, rows=rows)
        writer.close({"migrations": ["auth.0001_initial"]})
        return path.read_bytes()


def _at_one_place(number: int) -> bytes:
    """Names in the zip's directory that all lead to the same bytes."""
    content, out = random.Random(3).randbytes(MB), io.BytesIO()
    part = {"bytes": len(content), "sha256": hashlib.sha256(content).hexdigest()}
    parts = [{"name": f"files/{each}", **part} for each in range(number)]
    listed = {"kind": archive.KIND, "format": 1, "migrations": ["a.0001"], "parts": parts}
    with zipfile.ZipFile(out, "w") as made:
        made.writestr("files/0", content)
        for each in range(1, number):
            other = copy.copy(made.getinfo("files/0"))
            other.filename = f"files/{each}"
            made.filelist.append(other)
        made.writestr(archive.MANIFEST, json.dumps(listed))
        made.comment = b"0" * archive.SEAL_LENGTH
    return _seal(out.getvalue()[: -archive.SEAL_LENGTH])


def _otherwise(content: bytes) -> bytes:
    return _sealed({"files/a": content}, zipfile.ZIP_LZMA)


def _sealed(parts: dict[str, bytes], how: int = zipfile.ZIP_DEFLATED) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", how) as made:
        for name, content in parts.items():
            made.writestr(name, content)
        made.comment = b"0" * archive.SEAL_LENGTH
    return _seal(out.getvalue()[: -archive.SEAL_LENGTH])


def _seal(content: bytes) -> bytes:
    return content + hashlib.sha256(content).hexdigest().encode("ascii")
