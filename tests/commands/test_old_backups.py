"""A backup from an earlier state of the tables comes back and is brought up to date.

No version has been released yet, so the earliest state there is stands for one: the first
migration of every app, filled through the models of that time.
"""

import os
import re
import sqlite3
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
FIRST = [("claims", "0001_initial"), ("trips", "0001_initial")]
# Writes an archive as that time's program would have: its tables, its columns, its migrations.
MAKE = """
import datetime as dt, sys
from pathlib import Path
import django
django.setup()
from django.db import connection
from django.db.migrations.executor import MigrationExecutor
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.recorder import MigrationRecorder
from trips.backup import archive, rows
executor = MigrationExecutor(connection)
executor.loader = MigrationLoader(connection, replace_migrations=False)
state = executor.migrate(FIRST)
state.clear_delayed_apps_cache()
model = state.apps.get_model
day = dt.date(2026, 5, 3)
user = model("claims", "User").objects.create(username="ann", password="!")
party = model("claims", "Party").objects.create(name="Old record", currency="EUR")
model("claims", "Membership").objects.create(party=party, user=user, role="keeper")
site = model("claims", "Site").objects.create(party=party, name="Old bend")
trip = model("trips", "Trip").objects.create(
    party=party, state="wrapped_up", starts_on=day, ends_on=day)
model("trips", "TripSite").objects.create(trip=trip, site=site, rank=0, was_visited=True)
model("trips", "Cost").objects.create(
    party=party, trip=trip, kind="food", amount_minor=1234, currency="EUR")
model("trips", "HoursBlock").objects.create(
    party=party, trip=trip, day=day, activity="dig", minutes=95)
writer = archive.start(Path(sys.argv[1]))
for each in rows.tables(state.apps):
    lines = list(rows.lines(each, "default"))
    name = f"rows/{each._meta.label_lower}.jsonl"
    writer.add(name, lines, packed=True, rows=len(lines) - 1)
applied = sorted(MigrationRecorder(connection).applied_migrations())
writer.close({"made_at": "2026-05-04", "migrations": [f"{a}.{n}" for a, n in applied],
              "missing_files": []})
"""


def run(folder, *words, url):
    env = {**os.environ, "DATA_DIR": str(folder), "LEDGER_NO_BOOTSTRAP": "1"}
    env |= {"DATABASE_URL": url, "DJANGO_SETTINGS_MODULE": "trips.project.settings"}
    done = subprocess.run(
        [sys.executable, *words], cwd=ROOT, env=env, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr[-3000:]
    return done.stdout


def tables(path):
    """Every table and index as it is declared, the columns of a table in any order."""
    with sqlite3.connect(path) as database:
        declared = database.execute("select name, sql from sqlite_master where sql is not null")
        return {name: sorted(re.split(r", |[()]", sql)) for name, sql in declared}


def test_a_backup_of_the_first_state_comes_forward_with_its_facts(tmp_path):
    old, new = tmp_path / "old.sqlite3", tmp_path / "new.sqlite3"
    kept = tmp_path / "kept.zip"
    run(tmp_path, "-c", MAKE.replace("FIRST", repr(FIRST)), str(kept), url=f"sqlite:///{old}")
    url = f"sqlite:///{new}"
    assert "Brought back" in run(tmp_path, "manage.py", "restore", str(kept), url=url)
    assert "No planned migration" in run(tmp_path, "manage.py", "migrate", "--plan", url=url)
    run(tmp_path, "manage.py", "rebuild", url=url)
    with sqlite3.connect(new) as database:
        one = database.execute
        assert one("select name from claims_site").fetchall() == [("Old bend",)]
        assert one("select amount_minor from trips_cost").fetchall() == [(1234,)]
        figures = "select outlay_minor, door_minutes from trips_derivedtripfigures"
        assert one(figures).fetchall() == [(None, 95)]  # the fuel of the way isn't known
    # Step by step as here, and in one go as for a new record, the tables come out the same.
    fresh = tmp_path / "fresh.sqlite3"
    run(tmp_path, "manage.py", "migrate", url=f"sqlite:///{fresh}")
    assert tables(new) == tables(fresh)
    # What it was is brought along to today's form: a backup of it comes back as well.
    again = tmp_path / "again.zip"
    run(tmp_path, "manage.py", "backup", str(again), url=url)
    run(tmp_path, "manage.py", "restore", str(again), url=f"sqlite:///{tmp_path / 'third.sqlite3'}")
