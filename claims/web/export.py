"""Rows → CSV or XLSX bytes. ISO dates, bare numbers, units in the headers.

Text that a spreadsheet would run as a formula is defused: CSV gets a leading apostrophe,
XLSX cells are marked as text.
"""

import csv
import datetime as dt
import io
from collections.abc import Iterable, Sequence
from decimal import Decimal

from django.http import HttpResponse

FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")
TYPES = {
    "csv": "text/csv; charset=utf-8",
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}
# A PDF is made elsewhere, so it is no answer to a list's `?export=`.
FILE_TYPES = {
    **TYPES,
    "pdf": "application/pdf",
    "geojson": "application/geo+json",
    "gpx": "application/gpx+xml",
}


def csv_bytes(headers: Sequence[str], rows: Iterable[Sequence[object]]) -> bytes:
    """UTF-8 with a byte order mark, so that spreadsheets read every script."""
    out = io.StringIO(newline="")
    writer = csv.writer(out)
    writer.writerow([_csv_cell(header) for header in headers])
    writer.writerows([_csv_cell(cell) for cell in row] for row in rows)
    return out.getvalue().encode("utf-8-sig")


def xlsx_bytes(title: str, headers: Sequence[str], rows: Iterable[Sequence[object]]) -> bytes:
    """One sheet with a frozen header row."""
    return xlsx_book([(title, headers, rows)])


def xlsx_book(
    sheets: Iterable[tuple[str, Sequence[str], Iterable[Sequence[object]]]],
) -> bytes:
    """Several sheets in one file; the same rows give the same cells."""
    from openpyxl import Workbook

    book = Workbook()
    book.remove(book.active)
    for title, headers, rows in sheets:
        sheet = book.create_sheet("".join(c for c in title if c not in "[]:*?/\\")[:31] or "Sheet")
        sheet.freeze_panes = "A2"
        for number, row in enumerate([headers, *rows], start=1):
            for column, value in enumerate(row, start=1):
                cell = sheet.cell(row=number, column=column)
                cell.value = _xlsx_value(value)
                if isinstance(value, str):
                    cell.data_type = "s"
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def file_response(name: str, fmt: str, content: bytes) -> HttpResponse:
    """A download; `name` is ours, never taken from user text."""
    response = HttpResponse(content, content_type=FILE_TYPES[fmt])
    response.headers["Content-Disposition"] = f'attachment; filename="{name}.{fmt}"'
    return response


def export_response(
    name: str, fmt: str, headers: Sequence[str], rows: Iterable[Sequence[object]]
) -> HttpResponse:
    content = csv_bytes(headers, rows) if fmt == "csv" else xlsx_bytes(name, headers, rows)
    return file_response(name, fmt, content)


def _csv_cell(value: object) -> object:
    if value is None:
        return ""
    if isinstance(value, dt.datetime | dt.date):
        return value.isoformat()
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Decimal):
        return f"{value:f}"
    if isinstance(value, str) and value.lstrip("'").startswith(FORMULA_STARTS):
        return f"'{value}"
    return value


def undefused(cell: str) -> str:
    """A cell of our own CSV as the text was: without the apostrophe that `csv_bytes` put."""
    if cell.startswith("'") and cell.lstrip("'").startswith(FORMULA_STARTS):
        return cell[1:]
    return cell


def _xlsx_value(value: object) -> object:
    if isinstance(value, dt.datetime) and value.tzinfo is not None:
        return value.isoformat()
    if isinstance(value, str):
        # XML has no place for most control characters.
        return "".join(c for c in value if c >= " " or c in "\n\t")
    if value is None or isinstance(value, int | float | Decimal | dt.date | bool):
        return value
    return str(value)
