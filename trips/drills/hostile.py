"""Send hostile files to a running site, and see what it says and what that costs.

The site runs as on a laptop, in a process of its own with a record of its own, and has answered
an empty request at every door. Before each file the process's peak of memory is forgotten; memory
counts above what the process held then. Linux.
"""

import html
import http.client
import json
import os
import re
import subprocess
import sys
import uuid
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from django.conf import settings
from django.db import connection

from trips.drills.hostile_files import Hostile
from trips.drills.two_processes import TOKEN, _await, _free_port, make_session

MOST_MB, MOST_S = 256, 5
TICKS = os.sysconf("SC_CLK_TCK") if hasattr(os, "sysconf") else 100
PROBLEM = re.compile(r'<div class="summary" role="alert".*?<li>(.*?)</li>', re.S)
UNSHOWN = re.compile(r"<(script|style|head|header|nav)\b.*?</\1>|<[^>]+>", re.S)


@dataclass(frozen=True)
class Seen:
    """What one file came to.

    `page` is the answer as text; memory and processor time are those above an empty request.
    """

    file: Hostile
    status: int
    page: str
    mb: float
    seconds: float

    @property
    def is_good(self) -> bool:
        """Answered, in the words expected, within the bounds."""
        said = self.file.says in _plain(self.page) if self.file.says else True
        return self.status < 500 and said and self.mb <= MOST_MB and self.seconds <= MOST_S

    @property
    def words(self) -> str:
        """What the answer says went wrong; "taken" where it says nothing of the sort."""
        if self.page.startswith("{"):
            said = json.loads(self.page)
            answers = [each.get("reason", "") for each in said.get("answers", ())]
            return " ".join([said.get("refused", ""), *answers]).strip() or "taken"
        found = PROBLEM.search(self.page)
        return _plain(found[1]) if found else self.file.says or "taken"


class Site:
    """The running site, with a keeper who is signed in."""

    def __init__(self, folder: Path):
        self.port = _free_port()
        self.doors, self.session = _make_record()
        environ = {**os.environ, "DATA_DIR": str(folder), "SECRET_KEY": settings.SECRET_KEY}
        environ["LEDGER_NO_BOOTSTRAP"] = "1"
        command = [sys.executable, str(settings.BASE_DIR / "manage.py"), "start", "--no-browser"]
        command += ["--port", str(self.port)]
        self.process = subprocess.Popen(
            command, env=environ, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
        )

    def __enter__(self):
        _await(self.port)
        for door in self.doors:
            self.ask(door, None)
        return self

    def __exit__(self, *problem):
        self.process.kill()
        self.process.wait()

    def send(self, file: Hostile) -> Seen:
        content = file.content()
        Path(f"/proc/{self.process.pid}/clear_refs").write_text("5")
        before, held_mb = self._seconds(), self._memory("VmRSS")
        status, page = self.ask(file.door, content, file.name)
        mb, seconds = self._memory("VmHWM") - held_mb, self._seconds() - before
        return Seen(file, status, page, mb, seconds)

    def ask(self, door: str, content: bytes | None, name: str = "") -> tuple[int, str]:
        """Send a file through a door, or look at the door without one; status and page."""
        path, field, more = self.doors[door]
        method, body, kind = "GET", b"", "text/plain"
        if content is not None and field:
            method, (body, kind) = "POST", _form(field, name, content, more)
        elif content is not None:
            method, kind, body = "POST", "application/json", content
        elif not field:
            method, kind, body = "POST", "application/json", b"{}"
        headers = {
            "Cookie": f"{settings.SESSION_COOKIE_NAME}={self.session}; "
            f"{settings.CSRF_COOKIE_NAME}={TOKEN}",
            "X-CSRFToken": TOKEN,
            "Content-Type": kind,
        }
        link = http.client.HTTPConnection("127.0.0.1", self.port, timeout=300)
        try:
            link.request(method, path, body, headers)
            answer = link.getresponse()
            page = answer.read()
            if answer.status == 302:  # what is large is answered by the page of its work
                link.request("GET", answer.headers["Location"], headers=headers)
                answer = link.getresponse()
                page = answer.read()
            return answer.status, page.decode("utf-8", "replace")
        finally:
            link.close()

    def _memory(self, name: str) -> float:
        text = Path(f"/proc/{self.process.pid}/status").read_text()
        return int(re.search(rf"{name}:\s+(\d+) kB", text)[1]) / 1024

    def _seconds(self) -> float:
        parts = Path(f"/proc/{self.process.pid}/stat").read_text().rpartition(")")[2].split()
        return (int(parts[11]) + int(parts[12])) / TICKS


def drill(files: Iterator[Hostile], folder: Path) -> Iterator[Seen]:
    """Send the files one after the other."""
    with Site(folder) as site:
        for file in files:
            yield site.send(file)


def _make_record():
    """A party with what files belong to; where each door is, and the session of its keeper."""
    import datetime as dt

    from claims.models import Membership, Party, Site, Spot, User
    from trips.models import Gauge, Trip, TripSite

    party = Party.objects.create(name="drill", currency="EUR", time_zone="UTC")
    user = User.objects.create_user(username="drill")
    Membership.objects.create(party=party, user=user, role=Membership.Role.KEEPER)
    site = Site.objects.create(party=party, name="drill")
    spot = Spot.objects.create(site=site, name="drill", feature=Spot.Feature.INSIDE_BEND)
    day = dt.date(2031, 5, 3)
    trip = Trip.objects.create(party=party, state=Trip.State.UNDER_WAY, starts_on=day, ends_on=day)
    TripSite.objects.create(trip=trip, site=site, rank=0, was_visited=True)
    gauge = Gauge.objects.create(party=party, name="drill")
    connection.close()
    doors = {
        "track": (f"/trips/{trip.pk}/tracks/new/", "file", {}),
        "trips": ("/import/", "file", {}),
        "prices": ("/prices/import/", "file", {"step": "read", "source": "drill"}),
        "peaks": (f"/floods/gauges/{gauge.pk}/peaks/", "file", {"source": "drill"}),
        "outline": (f"/sites/{site.pk}/shape/", "file", {"radius_m": "300"}),
        "pack": ("/rules/packs/new/", "file", {}),
        "photo": (f"/spots/{spot.pk}/files/new/", "files", {"role": "other"}),
        "field file": ("/from-the-field/", "file", {"which": "file"}),
        "sync": ("/field/sync", "", {}),
        "record": ("/bring-in/", "file", {}),
    }
    return doors, make_session(user)


def _form(field: str, name: str, content: bytes, more: dict[str, str]) -> tuple[bytes, str]:
    """A form as a browser sends it: its body and its type."""
    mark = uuid.uuid4().hex.encode()
    parts = [
        b'--%s\r\nContent-Disposition: form-data; name="%s"\r\n\r\n%s\r\n'
        % (mark, key.encode(), value.encode())
        for key, value in more.items()
    ]
    named = name.replace("\r", "%0D").replace("\n", "%0A").replace('"', "%22").encode()
    parts.append(
        b'--%s\r\nContent-Disposition: form-data; name="%s"; filename="%s"\r\n'
        b"Content-Type: application/octet-stream\r\n\r\n" % (mark, field.encode(), named)
    )
    body = b"".join([*parts, content, b"\r\n--%s--\r\n" % mark])
    return body, f"multipart/form-data; boundary={mark.decode()}"


def _plain(page: str) -> str:
    return " ".join(html.unescape(UNSHOWN.sub(" ", page)).split())
