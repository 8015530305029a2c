"""Every stored table of a party as rows for a file: all fields, units in the headers.

A new field is exported by itself; a new model has to be listed in `TABLES` or, with the reason,
in `left_out.LEFT_OUT`. Each table costs one query, and one more for each list of names in it.
"""

import json
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

from django.db import models
from django.db.models import Count, Value

from claims import models as claims
from claims.joined import joined
from claims.models import Party
from trips import models as trips
from trips.calc import local
from trips.calc import units as units_calc
from trips.calc.money import from_minor
from trips.calc.words import marked

# Endings of field names → the unit of the stored number. The longest that fits counts.
ENDINGS = {
    "_ml_per_100km": "ml per 100 km",
    "_ml_per_min": "ml per minute",
    "_ml_per_h": "ml per hour",
    "_milli_per_km": "thousandths of the currency per km",
    "_milli_per_l": "thousandths of the currency per litre",
    "_hundredths": "hundredths",
    "_tenths": "tenths of a year",
    "_milli": "thousandths",
    "_minutes": "min",
    "_micros": "millionths of the currency",
    "_minor": "minor units",
    "_udeg": "millionths of a degree",
    "_days": "days",
    "_cm2": "cm²",
    "_ppt": "‰",
    "_pct": "%",
    "_bytes": "bytes",
    "_px": "px",
    "_seconds": "s",
    "_ug": "µg",
    "_ml": "ml",
    "_mm": "mm",
    "_m": "m",
}
WHOLE_NAMES = {"minutes": "min", "fineness": "‰"}
IN_PEOPLES_UNITS = {"_ug": "mass", "_ml": "volume", "_m": "distance"}
PLACES = 6


@dataclass(frozen=True)
class ExportTable:
    """One table to export.

    `party` is the way from a row to its party; `extra` adds (header, way) of rows above;
    `joins` are fetched along because the names of other rows are made of them.
    """

    key: str
    title: str
    about: str
    model: type[models.Model]
    party: str = "party"
    extra: tuple[tuple[str, str], ...] = ()
    joins: tuple[str, ...] = ()


@dataclass(frozen=True)
class ExportColumn:
    """A header with its unit, and what reads the bare value from a row."""

    header: str
    read: Callable[[models.Model], object]


SITE_OF_SPOT = (("site", "spot__site"),)

