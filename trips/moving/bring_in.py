"""A record that was taken out, made into a new party: all of it or nothing.

The file comes from anywhere, so everything about it is bounded and checked: sizes before
anything is unpacked, every value by the column it goes into, every photo as if it were sent anew.
"""

import datetime as dt
import itertools
import json
import uuid
import zipfile
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import BinaryIO

from django.core.exceptions import ValidationError
from django.db import IntegrityError, models, transaction

from claims import hooks
from claims.models import (
    ConditionMark,
    DutyDone,
    Hole,
    KeptFile,
    Membership,
    Paper,
    Party,
    Spot,
    User,
)
from claims.services import changes, files
from claims.services.jobs import Tell, no_tell
from trips.models import Trip, TripFile, WeighIn
from trips.moving import kept_rules, tables
from trips.moving.errors import NoRecord
from trips.moving.packed import PackedRecord, refuse_crowded
from trips.services.tracks import keep_track, move_clock

BATCH = 1_000
MOST_SHIFT_MINUTES = 10 * 366 * 24 * 60


@dataclass
class _Numbers:
    """Which new number each old one got, by table."""

    new: dict[type[models.Model], dict[str, int]] = field(default_factory=dict)

    def of(self, model: type[models.Model], old: str) -> int | None:
        return self.new.get(model, {}).get(old)


def bring_in(stream: BinaryIO, *, user: User, now: dt.datetime, tell: Tell = no_tell) -> Party:
    """Make a new party of a record; `user` becomes its keeper.

    Raises:
        NoRecord: what is wrong, and where. Nothing is kept then.
    """
    kept: list[str] = []
    try:
        refuse_crowded(stream)
        with zipfile.ZipFile(stream) as packed:
            inside = PackedRecord(packed)
            with transaction.atomic():
                return _bring_in(inside, user, now, kept, tell)
    except BaseException as problem:
        for name in kept:
            files.default_storage.delete(name)
        if isinstance(problem, zipfile.BadZipFile | EOFError | NotImplementedError | RuntimeError):
            raise NoRecord("This is no zip file, or it is damaged.") from problem
        raise


def _bring_in(
    inside: PackedRecord, user: User, now: dt.datetime, kept: list[str], tell: Tell
) -> Party:
    numbers = _Numbers()
    party = _party(inside, user, numbers)
    kinds = [model for model in tables.fact_tables() if model is not Party]
    for number, model in enumerate(kinds):
        tell("Reading the tables", number, len(kinds))
        _fill(model, inside.rows(tables.table_name(model)), party, numbers)
    tell("Taking in photos and papers")
    _bring_files(inside, party, user, now, numbers, kept)
    _bring_tracks(inside, party, user, now, numbers, kept)
    _bring_rules(inside, party, user, numbers)
    hooks.tell_party_changed(party)
    return party


def _party(inside: PackedRecord, user: User, numbers: _Numbers) -> Party:
    name = tables.table_name(Party)
    rows = list(itertools.islice(inside.rows(name), 2))
    if len(rows) != 1:
        raise NoRecord(f"{name} must hold exactly one row.")
    party = _row(Party, name, 2, rows[0], None, numbers)
    party.name = f"{party.name} (brought in)"[:120]
    party.save()
    numbers.new[Party] = {rows[0].get("id", ""): party.pk}
    Membership.objects.create(party=party, user=user, role=Membership.Role.KEEPER)
    return party


