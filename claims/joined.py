"""Rows with one of their relations in one question, for pages that would ask a second one.

A roundtrip to the database costs more than a few columns told twice; many rows told twice cost
more than a roundtrip. So `joined` takes one to-many relation of few rows, never two.
"""

from collections.abc import Iterable
from copy import copy
from typing import Any

from django.db.models import F, FilteredRelation, Func, Model, Q, QuerySet
from django.db.models.expressions import OrderBy
from django.db.models.functions import JSONArray

_ONE = "joined_one"


class JsonRow(JSONArray):
    """Columns as one JSON array. Django asks SQLite on each connection whether it can; it can.

    The tables have JSON columns, for which the system check asks the same once, at the start.
    """

    def as_sqlite(self, compiler, connection, **context):
        """Without asking."""
        return Func.as_sql(self, compiler, connection, **context)


def joined(rows: QuerySet, many: str, *its: str, only: Q | None = None) -> list[Any]:
    """The rows of a queryset, each once, with `many` at hand as after a prefetch; one query.

    Args:
        many: a to-many relation of which a row has few, in the order of its own model.
        its: relations of the many to one, joined as well.
        only: which of them; looks at them by `many`.
    """
    field = rows.model._meta.get_field(many)
    order = (_aliased(words) for words in field.related_model._meta.ordering)
    found: dict[int, tuple[Model, list[Model]]] = {}
    asked = (
        rows.annotate(**{_ONE: FilteredRelation(many, condition=only or Q())})
        .select_related(_ONE, *(f"{_ONE}__{name}" for name in its))
        .order_by(*(rows.query.order_by or rows.model._meta.ordering), *order)
    )
    for row in asked:
        kept, at_hand = found.setdefault(row.pk, (row, []))
        if (one := getattr(row, _ONE, None)) is not None:
            at_hand.append(one)
            if field.one_to_many:
                field.remote_field.set_cached_value(one, kept)
    for row, at_hand in found.values():
        at_once(row, many, at_hand)
    return [row for row, _ in found.values()]


def at_once(row: Model, many: str, rows: Iterable[Model]) -> None:
    """Say what is on the other side of a to-many relation, so that nothing asks for it."""
    answer = getattr(row, many).all()
    answer._result_cache = list(rows)
    answer._prefetch_done = True
    row._prefetched_objects_cache = getattr(row, "_prefetched_objects_cache", {})
    row._prefetched_objects_cache[many] = answer


def _aliased(order: str | OrderBy) -> str | OrderBy:
    """An order of the many's own model, told of the joined one."""
    if isinstance(order, OrderBy):
        its = copy(order)
        its.expression = F(f"{_ONE}__{order.expression.name}")
        return its
    return f"-{_ONE}__{order[1:]}" if order.startswith("-") else f"{_ONE}__{order}"