TABLES = (
    ExportTable(
        "trips", marked("Trips"), marked("Each trip with its plan and what happened"), trips.Trip
    ),
    ExportTable(
        "trip-sites",
        marked("Sites of trips"),
        marked("First choice and fallbacks of each trip, and which were visited"),
        trips.TripSite,
        "trip__party",
    ),
    ExportTable(
        "trip-people",
        marked("People on trips"),
        marked("Who came along"),
        trips.TripPerson,
        "trip__party",
    ),
    ExportTable("hours", marked("Hours"), marked("Blocks of hours by activity"), trips.HoursBlock),
    ExportTable(
        "pans",
        marked("Test pans"),
        marked("Each washed sample; empty is not counted"),
        trips.TestPan,
        extra=SITE_OF_SPOT,
    ),
    ExportTable(
        "runs", marked("Box runs"), marked("What went through a box"), trips.Run, extra=SITE_OF_SPOT
    ),
    ExportTable(
        "answers",
        marked("Answers to checklists"),
        marked("What was said to which line of a trip's checklist, by whom and when"),
        trips.TripAnswer,
        "trip__party",
    ),
    ExportTable(
        "own-rules",
        marked("Own rules"),
        marked("Terms of landowners, clubs and the party itself"),
        claims.OwnRule,
    ),
    ExportTable(
        "notes", marked("Notes"), marked("What was written down at the creek"), trips.FieldNote
    ),
    ExportTable("costs", marked("Costs"), marked("Planned and paid"), trips.Cost),
    ExportTable(
        "weigh-ins", marked("Weigh-ins"), marked("Gross and tare on the scale"), trips.WeighIn
    ),
    ExportTable(
        "shares",
        marked("Shares of weigh-ins"),
        marked(
            "A run's or pan's part of a weigh-in: worked out from the "
            "records by this program, not entered"
        ),
        trips.DerivedShare,
        "weigh_in__party",
        joins=("run__spot", "pan__spot"),
    ),
    ExportTable(
        "trip-figures",
        marked("Totals of trips"),
        marked(
            "Gold, costs and hours by trip: worked out from the records "
            "by this program, not entered"
        ),
        trips.DerivedTripFigures,
        "trip__party",
    ),
    ExportTable("lots", marked("Lots of gold"), marked("Kept, sold and given"), trips.GoldLot),
    ExportTable(
        "merged-lots",
        marked("Merged lots"),
        marked("Lots put together, and what they brought"),
        trips.MergedLot,
    ),
    ExportTable(
        "prices", marked("Gold prices"), marked("Dated prices with their source"), trips.Price
    ),
    ExportTable(
        "gauges",
        marked("Gauges and streams"),
        marked("Whose floods reach which sites"),
        trips.Gauge,
    ),
    ExportTable(
        "floods", marked("Floods"), marked("Peaks by day, in the gauge's own unit"), trips.Flood
    ),
    ExportTable("sites", marked("Sites"), marked("With the way there"), claims.Site),
    ExportTable(
        "spots", marked("Spots"), marked("Places within sites"), claims.Spot, "site__party"
    ),
    ExportTable(
        "papers", marked("Papers"), marked("Licences, permits, claims and consents"), claims.Paper
    ),
    ExportTable(
        "conditions",
        marked("Conditions of papers"),
        marked("Line by line, in the paper's words"),
        claims.PaperCondition,
        "paper__party",
    ),
    ExportTable(
        "conditions-kept",
        marked("How conditions were kept"),
        marked("What was said of each, with the evidence"),
        claims.ConditionMark,
        "condition__paper__party",
        extra=(("paper", "condition__paper"),),
    ),
    ExportTable("duties", marked("Duties"), marked("What is due, and how often"), claims.Duty),
    ExportTable(
        "duties-done",
        marked("Duties done"),
        marked("Each due day that is settled"),
        claims.DutyDone,
        "duty__party",
    ),
    ExportTable("holes", marked("Holes"), marked("Opened and filled"), claims.Hole),
    ExportTable(
        "files",
        marked("Photos and documents"),
        marked("What is kept, and what it belongs to"),
        claims.KeptFile,
        joins=("hole__spot",),
    ),
    ExportTable(
        "trip-files",
        marked("Photos of trips and weigh-ins"),
        marked("Which file belongs to which trip or weigh-in"),
        trips.TripFile,
        "file__party",
    ),
    ExportTable(
        "tracks",
        marked("Tracks"),
        marked(
            "Files of a receiver, and their sums: worked out from the "
            "records by this program, not entered"
        ),
        trips.Track,
    ),
    ExportTable(
        "site-shapes",
        marked("Outlines of sites"),
        marked("Outline and radius"),
        claims.SiteShape,
        "site__party",
    ),
    ExportTable("cars", marked("Cars"), marked("Fuel and wear"), trips.Vehicle),
    ExportTable(
        "distance-rates",
        marked("Distance rates"),
        marked("Published rates typed in"),
        trips.DistanceRate,
    ),
    ExportTable("gear", marked("Gear"), marked("Pans, boxes, pumps and tools"), trips.Gear),
    ExportTable("people", marked("People"), marked("Everybody who comes along"), claims.Person),
    ExportTable("party", marked("Party"), marked("The party's own defaults"), claims.Party, "pk"),
)


def table(key: str) -> ExportTable | None:
    """The table of this key, if there is one."""
    return next((each for each in TABLES if each.key == key), None)


def rows_of(export: ExportTable, party: Party) -> Iterable[models.Model]:
    """The party's rows of a table, oldest first, with what their columns read."""
    fields = export.model._meta.concrete_fields
    its = [f.name for f in fields if f.is_relation and f.name != "party"]
    its += [*(way for _, way in export.extra), *export.joins]
    found = _mine(export, party).order_by("pk")
    if its:
        found = found.select_related(*its)
    many = [field.name for field in export.model._meta.many_to_many]
    return joined(found, *many) if len(many) == 1 else found.prefetch_related(*many)


def counts_of(party: Party) -> tuple[int, ...]:
    """How many rows each of `TABLES` holds; one query."""
    parts = [
        _mine(table, party).order_by().values_list(Value(at)).annotate(Count("pk"))
        for at, table in enumerate(TABLES)
    ]
    counts = dict(parts[0].union(*parts[1:], all=True))
    return tuple(counts.get(at, 0) for at in range(len(TABLES)))


