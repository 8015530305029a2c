"""Cut the power at many moments and see that nothing which was acknowledged is lost.

No power is cut: a process that writes to SQLite is traced by `strace`, with every byte that it
hands to the kernel. At a cut, what was written before a file's last sync is there; each later
write is there, missing, or torn at a sector. A new file surely is there only after its folder was
synced, and a removed one may still be. So the files are laid out anew, opened, and compared with
what the process had said up to then.
"""

import os
import random
import re
import sqlite3
import subprocess
import sys
from dataclasses import dataclass, field
from pathlib import Path

from django.conf import settings

SECTOR = 512
CALLS = "pwrite64,write,fsync,fdatasync,ftruncate,unlink"
HEX = r"((?:\\x[0-9a-f]{2})*)"
ON_FILE = re.compile(rf"^(\w+)\((\d+)<{HEX}>[^,]*(.*)\) += (\d+)$")
UNLINK = re.compile(rf'^unlink\("{HEX}"\) += 0$')
CONTENT = re.compile(rf'^, "{HEX}", \d+(?:, (\d+))?$')
WRITER = "drill_writer"
SAID = 1


class Unreadable(ValueError):
    """The writer could not be traced, or its trace can't be followed."""


@dataclass(frozen=True)
class Event:
    """One call that succeeded: "write", "cut off", "sync" or "remove" of a file, or "said"."""

    what: str
    path: str = ""
    at: int = 0
    content: bytes = b""


@dataclass
class OnDisk:
    """What a disk surely holds of a file, and what is only under way to it."""

    sure: bytearray = field(default_factory=bytearray)
    name_is_sure: bool = False
    removed: bool = False
    under_way: list[Event] = field(default_factory=list)

    def sync(self) -> None:
        """All that was handed over is on the disk from here on."""
        for event in self.under_way:
            _apply(self.sure, event)
        self.under_way.clear()

    def left_by_a_cut(self, chance: random.Random) -> bytes | None:
        """What may be found after the power comes back; None for no file."""
        if (not self.name_is_sure or self.removed) and chance.random() < 0.5:
            return None
        found = bytearray(self.sure)
        for event in self.under_way:
            fate = chance.choice(("there", "missing", "torn"))
            if fate == "there" or (fate == "torn" and event.what == "cut off"):
                _apply(found, event)
            elif fate == "torn":
                for begin in range(0, len(event.content), SECTOR):
                    if chance.random() < 0.5:
                        part = event.content[begin : begin + SECTOR]
                        _apply(found, Event("write", event.path, event.at + begin, part))
        return bytes(found)


@dataclass
class Count:
    """What was seen over all cuts."""

    cuts: int = 0
    acknowledged: int = 0
    syncs: int = 0
    lost: int = 0
    half: int = 0
    unsound: int = 0

    @property
    def is_good(self) -> bool:
        """Nothing that was acknowledged is missing, nothing is half there."""
        return self.lost == self.half == self.unsound == 0


def drill(database: Path, *, entries: int, cuts: int, seed: int, mark: str, folder: Path) -> Count:
    """Trace a writer of so many entries and cut the power at so many moments.

    Args:
        database: an SQLite file with all tables that nobody has open.
        folder: for the trace and what the cuts leave; both go with it.
    """
    before = database.read_bytes()
    trace = folder / "calls"
    _trace_writer(database, mark, entries, trace)
    return cut(before, read_trace(trace, database), cuts=cuts, seed=seed, mark=mark, folder=folder)


def _trace_writer(database: Path, mark: str, entries: int, into: Path) -> None:
    command = ["strace", "-qq", "-y", "-xx", "-s", "100000000", "-e", f"trace={CALLS}"]
    command += ["-e", "signal=none", "-o", str(into), sys.executable]
    command += [str(settings.BASE_DIR / "manage.py"), WRITER, mark, "--entries", str(entries)]
    environ = {**os.environ, "DATABASE_URL": f"sqlite:///{database}", "PYTHONUNBUFFERED": "1"}
    environ["LEDGER_NO_BOOTSTRAP"] = "1"
    done = subprocess.run(command, env=environ, capture_output=True, text=True, check=False)
    if done.returncode:
        raise Unreadable(f"The traced writer stopped: {done.stderr[-500:]}")


def read_trace(trace: Path, database: Path) -> list[Event]:
    """What a traced process did to the database's files and what it said, in order."""
    ours = str(database)
    events = []
    with trace.open(encoding="ascii") as lines:
        for line in lines:
            if removed := UNLINK.match(line.rstrip()):
                path = os.fsdecode(_bytes(removed[1]))
                if path.startswith(ours):
                    events.append(Event("remove", path))
                continue
            call = ON_FILE.match(line.rstrip())
            if call is None:
                continue
            name, number, path, rest, result = call.groups()
            path = os.fsdecode(_bytes(path))
            if event := _event(name, int(number), path, rest, int(result), database):
                events.append(event)
    return events


