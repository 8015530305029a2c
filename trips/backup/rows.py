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
from collections.abc import Iterable, Iterator

from django.db import models
from django.utils.duration import duration_string

from trips.backup.errors import BackupError

# Who is signed in now, who typed a wrong password, what a worker is to do next: of no use in
# another place.
LEFT_OUT = {"sessions", "axes", "django_tasks_database"}
BATCH = 1000


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
    """A table as lines, ordered by its key."""
    names = [field.attname for field in columns(model)]
    yield _line(names)
    rows = model._base_manager.using(using).order_by("pk").values_list(*names)
    for row in rows.iterator(chunk_size=BATCH):
        yield _line([_plain(value) for value in row])


def load(model: type[models.Model], text: Iterable[bytes], using: str) -> int:
    """Fill an empty table from its lines; returns how many rows.

    Raises:
        BackupError: a line that doesn't fit the table, with its number.
    """
    numbered = enumerate(text, start=1)
    fields = {field.attname: field for field in model._meta.concrete_fields}
    try:
        _, first = next(numbered)
        names = json.loads(first)
        order = [fields[name] for name in names]
    except (StopIteration, ValueError, KeyError, TypeError):
        raise BackupError(f"The columns of {model._meta.label} can't be read.") from None
    count, batch = 0, []
    for number, line in numbered:
        try:
            values = json.loads(line)
            batch.append(
                model(
                    **{
                        field.attname: _value(field, value)
                        for field, value in zip(order, values, strict=True)
                    }
                )
            )
        except (ValueError, TypeError) as problem:
            raise BackupError(
                f"Line {number} of {model._meta.label} can't be read: {problem}"
            ) from problem
        count += 1
        if len(batch) == BATCH:
            model._base_manager.using(using).bulk_create(batch)
            batch = []
    if batch:
        model._base_manager.using(using).bulk_create(batch)
    return count


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
