"""Which tables a query would read from end to end, asked of the database itself.

A page of one party must find its rows by an index, or it gets slower when another party grows.
"""

import json
import re
from collections.abc import Iterable, Iterator

from django.apps import apps
from django.db import connection, models

from reports.benchmark.club import APPS

WAYS = ("seqscan", "hashjoin", "mergejoin")
_ALIAS = r"(?: (?:AS )?\"?([TUVW]\d+)\"?)?"


def tables() -> dict[str, type[models.Model]]:
    """Every table of ours by its name."""
    return {
        model._meta.db_table: model
        for app in APPS
        for model in apps.get_app_config(app).get_models(include_auto_created=True)
    }


def read_whole(sql: str) -> set[str]:
    """Our tables that the database would go through without an index that narrows them.

    Ask within a transaction, with more than a handful of rows in the tables that matter.
    """
    if not sql.startswith(("SELECT", "WITH", "(SELECT")):
        return set()
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            cursor.execute(f"EXPLAIN QUERY PLAN {sql}")
            names = _scanned(row[3] for row in cursor.fetchall())
        else:
            # Which index could serve, not what is cheapest while the tables are small.
            for way in WAYS:
                cursor.execute(f"SET LOCAL enable_{way} = off")
            cursor.execute(f"EXPLAIN (FORMAT JSON) {sql}")
            found = cursor.fetchone()[0]
            plan = json.loads(found) if isinstance(found, str) else found
            names = {node["Alias"] for node in _nodes(plan[0]["Plan"]) if _is_whole(node)}
            for way in WAYS:
                cursor.execute(f"SET LOCAL enable_{way} = on")
    named = {name: name for name in tables()}
    for table, alias in re.findall(rf'"(\w+)"{_ALIAS}', sql):
        if alias:
            named[alias] = table
    return {named[name] for name in names if name in named and named[name] in tables()}


def _scanned(details: Iterable[str]) -> set[str]:
    """Names in lines such as "SCAN t" or "SCAN t USING INDEX i", which goes through all of it."""
    return {match[1] for line in details if (match := re.match(r"SCAN (\w+)", line))}


def _nodes(plan: dict) -> Iterator[dict]:
    yield plan
    for part in plan.get("Plans", ()):
        yield from _nodes(part)


def _is_whole(node: dict) -> bool:
    kind = node["Node Type"]
    if kind == "Seq Scan":
        return True
    return kind in ("Index Scan", "Index Only Scan") and "Index Cond" not in node