def _mine(export: ExportTable, party: Party) -> models.QuerySet:
    mine = party.pk if export.party == "pk" else party
    return export.model._default_manager.filter(**{export.party: mine})


def columns_of(
    export: ExportTable, party: Party, units: dict[str, str]
) -> tuple[ExportColumn, ...]:
    """A column for each stored field, and one more in people's units where that helps.

    Args: units: the reader's unit of mass, volume and distance.
    """
    columns: list[ExportColumn] = []
    for field in export.model._meta.concrete_fields:
        if field.name == "party":
            continue
        columns += _columns_of_field(field, party, units)
    for field in export.model._meta.many_to_many:
        columns.append(ExportColumn(_words(field.name), _names(field.name)))
    for header, way in export.extra:
        columns.append(ExportColumn(header, _far(way)))
    return tuple(columns)


def file_rows(
    export: ExportTable, party: Party, units: dict[str, str]
) -> tuple[tuple[str, ...], Iterator[tuple[object, ...]]]:
    """Headers, and the rows as bare values."""
    columns = columns_of(export, party, units)
    rows = (tuple(c.read(row) for c in columns) for row in rows_of(export, party))
    return tuple(column.header for column in columns), rows


def _columns_of_field(field, party: Party, units: dict[str, str]) -> list[ExportColumn]:
    name = field.name
    if field.is_relation:
        return [
            ExportColumn(f"{_words(name)} id", _plain(field.attname)),
            ExportColumn(_words(name), _named(name)),
        ]
    if field.choices:
        return [ExportColumn(_words(name), _choice(field))]
    if isinstance(field, models.JSONField):
        return [ExportColumn(_words(name), _json(name))]
    if isinstance(field, models.UUIDField):
        return [ExportColumn(_words(name), _text(name))]
    ending = next((end for end in sorted(ENDINGS, key=len, reverse=True) if name.endswith(end)), "")
    if not ending:
        unit = WHOLE_NAMES.get(name, "")
        return [ExportColumn(f"{_words(name)} ({unit})" if unit else _words(name), _plain(name))]
    words = _words(name.removesuffix(ending))
    columns = [ExportColumn(f"{words} ({ENDINGS[ending]})", _plain(name))]
    if ending in IN_PEOPLES_UNITS:
        kind = IN_PEOPLES_UNITS[ending]
        unit = units_calc.unit(kind, units[kind])
        columns.append(ExportColumn(f"{words} ({unit.label})", _in_unit(name, unit)))
    elif ending == "_minor":
        columns.append(ExportColumn(f"{words} (currency)", _in_money(name, party.currency)))
    return columns


def _words(name: str) -> str:
    return name.replace("_", " ")


def _plain(name: str):
    return lambda row: getattr(row, name)


def _called(row) -> str:
    """What a row calls itself, with its days as files for machines write them."""
    with local.written(local.Manner(dates="iso")):
        return str(row)


def _text(name: str):
    return lambda row: _called(getattr(row, name))


def _named(name: str):
    called: dict[object, str] = {}  # thousands of pans name the same few spots

    def read(row):
        other = getattr(row, name)
        if other is not None and other.pk not in called:
            called[other.pk] = _called(other)
        return None if other is None else called[other.pk]

    return read


def _far(way: str):
    def read(row):
        for step in way.split("__"):
            row = getattr(row, step)
        return _called(row)

    return read


def _choice(field):
    labels = {value: str(label) for value, label in field.flatchoices}
    return lambda row: str(labels.get(value := getattr(row, field.attname), value))


def _json(name: str):
    return lambda row: json.dumps(getattr(row, name), ensure_ascii=False, sort_keys=True)


def _names(name: str):
    return lambda row: "; ".join(_called(other) for other in getattr(row, name).all())


def _in_unit(name: str, unit: units_calc.Unit):
    def read(row):
        base = getattr(row, name)
        return None if base is None else units_calc.from_base(base, unit, PLACES)

    return read


def _in_money(name: str, party_currency: str):
    def read(row):
        minor = getattr(row, name)
        return (
            None if minor is None else from_minor(minor, getattr(row, "currency", party_currency))
        )

    return read
