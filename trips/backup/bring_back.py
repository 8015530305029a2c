"""Bring a backup back: checked to the last byte first, then all of it or nothing.

The tables are built as they were when the backup was made, filled, read out again and compared
with it, and only then brought up to this version. On SQLite that happens in a new file which
takes the old one's place at the end; on PostgreSQL in one transaction.
"""

import hashlib
import os
import sqlite3
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from django.apps import apps
from django.core.files.base import File
from django.core.files.storage import Storage, default_storage
from django.core.management import call_command
from django.core.management.color import no_style
from django.db import IntegrityError, OperationalError, connection, transaction
from django.db.migrations.executor import MigrationExecutor
from django.db.migrations.loader import MigrationLoader
from django.db.models import Max

from trips.backup import archive, rows
from trips.backup.archive import Archive, Part
from trips.backup.errors import BackupError


@dataclass(frozen=True)
class BroughtBack:
    """What was brought back, and where what stood there before lies now."""

    rows: int
    files: int
    kept_old: Path | None


def bring_back(path: Path, *, replace: bool, stamp: str) -> BroughtBack:
    """Fill this site's database and storage from a backup.

    Args:
        replace: a record that is here already may be put aside (SQLite: kept under another
            name that ends in `stamp`; PostgreSQL: gone).

    Raises:
        BackupError: damaged, newer than this program, or a record is here and `replace` isn't
            said. Nothing was changed then.
    """
    backup = archive.opened(path)
    targets = _known_migrations(backup)
    is_held = _holds_a_record()
    if is_held and not replace:
        raise BackupError(
            "There is a record here already. Say --replace to put the backup in its place."
        )
    _refuse_other_files(backup)
    # Before any table is made, which takes far longer than finding a line that is no row.
    archive.read_through(backup)
    if connection.vendor == "sqlite":
        kept = _fill_sqlite(backup, targets, stamp if is_held else "")
    else:
        kept = None
        _fill_in_one_transaction(backup, targets)
    return BroughtBack(
        sum(part.rows or 0 for part in backup.table_parts()), len(backup.file_parts()), kept
    )


def _known_migrations(backup: Archive) -> list[tuple[str, str]]:
    """The state of the tables that the backup was made from; this program must know all of it."""
    named = backup.about.get("migrations")
    if not isinstance(named, list) or not named:
        raise BackupError(f"{backup.path.name} is damaged: it doesn't say what it was made from.")
    known = MigrationLoader(None, ignore_no_migrations=True).disk_migrations
    pairs = [tuple(str(name).split(".", 1)) for name in named]
    ours = [pair for pair in pairs if len(pair) == 2 and pair[0] not in rows.LEFT_OUT]
    newer = [".".join(pair) for pair in ours if pair not in known]
    if newer:
        raise BackupError(
            f"{backup.path.name} was made by a newer version of this program (it names "
            f"{newer[0]}). Update the program, then bring it back."
        )
    return ours


def _holds_a_record() -> bool:
    with connection.cursor() as cursor:
        there = connection.introspection.table_names(cursor)
    users = apps.get_model("claims", "User")
    return users._meta.db_table in there and users._base_manager.exists()


# --- The two engines --------------------------------------------------------------------------
def _fill_sqlite(backup: Archive, targets: list[tuple[str, str]], stamp: str) -> Path | None:
    """Build a new file beside the old one; without a stamp there was nothing to put aside."""
    live = Path(str(connection.settings_dict["NAME"]))
    unfinished = live.with_name(live.name + ".restoring")
    _only_user_of(live)
    for leftover in (unfinished, *(Path(f"{unfinished}{end}") for end in ("-wal", "-shm"))):
        leftover.unlink(missing_ok=True)
    connection.close()
    connection.settings_dict["NAME"] = str(unfinished)
    written: list[str] = []
    try:
        # SQLite changes no tables inside a transaction; nobody else knows this file yet.
        models = _tables_as_then(backup, targets)
        with transaction.atomic():
            _fill_tables(backup, models)
        _bring_up_to_date()
        _sound(unfinished)
        written = _write_files(backup)
        connection.close()
        _leave_wal(unfinished)
        kept = _put_aside(live, stamp) if stamp else None
        archive.put_in_place(unfinished, live)
    except BaseException:
        connection.close()
        _delete_files(written)
        unfinished.unlink(missing_ok=True)
        raise
    finally:
        connection.close()
        connection.settings_dict["NAME"] = str(live)
    return kept


