"""A club beside one party: as many parties of the same size, row by row of their own."""

from collections.abc import Iterable
from graphlib import TopologicalSorter

from django.apps import apps
from django.core.management.color import no_style
from django.db import connection, models, transaction

from claims.models import Party, User

APPS = ("claims", "trips", "reports")


@transaction.atomic
def multiply(parties: int) -> int:
    """Put `parties` - 1 others beside the only party there is; rows in the database after it.

    Every row of every table is there once for each, with numbers of its own, so the tables grow as
    a club's do. Raises: ValueError if there isn't exactly one party.
    """
    if Party.objects.count() != 1:
        raise ValueError("A club is made from a database with one party.")
    tables = _in_order()
    steps = {model: _highest(model) for model in tables}
    with connection.cursor() as cursor:
        for model in tables:
            if steps[model]:
                cursor.execute(_copy(model, steps), [parties])
        for statement in connection.ops.sequence_reset_sql(no_style(), tables):
            cursor.execute(statement)
        cursor.execute("ANALYZE")
    return sum(model._base_manager.count() for model in tables)


def _in_order() -> list[type[models.Model]]:
    """Every table of ours, each after those that it points at."""
    mine = {
        model
        for app in APPS
        for model in apps.get_app_config(app).get_models(include_auto_created=True)
        if model._meta.managed and not model._meta.proxy
    }
    after = {model: {_target(f) for f in _fields(model)} & mine - {model} for model in mine}
    order = TopologicalSorter({m: sorted(after[m], key=_name) for m in sorted(mine, key=_name)})
    return list(order.static_order())


def _name(model: type[models.Model]) -> str:
    return model._meta.label


def _fields(model: type[models.Model]) -> Iterable[models.Field]:
    return model._meta.concrete_fields


def _target(field: models.Field) -> type[models.Model] | None:
    """The model whose number a column holds; past rows hold the number of the row itself."""
    if field.remote_field is not None:
        return field.remote_field.model
    if field.name == "record_party_id":
        return Party
    if field.name == "id" and not field.primary_key:
        return getattr(field.model, "instance_type", None)
    return None


def _highest(model: type[models.Model]) -> int:
    found = model._base_manager.order_by("-pk").values_list("pk", flat=True).first()
    return found or 0


def _copy(model: type[models.Model], steps: dict) -> str:
    quote = connection.ops.quote_name
    columns, values = [], []
    for field in _fields(model):
        name = quote(field.column)
        step = steps[model] if field.primary_key else steps.get(_target(field), 0)
        columns.append(name)
        if model is User and field.name == "username":
            values.append(f"t.{name} || '-' || numbers.n")
        else:
            values.append(f"t.{name} + numbers.n * {step}" if step else f"t.{name}")
    table = quote(model._meta.db_table)
    # The rows of one party lie together, as they do where people write at different times of day.
    return (
        f"INSERT INTO {table} ({', '.join(columns)}) WITH RECURSIVE numbers(n) AS "
        f"(SELECT 1 UNION ALL SELECT n + 1 FROM numbers WHERE n + 1 < %s) "
        f"SELECT {', '.join(values)} FROM numbers CROSS JOIN {table} t "
        f"ORDER BY numbers.n, t.{quote(model._meta.pk.column)}"
    )
