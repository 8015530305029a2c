"""What a party keeps beside its facts: rule packs of its own, and checklists as signed off.

Each is a file of its own (a pack as TOML, a sign-off as JSON) with a table that lists them. A
sign-off comes in as it was signed: its hash has to fit its text, and nothing in it is made anew.
"""

import datetime as dt
import json
import zipfile
from collections.abc import Callable, Iterable, Mapping
from typing import Any

from django.utils.dateparse import parse_datetime

from claims.lines import RANKS
from claims.models import Party, PartyPack, User
from claims.packs import packs_of
from claims.rules.loader import MAX_BYTES, PackError, check_together, load_text
from claims.web.export import csv_bytes
from trips.models import SignOff, Trip
from trips.moving.errors import NoRecord
from trips.selectors.snapshot import PLAN_WORDS, digest

PACKS, SIGN_OFFS = "tables/packs.csv", "tables/sign-offs.csv"
PACK_COLUMNS = ("id", "path", "pack_id", "title", "sha256", "added_at")
SIGN_OFF_COLUMNS = ("id", "path", "trip_id", "signer", "signed_at", "sha256")
MAX_PACKS, MAX_SIGN_OFFS = 200, 5_000
LINE_KEYS = ("outcome", "text", "why", "source", "confirm_with", "key")
PACK_KEYS = ("id", "title", "version", "review_by", "sha256")

Rows = Iterable[Mapping[str, str]]
Content = Callable[[str], bytes]


def write(out: zipfile.ZipFile, party: Party) -> dict[str, int]:
    """Put a party's packs and sign-offs into a record; returns the rows of each table."""
    packs = [_write_pack(out, row) for row in party.packs.order_by("pk")]
    out.writestr(PACKS, csv_bytes(PACK_COLUMNS, packs))
    signed = [
        _write_sign_off(out, row)
        for row in SignOff.objects.filter(trip__party=party).order_by("pk")
    ]
    out.writestr(SIGN_OFFS, csv_bytes(SIGN_OFF_COLUMNS, signed))
    return {PACKS: len(packs), SIGN_OFFS: len(signed)}


def _write_pack(out: zipfile.ZipFile, row: PartyPack) -> list[object]:
    path = f"packs/{row.pk}.toml"
    out.writestr(path, row.text)
    return [row.pk, path, row.pack_id, row.title, row.sha256, row.added_at]


def _write_sign_off(out: zipfile.ZipFile, row: SignOff) -> list[object]:
    path = f"sign-offs/{row.pk}.json"
    out.writestr(path, json.dumps(row.snapshot, ensure_ascii=False, indent=1, sort_keys=True))
    return [row.pk, path, row.trip_id, row.signer, row.signed_at, row.sha256]


def bring_packs(rows: Rows, content: Content, *, party: Party, user: User) -> None:
    """Keep the packs of a record that comes in.

    Raises: NoRecord for a pack that can't be used, with the pack's own messages.
    """
    for line, row in enumerate(rows, start=2):
        where = f"{PACKS}, line {line}"
        if line > MAX_PACKS + 1:
            raise NoRecord(f"{PACKS}: a record holds at most {MAX_PACKS} packs.")
        raw = content(_path(row, "packs/", where))
        if len(raw) > MAX_BYTES:
            raise NoRecord(f"{where}: a pack has at most {MAX_BYTES // 1_000_000} MB.")
        try:
            loaded = load_text(raw, row["path"])
        except PackError as error:
            raise NoRecord(f"{where}: {error.problems[0]}") from None
        if loaded.pack.pack.level == "own" or loaded.id == "own":
            raise NoRecord(f"{where}: “own” is kept for own rules.")
        if PartyPack.objects.filter(party=party, pack_id=loaded.id).exists():
            raise NoRecord(f"{where}: the pack “{loaded.id}” stands twice.")
        PartyPack.objects.create(
            party=party,
            pack_id=loaded.id,
            title=loaded.pack.pack.title[:400],
            text=raw.decode("utf-8"),
            sha256=loaded.sha256,
            added_by=user,
            added_at=_moment(row, "added_at", where),
        )
    circles = [
        problem
        for problem in check_together(packs_of(party.packs.all()))
        if "in a circle" in problem.message
    ]
    if circles:
        raise NoRecord(f"{PACKS}: {circles[0]}")


def bring_sign_offs(rows: Rows, content: Content, *, trips: Mapping[str, int]) -> None:
    """Keep the sign-offs of a record that comes in, as they were signed.

    Args: trips: new numbers of trips by their old ones.
    Raises: NoRecord for one that isn't what was signed.
    """
    for line, row in enumerate(rows, start=2):
        where = f"{SIGN_OFFS}, line {line}"
        if line > MAX_SIGN_OFFS + 1:
            raise NoRecord(f"{SIGN_OFFS}: a record holds at most {MAX_SIGN_OFFS} sign-offs.")
        trip = trips.get(row.get("trip_id", ""))
        if trip is None:
            raise NoRecord(f"{where}, trip_id: there is no such trip.")
        raw = content(_path(row, "sign-offs/", where))
        try:
            data = json.loads(raw)
        except (ValueError, RecursionError):
            raise NoRecord(f"{where}: its file can't be read.") from None
        if not _is_snapshot(data):
            raise NoRecord(f"{where}: its file is no checklist that was signed off.")
        if digest(data) != row.get("sha256"):
            raise NoRecord(f"{where}: its file isn't what was signed; the hash differs.")
        signer = row.get("signer", "")
        if not 0 < len(signer) <= 160:
            raise NoRecord(f"{where}, signer: give a name of at most 160 characters.")
        SignOff.objects.create(
            trip=Trip.objects.get(pk=trip),
            signer=signer,
            signed_at=_moment(row, "signed_at", where),
            snapshot=data,
            sha256=row["sha256"],
        )


def _path(row: Mapping[str, str], folder: str, where: str) -> str:
    path = row.get("path", "")
    if not path.startswith(folder):
        raise NoRecord(f"{where}, path: there is no file “{path[:80]}” in here.")
    return path


def _moment(row: Mapping[str, str], name: str, where: str) -> dt.datetime:
    try:
        made = parse_datetime(row.get(name, ""))
    except ValueError:
        made = None
    if made is None or made.tzinfo is None:
        raise NoRecord(f"{where}, {name}: write a moment such as 2031-05-02 09:00:00+00:00.")
    return made


def _is_snapshot(data: Any) -> bool:
    """Whether a page can show it: the keys that pages read, with texts where texts belong."""
    if not isinstance(data, dict) or not isinstance(data.get("plan"), dict):
        return False
    lists = [data.get(name) for name in ("packs", "sites", "cautions")]
    if not all(isinstance(one, list) for one in lists) or not set(PLAN_WORDS) <= set(data["plan"]):
        return False
    for site in data["sites"]:
        if not isinstance(site, dict) or not isinstance(site.get("lines"), list):
            return False
        if not _has_texts(site, ("title", "trigger")):
            return False
    rows = [line for site in data["sites"] for line in site["lines"]] + data["cautions"]
    return all(_has_texts(pack, PACK_KEYS) for pack in data["packs"]) and all(
        _has_texts(line, LINE_KEYS) and line["outcome"] in RANKS for line in rows
    )


def _has_texts(row: Any, keys: Iterable[str]) -> bool:
    return isinstance(row, dict) and all(isinstance(row.get(key), str) for key in keys)
