"""Backups that were made to hurt: each is refused in words before it costs much."""

import hashlib
import io
import json
import os
import zipfile

import pytest
from django.contrib.auth.models import Group
from django.db import transaction

from claims.models import Site
from tests import factories as make
from trips.backup import archive, rows
from trips.backup import make as backup
from trips.backup.errors import BackupError
from trips.calc.zip_look import MARK, PartCount
from trips.drills import hostile_backups


def made(path, parts, how=zipfile.ZIP_DEFLATED):
    """A backup whose seal is right, whatever it holds."""
    with zipfile.ZipFile(path, "w", how) as inside:
        for name, content in parts.items():
            inside.writestr(name, content)
        inside.comment = b"0" * archive.SEAL_LENGTH
    archive.seal(path)
    return path


LIST = {"kind": archive.KIND, "format": 1, "migrations": []}


TABLE = "rows/a.b.jsonl"


def listed(content, size=None, name="files/a", rows=None):
    part = {"name": name, "bytes": len(content) if size is None else size}
    part |= {"sha256": hashlib.sha256(content).hexdigest(), "rows": rows}
    return {name: content, archive.MANIFEST: json.dumps({**LIST, "parts": [part]})}


@pytest.mark.parametrize(
    ("parts", "how", "says"),
    [
        (listed(b"x" * 99), zipfile.ZIP_LZMA, "packed as no backup"),
        (listed(b"x" * 99), zipfile.ZIP_BZIP2, "packed as no backup"),
        (listed(b"0" * 17 * 1024 * 1024), zipfile.ZIP_DEFLATED, "far larger than its place"),
        (listed(b"x" * 99, 98), zipfile.ZIP_DEFLATED, "isn't as large as it says"),
        (listed(b"x" * 99), zipfile.ZIP_DEFLATED, "no backup does with its files"),
        (listed(b"[]\n" * 7, name=TABLE, rows=7), zipfile.ZIP_STORED, "7 rows can't be the 21 by"),
        (listed(b"[" * 13_000_000, name=TABLE, rows=0), zipfile.ZIP_STORED, "0 rows can't be the"),
        (listed(b"[]\n", name=TABLE), zipfile.ZIP_STORED, "None rows can't be the 3 bytes"),
        (listed(b"[]\n", name=TABLE, rows=-1), zipfile.ZIP_STORED, "-1 rows can't be the 3 bytes"),
        (listed(b"[]\n77\n", name=TABLE, rows=1), zipfile.ZIP_STORED, "Line 2 of a.b can't be"),
        (listed(b"[]\n[]\n", name=TABLE, rows=0), zipfile.ZIP_STORED, "1 rows, the list says 0"),
        ({archive.MANIFEST: "[" * 100_000}, zipfile.ZIP_DEFLATED, "list of parts can't be read"),
        ({archive.MANIFEST: f"[{'[],' * 999_999}[]]"}, zipfile.ZIP_DEFLATED, "can't be read"),
        ({archive.MANIFEST: json.dumps({**LIST, "parts": [7]})}, zipfile.ZIP_DEFLATED, "be read"),
    ],
)
def test_a_backup_that_was_made_to_hurt_is_refused(tmp_path, parts, how, says):
    with pytest.raises(BackupError, match=says):
        archive.checked(made(tmp_path / "hostile.zip", parts, how))


def test_what_only_just_passes_is_taken(tmp_path):
    for content in (b"x" * 99, b"", os.urandom(3_000_000)):
        archive.checked(made(tmp_path / "fair.zip", listed(content), zipfile.ZIP_STORED))
    line = b'["' + b"x" * 11 * 1024 * 1024 + b'"]\n'
    archive.checked(made(tmp_path / "fair.zip", listed(line, name=TABLE, rows=0)))