def _fill(model, rows: Iterable[dict[str, str]], party: Party, numbers: _Numbers) -> None:
    """Store the rows of a table, some at a time: a long table is never in memory whole."""
    name, links = tables.table_name(model), tables.links(model)
    new = numbers.new.setdefault(model, {})
    tied: list[tuple[int, models.ManyToManyField, int, str]] = []
    numbered = enumerate(rows, start=2)
    while batch := list(itertools.islice(numbered, BATCH)):
        made = [_row(model, name, line, cells, party, numbers) for line, cells in batch]
        try:
            with transaction.atomic():
                changes.create_many(model, made, party=party)
        except IntegrityError as problem:
            raise NoRecord(
                f"{name}: two rows don't go together, or one breaks a rule: {problem}"
            ) from problem
        for (line, cells), row in zip(batch, made, strict=True):
            old = cells.get("id", "")
            if old in new:
                raise NoRecord(f"{name}: a number in the column “id” stands twice.")
            new[old] = row.pk
            tied += [(line, link, row.pk, cells.get(link.name, "")) for link in links]
    for line, link, pk, told in tied:
        _tie(link, pk, told, f"{name}, line {line}, {link.name}", numbers)


def _tie(link: models.ManyToManyField, pk: int, told: str, where: str, numbers: _Numbers) -> None:
    through = link.remote_field.through
    near, far = f"{link.m2m_field_name()}_id", f"{link.m2m_reverse_field_name()}_id"
    for old in told.split():
        other = numbers.of(link.related_model, old)
        if other is None:
            raise NoRecord(f"{where}: there is no row {old[:20]}.")
        through._base_manager.create(**{near: pk, far: other})


def _row(model, name: str, line: int, cells: dict[str, str], party, numbers: _Numbers):
    """One row of a table as it will be stored; a column that is missing takes its default."""
    columns = {column.attname: column for column in tables.columns(model)}
    known = {*columns, *(link.name for link in tables.links(model))}
    if strange := sorted(set(cells) - known):
        raise NoRecord(f"{name} has a column “{strange[0][:40]}” that isn't known here.")
    values = {}
    for head, column in columns.items():
        if column.primary_key or head not in cells:
            continue
        where = f"{name}, line {line}, {head}"
        values[head] = _value(column, cells[head], where, numbers)
    row = model(**values)
    if party is not None and model.party_way == "party":
        row.party = party
    try:
        row.clean_fields(exclude=[c.name for c in model._meta.concrete_fields if c.is_relation])
    except ValidationError as problem:
        head, said = next(iter(problem.message_dict.items()))
        raise NoRecord(f"{name}, line {line}, {head}: {' '.join(said)}") from None
    return row


def _value(column: models.Field, text: str, where: str, numbers: _Numbers):
    if column.is_relation:
        if not text:
            if not column.null:
                raise NoRecord(f"{where}: it is empty.")
            return None
        pk = numbers.of(column.related_model, text)
        if pk is None:
            if column.null:
                return None
            raise NoRecord(f"{where}: there is no row {text[:20]}.")
        return pk
    if isinstance(column, models.BooleanField):
        if text in ("yes", "no"):
            return text == "yes"
        if text == "" and column.null:
            return None
        raise NoRecord(f"{where}: write yes or no.")
    if text == "" and not isinstance(column, models.CharField | models.TextField):
        return None if column.null else column.get_default()
    if isinstance(column, models.JSONField):
        try:
            return json.loads(text)
        except (ValueError, RecursionError):
            raise NoRecord(f"{where}: it can't be read.") from None
    try:
        return column.to_python(text)
    except ValidationError as problem:
        raise NoRecord(f"{where}: {' '.join(problem.messages)}") from None


# --- Photos and papers ------------------------------------------------------------------------
OWNERS: tuple[tuple[str, type[models.Model]], ...] = (
    ("paper_id", Paper),
    ("hole_id", Hole),
    ("spot_id", Spot),
    ("mark_id", ConditionMark),
    ("done_id", DutyDone),
)


