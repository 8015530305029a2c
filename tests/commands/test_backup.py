"""A backup made while the site is running comes back equal, or not at all."""

import hashlib
import json
import os
import shutil
import sqlite3
import subprocess
import sys
import threading
import zipfile
from pathlib import Path

import pytest
from django.db import connection

from trips.backup import archive
from trips.backup.errors import BackupError

ROOT = Path(__file__).resolve().parents[2]


def manage(data_dir, *words, database_url="", check=True, **environ):
    """Run manage.py on a record of its own; returns the finished process."""
    env = {**os.environ, "DATA_DIR": str(data_dir), "LEDGER_NO_BOOTSTRAP": "1", **environ}
    env.pop("DATABASE_URL", None)
    if database_url:
        env["DATABASE_URL"] = database_url
    done = subprocess.run(
        [sys.executable, str(ROOT / "manage.py"), *words],
        env=env,
        capture_output=True,
        text=True,
        check=False,
    )
    if check:
        assert done.returncode == 0, done.stderr
    return done


@pytest.fixture(scope="module")
def record(tmp_path_factory):
    """A folder with the demo's record in it and a backup of that record."""
    folder = tmp_path_factory.mktemp("record")
    url = f"sqlite:///{folder}/ledger.sqlite3"
    manage(folder, "migrate", "-v0", database_url=url)
    manage(folder, "load_demo", database_url=url, DEMO="True")
    manage(folder, "backup", str(folder / "kept.zip"))
    return folder


def a_copy_of(record, folder):
    """The same record in another folder: its database and its files."""
    shutil.copy(record / "ledger.sqlite3", folder)
    if (record / "media").exists():
        shutil.copytree(record / "media", folder / "media")


def contents(path):
    """Every part but the list, which names the moment."""
    with zipfile.ZipFile(path) as inside:
        return {name: inside.read(name) for name in inside.namelist() if name != "manifest.json"}


def rewritten(source, target, change=None, manifest=None):
    """A copy of a backup in which one part or the list is another."""
    with zipfile.ZipFile(source) as old, zipfile.ZipFile(target, "w") as new:
        for name in old.namelist():
            data = old.read(name)
            if name == "manifest.json" and manifest:
                data = json.dumps(manifest(json.loads(data))).encode()
            new.writestr(name, change(name, data) if change else data)
        new.comment = b"0" * archive.SEAL_LENGTH
    archive.seal(target)
    return target


def test_it_comes_back_equal(record, tmp_path):
    said = manage(tmp_path, "restore", str(record / "kept.zip")).stdout
    assert "rows" in said
    manage(tmp_path, "backup", str(tmp_path / "again.zip"))
    assert contents(tmp_path / "again.zip") == contents(record / "kept.zip")
    with sqlite3.connect(tmp_path / "ledger.sqlite3") as database:
        assert database.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        assert database.execute("PRAGMA foreign_key_check").fetchall() == []
        assert database.execute("select count(*) from trips_testpan").fetchone()[0] > 400


def test_a_deleted_rows_number_is_not_given_out_again(record, tmp_path):
    """Else what was deleted couldn't come back, and two rows would share one past."""
    a_copy_of(record, tmp_path)
    delete = (
        "from trips.models import Cost; last = Cost.objects.order_by('-pk').first(); "
        "print(last.pk); last.delete()"
    )
    gone = int(manage(tmp_path, "shell", "-v0", "-c", delete).stdout)
    manage(tmp_path, "backup", str(tmp_path / "kept.zip"))
    new = tmp_path / "new"
    manage(new, "restore", str(tmp_path / "kept.zip"))
    add = (
        "from trips.models import Cost; row = Cost.objects.first(); row.pk = None; "
        "row.uuid = __import__('uuid').uuid4(); row._state.adding = True; row.save(); print(row.pk)"
    )
    assert int(manage(new, "shell", "-v0", "-c", add).stdout) > gone


def test_two_backups_are_compared_to_the_last_row(record, tmp_path):
    first = record / "kept.zip"
    same = manage(tmp_path, "compare_backups", str(first), str(first)).stdout
    assert same.startswith("Equal: ")
    other = tmp_path / "other.zip"

    def change(name, data):
        return data + data.splitlines(True)[-1] if name == "rows/claims.party.jsonl" else data

    def manifest(said):
        for part in said["parts"]:
            if part["name"] == "rows/claims.party.jsonl":
                with zipfile.ZipFile(first) as inside:
                    changed = change(part["name"], inside.read(part["name"]))
                part["bytes"], part["sha256"] = len(changed), hashlib.sha256(changed).hexdigest()
                part["rows"] += 1
        return said

    rewritten(first, other, change=change, manifest=manifest)
    differ = manage(tmp_path, "compare_backups", str(first), str(other), check=False)
    assert differ.returncode == 1
    assert "They differ in rows/claims.party.jsonl." in differ.stderr


