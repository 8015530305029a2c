"""The shape in which a phone sends entries, and what of it can be stored at all. No database here.

An entry is an object of: id, record (id of the record's first entry, the same for that one), kind,
trip (id or null), replaces (ids of every earlier version of the record that its maker had seen),
base (digest of a row that no entry made), removed, at (the phone's clock), body (strings as typed).
A batch is {"device", "sent_at", "entries"}; a saved file holds the same.
"""

import datetime as dt
import hashlib
import json
import uuid
from dataclasses import dataclass

from trips.calc.words import say

KINDS = ("spot", "pan", "run", "hours", "cost", "hole", "note", "photo")
MOST_IN_A_BATCH = 50
MOST_IN_A_FILE = 2_000
LONGEST_ENTRY = 20_000  # characters as JSON
LONGEST_TEXT = 4_000
MOST_VERSIONS = 500


class WireError(ValueError):
    """Something sent can't be stored as it is; the message says what was expected."""


@dataclass(frozen=True)
class Entry:
    """One entry that can be stored. What its body says may still turn out unreadable."""

    id: uuid.UUID
    record: uuid.UUID
    kind: str
    trip: uuid.UUID | None
    replaces: tuple[str, ...]
    base: str
    removed: bool
    at: str
    body: dict[str, str | None]
    digest: str


@dataclass(frozen=True)
class Refused:
    """An entry that can't be stored; it stays on the phone. `id` is as sent, cut short."""

    id: str
    reason: str


@dataclass(frozen=True)
class Batch:
    """What was sent, in the order sent."""

    device: str
    clock_ahead_s: int | None
    items: tuple[Entry | Refused, ...]


def read_batch(raw: object, *, now: dt.datetime, most: int = MOST_IN_A_BATCH) -> Batch:
    """A batch from decoded JSON.

    Args: now: the server's clock, to tell how far the phone's is off.
    Raises: WireError when it isn't a batch, or holds more than `most` entries.
    """
    if not isinstance(raw, dict) or not isinstance(raw.get("entries"), list):
        raise WireError(say("Expected an object with a list “entries”. This isn't a field file."))
    entries = raw["entries"]
    if len(entries) > most:
        raise WireError(
            say(
                "{entries} entries at once; at most {most} are taken. Nothing was "
                "stored. Send them in smaller parts.",
                entries=len(entries),
                most=most,
            )
        )
    device = raw.get("device")
    return Batch(
        device=device[:64] if isinstance(device, str) else "",
        clock_ahead_s=_ahead(raw.get("sent_at"), now),
        items=tuple(_read(item) for item in entries),
    )


def instant(text: object) -> dt.datetime | None:
    """An instant written as ISO 8601 with its zone, in UTC; None for anything else."""
    if not isinstance(text, str) or len(text) > 40:
        return None
    try:
        read = dt.datetime.fromisoformat(text)
        return read.astimezone(dt.UTC) if read.tzinfo else None
    except (ValueError, OverflowError):
        return None


def canonical(value: object) -> str:
    """JSON with sorted keys and no blanks: equal values give equal text."""
    return json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=False)


def sha256(value: object) -> str:
    """Hash of the canonical JSON, as 64 hex digits."""
    # A lone surrogate can arrive as an escape; it must not stop the rest of the batch.
    return hashlib.sha256(canonical(value).encode("utf-8", "backslashreplace")).hexdigest()


def _ahead(sent_at: object, now: dt.datetime) -> int | None:
    sent = instant(sent_at)
    return None if sent is None else round((sent - now).total_seconds())


def _read(item: object) -> Entry | Refused:
    if not isinstance(item, dict):
        return Refused("", say("An entry is an object, not {name}.", name=type(item).__name__))
    shown = item["id"][:40] if isinstance(item.get("id"), str) else ""
    try:
        return _entry(item)
    except WireError as problem:
        return Refused(shown, str(problem))


def _entry(item: dict[str, object]) -> Entry:
    own = _id(item.get("id"), "id")
    kind = item.get("kind")
    if not isinstance(kind, str) or kind not in KINDS:
        raise WireError(say("kind: expected one of {kinds}.", kinds=", ".join(KINDS)))
    trip = item.get("trip")
    replaces = item.get("replaces") or []
    if not isinstance(replaces, list) or len(replaces) > MOST_VERSIONS:
        raise WireError(
            say(
                "replaces: expected a list of at most {most_versions} ids.",
                most_versions=MOST_VERSIONS,
            )
        )
    body = _body(item.get("body"))
    versions = sorted({str(_id(each, "replaces")) for each in replaces} - {str(own)})
    plain: dict[str, object] = {
        "id": str(own),
        "record": str(_id(item.get("record", item.get("id")), "record")),
        "kind": kind,
        "trip": None if trip is None else str(_id(trip, "trip")),
        "replaces": versions,
        "base": _text(item.get("base"), "base", 64),
        "removed": item.get("removed") is True,
        "at": _text(item.get("at"), "at", 40),
        "body": body,
    }
    if len(canonical(plain)) > LONGEST_ENTRY:
        raise WireError(
            say("An entry is at most {longest_entry} characters long.", longest_entry=LONGEST_ENTRY)
        )
    return Entry(
        id=own,
        record=uuid.UUID(str(plain["record"])),
        kind=kind,
        trip=None if trip is None else uuid.UUID(str(plain["trip"])),
        replaces=tuple(versions),
        base=str(plain["base"]),
        removed=bool(plain["removed"]),
        at=str(plain["at"]),
        body=body,
        digest=sha256(plain),
    )


def _id(value: object, name: str) -> uuid.UUID:
    if isinstance(value, str) and len(value) == 36:
        try:
            return uuid.UUID(value)
        except ValueError:
            pass
    raise WireError(
        say("{name}: expected an id of 36 characters made by the field page.", name=name)
    )


def _text(value: object, name: str, longest: int) -> str:
    if value is None:
        return ""
    if not isinstance(value, str) or len(value) > longest:
        raise WireError(
            say(
                "{name}: expected a text of at most {longest} characters.",
                name=name,
                longest=longest,
            )
        )
    return _storable(value)


def _storable(text: str) -> str:
    """Text as a database can keep it: no NUL, no half of a character."""
    return text.replace("\x00", "�").encode("utf-8", "replace").decode("utf-8")


def _body(value: object) -> dict[str, str | None]:
    if not isinstance(value, dict):
        raise WireError(say("body: expected an object of texts."))
    read: dict[str, str | None] = {}
    for name, content in value.items():
        if not isinstance(name, str) or len(name) > 30 or len(value) > 40:
            raise WireError(
                say("body: expected at most 40 parts with names of at most 30 letters.")
            )
        if isinstance(content, bool) or not isinstance(content, str | int | float | None):
            raise WireError(say("body, {name}: expected a text or null.", name=name[:30]))
        text = (
            None
            if content is None
            else _text(str(content), say("body, {name}", name=name), LONGEST_TEXT)
        )
        read[_storable(name)] = text
    return read
