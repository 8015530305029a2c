"""Which headers and lines does a spreadsheet hold? CSV or XLSX bytes → text cells.

Bounded before anything is unpacked: bytes, lines, columns, letters in a cell, and what an XLSX
would swell to. Dates of XLSX cells come out as YYYY-MM-DD, numbers as they stand; a formula
gives the value that was stored with it.
"""

import datetime as dt
import io
import zipfile
from dataclasses import dataclass

from trips.calc.csv_cells import csv
from trips.calc.errors import CalcError
from trips.calc.words import say
from trips.calc.zip_look import packed_otherwise

MAX_BYTES = 5_000_000
MAX_UNPACKED = 60_000_000
MAX_LINES = 5_000
MAX_COLUMNS = 60
MAX_CELL = 1_000
# Tags of a part of an XLSX: four for a cell or a text. Elsewhere are formats and the like.
MAX_TAGS = {"xl/worksheets": 1_220_000, "xl/sharedStrings.xml": 400_000}
MAX_TAGS_ELSEWHERE = 50_000
CHUNK = 1024 * 1024
DELIMITERS = (";", "\t", ",")


class SheetError(CalcError):
    """The file as a whole can't be read; the message says what was expected."""


@dataclass(frozen=True)
class SheetLine:
    """One line under the headers, with its number in the file; `problem` if it can't be used."""

    number: int
    cells: tuple[str, ...]
    problem: str = ""


@dataclass(frozen=True)
class SheetText:
    """Headers, made unique, and the lines that hold anything."""

    headers: tuple[str, ...]
    lines: tuple[SheetLine, ...]


def read_file(data: bytes) -> SheetText:
    """Headers and lines of a CSV or XLSX file, told apart by content.

    Raises: SheetError naming what is wrong with the file as a whole.
    """
    if len(data) > MAX_BYTES:
        raise SheetError(
            say(
                "The file has {data:,} bytes; at most {max_bytes:,} were expected. Cut it up.",
                data=len(data),
                max_bytes=MAX_BYTES,
            )
        )
    if data.startswith(b"\xd0\xcf\x11\xe0"):
        raise SheetError(say("This is an old or a password-protected spreadsheet. Save it as CSV."))
    rows = _xlsx_rows(data) if data.startswith(b"PK") else _csv_rows(data)
    return _sheet(rows)


