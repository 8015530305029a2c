"""Two web processes and one database under load; one process is killed in the middle.

Clients send entries one at a time through the field page's door, as phones do: whatever isn't
acknowledged is sent again. A round robin in front hands each connection to the next process that
takes it, as a proxy does. Nothing but the database is shared: each process has a folder of its
own. At the end the database is compared with what was acknowledged.
"""

import http.client
import json
import os
import random
import signal
import socket
import subprocess
import sys
import tempfile
import threading
import time
import uuid
from dataclasses import dataclass, field
from pathlib import Path

from django.conf import settings
from django.db import connection

CLIENTS = 4
TRIPS_EACH = 10
TOKEN = "d" * 32
START_S = 60
TAKEN = {"stored", "already", "look"}


@dataclass
class Seen:
    """What the clients saw, and what the database holds."""

    acknowledged: set[str] = field(default_factory=set)
    failed_before: int = 0
    failed_after: int = 0
    lost: int = 0
    twice: int = 0
    unsaid: int = 0
    seconds: float = 0.0

    @property
    def is_good(self) -> bool:
        return self.lost == self.twice == 0


@dataclass(frozen=True)
class Hand:
    """One client: its session, its party and the trips it notes costs on."""

    session: str
    party: int
    trips: tuple[str, ...]


class RoundRobin(threading.Thread):
    """Hands each connection on to the next port that takes it."""

    def __init__(self, ports: list[int]):
        super().__init__(daemon=True)
        self.ports, self.turn = ports, 0
        self.listener = socket.create_server(("127.0.0.1", 0), backlog=128)
        self.port = self.listener.getsockname()[1]

    def run(self) -> None:
        while True:
            try:
                asker, _ = self.listener.accept()
            except OSError:
                return
            threading.Thread(target=self._serve, args=[asker], daemon=True).start()

    def _serve(self, asker: socket.socket) -> None:
        self.turn += 1
        for step in range(len(self.ports)):
            try:
                port = self.ports[(self.turn + step) % len(self.ports)]
                server = socket.create_connection(("127.0.0.1", port), timeout=5)
                server.settimeout(None)
                break
            except OSError:
                continue
        else:
            asker.close()
            return
        back = threading.Thread(target=_pass_on, args=[server, asker], daemon=True)
        back.start()
        _pass_on(asker, server)


def _pass_on(source: socket.socket, target: socket.socket) -> None:
    try:
        while data := source.recv(65536):
            target.sendall(data)
    except OSError:
        pass
    finally:
        for end in (source, target):
            try:
                end.shutdown(socket.SHUT_RDWR)
            except OSError:
                continue


