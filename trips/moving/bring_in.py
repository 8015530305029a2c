"""A record that was taken out, made into a new party: all of it or nothing.

The file comes from anywhere, so everything about it is bounded and checked: sizes before
anything is unpacked, every value by the column it goes into, every photo as if it were sent anew.
"""

import csv
import datetime as dt
import io
import json
import uuid
import zipfile
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
from claims.pictures import MAX_PHOTO_BYTES
from claims.services import changes, files
from claims.services.jobs import Tell, no_tell
from claims.web.export import undefused
from trips.models import Trip, TripFile, WeighIn
from trips.moving import kept_rules, tables
from trips.moving.errors import NoRecord
from trips.services.tracks import keep_track, move_clock

MAX_ENTRIES = 20_000
MAX_TABLE_BYTES = 60_000_000
MAX_ROWS = 400_000
MAX_CELL = 100_000
MAX_FILES_BYTES = 4_000_000_000
FOLDERS = ("files/", "tracks/", "packs/", "sign-offs/")
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
        with zipfile.ZipFile(stream) as inside:
            _check_outline(inside)
            with transaction.atomic():
                return _bring_in(inside, user, now, kept, tell)
    except BaseException as problem:
        for name in kept:
            files.default_storage.delete(name)
        if isinstance(problem, zipfile.BadZipFile | EOFError | NotImplementedError | RuntimeError):
            raise NoRecord("This is no zip file, or it is damaged.") from problem
        raise


def _bring_in(inside, user: User, now: dt.datetime, kept: list[str], tell: Tell) -> Party:
    numbers = _Numbers()
    party = _party(inside, user, numbers)
    left = MAX_ROWS
    kinds = [model for model in tables.fact_tables() if model is not Party]
    for number, model in enumerate(kinds):
        tell("Reading the tables", number, len(kinds))
        rows = _read(inside, tables.table_name(model), left)
        left -= len(rows)
        _fill(model, rows, party, numbers)
    tell("Taking in photos and papers")
    _bring_files(inside, party, user, now, numbers, kept)
    _bring_tracks(inside, party, user, now, numbers, kept)
    _bring_rules(inside, party, user, numbers)
    hooks.tell_party_changed(party)
    return party


def _check_outline(inside: zipfile.ZipFile) -> None:
    names = inside.namelist()
    if tables.LIST not in names:
        raise NoRecord(f"This is no record that was taken out: it has no {tables.LIST}.")
    if len(names) > MAX_ENTRIES:
        raise NoRecord(f"It holds {len(names)} files; at most {MAX_ENTRIES} are read.")
    known = {tables.LIST, "README.txt", "tables/files.csv", "tables/tracks.csv"}
    known |= {tables.table_name(model) for model in tables.fact_tables()}
    known |= {kept_rules.PACKS, kept_rules.SIGN_OFFS}
    total = 0
    for info in inside.infolist():
        if info.filename in known:
            limit = MAX_TABLE_BYTES
        elif info.filename.startswith(FOLDERS) and ".." not in info.filename:
            limit = MAX_PHOTO_BYTES
            total += info.file_size
        else:
            raise NoRecord(
                f"“{info.filename[:80]}” doesn't belong into a record. If a newer version of the "
                "program made this file, update the program first."
            )
        if info.file_size > limit:
            raise NoRecord(f"“{info.filename[:80]}” is larger than {limit // 1_000_000} MB.")
    if total > MAX_FILES_BYTES:
        raise NoRecord("Its photos and papers are larger than 4 GB in all.")
    try:
        about = json.loads(_bytes(inside, tables.LIST))
    except ValueError:
        raise NoRecord(f"{tables.LIST} can't be read.") from None
    if not isinstance(about, dict) or about.get("kind") != tables.KIND:
        raise NoRecord(f"This is no record that was taken out: {tables.LIST} doesn't say so.")
    if about.get("format") != tables.FORMAT:
        raise NoRecord("A newer version of the program made this file. Update the program first.")


def _bytes(inside: zipfile.ZipFile, name: str) -> bytes:
    """One file of the zip, never more than it says of itself."""
    info = inside.getinfo(name)
    with inside.open(info) as stream:
        data = stream.read(info.file_size + 1)
    if len(data) > info.file_size:
        raise NoRecord(f"“{name}” is larger than it says of itself.")
    return data


