"""One frozen report that page, CSV, XLSX and PDF all show: none of them computes anything.

A cell is bare: text, whole number, `Decimal`, date, or None. None is "unknown", never zero; the
notes say why. Numbers are already in the column's unit and already rounded.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from typing import Literal

from trips.calc import local
from trips.calc.digits import known_digits
from trips.calc.words import marked, say

UNKNOWN = marked("unknown")


@dataclass(frozen=True)
class Column:
    """One column: its key, the words over it, the unit of its numbers ("" for none)."""

    key: str
    label: str
    unit: str = ""
    align: Literal["left", "right"] = "left"

    @property
    def header(self) -> str:
        """The words over the column with the unit in brackets."""
        return f"{self.label} ({self.unit})" if self.unit else self.label


@dataclass(frozen=True)
class Report:
    """A finished table with everything that must be printed with it.

    `filters` are (label, words) pairs; `totals` is one more row or empty; `ranged` names the
    columns of a range's low end, its figure and its high end, which people see in no more digits
    than the range knows and files whole; `notes` say how to read the figures and what is missing;
    `sources` name prices and other outside figures with dates.
    """

    report_id: str
    title: str
    as_of: date
    party_name: str
    currency: str
    filters: tuple[tuple[str, str], ...]
    columns: tuple[Column, ...]
    rows: tuple[tuple[object, ...], ...]
    totals: tuple[object, ...] = ()
    ranged: tuple[str, str, str] | None = None
    notes: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()

    @property
    def headers(self) -> tuple[str, ...]:
        """The words over the columns, units included."""
        return tuple(column.header for column in self.columns)

    @property
    def file_rows(self) -> tuple[tuple[object, ...], ...]:
        """Rows and totals as bare values, for CSV and XLSX."""
        return (*self.rows, self.totals) if self.totals else self.rows

    def only(self, *keys: str) -> "Report":
        """The same report with some of its columns, for a page with less room."""
        at = [place for place, column in enumerate(self.columns) if column.key in keys]
        whole_range = self.ranged is not None and set(self.ranged) <= set(keys)
        rows, totals = self.rows, self.totals
        if not whole_range:
            # Without its range beside it a figure knows no more digits than with it.
            rows, totals = tuple(map(self._known, rows)), self._known(totals)
        return replace(
            self,
            columns=tuple(self.columns[place] for place in at),
            rows=tuple(tuple(row[place] for place in at) for row in rows),
            totals=tuple(totals[place] for place in at) if totals else (),
            ranged=self.ranged if whole_range else None,
        )

    @property
    def text_rows(self) -> tuple[tuple[str, ...], ...]:
        """Rows as people read them, for page and PDF."""
        return tuple(self.text_of(row) for row in self.rows)

    def text_of(self, row: tuple[object, ...]) -> tuple[str, ...]:
        """One of its rows as people read it."""
        return texts(self._known(row))

    @property
    def text_totals(self) -> tuple[str, ...]:
        """The totals as people read them; empty when there are none."""
        return texts(self._known(self.totals))

    def _known(self, row: tuple[object, ...]) -> tuple[object, ...]:
        """The row with its range, and the figure in it, in the digits that the range knows."""
        if self.ranged is None or not row:
            return row
        keys = [column.key for column in self.columns]
        at = [keys.index(key) for key in self.ranged]
        low, best, high = (row[place] for place in at)
        if not (
            isinstance(low, Decimal) and isinstance(best, Decimal) and isinstance(high, Decimal)
        ):
            return row
        known = dict(zip(at, known_digits(low, best, high), strict=True))
        return tuple(known.get(place, cell) for place, cell in enumerate(row))


def texts(cells: Iterable[object]) -> tuple[str, ...]:
    """Every cell as text."""
    return tuple(cell_text(cell) for cell in cells)


def cell_text(value: object) -> str:
    """A bare cell as people read it: digits in threes, a true minus, dates that can't be misread.

    Returns: "unknown" for None.
    """
    if value is None:
        return say(UNKNOWN)
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | Decimal):
        return local.number(value)
    if isinstance(value, date):
        return local.day(value)
    return str(value)