def test_it_moves_to_a_shared_storage_and_back(record, tmp_path):
    """Another process finds the same bytes by the same names, and no path of a machine."""
    bucket = tmp_path / "bucket"
    shared = {
        "FILES_STORAGE": "tests.shared_storage.Bucket",
        "FILES_OPTIONS": json.dumps({"root": str(bucket)}),
    }
    manage(tmp_path, "restore", str(record / "kept.zip"), **shared)
    assert not (tmp_path / "media").exists()
    names = [name for name in contents(record / "kept.zip") if name.startswith("files/")]
    assert len(list(bucket.iterdir())) == len(names) > 3
    manage(tmp_path, "backup", str(tmp_path / "again.zip"), **shared)
    assert contents(tmp_path / "again.zip") == contents(record / "kept.zip")


def test_a_record_that_is_here_is_kept_unless_it_is_said(record, tmp_path):
    a_copy_of(record, tmp_path)
    refused = manage(tmp_path, "restore", str(record / "kept.zip"), check=False)
    assert refused.returncode == 1
    assert "There is a record here already" in refused.stderr
    said = manage(tmp_path, "restore", "--replace", str(record / "kept.zip")).stdout
    (kept,) = tmp_path.glob("ledger.before-*.sqlite3")
    assert str(kept) in said


def test_a_running_site_is_not_pulled_away(record, tmp_path):
    a_copy_of(record, tmp_path)
    with sqlite3.connect(tmp_path / "ledger.sqlite3") as database:
        database.execute("PRAGMA journal_mode=WAL")
        database.execute("select count(*) from trips_trip").fetchone()
        refused = manage(tmp_path, "restore", "--replace", str(record / "kept.zip"), check=False)
        assert "Stop the site" in refused.stderr
        assert database.execute("select count(*) from trips_trip").fetchone()[0] > 0


def copy_row(database, table, **other):
    """Copy the first row of a table with some values changed; returns the new row's number."""
    cursor = database.execute(f"select * from {table} order by id limit 1")
    names = [column[0] for column in cursor.description]
    values = {**dict(zip(names, cursor.fetchone(), strict=True)), **other}
    del values["id"]
    marks = ", ".join("?" * len(values))
    into = f"insert into {table} ({', '.join(values)}) values ({marks})"
    return database.execute(into, tuple(values.values())).lastrowid


def test_it_is_one_moment_although_somebody_writes(record, tmp_path):
    """Each write adds a party and a person in it: never one without the other."""
    a_copy_of(record, tmp_path)
    stop, written = threading.Event(), []

    def write():
        database = sqlite3.connect(tmp_path / "ledger.sqlite3", timeout=20)
        database.execute("PRAGMA journal_mode=WAL")
        while not stop.is_set():
            name = f"written {len(written)}"
            with database:
                party = copy_row(database, "claims_party", name=name)
                copy_row(database, "claims_person", party_id=party, name=name, user_id=None)
            written.append(name)
        database.close()

    writer = threading.Thread(target=write)
    writer.start()
    try:
        manage(tmp_path, "backup", str(tmp_path / "busy.zip"))
    finally:
        stop.set()
        writer.join()
    assert len(written) > 10
    inside = contents(tmp_path / "busy.zip")
    parties = inside["rows/claims.party.jsonl"].count(b'"written ')
    assert parties == inside["rows/claims.person.jsonl"].count(b'"written ')


@pytest.mark.parametrize("place", [0, 0.02, 0.3, 0.6, 0.9, 0.96, 0.999])
def test_one_changed_byte_is_found(record, tmp_path, place):
    data = bytearray((record / "kept.zip").read_bytes())
    data[int(len(data) * place)] ^= 0x41
    damaged = tmp_path / "damaged.zip"
    damaged.write_bytes(data)
    with pytest.raises(BackupError, match="is damaged"):
        archive.checked(damaged)


