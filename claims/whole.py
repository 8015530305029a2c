"""One row or some with the tables that hang on them, in one question instead of one for each.

What a prefetch would ask table by table is asked as a union: each table's columns as a JSON array,
numbered in the order of its model, with the number of the row that it hangs on. For one row, the
text of the question hangs on names alone, so it is made once a process. A row that several others
point at is made once, and they share it.
"""

import datetime as dt
import json
import uuid
from collections.abc import Callable, Iterable, Iterator
from copy import copy
from dataclasses import dataclass
from decimal import Decimal
from functools import cache, lru_cache
from typing import Any

from django.db import connections, models
from django.db.models import F, Q, Value, Window
from django.db.models.functions import RowNumber

from claims.joined import JsonRow, at_once

_PK = -1  # stands in the kept text for the number of the row
AT_ONCE = 1000  # rows: SQLite as it often comes takes 32,766 values in a question
Made = dict[tuple[type[models.Model], Any], models.Model]


@dataclass(frozen=True)
class Part:
    """A relation to fetch, with relations to one of its rows as `select_related` has them.

    `name`: after a part "papers", "papers__sites" are the sites of each of them. `order`: of the
    rows where it isn't that of their model. `only`: which of them.
    """

    name: str
    its: tuple[str, ...] = ()
    order: tuple[str, ...] = ()
    only: Q | None = None


def whole(row: models.Model, *parts: Part) -> Any:
    """A copy of a row with relations at hand as after a prefetch; one query for all of them.

    A copy, because what was fetched once for a page would be old after a save.
    """
    row = copy(row)
    sql, given = _asked_of_one(type(row), parts, row._state.db)
    _fill([row], parts, sql, [row.pk if value == _PK else value for value in given])
    return row


def wholes(rows: list[Any], *parts: Part) -> list[Any]:
    """Rows that were just fetched, with relations at hand; one query for each `AT_ONCE` of them."""
    if len(rows) == 1:
        return [whole(rows[0], *parts)]  # by a text that is kept
    for start in range(0, len(rows), AT_ONCE):
        some = rows[start : start + AT_ONCE]
        _fill(some, parts, *_asked(type(some[0]), parts, some[0]._state.db, _pks(some)))
    return rows


def _pks(rows: Iterable[models.Model]) -> tuple[Any, ...]:
    return tuple(row.pk for row in rows)


def _fill(rows: list[Any], parts: tuple[Part, ...], sql: str, given: Iterable[Any]) -> None:
    """Ask, and put what is found on the rows and on what hangs on them."""
    model, using = type(rows[0]), rows[0]._state.db
    found: list[list[tuple[int, int, list]]] = [[] for _ in parts]
    with connections[using].cursor() as cursor:
        cursor.execute(sql, list(given))
        for which, nth, holder, values in cursor.fetchall():
            found[which].append((nth, holder, json.loads(values)))
    made: Made = {}
    reached: dict[str, dict[Any, models.Model]] = {"": {row.pk: row for row in rows}}
    for part, lines in zip(parts, found, strict=True):
        outer, _, name = part.name.rpartition("__")
        field = _field(model, part)
        makers = _makers(field.related_model, part.its)
        many: dict[Any, list[models.Model]] = {pk: [] for pk in reached[outer]}
        for _, holder, values in sorted(lines, key=lambda line: line[0]):
            many[holder].append(_made(makers, values, using, made))
        reached[part.name] = {one.pk: one for its in many.values() for one in its}
        for pk, holder in reached[outer].items():
            _hang(holder, name, field, many[pk])


def _hang(row: models.Model, name: str, field, many: list[models.Model]) -> None:
    """Say what is on the other side of a relation of a row, and there whose it is."""
    if not field.many_to_many:
        for one in many:
            field.remote_field.set_cached_value(one, row)
    if field.one_to_one:
        field.set_cached_value(row, many[0] if many else None)
    else:
        at_once(row, name, many)


def _field(model: type[models.Model], part: Part):
    """The relation of a part, seen from the row that it hangs on."""
    *outer, name = part.name.split("__")
    for each in outer:
        model = model._meta.get_field(each).related_model
    return model._meta.get_field(name)


@lru_cache(maxsize=200)  # a question may name a day
def _asked_of_one(model: type[models.Model], parts: tuple[Part, ...], using: str) -> tuple:
    return _asked(model, parts, using, (_PK,))


