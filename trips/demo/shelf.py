"""Put rows into the database so that a second time changes nothing."""

from collections import Counter
from typing import Any

from django.core.exceptions import ValidationError
from django.db import models

from claims.past import FROM_DEMO


class DemoFileError(Exception):
    """A row of the demo's files that the record refuses; the message names file and row."""


class Shelf:
    """Rows of one model, found by a key; saved only where they are new or differ.

    `rows` are those that exist; `key` names the fields that tell them apart.
    """

    def __init__(self, model: type[models.Model], key: tuple[str, ...], rows) -> None:
        self.model = model
        self.fields = {field.name: field for field in model._meta.concrete_fields}
        self.key = key
        self.rows = {self._key_of(row): row for row in rows}
        self.saved = Counter[str]()

    def put(self, where: str, **values: Any) -> models.Model:
        """The row with these values, new or brought up to date. `where` is said if it fails."""
        found = tuple(self._plain(name, values[name]) for name in self.key)
        row = self.rows.get(found)
        if row is None:
            row = self.rows[found] = self.model()
        elif not self._differs(row, values):
            return row
        self.saved["changed" if row.pk else "new"] += 1
        for name, value in values.items():
            setattr(row, name, value)
        clean_and_save(row, where)
        return row

    def _key_of(self, row) -> tuple:
        return tuple(getattr(row, self.fields[name].attname) for name in self.key)

    def _plain(self, name, value):
        """What the column holds: a related row's number instead of the row."""
        return value.pk if isinstance(value, models.Model) else self.fields[name].to_python(value)

    def _differs(self, row, values) -> bool:
        return any(
            getattr(row, self.fields[name].attname) != self._plain(name, value)
            for name, value in values.items()
        )


def clean_and_save(row: models.Model, where: str) -> None:
    """Save a row that passes every check; raises DemoFileError saying which it fails."""
    try:
        row.full_clean()
    except ValidationError as problem:
        raise DemoFileError(f"{where}: {'; '.join(problem.messages)}") from problem
    row._change_reason = FROM_DEMO
    row.save()


def from_text(model: type[models.Model], cells: dict[str, str], where: str) -> dict[str, Any]:
    """Cells of a CSV row as values of the model's fields; an empty cell is "not known".

    Raises DemoFileError naming the cell that can't be read.
    """
    values = {}
    for name, text in cells.items():
        field = model._meta.get_field(name)
        if text == "":
            values[name] = None if field.null else field.get_default()
            continue
        try:
            values[name] = field.to_python(text)
        except ValidationError as problem:
            raise DemoFileError(f"{where}, {name}: {'; '.join(problem.messages)}") from problem
    return values


def named(rows: dict[str, Any], name: str, where: str) -> Any:
    """The row that another row names. Raises DemoFileError if there is none of that name."""
    if name not in rows:
        raise DemoFileError(f"{where}: it names “{name}”, which is in no other file.")
    return rows[name]


def set_related(manager, rows) -> None:
    """Set a many-to-many relation, leaving it alone where it is right already."""
    if set(manager.values_list("pk", flat=True)) != {row.pk for row in rows}:
        manager.set(rows)