def _read(inside: zipfile.ZipFile, name: str, most: int) -> list[dict[str, str]]:
    """The rows of a table; a table that isn't there has none."""
    if name not in inside.namelist():
        return []
    try:
        text = _bytes(inside, name).decode("utf-8-sig")
    except UnicodeDecodeError:
        raise NoRecord(f"{name} is not UTF-8 text.") from None
    csv.field_size_limit(MAX_CELL)
    rows = []
    try:
        reader = csv.DictReader(io.StringIO(text, newline=""), strict=True)
        for row in reader:
            if None in row or None in row.values():
                raise NoRecord(
                    f"{name}, line {reader.line_num}: it has more or fewer cells than the heads."
                )
            rows.append({head: undefused(cell) for head, cell in row.items()})
            if len(rows) > most:
                raise NoRecord(f"{name}: a record holds at most {MAX_ROWS} rows in all.")
    except csv.Error as problem:
        raise NoRecord(f"{name}, line {reader.line_num}: {problem}.") from None
    return rows


def _party(inside, user: User, numbers: _Numbers) -> Party:
    name = tables.table_name(Party)
    rows = _read(inside, name, 2)
    if len(rows) != 1:
        raise NoRecord(f"{name} must hold exactly one row.")
    party = _row(Party, name, 2, rows[0], None, numbers)
    party.name = f"{party.name} (brought in)"[:120]
    party.save()
    numbers.new[Party] = {rows[0].get("id", ""): party.pk}
    Membership.objects.create(party=party, user=user, role=Membership.Role.KEEPER)
    return party


def _fill(model, rows: list[dict[str, str]], party: Party, numbers: _Numbers) -> None:
    name = tables.table_name(model)
    made = [_row(model, name, line, row, party, numbers) for line, row in enumerate(rows, start=2)]
    olds = [row.get("id", "") for row in rows]
    if len(set(olds)) != len(olds):
        raise NoRecord(f"{name}: a number in the column “id” stands twice.")
    try:
        with transaction.atomic():
            changes.create_many(model, made, party=party)
    except IntegrityError as problem:
        raise NoRecord(
            f"{name}: two rows don't go together, or one breaks a rule: {problem}"
        ) from (problem)
    numbers.new[model] = dict(zip(olds, [row.pk for row in made], strict=True))
    for link in tables.links(model):
        _link(model, link, rows, made, numbers)


def _link(model, link, rows, made, numbers: _Numbers) -> None:
    through = link.remote_field.through
    near, far = f"{link.m2m_field_name()}_id", f"{link.m2m_reverse_field_name()}_id"
    name = tables.table_name(model)
    for line, (row, new) in enumerate(zip(rows, made, strict=True), start=2):
        for old in row.get(link.name, "").split():
            pk = numbers.of(link.related_model, old)
            if pk is None:
                raise NoRecord(f"{name}, line {line}, {link.name}: there is no row {old[:20]}.")
            through._base_manager.create(**{near: new.pk, far: pk})


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
        except ValueError:
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


def _bring_files(inside, party, user, now, numbers: _Numbers, kept: list[str]) -> None:
    name = "tables/files.csv"
    for line, row in enumerate(_read(inside, name, MAX_ENTRIES), start=2):
        where = f"{name}, line {line}"
        path = row.get("path", "")
        if not path:
            continue
        if not path.startswith("files/") or path not in inside.namelist():
            raise NoRecord(f"{where}, path: there is no file “{path[:80]}” in here.")
        owner, link = _owner(row, where, numbers)
        try:
            done = files.keep(
                party=party,
                owner=owner,
                content=_bytes(inside, path),
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


def _bring_tracks(inside, party, user, now, numbers: _Numbers, kept: list[str]) -> None:
    name = "tables/tracks.csv"
    for line, row in enumerate(_read(inside, name, MAX_ENTRIES), start=2):
        where = f"{name}, line {line}"
        path, trip = row.get("path", ""), numbers.of(Trip, row.get("trip_id", ""))
        if not path:
            continue
        if not path.startswith("tracks/") or path not in inside.namelist():
            raise NoRecord(f"{where}, path: there is no file “{path[:80]}” in here.")
        if trip is None:
            raise NoRecord(f"{where}, trip_id: there is no such trip.")
        try:
            done = keep_track(
                trip=Trip.objects.select_related("party").get(pk=trip),
                content=_bytes(inside, path),
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


def _bring_rules(inside, party, user, numbers: _Numbers) -> None:
    def content(path: str) -> bytes:
        if path not in inside.namelist():
            raise NoRecord(f"There is no file “{path[:80]}” in here.")
        return _bytes(inside, path)

    packs, signed = (
        _read(inside, name, MAX_ENTRIES) for name in (kept_rules.PACKS, kept_rules.SIGN_OFFS)
    )
    kept_rules.bring_packs(packs, content, party=party, user=user)
    kept_rules.bring_sign_offs(signed, content, trips=numbers.new.get(Trip, {}))
