"""One party's whole record as one file in open formats: CSV tables, photos, a description."""

import datetime as dt
import json
import zipfile
from collections.abc import Iterator
from contextlib import contextmanager
from typing import BinaryIO

from django.db import connection, models, transaction

from claims.models import KeptFile, Party
from claims.services import files
from claims.services.jobs import Tell, no_tell
from claims.web.export import csv_bytes
from trips.models import Track, TripFile
from trips.moving import kept_rules, tables

TOLD_EVERY = 20
ABOUT = """{party}: the whole record, taken out on {day}

Every file in the folder "tables" is one table as CSV: UTF-8, commas, one line of column names,
one line a row. Open it with any spreadsheet program. "files" holds photos and papers as they are
kept; tables/files.csv says what each belongs to. "tracks" holds GPX files as they came;
tables/tracks.csv says of which trip. "packs" holds rule packs of your own, "sign-offs" every
checklist as it was signed, with its hash in tables/sign-offs.csv.

How to read a table
- "id" numbers the rows of one table. A column that ends in "_id" holds the number of a row of
  another table; a column with several numbers, separated by blanks, points to several rows.
- The ending of a column's name is its unit: _ug micrograms, _ml millilitres, _mm millimetres,
  _m metres, _udeg millionths of a degree, _minor the smallest unit of the currency, _micros
  millionths of it, _ppt parts per thousand, _pct per cent. "minutes" are minutes.
- An empty cell is "not known" or "not counted", never zero.
- Days are written 2031-05-03, moments in UTC, switches as yes and no.
- Text that a spreadsheet would run as a formula has an apostrophe in front.

What is not in here: log-ins and passwords, who changed what, and everything that is worked out
from these tables (it is worked out again).

The page "Bring a record in" makes a new record of this file, on any installation.
"""


@contextmanager
def _one_moment() -> Iterator[None]:
    """One transaction that sees one moment, also on PostgreSQL while somebody writes."""
    is_outermost = not connection.in_atomic_block
    with transaction.atomic():
        if is_outermost and connection.vendor == "postgresql":
            with connection.cursor() as cursor:
                cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ")
        yield


def take_out(party: Party, target: BinaryIO, *, now: dt.datetime, tell: Tell = no_tell) -> None:
    """Write the record of `party` as a zip into `target`."""
    with _one_moment():
        _take_out(party, target, now, tell)


def _take_out(party: Party, target: BinaryIO, now: dt.datetime, tell: Tell) -> None:
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as out:
        out.writestr("README.txt", ABOUT.format(party=party, day=now.date().isoformat()))
        rows, kinds = {}, tables.fact_tables()
        for number, model in enumerate(kinds):
            tell("Writing the tables", number, len(kinds))
            headers, lines = _table(model, party)
            out.writestr(tables.table_name(model), csv_bytes(headers, lines))
            rows[tables.table_name(model)] = len(lines)
        lines = _write_files(out, party, tell)
        out.writestr("tables/files.csv", csv_bytes(tables.FILE_COLUMNS, lines))
        lines = _write_tracks(out, party)
        out.writestr("tables/tracks.csv", csv_bytes(tables.TRACK_COLUMNS, lines))
        rows |= kept_rules.write(out, party)
        about = {"kind": tables.KIND, "format": tables.FORMAT, "made_at": now.isoformat()}
        out.writestr(tables.LIST, json.dumps(about | {"rows": rows}, indent=1))


def _table(model: type[models.Model], party: Party) -> tuple[list[str], list[list]]:
    columns, links = tables.columns(model), tables.links(model)
    rows = model._base_manager.filter(**{model.party_way: party.pk}).order_by("pk")
    headers = [field.attname for field in columns] + [field.name for field in links]
    lines = []
    if not links:
        for values in rows.values_list(*[field.attname for field in columns]):
            lines.append([_cell(*pair) for pair in zip(columns, values, strict=True)])
        return headers, lines
    for row in rows.prefetch_related(*[field.name for field in links]):
        cells = [_cell(field, getattr(row, field.attname)) for field in columns]
        for field in links:
            numbers = sorted(other.pk for other in getattr(row, field.name).all())
            cells.append(" ".join(map(str, numbers)))
        lines.append(cells)
    return headers, lines


def _cell(field: models.Field, value: object) -> object:
    return json.dumps(value) if isinstance(field, models.JSONField) else value


def _write_files(out: zipfile.ZipFile, party: Party, tell: Tell) -> list[list]:
    ties = {
        tie.file_id: tie
        for tie in TripFile.objects.filter(file__party=party).only("file", "trip", "weigh_in")
    }
    lines = []
    kept = list(KeptFile.objects.filter(party=party).order_by("pk"))
    for number, file in enumerate(kept):
        if number % TOLD_EVERY == 0:
            tell("Packing photos and papers", number, len(kept))
        tie = ties.get(file.pk)
        path = f"files/{file.pk}.{'pdf' if not file.is_photo else 'jpg'}"
        try:
            # Packed already; packing again only takes time.
            out.writestr(path, files.read_bytes(file), zipfile.ZIP_STORED)
        except FileNotFoundError:
            path = ""
        lines.append(
            [
                file.pk,
                str(file.uuid),
                path,
                file.paper_id,
                file.hole_id,
                file.spot_id,
                file.mark_id,
                file.done_id,
                tie.trip_id if tie else None,
                tie.weigh_in_id if tie else None,
                file.name_sent,
                file.caption,
                file.role,
                file.taken_at,
                file.latitude_udeg,
                file.longitude_udeg,
            ]
        )
    return lines


def _write_tracks(out: zipfile.ZipFile, party: Party) -> list[list]:
    lines = []
    for track in Track.objects.filter(party=party).defer("line", "pieces").order_by("pk"):
        path = f"tracks/{track.pk}.gpx"
        try:
            with files.default_storage.open(track.stored.name, "rb") as stored:
                out.writestr(path, stored.read())
        except FileNotFoundError:
            path = ""
        lines.append(
            [
                track.pk,
                str(track.uuid),
                path,
                track.trip_id,
                track.name_sent,
                track.clock_shift_minutes,
            ]
        )
    return lines
