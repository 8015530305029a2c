"""Tables of the answers: any `Report`, and the trips of a site, sortable by every column."""

import datetime as dt
from collections.abc import Callable
from functools import cached_property

import django_tables2 as tables
from django.urls import reverse
from django.utils.html import format_html
from django.utils.translation import gettext_lazy

from claims.web import show
from claims.web.tables import WHOLE, LedgerTable, NumberColumn
from reports.figures.report import UNKNOWN, Report
from trips.calc import units
from trips.calc.money import from_minor
from trips.calc.words import say


class CellColumn(tables.Column):
    """A bare cell of a report as people read it. Only None is unknown; "" doesn't apply there."""

    empty_values = (None,)

    def render(self, record, bound_column):
        return record.shown[bound_column.name]


class CellNumberColumn(NumberColumn):
    """The same, set to the right, the total under it too."""

    empty_values = (None,)

    def __init__(self, *args, **kwargs):
        right = {"class": "num"}
        super().__init__(*args, attrs={"th": right, "td": right, "tf": right}, **kwargs)

    def render(self, record, bound_column):
        return record.shown[bound_column.name]


class _Row(dict[str, object]):
    """A row's bare cells by column, by which it is sorted; its texts are made when it is shown."""

    def __init__(self, report: Report, keys: list[str], row: tuple[object, ...]) -> None:
        super().__init__(zip(keys, row, strict=True))
        self._report, self._row = report, row

    @cached_property
    def shown(self) -> dict[str, str]:
        return _shown(self._report, self._report.text_of(self._row))


def report_table(
    report: Report,
    *,
    link: Callable[[str], str | None] | None = None,
    prefix: str = "",
    sortable: bool = True,
) -> LedgerTable:
    """A table of the report's rows with its totals under it.

    Args: link: address for the text of a first cell; prefix: for two tables on one page.
    """
    low_key, _, high_key = report.ranged or ("", "", "")
    totals = _shown(report, report.text_totals) if report.totals else {}
    columns = []
    for at, column in enumerate(report.columns):
        if column.key == high_key:
            continue  # stands with the low end
        header = column.header
        if column.key == low_key:
            header = say("80 % range ({unit})", unit=column.unit)
        kind = CellNumberColumn if column.align == "right" else CellColumn
        options = {"verbose_name": header, "default": say(UNKNOWN)}
        if totals:
            options["footer"] = totals[column.key]
        if any(isinstance(row[at], dt.date) for row in report.rows):
            options["attrs"] = WHOLE
        if at == 0 and link is not None:
            options["linkify"] = _linker(column.key, link)
        columns.append((column.key, kind(**options)))
    keys = [column.key for column in report.columns]
    table = LedgerTable(
        [_Row(report, keys, row) for row in report.rows],
        extra_columns=columns,
        prefix=prefix,
        orderable=sortable,
    )
    table.caption = report.title
    return table


def _shown(report: Report, texts: tuple[str, ...]) -> dict[str, str]:
    """A row's texts by column; people read a range as one thing, files hold both its ends."""
    shown = dict(zip((column.key for column in report.columns), texts, strict=True))
    if report.ranged:
        low, _, high = report.ranged
        if say(UNKNOWN) not in (shown[low], shown[high]):
            shown[low] = say("{low} to {high}", low=shown[low], high=shown[high])
    return shown


def _linker(key: str, link: Callable[[str], str | None]):
    def address(record):
        return link(record[key])

    return address


class SiteTripsTable(LedgerTable):
    """The trips of a site with what each returned there."""

    caption = gettext_lazy("Trips")

    day = tables.Column(verbose_name=gettext_lazy("Day"), attrs=WHOLE)
    name = tables.Column(verbose_name=gettext_lazy("Trip"))
    state = tables.Column(verbose_name=gettext_lazy("State"))
    mass_ug = NumberColumn(verbose_name=gettext_lazy("Gold here"), default=gettext_lazy(UNKNOWN))
    net_minor = NumberColumn(verbose_name=gettext_lazy("Net here"), default=gettext_lazy(UNKNOWN))
    minutes = NumberColumn(verbose_name=gettext_lazy("Hours here"), default=gettext_lazy(UNKNOWN))
    per_hour_minor = NumberColumn(
        verbose_name=gettext_lazy("Net per hour"), default=gettext_lazy(UNKNOWN)
    )
    note = tables.Column(verbose_name=gettext_lazy("Note"), default="")

    class Meta(LedgerTable.Meta):
        sequence = (
            *("day", "name", "state", "mass_ug", "net_minor", "minutes", "per_hour_minor"),
            "note",
        )
        empty_text = gettext_lazy("No trip to this site yet.")

    def __init__(self, *args, currency: str, **kwargs):
        self.currency = currency
        super().__init__(*args, **kwargs)

    def render_day(self, value):
        return show.day(value)

    def render_name(self, record):
        address = reverse("trips:trip_detail", args=[record.trip_id])
        return format_html('<a href="{}">{}</a>', address, record.name)

    def render_mass_ug(self, value):
        return show.quantity("mass", value, self.units["mass"])

    def render_net_minor(self, value):
        return show.money(value, self.currency)

    def render_minutes(self, value):
        return show.minutes(value)

    def render_per_hour_minor(self, value):
        return show.money(value, self.currency)


def site_trip_rows(page, mass_unit: str) -> tuple[tuple[str, ...], list[tuple[object, ...]]]:
    """Headers and bare rows of the same trips, for files."""
    unit = units.unit("mass", mass_unit)
    headers = (
        *(
            say("Day"),
            say("Trip"),
            say("State"),
            say("Gold here ({label})", label=unit.label),
            say("Net here ({currency})", currency=page.currency),
        ),
        *(
            say("Hours here (min)"),
            say("Net per hour ({currency}/h)", currency=page.currency),
            say("Note"),
        ),
    )

    def money(minor: int | None):
        return None if minor is None else from_minor(minor, page.currency)

    rows = [
        (
            row.day,
            row.name,
            row.state,
            None if row.mass_ug is None else units.from_base(row.mass_ug, unit, 6),
            money(row.net_minor),
            row.minutes,
            money(row.per_hour_minor),
            row.note,
        )
        for row in page.trips
    ]
    return headers, rows