def test_parts_that_lie_over_each_other_are_refused_before_one_is_read(tmp_path, monkeypatch):
    path = tmp_path / "over.zip"
    path.write_bytes(hostile_backups._at_one_place(3))
    monkeypatch.setattr(archive, "read_through", None)
    with pytest.raises(BackupError, match="larger than the whole file"):
        archive.opened(path)


def test_reading_stops_at_the_first_line_that_is_no_row(tmp_path, monkeypatch):
    """What comes behind it would be unpacked for nothing."""
    lines = b'["id"]\n7\n' + b"[1]\n" * 1_000_000
    path = made(tmp_path / "long.zip", listed(lines, name=TABLE, rows=1_000_001))
    taken = []
    real = archive._Hashed.readline
    monkeypatch.setattr(
        archive._Hashed, "readline", lambda self, most: taken.append(1) or real(self, most)
    )
    with pytest.raises(BackupError, match=r"Line 2 of a\.b can't be read"):
        archive.checked(path)
    assert len(taken) == 2


@pytest.mark.django_db
def test_a_table_that_packs_as_hard_as_a_bomb_is_kept_all_the_same(tmp_path):
    """Nobody may find out on the day of need that a backup of theirs is refused."""
    site = make.make_site(make.make_party(), notes="gravel " * 500_000)
    for number in range(5):
        site.name = f"Bend {number}"
        site.save()
    target = tmp_path / "dense.zip"
    writer = archive.start(target)
    for model in (Site.history.model, Site, Group):
        backup._add_table(writer, model, "default")
    writer.close({"migrations": ["claims.0001_initial"]})
    with zipfile.ZipFile(target) as inside:
        past, now, _, _ = inside.infolist()
        assert past.file_size > archive.RATIO_FROM_BYTES
        assert [past.compress_type, now.compress_type] == [zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED]
        assert inside.testzip() is None
    found = {part.label: part.rows for part in archive.checked(target).parts}
    assert found == {"claims.historicalsite": 6, "claims.site": 1, "auth.group": 0}


def test_more_parts_than_are_read_are_refused_before_they_are(tmp_path, monkeypatch):
    monkeypatch.setattr(archive, "MOST_PARTS", 50)
    path = made(tmp_path / "many.zip", {str(number): b"" for number in range(52)})
    with pytest.raises(BackupError, match="more than 50 parts"):
        archive.checked(path)


@pytest.mark.parametrize(
    ("lines", "says"),
    [
        (b'["id"]\n[' + b"1" * 13 * 1024 * 1024, "Line 2 of t is longer than 12 MB"),
        (b"[" + b"[]," * 600_000 + b"[]]", "Line 1 of t holds more than 500,000 lists"),
        (b'["id"]\n' + b"[" * 100_000, "Line 2 of t can't be read"),
        (b'["id"]\n[1]\n[1,2]\n', "Line 3 of t can't be read: it isn't one of its rows"),
        (b'["id"]\n{"id":1}\n', "Line 2 of t can't be read: it isn't one of its rows"),
    ],
)
def test_lines_that_are_no_rows_are_named(lines, says):
    with pytest.raises(BackupError, match=says):
        rows.look_through(io.BytesIO(lines), "t")


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("row", "says"),
    [
        ('["x","EUR"]', "Line 2 of auth.Group can't be read"),  # no whole number
        ("[7,null]", "auth.Group, up to line 2: "),
        (f'[{10**30},"a"]', "auth.Group, up to line 2: "),
    ],
)
def test_a_row_that_a_table_does_not_take_is_named(row, says):
    lines = io.BytesIO(f'["id","name"]\n{row}\n'.encode())
    with pytest.raises(BackupError, match=says), transaction.atomic():
        rows.load(Group, lines, "default")


def test_marks_are_counted_across_pieces_and_none_twice():
    whole = b"x" + MARK * 3 + b"yz" + MARK
    for size in range(1, len(whole) + 1):
        count = PartCount()
        for start in range(0, len(whole), size):
            count.add(whole[start : start + size])
        assert count.most == 4, size
