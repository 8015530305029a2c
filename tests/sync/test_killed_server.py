"""Sync replayed in random order and batches while the web server is killed: same rows, none twice.

A real server in a process of its own, spoken to over HTTP, on a file of SQLite or, where
DATABASE_URL says so, in PostgreSQL. It dies by SIGKILL at a statement of the database or just
before an answer, as the seed says: no clock decides.
"""

import contextlib
import http.client
import json
import os
import random
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from django.db import connection

ROOT = Path(__file__).resolve().parents[2]
REPLAYS = 10
FIRST_KILLS = 6


class Killed(Exception):
    """The server went away before it had answered."""


class Site:
    """The process that forks servers, and one phone's talk with the newest of them."""

    def __init__(self, folder, address):
        environ = {
            **os.environ,
            "DATA_DIR": str(folder),
            "DATABASE_URL": address,
            "DJANGO_SETTINGS_MODULE": "trips.project.settings",
        }
        self.process = subprocess.Popen(
            [sys.executable, "-m", "tests.sync.killed_server"],
            cwd=ROOT,
            env=environ,
            text=True,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
        )
        self.made = self._heard()
        self.cookies = {self.made["cookie_name"]: self.made["cookie"]}
        self.port, self.token = None, ""

    def _heard(self):
        line = self.process.stdout.readline()
        assert line, "the process that serves broke off; its error stands above"
        return json.loads(line)

    def tell(self, *words):
        self.process.stdin.write(" ".join(map(str, words)) + "\n")
        self.process.stdin.flush()
        return self._heard()

    def serve(self, database, what="never", number=0):
        self.port, self.token = self.tell("serve", database, what, number), ""

    def ask(self, method, path, body=None, **headers):
        talk = http.client.HTTPConnection("localhost", self.port, timeout=60)
        cookies = "; ".join(f"{name}={value}" for name, value in self.cookies.items())
        try:
            talk.request(method, path, body, {"Cookie": cookies, **headers})
            answer = talk.getresponse()
            text = answer.read()
        except (ConnectionError, http.client.HTTPException):
            raise Killed from None
        finally:
            talk.close()
        for each in answer.headers.get_all("Set-Cookie") or ():
            name, _, value = each.partition(";")[0].partition("=")
            self.cookies[name] = value
        assert answer.status == 200, text[:500]
        return json.loads(text)

    def send(self, entries):
        """One sending as the page does it; gives the ids that were acknowledged."""
        self.token = self.token or self.ask("GET", "/field/hello")["csrf"]
        body = json.dumps({"device": "a", "party": self.made["party"], "entries": entries})
        said = self.ask(
            "POST",
            "/field/sync",
            body,
            **{"Content-Type": "application/json", "X-CSRFToken": self.token},
        )
        good = ("stored", "already", "look")
        return {each["id"] for each in said["answers"] if each["answer"] in good}

    def close(self):
        self.process.stdin.close()
        self.process.stdout.close()
        self.process.wait(30)


@pytest.fixture
def site(tmp_path):
    """The site on an own database, and a copy of that for the server that is never killed."""
    with contextlib.ExitStack() as after:
        if connection.vendor == "postgresql":
            address, own, calm, copy = _postgresql(after)
        else:
            own, calm = str(tmp_path / "own.sqlite3"), str(tmp_path / "calm.sqlite3")
            address = f"sqlite:///{own}"

            def copy():
                for end in ("", "-wal", "-shm"):
                    if Path(own + end).exists():
                        shutil.copy(own + end, calm + end)

        made = Site(tmp_path, address)
        after.callback(made.close)
        copy()
        yield made, own, calm


def _postgresql(after):
    import psycopg

    its = connection.settings_dict
    who = {name: its[name.upper()] for name in ("host", "port", "user", "password")}
    server = after.enter_context(psycopg.connect(dbname="postgres", autocommit=True, **who))
    own, calm = (f"{its['NAME']}_killed_{name}" for name in ("own", "calm"))
    for name in (own, calm):
        server.execute(f'DROP DATABASE IF EXISTS "{name}"')
        after.callback(server.execute, f'DROP DATABASE IF EXISTS "{name}" WITH (FORCE)')
    server.execute(f'CREATE DATABASE "{own}"')
    address = f"postgres://{its['USER']}:{its['PASSWORD']}@{its['HOST']}:{its['PORT']}/{own}"
    return address, own, calm, lambda: server.execute(f'CREATE DATABASE "{calm}" TEMPLATE "{own}"')


def batches_of(entries, chance):
    """Every entry once or twice, shuffled, in batches of one to six."""
    todo = [each for each in entries for _ in range(chance.randint(1, 2))]
    chance.shuffle(todo)
    while todo:
        size = chance.randint(1, 6)
        yield todo[:size]
        todo = todo[size:]


def _serve(phone, database, kills, chance):
    """A server that dies at a statement or an answer while kills are left, else one that lives."""
    if not kills:
        phone.serve(database)
        return
    first, last = kills.pop()
    if chance.random() < 0.7:
        phone.serve(database, "statement", chance.randint(first, last))
    else:
        phone.serve(database, "answer", chance.randint(1, 2))


def test_ten_replays_with_the_server_killed_in_between(site):
    phone, own, calm = site
    entries = phone.made["entries"]
    phone.serve(calm)
    assert len(phone.send(entries)) == len(entries)
    statements = phone.tell("end")
    wanted = phone.tell("rows", calm)
    assert len(wanted["entries"]) == len(entries)

    chance, acknowledged = random.Random(7), set()
    for number in range(REPLAYS):
        # The first replay meets an empty record and is broken off again and again, at statements
        # all over a sending. Later ones find everything there, have less to do and die sooner.
        kills = [(1, statements // FIRST_KILLS)] * FIRST_KILLS if number == 0 else [(1, 40)]
        planned, fired = len(kills), 0
        _serve(phone, own, kills, chance)
        for batch in batches_of(entries, chance):
            while True:
                try:
                    acknowledged |= phone.send(batch)
                    break
                except Killed:
                    fired += 1
                    phone.tell("end")
                    assert acknowledged <= set(phone.tell("rows", own)["entries"])
                    _serve(phone, own, kills, chance)  # the phone tries the same again
        assert fired == planned, f"{planned - fired} kills came too late in replay {number}"
        phone.tell("end")
        if number == 0:
            assert phone.tell("rows", own) == wanted
    assert acknowledged == {each["id"] for each in entries}
    assert phone.tell("rows", own) == wanted