def drill(wanted: int, *, seed: int, hands: list[Hand]) -> Seen:
    """Send `wanted` entries and kill one process when half of them are acknowledged."""
    seen, lock = Seen(), threading.Lock()
    killed = threading.Event()
    with tempfile.TemporaryDirectory() as folder:
        ports = [_free_port() for _ in range(2)]
        servers = [_server(port, Path(folder) / str(port)) for port in ports]
        front = RoundRobin(ports)
        try:
            for port in ports:
                _await(port)
            front.start()
            started = time.monotonic()

            def client(number: int) -> None:
                chance = random.Random(f"{seed} {number}")
                for _ in range(wanted // len(hands)):
                    _send_until_taken(
                        hands[number], _entry(hands[number], chance), front.port, seen, lock, killed
                    )

            threads = [
                threading.Thread(target=client, args=[n], daemon=True) for n in range(len(hands))
            ]
            for thread in threads:
                thread.start()
            while len(seen.acknowledged) < wanted // 2:
                time.sleep(0.005)
            killed.set()
            os.killpg(servers[0].pid, signal.SIGKILL)
            for thread in threads:
                thread.join()
            seen.seconds = time.monotonic() - started
        finally:
            front.listener.close()
            for server in servers:
                if server.poll() is None:
                    os.killpg(server.pid, signal.SIGKILL)
                server.wait()
    _compare(seen)
    return seen


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


def _server(port: int, folder: Path) -> subprocess.Popen:
    """A web process in a group of its own, with a folder of its own."""
    environ = {
        **os.environ,
        "DATA_DIR": str(folder),
        "SECRET_KEY": settings.SECRET_KEY,
        "LEDGER_NO_BOOTSTRAP": "1",
    }
    command = [sys.executable, "-m", "gunicorn", "-b", f"127.0.0.1:{port}", "--threads", "4"]
    command += ["--log-level", "error", "trips.project.wsgi:application"]
    return subprocess.Popen(command, cwd=settings.BASE_DIR, env=environ, start_new_session=True)


def _await(port: int) -> None:
    for _ in range(START_S * 20):
        try:
            if _ask(port, "GET", "/sign-in/").status == 200:
                return
        except OSError:
            time.sleep(0.05)
    raise RuntimeError(f"The process on port {port} doesn't answer.")


def _ask(port: int, method: str, path: str, body: str | None = None, headers=None):
    link = http.client.HTTPConnection("127.0.0.1", port, timeout=30)
    try:
        link.request(method, path, body, headers or {})
        answer = link.getresponse()
        answer.content = answer.read()
        return answer
    finally:
        link.close()


def _entry(hand: Hand, chance: random.Random) -> dict:
    key = str(uuid.UUID(int=chance.getrandbits(128), version=4))
    body = {"what": "food", "amount": "1.20"}
    trip = chance.choice(hand.trips)
    return {"id": key, "record": key, "kind": "cost", "trip": trip, "body": body}


def _send_until_taken(hand, entry, port, seen, lock, killed) -> None:
    headers = {
        "Cookie": f"{settings.SESSION_COOKIE_NAME}={hand.session}; "
        f"{settings.CSRF_COOKIE_NAME}={TOKEN}",
        "X-CSRFToken": TOKEN,
        "Content-Type": "application/json",
    }
    body = json.dumps({"device": "drill", "party": hand.party, "entries": [entry]})
    while True:
        try:
            answer = _ask(port, "POST", "/field/sync", body, headers)
            said = json.loads(answer.content)["answers"][0] if answer.status == 200 else {}
        except (OSError, http.client.HTTPException, ValueError):
            said = {}
        with lock:
            if said.get("answer") in TAKEN:
                seen.acknowledged.add(said["id"])
                return
            if killed.is_set():
                seen.failed_after += 1
            else:
                seen.failed_before += 1
                if seen.failed_before > 100:
                    raise RuntimeError(f"The site takes nothing: {answer.status} {answer.content}")


def make_hands(mark: str) -> list[Hand]:
    """A party, a hand, a session and trips under way for each client."""
    import datetime as dt

    from claims.models import Membership, Party, Site, User
    from trips.models import Trip, TripSite

    hands = []
    for number in range(CLIENTS):
        name = f"{mark} {number}"
        party = Party.objects.create(name=name, currency="EUR", time_zone="UTC")
        user = User.objects.create_user(username=name)
        Membership.objects.create(party=party, user=user, role=Membership.Role.HAND)
        site = Site.objects.create(party=party, name=name)
        day, trips = dt.date(2031, 5, 3), []
        for _ in range(TRIPS_EACH):
            trip = Trip.objects.create(
                party=party, state=Trip.State.UNDER_WAY, starts_on=day, ends_on=day
            )
            TripSite.objects.create(trip=trip, site=site, rank=0, was_visited=True)
            trips.append(str(trip.uuid))
        hands.append(Hand(make_session(user), party.pk, tuple(trips)))
    return hands


def make_session(user) -> str:
    """The key of a session in which `user` is signed in."""
    from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY
    from django.contrib.sessions.backends.db import SessionStore

    session = SessionStore()
    session[SESSION_KEY] = str(user.pk)
    session[BACKEND_SESSION_KEY] = "claims.sign_in.WithMemberships"
    session[HASH_SESSION_KEY] = user.get_session_auth_hash()
    session.create()
    return session.session_key


def _compare(seen: Seen) -> None:
    from trips.models import Cost, FieldEntry

    connection.close()
    stored = [str(key) for key in FieldEntry.objects.values_list("uuid", flat=True)]
    booked = [str(key) for key in Cost.objects.values_list("uuid", flat=True)]
    seen.lost = len(seen.acknowledged - (set(stored) & set(booked)))
    seen.twice = len(booked) - len(set(booked)) + len(stored) - len(set(stored))
    seen.unsaid = len(set(stored) - seen.acknowledged)