def _bring_files(
    inside: PackedRecord, party, user, now, numbers: _Numbers, kept: list[str]
) -> None:
    name = "tables/files.csv"
    for line, row in enumerate(inside.rows(name), start=2):
        where = f"{name}, line {line}"
        path = row.get("path", "")
        if not path:
            continue
        if not path.startswith("files/") or path not in inside:
            raise NoRecord(f"{where}, path: there is no file “{path[:80]}” in here.")
        owner, link = _owner(row, where, numbers)
        try:
            done = files.keep(
                party=party,
                owner=owner,
                content=inside.content(path),
                name=row.get("name_sent", "") or path,
                user=user,
                now=now,
                uuid=uuid.UUID(row.get("uuid", "")),
                caption=row.get("caption", "")[:200],
                role=row.get("role", "other"),
                link=link,
                **_where_taken(row),
            )
        except ValidationError as problem:
            raise NoRecord(f"{where}: {' '.join(problem.messages)}") from None
        except ValueError:
            raise NoRecord(f"{where}: a value can't be read.") from None
        kept += [each.name for each in (done.file.stored, done.file.stored_small) if each]


def _owner(row: dict[str, str], where: str, numbers: _Numbers):
    """What a file belongs to, and what ties it there where a tie is a row of its own."""
    for column, model in OWNERS:
        if row.get(column):
            pk = numbers.of(model, row[column])
            if pk is None:
                raise NoRecord(f"{where}, {column}: there is no row {row[column][:20]}.")
            return model.objects.get(pk=pk), None
    trip = numbers.of(Trip, row.get("trip_id", ""))
    weigh_in = numbers.of(WeighIn, row.get("weigh_in_id", ""))
    if trip is None and weigh_in is None:
        raise NoRecord(f"{where}: it doesn't say what the file belongs to.")

    def tie(file: KeptFile) -> None:
        TripFile.objects.create(file=file, trip_id=trip, weigh_in_id=weigh_in)

    return None, tie


def _where_taken(row: dict[str, str]) -> dict[str, object]:
    taken, latitude, longitude = (
        row.get(name, "") for name in ("taken_at", "latitude_udeg", "longitude_udeg")
    )
    found: dict[str, object] = {}
    if taken:
        found["taken_at"] = dt.datetime.fromisoformat(taken)
    if latitude and longitude:
        found["position"] = (int(latitude), int(longitude))
    return found


def _bring_tracks(
    inside: PackedRecord, party, user, now, numbers: _Numbers, kept: list[str]
) -> None:
    name = "tables/tracks.csv"
    for line, row in enumerate(inside.rows(name), start=2):
        where = f"{name}, line {line}"
        path, trip = row.get("path", ""), numbers.of(Trip, row.get("trip_id", ""))
        if not path:
            continue
        if not path.startswith("tracks/") or path not in inside:
            raise NoRecord(f"{where}, path: there is no file “{path[:80]}” in here.")
        if trip is None:
            raise NoRecord(f"{where}, trip_id: there is no such trip.")
        try:
            done = keep_track(
                trip=Trip.objects.select_related("party").get(pk=trip),
                content=inside.content(path),
                name=row.get("name_sent", "") or path,
                user=user,
                now=now,
                uuid=uuid.UUID(row.get("uuid", "")),
            )
            kept.append(done.track.stored.name)
            shift = int(row.get("clock_shift_minutes", "") or 0)
            if abs(shift) > MOST_SHIFT_MINUTES:
                raise ValueError
            move_clock(track=done.track, minutes=shift)
        except ValidationError as problem:
            raise NoRecord(f"{where}: {' '.join(problem.messages)}") from None
        except ValueError:
            raise NoRecord(f"{where}: a value can't be read.") from None


def _bring_rules(inside: PackedRecord, party, user, numbers: _Numbers) -> None:
    def content(path: str) -> bytes:
        if path not in inside:
            raise NoRecord(f"There is no file “{path[:80]}” in here.")
        return inside.content(path)

    packs, signed = (inside.rows(name) for name in (kept_rules.PACKS, kept_rules.SIGN_OFFS))
    kept_rules.bring_packs(packs, content, party=party, user=user)
    kept_rules.bring_sign_offs(signed, content, trips=numbers.new.get(Trip, {}))