def test_a_backup_that_was_cut_off_is_refused(record, tmp_path):
    data = (record / "kept.zip").read_bytes()
    cut = tmp_path / "cut.zip"
    cut.write_bytes(data[: len(data) // 2])
    with pytest.raises(BackupError, match=r"cut\.zip is damaged"):
        archive.checked(cut)


def test_a_part_that_differs_from_the_list_is_named(record, tmp_path):
    target = rewritten(
        record / "kept.zip",
        tmp_path / "other.zip",
        change=lambda name, data: data.replace(b"Ossaline Creek", b"Ossalime Creek"),
    )
    with pytest.raises(BackupError, match=r"claims\.historicalsite\.jsonl differs"):
        archive.checked(target)


def add_part(name):
    def change(manifest):
        part = {"name": name, "bytes": 0, "sha256": "0" * 64}
        return {**manifest, "parts": [*manifest["parts"], part]}

    return change


@pytest.mark.parametrize(
    "name",
    [
        "files/../../evil",
        "rows/..",
        "/etc/evil",
        "files/a\\..\\b",
        "files/c:evil",
        "x",
        "files//etc/evil",
        "files/./evil",
        "files/evil/",
    ],
)
def test_a_part_that_would_leave_its_folder_is_refused(record, tmp_path, name):
    target = rewritten(record / "kept.zip", tmp_path / "climb.zip", manifest=add_part(name))
    with pytest.raises(BackupError, match=r"leave its folder|can't be read"):
        archive.checked(target)


def test_a_newer_form_is_refused(record, tmp_path):
    target = rewritten(
        record / "kept.zip", tmp_path / "new.zip", manifest=lambda it: {**it, "format": 2}
    )
    with pytest.raises(BackupError, match="made by a newer version"):
        archive.checked(target)


def test_tables_that_this_program_does_not_know_are_refused(record, tmp_path):
    def newer(manifest):
        return {**manifest, "migrations": [*manifest["migrations"], "trips.9999_later"]}

    target = rewritten(record / "kept.zip", tmp_path / "newer.zip", manifest=newer)
    refused = manage(tmp_path, "restore", str(target), check=False)
    assert refused.returncode == 1
    assert "trips.9999_later" in refused.stderr
    assert "Traceback" not in refused.stderr


@pytest.mark.parametrize(
    ("is_sealed", "says"), [(False, "no backup of this program"), (True, "no list of parts")]
)
def test_a_zip_of_something_else_is_refused(tmp_path, is_sealed, says):
    other = tmp_path / "other.zip"
    with zipfile.ZipFile(other, "w") as inside:
        inside.writestr("notes.txt", "gravel")
        inside.comment = b"0" * archive.SEAL_LENGTH
    if is_sealed:
        archive.seal(other)
    with pytest.raises(BackupError, match=says):
        archive.checked(other)


def test_a_row_that_does_not_fit_changes_nothing(record, tmp_path):
    """The list agrees with its parts, but a pan points to a trip that isn't there."""
    a_copy_of(record, tmp_path)
    before = contents(record / "kept.zip")
    with zipfile.ZipFile(record / "kept.zip") as old:
        manifest = json.loads(old.read("manifest.json"))
    target = tmp_path / "orphan.zip"
    writer = archive.start(target)
    for part in manifest["parts"]:
        data = before[part["name"]]
        if part["name"] == "rows/trips.trip.jsonl":
            lines = data.splitlines(keepends=True)
            data, part["rows"] = b"".join(lines[:-1]), part["rows"] - 1
        writer.add(part["name"], [data], packed="rows" in part, rows=part.get("rows"))
    writer.close({key: value for key, value in manifest.items() if key != "parts"})
    refused = manage(tmp_path, "restore", "--replace", str(target), check=False)
    assert refused.returncode == 1
    assert "doesn't fit together" in refused.stderr
    assert not list(tmp_path.glob("*restoring*"))
    manage(tmp_path, "backup", str(tmp_path / "after.zip"))
    assert contents(tmp_path / "after.zip") == before


def test_an_existing_file_is_never_overwritten(record):
    refused = manage(record, "backup", str(record / "kept.zip"), check=False)
    assert "is there already" in refused.stderr


@pytest.fixture
def empty_database():
    """The address of a fresh database on the server that the tests use."""
    if connection.vendor != "postgresql":
        pytest.skip("needs PostgreSQL: runs where DATABASE_URL points to one")
    import psycopg

    its = connection.settings_dict
    where = {
        "host": its["HOST"], "port": its["PORT"], "user": its["USER"],
        "password": its["PASSWORD"],
    }  # fmt: skip
    name = "ledger_restore_drill"
    with psycopg.connect(dbname="postgres", autocommit=True, **where) as server:
        server.execute(f"DROP DATABASE IF EXISTS {name}")
        server.execute(f"CREATE DATABASE {name}")
    yield f"postgres://{its['USER']}:{its['PASSWORD']}@{its['HOST']}:{its['PORT']}/{name}"
    with psycopg.connect(dbname="postgres", autocommit=True, **where) as server:
        server.execute(f"DROP DATABASE {name}")


def test_a_laptops_record_moves_to_postgresql_and_back(record, tmp_path, empty_database):
    manage(tmp_path, "restore", str(record / "kept.zip"), database_url=empty_database)
    there = tmp_path / "there.zip"
    manage(tmp_path, "backup", str(there), database_url=empty_database)
    assert contents(there) == contents(record / "kept.zip")
    # Again on top of itself, and a new row gets a new number.
    manage(tmp_path, "restore", "--replace", str(there), database_url=empty_database)
    made = (
        "from claims.models import Party; "
        "top = Party.objects.order_by('-pk').first().pk; "
        "assert Party.objects.create(name='new').pk > top"
    )
    manage(tmp_path, "shell", "-c", made, database_url=empty_database)
    back = tmp_path / "laptop"
    manage(back, "restore", str(there))
    manage(back, "backup", str(tmp_path / "back.zip"))
    assert contents(tmp_path / "back.zip") == contents(record / "kept.zip")
