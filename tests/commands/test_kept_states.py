"""Records that earlier programs kept come forward with every figure and report as it was.

`kept/` holds what each of them made of the demo: a backup and reports. The figures that it worked
out lie in its backup beside the facts, so today's sums are compared with what was shown then.
None is released yet: the first stands for an early state of the tables.
"""

import json
import sqlite3
import zipfile
from pathlib import Path

import pytest

from tests.commands.keep_state import KEPT, RECORD, REPORTS, write_reports
from tests.commands.test_old_backups import run

STATES = sorted(path.parent for path in KEPT.glob(f"*/{RECORD}"))
# What was worked out, and by what a row of it is known. Left out: the row's own number, when and
# by which sums it was made.
DERIVED = {
    "trips_derivedtripfigures": ("trip_id",),
    "trips_derivedshare": ("weigh_in_id", "run_id", "pan_id"),
}
OF_THE_ROW = {"id", "sum_version", "rebuilt_at"}


def told_then(path: Path, table: str) -> list[dict]:
    """The rows of a table as the backup holds them."""
    with zipfile.ZipFile(path) as inside:
        lines = inside.read(f"rows/{table.replace('_', '.', 1)}.jsonl").decode().splitlines()
    names, *rows = map(json.loads, lines)
    return [dict(zip(names, row, strict=True)) for row in rows]


def told_now(database: sqlite3.Connection, table: str) -> list[dict]:
    rows = database.execute(f"select * from {table}")
    names = [column[0] for column in rows.description]
    return [dict(zip(names, row, strict=True)) for row in rows]


def figures(rows: list[dict], key: tuple[str, ...], names: set[str]) -> dict[tuple, dict]:
    """By its key each row with these columns; documents as what they hold, not as text."""
    found = {}
    for row in rows:
        values = {name: row[name] for name in names}
        for name, value in values.items():
            if isinstance(value, str) and value.startswith(("[", "{")):
                values[name] = json.loads(value)
        found[tuple(row[name] for name in key)] = values
    assert len(found) == len(rows)
    return found


def compare(state: Path, file: Path):
    """Look that a database holds the figures of a kept state."""
    with sqlite3.connect(file) as database:
        for table, key in DERIVED.items():
            then, now = told_then(state / RECORD, table), told_now(database, table)
            # A column that is gone fails here: say in README which figure changed, and how.
            names = set(then[0]) - OF_THE_ROW
            assert figures(now, key, names) == figures(then, key, names), table
            assert len(then) > 40
            assert sum(any(row[name] for name in names - set(key)) for row in then) > 40


def rows_of(report: Path) -> list[bytes]:
    """The lines of a report below its heads, whose words may change."""
    return report.read_bytes().splitlines()[1:]


@pytest.mark.parametrize("state", STATES, ids=lambda path: path.name)
def test_a_record_of_an_earlier_program_shows_the_same_figures(state, tmp_path):
    file = tmp_path / "ledger.sqlite3"
    url = f"sqlite:///{file}"
    run(tmp_path, "manage.py", "restore", str(state / RECORD), url=url)
    compare(state, file)
    with sqlite3.connect(file) as database:
        # Nothing of them stays: what is compared next is worked out by today's sums.
        for table in DERIVED:
            database.execute(f"delete from {table}")
    run(tmp_path, "manage.py", "rebuild", url=url)
    compare(state, file)
    write_reports(tmp_path, tmp_path, url)
    for name in REPORTS:
        assert rows_of(tmp_path / name) == rows_of(state / name), name
        assert len(rows_of(state / name)) > 5


def test_a_changed_figure_would_be_seen():
    table, key = "trips_derivedtripfigures", DERIVED["trips_derivedtripfigures"]
    then = told_then(STATES[0] / RECORD, table)
    names = set(then[0]) - OF_THE_ROW
    one = next(row for row in then if row["outlay_minor"])
    other = [row | {"outlay_minor": row["outlay_minor"] + 1} if row is one else row for row in then]
    assert figures(other, key, names) != figures(then, key, names)
