"""Kill a writing process at random moments and see that nothing it acknowledged is lost.

A child saves entries of two rows each, a party and a person in it with their past, in one
transaction, and says the number of an entry only after its commit has returned. It
is killed without warning; then the database is opened anew and compared with what was said.
"""

import os
import random
import signal
import subprocess
import sys
import time
from dataclasses import dataclass

from django.conf import settings
from django.db import connection

SHORTEST_S, LONGEST_S = 0.02, 0.6
CHILD = "drill_writer"


@dataclass
class Count:
    """What was seen over all kills."""

    kills: int = 0
    acknowledged: int = 0
    lost: int = 0
    half: int = 0
    unsound: int = 0
    # Committed, but killed before it could be said: right, and shown for completeness.
    unsaid: int = 0

    @property
    def is_good(self) -> bool:
        """Nothing that was acknowledged is missing, nothing is half there."""
        return self.lost == self.half == self.unsound == 0


def drill(wanted: int, *, seed: int, mark: str, longest_s: float = LONGEST_S) -> Count:
    """Kill writers until `wanted` entries were acknowledged.

    Args:
        seed: of the random moments.
        mark: begins the names of all rows of this drill.
        longest_s: a writer lives at most so long after its first entry.
    """
    chance, count = random.Random(seed), Count()
    while count.acknowledged < wanted:
        said = _killed_writer(f"{mark}-{count.kills}", chance.uniform(SHORTEST_S, longest_s))
        _compare(f"{mark}-{count.kills}", said, count)
        count.kills += 1
    return count


def _killed_writer(mark: str, after_s: float) -> list[str]:
    """Names of entries that a writer acknowledged before it was killed."""
    command = [sys.executable, str(settings.BASE_DIR / "manage.py"), CHILD, mark]
    writer = subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env=_environment())
    assert writer.stdout is not None
    said = [writer.stdout.readline().strip()]  # the first one: the process is up and writes
    time.sleep(after_s)
    writer.send_signal(getattr(signal, "SIGKILL", signal.SIGTERM))
    said += [
        line.strip() for line in writer.stdout.read().splitlines(keepends=True) if line[-1:] == "\n"
    ]
    writer.wait()
    writer.stdout.close()
    return [name for name in said if name]


def _environment() -> dict[str, str]:
    return {**os.environ, "PYTHONUNBUFFERED": "1", "LEDGER_NO_BOOTSTRAP": "1"}


def _compare(mark: str, said: list[str], count: Count) -> None:
    from claims.models import Party, Person

    connection.close()  # what another process wrote, not what this one remembers
    parties = set(Party.objects.filter(name__startswith=f"{mark} ").values_list("name", flat=True))
    people = set(Person.objects.filter(name__startswith=f"{mark} ").values_list("name", flat=True))
    count.acknowledged += len(said)
    count.lost += len(set(said) - parties)
    count.half += len(parties ^ people)
    count.unsaid += len(parties - set(said))
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            sound = cursor.execute("PRAGMA integrity_check").fetchone()[0] == "ok"
            orphans = cursor.execute("PRAGMA foreign_key_check").fetchall()
        count.unsound += not sound or bool(orphans)