def _fill_in_one_transaction(backup: Archive, targets: list[tuple[str, str]]):
    written: list[str] = []
    try:
        with transaction.atomic():
            with connection.cursor() as cursor:
                tables = connection.introspection.table_names(cursor)
                for table in tables:
                    quoted = connection.ops.quote_name(table)
                    cursor.execute(f"DROP TABLE {quoted} CASCADE")
            _fill_tables(backup, _tables_as_then(backup, targets))
            _bring_up_to_date()
            written = _write_files(backup)
    except BaseException:
        _delete_files(written)
        raise


def _only_user_of(live: Path):
    """Leave WAL mode, which only works alone: a running site would go on with the old file."""
    if not live.exists():
        return
    connection.close()
    try:
        _leave_wal(live)
    except sqlite3.OperationalError as problem:
        raise BackupError(
            f"The record is in use ({problem}). Stop the site, then bring the backup back."
        ) from problem


def _leave_wal(path: Path):
    database = sqlite3.connect(path, timeout=1)
    try:
        database.execute("PRAGMA journal_mode=DELETE").fetchone()
    finally:
        database.close()


def _put_aside(live: Path, stamp: str) -> Path:
    """Give the old file a second name; it keeps its own until the new one takes it."""
    kept = live.with_name(f"{live.stem}.before-{stamp}{live.suffix}")
    try:
        os.link(live, kept)
    except OSError:  # a disk that knows no second names
        os.replace(live, kept)
    return kept


def _sound(path: Path):
    database = sqlite3.connect(path)
    try:
        answers = [
            *database.execute("PRAGMA integrity_check").fetchall(),
            *database.execute("PRAGMA foreign_key_check").fetchall(),
        ]
    finally:
        database.close()
    if answers != [("ok",)]:
        raise BackupError(f"The new database isn't sound: {answers[:3]}. Nothing was changed.")


# --- Tables -----------------------------------------------------------------------------------
def _tables_as_then(backup: Archive, targets: list[tuple[str, str]]) -> dict[str, type]:
    """Make the tables as they were at the backup; returns the models of that time by label."""
    executor = MigrationExecutor(connection)
    steps = _in_one_go(targets, executor.loader)
    if steps is None:
        executor.loader = MigrationLoader(connection, replace_migrations=False)
        steps = [target for target in targets if target not in executor.loader.replacements]
    graph = executor.loader.graph
    last = [
        step
        for step in steps
        if not any(child.key in steps for child in graph.node_map[step].children)
    ]
    state = executor.migrate(last)
    state.clear_delayed_apps_cache()
    models = {model._meta.label_lower: model for model in rows.tables(state.apps)}
    odd = sorted({part.label for part in backup.table_parts()} ^ set(models))
    if odd:
        raise BackupError(f"{backup.path.name} doesn't fit its own tables: {', '.join(odd[:3])}.")
    return models


def _in_one_go(
    targets: list[tuple[str, str]], loader: MigrationLoader
) -> list[tuple[str, str]] | None:
    """The same state by migrations that stand for many; None if one of those was begun only."""
    apps_then = {app for app, _ in targets}
    squashed = {key: step for key, step in loader.replacements.items() if key[0] in apps_then}
    replaced = {old for step in squashed.values() for old in step.replaces}
    if not replaced <= set(targets):
        return None
    return [*squashed, *(each for each in targets if each not in {*squashed, *replaced})]


