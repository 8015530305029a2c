"""Tables as lines of text that are the same on every database, and back.

The first line names the columns; every other line is one row in that order, as JSON. Times are
ISO 8601, bytes base64, decimals and ids text: nothing depends on the engine, so a backup of a
laptop's file comes back into PostgreSQL and the other way round.
"""

import base64
import datetime as dt
import decimal
import json
import uuid
from collections.abc import Iterator
from typing import BinaryIO

from django.core.exceptions import ValidationError
from django.db import DatabaseError, models
from django.utils.duration import duration_string

from trips.backup.errors import BackupError

# Who is signed in now, who typed a wrong password, what a worker is to do next: of no use in
# another place.
LEFT_OUT = {"sessions", "axes", "django_tasks_database"}
BATCH = 1000
# One row, and the rows that are stored together. JSON takes up to twelve times its length once it
# is read, of empty lists and the like twenty times; the largest rows of a record are rule packs
# of 2 MB and imports of 5 MB.
LONGEST_LINE = 12 * 1024 * 1024
BATCH_BYTES = 4 * 1024 * 1024
MOST_BRACKETS = 500_000


def tables(apps) -> list[type[models.Model]]:
    """Every model with a table of its own, links included, in a stable order."""
    found = [
        model
        for model in apps.get_models(include_auto_created=True)
        if model._meta.managed and not model._meta.proxy and model._meta.app_label not in LEFT_OUT
    ]
    return sorted(found, key=lambda model: model._meta.label_lower)


def columns(model: type[models.Model]) -> list[models.Field]:
    """The stored columns of a model, in a stable order."""
    return sorted(model._meta.concrete_fields, key=lambda field: field.attname)


def lines(model: type[models.Model], using: str) -> Iterator[bytes]:
    """A table as lines, ordered by its key.

    Raises:
        BackupError: a row that `load` wouldn't take.
    """
    names = [field.attname for field in columns(model)]
    yield _line(names)
    rows = model._base_manager.using(using).order_by("pk").values_list(*names)
    for row in rows.iterator(chunk_size=BATCH):
        line = _line([_plain(value) for value in row])
        _refuse_line(line, f"A row of {model._meta.label}")
        yield line


def _refuse_line(line: bytes, what: str):
    if len(line) > LONGEST_LINE:
        raise BackupError(f"{what} is longer than {LONGEST_LINE // 1024 // 1024} MB.")
    if len(line) > MOST_BRACKETS and line.count(b"[") + line.count(b"{") > MOST_BRACKETS:
        raise BackupError(f"{what} holds more than {MOST_BRACKETS:,} lists.")


def _bounded_lines(text: BinaryIO) -> Iterator[bytes]:
    """Lines of a stream; of one that is too long as much as shows that it is."""
    while line := text.readline(LONGEST_LINE + 1):
        yield line


def look_through(text: BinaryIO, label: str) -> int:
    """Read a table's lines without storing them; returns how many rows.

    Raises:
        BackupError: a line that can't be one of the table, with its number.
    """
    columns_count, count = 0, -1
    for number, line in enumerate(_bounded_lines(text), start=1):
        _refuse_line(line, f"Line {number} of {label}")
        try:
            row = json.loads(line)
        except (ValueError, RecursionError) as problem:
            raise BackupError(f"Line {number} of {label} can't be read: {problem}") from problem
        if not isinstance(row, list) or (number > 1 and len(row) != columns_count):
            raise BackupError(f"Line {number} of {label} can't be read: it isn't one of its rows.")
        columns_count, count = len(row), number - 1
    return count


def load(model: type[models.Model], text: BinaryIO, using: str) -> None:
    """Fill an empty table from its lines.

    Raises:
        BackupError: a line that doesn't fit the table, with its number.
    """
    numbered = enumerate(_bounded_lines(text), start=1)
    fields = {field.attname: field for field in model._meta.concrete_fields}
    try:
        _, first = next(numbered)
        names = json.loads(first)
        order = [fields[name] for name in names]
    except (StopIteration, ValueError, KeyError, TypeError, RecursionError):
        raise BackupError(f"The columns of {model._meta.label} can't be read.") from None
    batch: list[models.Model] = []
    number = held_bytes = 0
    for number, line in numbered:
        _refuse_line(line, f"Line {number} of {model._meta.label}")
        try:
            values = [
                (field.attname, _value(field, value))
                for field, value in zip(order, json.loads(line), strict=True)
            ]
            batch.append(model(**dict(values)))
        except (ValueError, TypeError, OverflowError, RecursionError, ValidationError) as problem:
            raise BackupError(
                f"Line {number} of {model._meta.label} can't be read: {_said(problem)}"
            ) from problem
        held_bytes += len(line)
        if len(batch) == BATCH or held_bytes > BATCH_BYTES:
            _store(model, batch, using, number)
            batch, held_bytes = [], 0
    _store(model, batch, using, number)


def _store(model: type[models.Model], batch: list[models.Model], using: str, number: int):
    try:
        model._base_manager.using(using).bulk_create(batch)
    except (DatabaseError, OverflowError, ValueError) as problem:
        raise BackupError(
            f"{model._meta.label}, up to line {number}: {_said(problem)}. Nothing was changed."
        ) from problem


def _said(problem: Exception) -> str:
    text = " ".join(getattr(problem, "messages", ())) or str(problem)
    return text[:200]


def _line(values: list) -> bytes:
    # Sorted: PostgreSQL keeps the keys of a stored document in an order of its own.
    text = json.dumps(values, ensure_ascii=False, separators=(",", ":"), sort_keys=True)
    return text.encode() + b"\n"


def _plain(value):
    if isinstance(value, dt.datetime):
        return value.astimezone(dt.UTC).isoformat() if value.tzinfo else value.isoformat()
    if isinstance(value, (dt.date, dt.time)):
        return value.isoformat()
    if isinstance(value, (uuid.UUID, decimal.Decimal)):
        return str(value)
    if isinstance(value, dt.timedelta):
        return duration_string(value)
    if isinstance(value, (bytes, memoryview)):
        return base64.b64encode(bytes(value)).decode("ascii")
    return value


def _value(field: models.Field, value):
    while field.is_relation:
        field = field.target_field
    if value is None or isinstance(field, models.JSONField):
        return value
    if isinstance(field, models.BinaryField):
        return base64.b64decode(value)
    if isinstance(field, models.FileField):
        return value
    return field.to_python(value)