def _asked(
    model: type[models.Model], parts: tuple[Part, ...], using: str, pks: tuple[Any, ...]
) -> tuple[str, tuple]:
    branches = []
    for at, part in enumerate(parts):
        field = _field(model, part)
        columns = [
            JsonRow(*(f"{prefix}{field.attname}" for field in fields))
            for prefix, fields in _tables(field.related_model, part.its)
        ]
        order = part.order or field.related_model._meta.ordering
        branches.append(
            field.related_model._base_manager.using(using)
            .filter(part.only or Q(), **{f"{_back(model, part)}__in": pks})
            .order_by()
            .values_list(
                *(Value(at), Window(RowNumber(), order_by=[*order, "pk"])),
                *(F(f"{field.remote_field.name}__pk"), JsonRow(*columns)),
            )
        )
    asked = branches[0].union(*branches[1:], all=True) if len(branches) > 1 else branches[0]
    sql, given = asked.query.sql_with_params()
    return sql, tuple(given)


def _back(model: type[models.Model], part: Part) -> str:
    """How a part's rows reach the row that all hangs on: "paper__party"."""
    names = []
    for name in part.name.split("__"):
        field = model._meta.get_field(name)
        names.insert(0, field.remote_field.name)
        model = field.related_model
    return "__".join(names)


def _tables(model: type[models.Model], its: tuple[str, ...]) -> Iterator[tuple[str, list]]:
    """Each table of a part, by how it is reached, with its columns."""
    yield "", model._meta.concrete_fields
    for path in _paths(its):
        reached = model
        for name in path:
            reached = reached._meta.get_field(name).related_model
        yield "__".join((*path, "")), reached._meta.concrete_fields


def _paths(its: tuple[str, ...]) -> list[tuple[str, ...]]:
    """Every step of the paths once, shorter ones first: `spot__site` is `spot` and `spot__site`."""
    steps = (path.split("__") for path in its)
    all_of = {tuple(names[: n + 1]): None for names in steps for n in range(len(names))}
    return sorted(all_of, key=len)


@dataclass(frozen=True)
class _Maker:
    """How a table's columns become an object, and where that hangs on the row's others."""

    model: type[models.Model]
    names: tuple[str, ...]
    reads: tuple[tuple[int, Callable[[Any], Any]], ...]
    pk_at: int
    path: tuple[str, ...]


@cache
def _makers(model: type[models.Model], its: tuple[str, ...]) -> tuple[_Maker, ...]:
    made = []
    for (_, fields), path in zip(_tables(model, its), ((), *_paths(its)), strict=True):
        reads = ((at, _read(field)) for at, field in enumerate(fields))
        made.append(
            _Maker(
                model=fields[0].model,
                names=tuple(field.attname for field in fields),
                reads=tuple((at, read) for at, read in reads if read is not None),
                pk_at=next(at for at, field in enumerate(fields) if field.primary_key),
                path=path,
            )
        )
    return tuple(made)


def _made(makers: tuple[_Maker, ...], tables: list[list], using: str, made: Made) -> models.Model:
    """A row with what it points at. Args: made: rows so far, by their model and number."""
    by_path: dict[tuple[str, ...], models.Model | None] = {}
    for maker, values in zip(makers, tables, strict=True):
        key = (maker.model, values[maker.pk_at])
        one = made.get(key)
        if one is None and key[1] is not None:
            for at, read in maker.reads:
                if values[at] is not None:
                    values[at] = read(values[at])
            one = made[key] = maker.model.from_db(using, maker.names, values)
        by_path[maker.path] = one
        if maker.path and (holder := by_path[maker.path[:-1]]) is not None:
            field = holder._meta.get_field(maker.path[-1])
            field.set_cached_value(holder, one)
            if one is not None and field.one_to_one:
                field.remote_field.set_cached_value(one, holder)
    return by_path[()]


def _read(field: models.Field) -> Callable[[Any], Any] | None:
    """What JSON says of a column as Python holds it; None where that is the same."""
    kind = field.get_internal_type()
    if kind == "ForeignKey" or kind == "OneToOneField":
        return _read(field.target_field)
    return _READS.get(kind)


def _instant(words: str) -> dt.datetime:
    """SQLite keeps UTC without saying so."""
    at = dt.datetime.fromisoformat(words)
    return at.replace(tzinfo=dt.UTC) if at.tzinfo is None else at.astimezone(dt.UTC)


_READS: dict[str, Callable[[Any], Any]] = {
    "BooleanField": bool,
    "DateField": dt.date.fromisoformat,
    "DateTimeField": _instant,
    "DecimalField": lambda value: Decimal(str(value)),
    "JSONField": lambda value: json.loads(value) if isinstance(value, str) else value,
    "TimeField": dt.time.fromisoformat,
    "UUIDField": uuid.UUID,
}