def _fill_tables(backup: Archive, models: dict[str, type]):
    """Fill the tables, and compare them with the backup by reading them out again."""
    parts = {part.label: part for part in backup.table_parts()}
    if connection.vendor == "postgresql":
        # Making the tables leaves links checked at once; here they come before what they link.
        with connection.cursor() as cursor:
            cursor.execute("SET CONSTRAINTS ALL DEFERRED")
    for model in models.values():
        # Rows that the migrations themselves put there come from the backup instead.
        model._base_manager.all().delete()
    for label, part in parts.items():
        _read(backup, part, lambda text, m=models[label]: rows.load(m, text, "default"))
    for label, part in parts.items():
        digest = hashlib.sha256()
        for line in rows.lines(models[label], "default"):
            digest.update(line)
        if digest.hexdigest() != part.sha256:
            raise BackupError(f"{label} differs from the backup after reading it back.")
    try:
        connection.check_constraints()
    except IntegrityError as problem:
        raise BackupError(
            f"{backup.path.name} doesn't fit together: {problem}. Nothing was changed."
        ) from problem
    _never_again(models)


def _never_again(models: dict[str, type]):
    """New rows get new numbers, above those of rows that were deleted as well.

    A number that is given out twice would mix the pasts of two rows, and what was deleted
    couldn't come back under its own.
    """
    statements = connection.ops.sequence_reset_sql(no_style(), list(models.values()))
    with connection.cursor() as cursor:
        for statement in statements:
            cursor.execute(statement)
        for label, past in models.items():
            app, _, name = label.partition(".")
            model = models.get(f"{app}.{name.removeprefix('historical')}")
            if not name.startswith("historical") or model is None:
                continue
            table = model._meta.db_table
            numbers = (model._base_manager, past._base_manager)
            most = max(each.aggregate(most=Max("id"))["most"] or 0 for each in numbers)
            if not most:
                continue
            if connection.vendor == "sqlite":
                cursor.execute("DELETE FROM sqlite_sequence WHERE name = %s", [table])
                cursor.execute("INSERT INTO sqlite_sequence VALUES (%s, %s)", [table, most])
            else:
                setting = "SELECT setval(pg_get_serial_sequence(%s, 'id'), %s)"
                cursor.execute(setting, [connection.ops.quote_name(table), most])


def _read(backup: Archive, part: Part, use: Callable):
    with backup.open(part) as text:
        return use(text)


def _bring_up_to_date():
    try:
        call_command("migrate", interactive=False, verbosity=0)
    except OperationalError as problem:
        raise BackupError(f"The tables can't be brought up to date: {problem}") from problem


# --- Files ------------------------------------------------------------------------------------
def _storage() -> Storage:
    return default_storage


def _name(part: Part) -> str:
    return part.name.removeprefix("files/")


def _refuse_other_files(backup: Archive):
    """A file of the same name that isn't the same file would be lost; nobody asked for that."""
    for part in backup.file_parts():
        if _storage().exists(_name(part)) and not _same(part):
            raise BackupError(
                f"{_name(part)} is here already and differs from the backup's. Move it away first."
            )


def _same(part: Part) -> bool:
    digest = hashlib.sha256()
    with _storage().open(_name(part)) as stream:
        for chunk in archive.pieces_of(stream):
            digest.update(chunk)
    return digest.hexdigest() == part.sha256


def _write_files(backup: Archive) -> list[str]:
    """Write what isn't there yet; returns the names, for whoever has to take them back."""
    written: list[str] = []
    try:
        for part in backup.file_parts():
            if _storage().exists(_name(part)):
                continue
            try:
                with backup.open(part) as stream:
                    saved = _storage().save(_name(part), File(stream, name=_name(part)))
            except OSError as problem:
                raise BackupError(
                    f"{_name(part)} can't be written: {problem.strerror or problem}."
                ) from problem
            written.append(saved)
            if saved != _name(part):
                raise BackupError(f"{_name(part)} could not be written under its name.")
    except BaseException:
        _delete_files(written)
        raise
    return written


def _delete_files(names: list[str]):
    for name in names:
        _storage().delete(name)
