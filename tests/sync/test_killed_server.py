"""The server is killed between and inside batches: what it acknowledged is there, once, whole."""

import contextlib
import json
import os
import random
import signal
import sqlite3
import subprocess
import sys
import threading
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
KILLS = 3
# A server in small: takes batches from its standard input through the same door as the web's,
# and says which ids it acknowledged only after `receive` has come back.
SERVER = """
import datetime as dt, json, sys
import django
django.setup()
from claims.models import Party, User
from trips.sync.receive import receive
from trips.sync.wire import read_batch
party, user = Party.objects.get(), User.objects.get()
print("up", flush=True)
for line in sys.stdin:
    batch = read_batch(json.loads(line), now=dt.datetime(2031, 5, 3, 12, tzinfo=dt.UTC))
    answers = receive(party=party, user=user, batch=batch)
    print(json.dumps([each.id for each in answers if each.answer in ("stored", "already", "look")]),
          flush=True)
"""
MAKE = """
import django
django.setup()
from django.core.management import call_command
call_command("migrate", interactive=False, verbosity=0)
import json
from tests import factories as make
from tests.sync.test_apply import a_days_entries
party = make.make_party()
make.make_member(party)
trip = make.make_trip(party, state="under_way")
print(json.dumps(a_days_entries(trip, trip.trip_sites.get().site)))
"""
LOOK = {
    "trips_testpan": "uuid, trip_id, day, layer, volume_ml, coarse, medium, fine, note, sequence",
    "trips_run": "uuid, minutes, volume_ml, coarse, medium, fine",
    "trips_hoursblock": "uuid, activity, minutes",
    "trips_cost": "uuid, kind, amount_minor",
    "claims_hole": "uuid, length_mm, depth_mm, opened_on",
    "claims_spot": "uuid, name",
    "trips_fieldnote": "uuid, text",
    "trips_fieldrecord": "uuid, state, head, reason",
    "trips_derivedtripfigures": "washed_ml, door_minutes, outlay_minor",
}


def python(code, folder, **more):
    environ = {
        **os.environ,
        "DATA_DIR": str(folder),
        "DATABASE_URL": f"sqlite:///{folder / 'ledger.sqlite3'}",
        "DJANGO_SETTINGS_MODULE": "trips.project.settings",
    }
    return subprocess.Popen(
        [sys.executable, "-c", code],
        cwd=ROOT,
        env=environ,
        text=True,
        stdout=subprocess.PIPE,
        **more,
    )


def send_all(folder, batches, kill_after):
    """Send batches until the server dies or all are through; gives the acknowledged ids."""
    server = python(SERVER, folder, stdin=subprocess.PIPE)
    assert server.stdout.readline() == "up\n"
    timer = None
    if kill_after is not None:
        timer = threading.Timer(kill_after, server.send_signal, args=[signal.SIGKILL])
        timer.start()
    heard = set()
    for batch in batches:
        with contextlib.suppress(BrokenPipeError):
            server.stdin.write(json.dumps({"entries": batch}) + "\n")
            server.stdin.flush()
        answer = server.stdout.readline()
        if not answer.endswith("\n"):
            break  # killed before it could answer
        heard |= set(json.loads(answer))
    if timer:
        timer.join()
    with contextlib.suppress(BrokenPipeError):
        server.stdin.close()
    server.wait(30)
    server.stdout.close()
    return heard


def rows(folder):
    with contextlib.closing(sqlite3.connect(folder / "ledger.sqlite3")) as database:
        assert database.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert database.execute("PRAGMA foreign_key_check").fetchall() == []
        return {
            table: sorted(map(str, database.execute(f"SELECT {names} FROM {table}")))
            for table, names in LOOK.items()
        }


def stored_ids(folder):
    with contextlib.closing(sqlite3.connect(folder / "ledger.sqlite3")) as database:
        return {row[0] for row in database.execute("SELECT uuid FROM trips_fieldentry")}


def test_killed_again_and_again_nothing_acknowledged_is_lost_and_nothing_is_twice(tmp_path):
    made = python(MAKE, tmp_path)
    entries = json.loads(made.communicate(timeout=120)[0])
    for end in ("", "-wal", "-shm"):  # the same start for the server that is never killed
        source = tmp_path / f"ledger.sqlite3{end}"
        if source.exists():
            (tmp_path / "calm").mkdir(exist_ok=True)
            (tmp_path / "calm" / source.name).write_bytes(source.read_bytes())
    key = tmp_path / "secret_key"
    if key.exists():  # none is made where the environment has one
        (tmp_path / "calm" / "secret_key").write_bytes(key.read_bytes())
    calm = send_all(tmp_path / "calm", [entries], None)
    assert len(calm) == len(entries)

    chance = random.Random(7)
    acknowledged, broken_off = set(), 0
    for number in range(KILLS + 1):
        todo = [each for each in entries for _ in range(chance.randint(1, 2))]
        chance.shuffle(todo)
        batches = []
        while todo:
            size = chance.randint(1, 6)
            batches.append(todo[:size])
            todo = todo[size:]
        last = number == KILLS
        heard = send_all(tmp_path, batches, None if last else chance.uniform(0.02, 0.5))
        broken_off += len(heard) < len(entries)
        acknowledged |= heard
        assert {each.replace("-", "") for each in acknowledged} <= stored_ids(tmp_path)
    assert broken_off >= 1, "no kill came in time to break anything off"
    assert rows(tmp_path) == rows(tmp_path / "calm")
