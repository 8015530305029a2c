"""Make a backup: every table and every kept file, as they were at one moment."""

import datetime as dt
from dataclasses import dataclass
from pathlib import Path

from django.apps import apps
from django.core.files.storage import Storage, default_storage
from django.db import connections, models, transaction
from django.db.migrations.recorder import MigrationRecorder

from claims.past import deleted_file_names
from trips.backup import archive, rows

# A file that is deleted between the look at the tables and the look at the files makes the two
# differ; then the whole is taken again.
TRIES = 3
SNAPSHOT = "snapshot"


@dataclass(frozen=True)
class Made:
    """What a backup holds."""

    path: Path
    rows: int
    files: int
    missing: tuple[str, ...]


def make(target: Path, *, now: dt.datetime) -> Made:
    """Write a backup to `target`; the site may go on running.

    Files that the tables name and the storage doesn't have are listed in `missing`: the rest of
    the record is kept all the same.
    """
    unfinished = target.with_name(target.name + ".unfinished")
    try:
        for last in (*[False] * (TRIES - 1), True):
            made = _attempt(unfinished, target, now)
            if last or not made.missing:
                break
        archive.put_in_place(unfinished, target)
    finally:
        unfinished.unlink(missing_ok=True)
    return made


def _attempt(unfinished: Path, target: Path, now: dt.datetime) -> Made:
    using = _snapshot_connection()
    writer = archive.start(unfinished)
    try:
        with transaction.atomic(using=using):
            named = _files_named(using)
            named |= _deleted_files(now, named)
            for model in rows.tables(apps):
                _add_table(writer, model, using)
            applied = sorted(MigrationRecorder(connections[using]).applied_migrations())
        missing = _add_files(writer, named)
        writer.close(
            {
                "made_at": now.isoformat(timespec="seconds"),
                "migrations": [f"{app}.{name}" for app, name in applied],
                "missing_files": missing,
            }
        )
    finally:
        connections[using].close()
        writer.zip.close()
    return Made(
        target,
        sum(part.rows or 0 for part in writer.parts),
        sum(part.name.startswith("files/") for part in writer.parts),
        tuple(missing),
    )


def _add_table(writer: archive.Writer, model: type[models.Model], using: str):
    """One table, packed; one that packs as hard as only bombs do is written again as it is."""
    count = model._base_manager.using(using).count()
    name = f"rows/{model._meta.label_lower}.jsonl"
    writer.add(name, rows.lines(model, using), packed=True, rows=count)
    if writer.last_is_too_dense():
        writer.take_back_last()
        writer.add(name, rows.lines(model, using), packed=False, rows=count)


def _snapshot_connection() -> str:
    """A second connection whose one transaction sees one moment and keeps nobody from writing."""
    settings = dict(connections.databases["default"])
    options = dict(settings.get("OPTIONS", {}))
    if connections["default"].vendor == "sqlite":
        options["transaction_mode"] = "DEFERRED"
    else:
        from psycopg import IsolationLevel

        options["isolation_level"] = IsolationLevel.REPEATABLE_READ
    connections.databases[SNAPSHOT] = {**settings, "OPTIONS": options}
    return SNAPSHOT


def _files_named(using: str) -> dict[str, Storage]:
    """Every stored name that a row points to, with the storage that has it."""
    named: dict[str, Storage] = {}
    for model in rows.tables(apps):
        for field in model._meta.concrete_fields:
            if isinstance(field, models.FileField):
                names = model._base_manager.using(using).exclude(**{field.attname: ""})
                named |= dict.fromkeys(names.values_list(field.attname, flat=True), field.storage)
    named.pop(None, None)
    return named


def _deleted_files(now: dt.datetime, named: dict[str, Storage]) -> dict[str, Storage]:
    """Files of deleted rows that can still be brought back, as far as the storage has them."""
    names = deleted_file_names(now, can_come_back=True)
    return {
        name: default_storage
        for name in names
        if name not in named and default_storage.exists(name)
    }


def _add_files(writer: archive.Writer, named: dict[str, Storage]) -> list[str]:
    missing = []
    for name in sorted(named):
        try:
            with named[name].open(name) as stream:
                writer.add(f"files/{name}", archive.pieces_of(stream), packed=False)
        except FileNotFoundError:
            missing.append(name)
    return missing
