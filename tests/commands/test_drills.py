"""The drills run, and they would find what they look for."""

import contextlib
import os
import random
import shutil
import sqlite3
import subprocess
import sys

import pytest

from claims.models import Party, Person
from tests.commands.test_backup import manage
from trips.drills import hostile, hostile_files, kill, power

LOST = "0 lost, 0 half, 0 unsound"


def test_nothing_acknowledged_is_lost_when_the_process_is_killed(tmp_path):
    said = manage(tmp_path, "drill_kill", "--entries", "150").stdout
    assert LOST in said


@pytest.mark.django_db(transaction=True)
def test_the_comparison_finds_what_is_lost_and_what_is_half():
    for number in (0, 1, 3):
        party = Party.objects.create(name=f"m {number}")
        if number != 3:
            Person.objects.create(party=party, name=f"m {number}")
    count = kill.Count()
    kill._compare("m", ["m 0", "m 1", "m 2"], count)
    assert (count.acknowledged, count.lost, count.half, count.unsaid) == (3, 1, 1, 1)
    assert not count.is_good


def test_the_writer_does_not_fill_somebodys_record(tmp_path):
    refused = manage(tmp_path, "drill_writer", "x", check=False)
    assert refused.returncode == 1
    assert "only runs within drill_kill or drill_power" in refused.stderr


def tracing() -> bool:
    """Whether this machine has strace and lets a process be traced."""
    if shutil.which("strace") is None:
        return False
    return subprocess.run(["strace", "-qq", "-o", os.devnull, "true"], check=False).returncode == 0


@pytest.mark.skipif(not tracing(), reason="needs strace, and leave to trace a process")
def test_nothing_acknowledged_is_lost_when_the_power_is_cut(tmp_path):
    said = manage(tmp_path, "drill_power", "--entries", "40", "--cuts", "25", "--seed", "3").stdout
    assert LOST in said
    assert "25 cuts, 40 acknowledged" in said


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="reads a process's peak memory")
def test_hostile_files_are_answered_in_words_and_within_bounds(tmp_path):
    said = manage(tmp_path, "drill_files", "--only", "cut off").stdout
    assert "trips: cut off: " in said
    assert "photo: a PDF cut off: " in said
    assert "BAD" not in said
    assert "3 files, bounds 256 MB and 5 s" in said


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="reads a process's peak memory")
def test_hostile_backups_are_refused_in_words_and_within_bounds(tmp_path):
    said = manage(tmp_path, "drill_files", "--only", "backup a path").stdout
    assert "backup: a path that climbs out: " in said
    assert "BAD" not in said
    assert "2 files, bounds 256 MB and 5 s" in said


@pytest.mark.parametrize(
    ("status", "page", "mb", "seconds", "is_good"),
    [
        (200, "<p>It is cut off.</p>", 256, 5, True),
        (200, "<p>It is kept.</p>", 1, 1, False),
        (500, "<p>It is cut off.</p>", 1, 1, False),
        (200, "<p>It is cut off.</p>", 257, 1, False),
        (200, "<p>It is cut off.</p>", 1, 5.1, False),
    ],
)
def test_the_drill_of_files_sees_what_is_wrong(status, page, mb, seconds, is_good):
    file = hostile_files.Hostile("photo", "cut off", "a.jpg", bytes, "cut off")
    assert hostile.Seen(file, status, page, mb, seconds).is_good is is_good


PAGE = 4096


def one_row_more(tmp_path):
    """A database before and after one entry of two rows, and the writes that lie between."""
    path = tmp_path / "two.sqlite3"
    with contextlib.closing(sqlite3.connect(path, isolation_level=None)) as two:
        for model in (Party, Person):
            two.execute(f"CREATE TABLE {model._meta.db_table} (name TEXT)")
        before = path.read_bytes()
        two.execute("BEGIN")
        for model in (Party, Person):
            two.execute(f"INSERT INTO {model._meta.db_table} VALUES ('m 0')")
        two.execute("COMMIT")
    after = path.read_bytes()
    writes = [
        power.Event("write", str(path), at, after[at : at + PAGE])
        for at in range(0, len(after), PAGE)
        if after[at : at + PAGE] != before[at : at + PAGE]
    ]
    assert len(writes) > 1
    return before, writes


def cuts_of_two_files(tmp_path, events, before, seed, **options):
    folder = tmp_path / f"cuts-{seed}"
    folder.mkdir()
    return power.cut(before, events, cuts=1, seed=seed, mark="m", folder=folder, **options)


def test_a_power_cut_before_the_sync_is_found(tmp_path):
    """Without a sync some of the cuts lose what was said, or tear it; with one none does."""
    before, writes = one_row_more(tmp_path)
    said = power.Event("said", content=b"m 0\n")
    synced = [*writes, power.Event("sync", writes[0].path), said]
    counts = [cuts_of_two_files(tmp_path, synced, before, seed) for seed in range(8)]
    assert all(count.is_good and count.acknowledged == 1 for count in counts)
    late = [*writes, said]
    counts = [cuts_of_two_files(tmp_path, late, before, seed) for seed in range(100, 108)]
    assert sum(count.lost for count in counts) > 0
    assert sum(count.half for count in counts) > 0
    forgetful = [
        cuts_of_two_files(tmp_path, synced, before, seed, syncs_hold=False)
        for seed in range(200, 208)
    ]
    assert sum(count.lost for count in forgetful) > 0


def test_a_new_file_is_there_for_sure_once_its_folder_is_synced():
    log, folder = "/r/a-wal", "/r"
    made = [power.Event("write", log, 0, b"x" * 600), power.Event("sync", log)]
    found = {}
    for synced in (False, True):
        disk = {}
        for event in [*made, power.Event("sync", folder)] if synced else made:
            power._follow(disk, event)
        found[synced] = {disk[log].left_by_a_cut(random.Random(seed)) for seed in range(20)}
    assert found == {False: {None, b"x" * 600}, True: {b"x" * 600}}
