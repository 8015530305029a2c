"""Imports against reading the same rows with `csv.DictReader` and storing them in bulk.

The floor stores what must be there: each row and its first past state, without a single check.
Everything is rolled back, so that each turn finds the same record.
"""

import csv
import datetime as dt
import io
import uuid
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from django.db import models, transaction

from claims.models import Party, Site, Spot
from reports.benchmark.ground import AS_OF, BATCH
from reports.benchmark.record import NOON, Built
from trips.calc.peak_csv import read_peaks
from trips.calc.price_csv import read_prices, read_sheet
from trips.calc.sheet_columns import guess_columns
from trips.calc.sheet_file import read_file
from trips.calc.sheet_rows import Reading, read_lines
from trips.models import (
    Cost,
    FieldEntry,
    Flood,
    Gauge,
    HoursBlock,
    Price,
    Run,
    TestPan,
    Trip,
    TripSite,
    WeighIn,
)
from trips.moving.bring_in import bring_in
from trips.moving.take_out import take_out
from trips.services.floods import import_peaks
from trips.services.importing import plan_import, save_import
from trips.services.prices import import_prices
from trips.services.tracks import keep_track
from trips.sync.receive import receive
from trips.sync.wire import read_batch

GPX_POINTS = 3_600
BATCH_OF_A_PHONE = 50
FIRST = dt.date(1990, 1, 1)


@dataclass(frozen=True)
class Import:
    """An import of so many rows, its floor and what the floor does."""

    name: str
    rows: int
    work: Callable[[], object]
    floor: Callable[[], object] | None
    against: str
    budget: float | None = 1.67