def _csv_rows(data: bytes) -> list[tuple[int, list[str]]]:
    wide = data.startswith((b"\xff\xfe", b"\xfe\xff"))
    try:
        text = data.decode("utf-16" if wide else "utf-8-sig")
    except UnicodeDecodeError as error:
        raise SheetError(
            say("The letters can't be read: the file isn't UTF-8. Save it as “CSV UTF-8”.")
        ) from error
    if "\x00" in text:
        raise SheetError(say("This is not a text file: it has zero bytes in it."))
    first = next((line for line in io.StringIO(text) if line.strip()), "")
    delimiter = max(DELIMITERS, key=first.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
    rows = []
    try:
        # A quoted cell may run over several lines; the row is known by its last one.
        for row in reader:
            if any(cell.strip() for cell in row):
                rows.append((reader.line_num, row))
            if len(rows) > MAX_LINES + 1:  # the headers, and one too many
                break
    except csv.Error as error:
        raise SheetError(say("The file can't be read as CSV: {error}.", error=error)) from error
    return rows


def _xlsx_rows(data: bytes) -> list[tuple[int, list[str]]]:
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            unpacked = sum(entry.file_size for entry in packed.infolist())
            if unpacked > MAX_UNPACKED:
                raise SheetError(
                    say(
                        "Unpacked, the spreadsheet has {unpacked:,} bytes; at most "
                        "{max_unpacked:,} expected.",
                        unpacked=unpacked,
                        max_unpacked=MAX_UNPACKED,
                    )
                )
            if packed_otherwise(packed):
                raise SheetError(say("The spreadsheet is packed in a way that isn't read here."))
            for entry in packed.infolist():
                _refuse_overfilled(packed, entry)
    except (zipfile.BadZipFile, EOFError, NotImplementedError, RuntimeError) as error:
        raise SheetError(say("The spreadsheet is damaged. Save it again, or as CSV.")) from error
    from openpyxl import load_workbook  # type: ignore[import-untyped]

    try:
        book = load_workbook(io.BytesIO(data), read_only=True, data_only=True, keep_links=False)
        sheet = book.worksheets[0]
        rows: list[tuple[int, list[str]]] = []
        empty = 0
        found = sheet.iter_rows(values_only=True, max_col=MAX_COLUMNS + 1)
        for number, row in enumerate(found, start=1):
            cells = [_xlsx_text(value) for value in row]
            empty = 0 if any(cells) else empty + 1
            if empty > MAX_LINES or len(rows) - empty > MAX_LINES + 1:
                break
            rows.append((number, cells))
    except Exception as error:  # the library raises many kinds for damaged files
        raise SheetError(
            say("The spreadsheet can't be opened. Save it again without a password, or as CSV.")
        ) from error
    return rows


def _refuse_overfilled(packed: zipfile.ZipFile, entry: zipfile.ZipInfo) -> None:
    """Count the tags of a part before the library makes objects of them, a kilobyte for some."""
    folder = entry.filename.rpartition("/")[0]
    most = MAX_TAGS.get(entry.filename, MAX_TAGS.get(folder, MAX_TAGS_ELSEWHERE))
    tags = 0
    with packed.open(entry) as part:
        chunk = part.read(CHUNK)
        if b"<" not in chunk[:8]:  # a picture
            return
        while chunk:
            tags += chunk.count(b"<")
            if tags > most:
                raise SheetError(
                    say(
                        "The spreadsheet is larger than can be read: {filename} has more "
                        "than {most:,} marks. Save the sheet alone, or as CSV.",
                        filename=entry.filename[:60],
                        most=most,
                    )
                )
            chunk = part.read(CHUNK)


def _xlsx_text(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, dt.datetime):
        return value.date().isoformat()
    if isinstance(value, dt.time):
        return f"{value.hour}:{value.minute:02d}"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    return str(value)


def _sheet(rows: list[tuple[int, list[str]]]) -> SheetText:
    filled = [
        (number, [cell.strip() for cell in row])
        for number, row in rows
        if any(cell.strip() for cell in row)
    ]
    if not filled:
        raise SheetError(say("There is nothing in it: no line with text was found."))
    headers = _headers(filled[0][1])
    if len(filled) == 1:
        raise SheetError(say("It has a line of headers and no line below it."))
    if len(filled) - 1 > MAX_LINES:
        raise SheetError(
            say("It has more than {max_lines:,} lines. Cut it into parts.", max_lines=MAX_LINES)
        )
    lines = tuple(_line(number, cells, len(headers)) for number, cells in filled[1:])
    return SheetText(headers, lines)


def _headers(cells: list[str]) -> tuple[str, ...]:
    while cells and not cells[-1]:
        cells = cells[:-1]
    if len(cells) > MAX_COLUMNS:
        raise SheetError(say("It has more than {max_columns} columns.", max_columns=MAX_COLUMNS))
    headers: list[str] = []
    for number, cell in enumerate(cells, start=1):
        name = cell[:80] or say("column {number}", number=number)
        headers.append(
            name
            if name not in headers
            else say("{name} (column {number})", name=name, number=number)
        )
    return tuple(headers)


def _line(number: int, cells: list[str], width: int) -> SheetLine:
    kept = tuple((cells + [""] * width)[:width])
    if any(cells[width:]):
        return SheetLine(
            number, kept, say("it has more cells than the {width} headers", width=width)
        )
    longest = max(len(cell) for cell in kept)
    if longest > MAX_CELL:
        short = tuple(cell[:MAX_CELL] for cell in kept)
        return SheetLine(
            number,
            short,
            say(
                "a cell has {longest:,} letters; at most {max_cell:,} were expected",
                longest=longest,
                max_cell=MAX_CELL,
            ),
        )
    return SheetLine(number, kept)