def _event(name, number, path, rest, result, database) -> Event | None:
    if name == "write" and number == SAID and (said := CONTENT.match(rest)):
        return Event("said", content=_bytes(said[1])[:result])
    if name in ("fsync", "fdatasync") and path == str(database.parent):
        return Event("sync", path)
    # The index beside the log is made anew by whoever opens the database first.
    if not path.startswith(str(database)) or path.endswith("-shm"):
        return None
    if name in ("fsync", "fdatasync"):
        return Event("sync", path)
    if name == "ftruncate":
        return Event("cut off", path, int(rest.removeprefix(", ")))
    written = CONTENT.match(rest)
    if name != "pwrite64" or written is None:
        raise Unreadable(f"{name} of {path} can't be followed.")
    return Event("write", path, int(written[2]), _bytes(written[1])[:result])


def cut(
    before: bytes, events: list[Event], *, cuts: int, seed: int, mark: str, folder: Path,
    syncs_hold: bool = True,
) -> Count:  # fmt: skip
    """Lay out and compare what is left at so many moments.

    Args:
        before: the database's file before the first event.
        syncs_hold: False for a disk that forgets what it was told to keep; then entries must be
            found missing, or the comparison would be worth nothing.
    Raises: Unreadable where the trace holds less than the moments asked for.
    """
    chance = random.Random(seed)
    if len(events) < cuts:
        raise Unreadable(f"{len(events)} calls were traced; {cuts} cuts were asked for.")
    moments = {*chance.sample(range(1, len(events)), cuts - 1), len(events)}
    paths = [event.path for event in events if event.what in ("write", "remove")]
    main = min(paths, key=len)
    disk = {main: OnDisk(bytearray(before), name_is_sure=True)}
    said: list[str] = []
    count = Count()
    for number, event in enumerate(events, start=1):
        count.syncs += event.what == "sync" and event.path.endswith("-wal")
        if event.what == "said":
            said += [line for line in event.content.decode().splitlines() if line.startswith(mark)]
        elif event.what != "sync" or syncs_hold:
            _follow(disk, event)
        if number in moments:
            _compare(disk, main, said, mark, folder / f"cut-{number}", chance, count)
    count.acknowledged = len(said)
    return count


def _follow(disk: dict[str, OnDisk], event: Event) -> None:
    if event.what == "sync" and event.path not in disk:
        for file in disk.values():  # the folder: names are there, or gone, from here on
            file.name_is_sure = True
        for path in [path for path, file in disk.items() if file.removed]:
            del disk[path]
        return
    file = disk.get(event.path)
    if file is None or (file.removed and event.what != "remove"):
        file = disk[event.path] = OnDisk()
    if event.what == "sync":
        file.sync()
    elif event.what == "remove":
        file.removed = True
    else:
        file.under_way.append(event)


def _compare(disk, main, said, mark, folder, chance, count) -> None:
    from claims.models import Party, Person

    folder.mkdir()
    for path, file in disk.items():
        if (left := file.left_by_a_cut(chance)) is not None:
            (folder / Path(path).name).write_bytes(left)
    count.cuts += 1
    found: dict[type, set[str]] = {}
    opened = sqlite3.connect(folder / Path(main).name)
    try:
        sound = opened.execute("PRAGMA integrity_check").fetchone()[0] == "ok"
        count.unsound += not sound or bool(opened.execute("PRAGMA foreign_key_check").fetchall())
        for model in (Party, Person):
            rows = opened.execute(
                f"SELECT name FROM {model._meta.db_table} WHERE name LIKE ?", [f"{mark} %"]
            )
            found[model] = {name for (name,) in rows}
        count.lost += len(set(said) - found[Party])
        count.half += len(found[Party] ^ found[Person])
    except sqlite3.DatabaseError:
        count.unsound += 1
        count.lost += len(said)
    finally:
        opened.close()
        for path in folder.iterdir():
            path.unlink()
        folder.rmdir()


def _apply(content: bytearray, event: Event) -> None:
    if event.what == "cut off":
        del content[event.at :]
        return
    content.extend(bytes(max(0, event.at - len(content))))
    content[event.at : event.at + len(event.content)] = event.content


def _bytes(text: str) -> bytes:
    return bytes.fromhex(text.replace("\\x", ""))