def imports(built: Built, lines: int) -> tuple[Import, ...]:
    """Every import with a file of `lines` lines, or of as much as its own bounds take."""
    return (
        _prices(built.party, lines),
        _past_trips(built.party, max(1, lines // 4)),
        _peaks(built.party, max(1, min(lines, 200))),
        _entries(built),
        _track(built),
        _whole_record(built),
    )


def _undone(work: Callable[[], object]) -> Callable[[], object]:
    def once():
        with transaction.atomic():
            work()
            transaction.set_rollback(True)

    return once


def _days(lines: int) -> list[dt.date]:
    return [FIRST + dt.timedelta(n) for n in range(lines)]


def _store(rows: Iterable[models.Model]) -> list:
    """Rows of one model and their past, without a check."""
    rows = list(rows)
    model = type(rows[0])
    model.objects.bulk_create(rows, batch_size=BATCH)
    past = model.history.model
    names = [f.attname for f in model._meta.concrete_fields]
    past.objects.bulk_create(
        [
            past(history_date=NOON, history_type="+", **{n: getattr(row, n) for n in names})
            for row in rows
        ],
        batch_size=BATCH,
    )
    return rows


def _prices(party: Party, lines: int) -> Import:
    text = "date,price\n" + "".join(
        f"{day},{1800 + n % 500}.25\n" for n, day in enumerate(_days(lines))
    )

    def work():
        read = read_prices(
            read_sheet(text), date_column=0, price_column=1, decimal_mark=".", month_day="last",
            latest=AS_OF,
        )  # fmt: skip
        import_prices(
            party=party, currency="USD", per_unit="ozt", source="A file", lines=read.good,
            replace=False,
        )  # fmt: skip

    def floor():
        _store(
            Price(
                party=party, currency="USD", day=dt.date.fromisoformat(row["date"]),
                amount_micros=int(float(row["price"]) * 1_000_000),
            )
            for row in csv.DictReader(io.StringIO(text))
        )  # fmt: skip

    return Import("Prices", lines, _undone(work), _undone(floor), "DictReader, bulk_create")


def _past_trips(party: Party, lines: int) -> Import:
    site = Site.objects.filter(party=party).order_by("pk")[0]
    spot = Spot.objects.filter(site=site).order_by("pk")[0]
    head = ("Date", "Site", "Spot", "At the creek (h)", "Volume (L)", "Gold (g)", "Fuel", "Food")
    keys = ("day", "site", "spot", "work", "volume", "mass", "fuel", "food")
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(keys)
    for n, day in enumerate(_days(lines)):
        writer.writerow([day, site.name, spot.name, 6, 240, f"0.{n % 90 + 10}", "14.20", "8.00"])
    text = out.getvalue()
    named = (",".join(head) + "\r\n" + text.split("\n", 1)[1]).encode()
    reading = Reading(today=AS_OF, currency=party.currency)

    def work():
        sheet = read_file(named)
        columns = guess_columns(sheet.headers)
        rows, refused = read_lines(sheet.lines, sheet.headers, columns, reading)
        plan = plan_import(party=party, rows=rows, make_sites=False, make_people=False)
        saved = save_import(party=party, plan=plan)
        if saved != lines:
            raise RuntimeError(f"{saved} of {lines} lines were saved: {refused[:3]}")

    def floor():
        lines_read = list(csv.DictReader(io.StringIO(text)))
        days = [dt.date.fromisoformat(row["day"]) for row in lines_read]
        trips = _store(
            Trip(party=party, state="wrapped_up", starts_on=day, ends_on=day) for day in days
        )
        _store(TripSite(trip=trip, site=site, was_visited=True) for trip in trips)
        both = list(zip(trips, lines_read, strict=True))
        _store(
            HoursBlock(
                party=party, trip=trip, site=site, day=trip.starts_on, activity="dig",
                minutes=int(float(row["work"]) * 60),
            )
            for trip, row in both
        )  # fmt: skip
        _store(
            Cost(
                party=party, trip=trip, kind=kind, currency=party.currency,
                amount_minor=round(float(row[kind]) * 100),
            )
            for trip, row in both
            for kind in ("fuel", "food")
        )  # fmt: skip
        weighed = _store(
            WeighIn(
                party=party, trip=trip, weighed_on=trip.ends_on, resolution_ug=10_000,
                gross_ug=round(float(row["mass"]) * 1_000_000),
            )
            for trip, row in both
        )  # fmt: skip
        _store(
            Run(
                party=party, trip=trip, spot=spot, day=trip.starts_on, weigh_in=weigh_in,
                volume_ml=int(row["volume"]) * 1000,
            )
            for (trip, row), weigh_in in zip(both, weighed, strict=True)
        )  # fmt: skip

    return Import("Past trips", lines, _undone(work), _undone(floor), "DictReader, bulk_create")


def _peaks(party: Party, lines: int) -> Import:
    gauge = Gauge.objects.filter(party=party).order_by("pk")[0]
    days = [dt.date(1800 + n, 4, 2) for n in range(lines)]
    text = "date,peak\n" + "".join(f"{day},{20 + n % 90}.5\n" for n, day in enumerate(days))

    def work():
        peaks = read_peaks(read_file(text.encode()), AS_OF)
        import_peaks(gauge=gauge, peaks=peaks.good, source="A file")

    def floor():
        _store(
            Flood(
                party=party, gauge=gauge, day=dt.date.fromisoformat(row["date"]),
                peak_milli=int(float(row["peak"]) * 1000),
            )
            for row in csv.DictReader(io.StringIO(text))
        )  # fmt: skip

    return Import(
        "Peaks of floods", lines, _undone(work), _undone(floor), "DictReader, bulk_create"
    )


def _entries(built: Built) -> Import:
    """A full batch of a phone: test pans of the trip under way."""
    party = built.party
    trip = Trip.objects.filter(party=party, state=Trip.State.UNDER_WAY).order_by("-pk")[0]
    site = trip.trip_sites.order_by("rank")[0].site
    ids = [uuid.uuid5(uuid.NAMESPACE_URL, f"entry {n}") for n in range(BATCH_OF_A_PHONE)]
    spot = Spot.objects.filter(site=site).order_by("pk")[0]
    entries = [
        {
            "id": str(key), "record": str(key), "kind": "pan", "trip": str(trip.uuid),
            "replaces": [], "base": "", "removed": False, "at": "2031-10-12T10:00:00+00:00",
            "body": {
                "spot": str(spot.uuid), "day": AS_OF.isoformat(), "layer": "gravel",
                "volume": "5.5 L", "coarse": "0", "medium": "1", "fine": "4",
            },
        }
        for key in ids
    ]  # fmt: skip
    raw = {"device": "a phone", "sent_at": "2031-10-12T10:00:00+00:00", "entries": entries}

    def work():
        answers = receive(party=party, user=built.user, batch=read_batch(raw, now=NOON))
        if {each.answer for each in answers} != {"stored"}:
            raise RuntimeError(f"The batch wasn't taken: {answers[0]}")

    def floor():
        FieldEntry.objects.bulk_create(
            FieldEntry(
                party=party, uuid=key, record=key, kind="pan", trip_uuid=trip.uuid, made_at="",
                body=entry["body"], digest="",
            )
            for key, entry in zip(ids, entries, strict=True)
        )  # fmt: skip
        _store(
            TestPan(party=party, uuid=key, trip=trip, spot=spot, day=AS_OF, volume_ml=5_500, fine=4)
            for key in ids
        )

    return Import(
        "Entries of a phone", len(ids), _undone(work), _undone(floor), "entry and row in bulk", None
    )


def _track(built: Built) -> Import:
    """An hour of a recorder that notes its place every second."""
    trip = Trip.objects.filter(party=built.party, state=Trip.State.UNDER_WAY).order_by("-pk")[0]
    begin = dt.datetime(2031, 10, 12, 8, tzinfo=dt.UTC)
    points = "".join(
        f'<trkpt lat="{46.1 + n / 90_000:.6f}" lon="13.2"><ele>300</ele>'
        f"<time>{begin + dt.timedelta(seconds=n):%Y-%m-%dT%H:%M:%SZ}</time></trkpt>"
        for n in range(GPX_POINTS)
    )
    content = (
        '<gpx version="1.1" creator="x" xmlns="http://www.topografix.com/GPX/1/1">'
        f"<trk><trkseg>{points}</trkseg></trk></gpx>"
    ).encode()

    def work():
        keep_track(trip=trip, content=content, name="a.gpx", user=built.user, now=NOON)

    def floor():
        import defusedxml.ElementTree
        import gpxpy

        defusedxml.ElementTree.fromstring(content)
        gpxpy.parse(content.decode())

    return Import(
        "Track, points", GPX_POINTS, _undone(work), floor, "hardened parser, GPX library", None
    )


def _whole_record(built: Built) -> Import:
    """The party's whole record as a second party, against writing that file."""
    out = io.BytesIO()
    take_out(built.party, out, now=NOON)
    rows = sum(
        model.objects.filter(party=built.party).count()
        for model in (Trip, TestPan, Run, HoursBlock, Cost, WeighIn)
    )

    def work():
        bring_in(io.BytesIO(out.getvalue()), user=built.user, now=NOON)

    def floor():
        take_out(built.party, io.BytesIO(), now=NOON)

    return Import("Whole record", rows, _undone(work), floor, "writing the same file", None)
