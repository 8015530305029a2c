"""Which numbers the next rows get.

On PostgreSQL they go on from test to test, whatever is rolled back, so a test that moves them to
large ones puts them back: the next to multiply them would leave what a column holds.
"""

from django.apps import apps
from django.db import connection, models

from reports.benchmark.club import APPS


def next_numbers(number: int) -> None:
    """Every table of ours gives its next row this number."""
    with connection.cursor() as cursor:
        for model in apps.get_models(include_auto_created=True):
            table, key = model._meta.db_table, model._meta.pk
            if model._meta.app_label not in APPS or not isinstance(key, models.AutoField):
                continue
            if connection.vendor == "postgresql":
                cursor.execute(
                    "SELECT setval(pg_get_serial_sequence(%s, %s), %s, false)",
                    [f'"{table}"', key.column, number],
                )
            else:
                cursor.execute("DELETE FROM sqlite_sequence WHERE name = %s", [table])
                cursor.execute("INSERT INTO sqlite_sequence VALUES (%s, %s)", [table, number - 1])
