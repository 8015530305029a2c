"""The zip of a record that was taken out, read within bounds: it comes from anywhere."""

import io
import json
import zipfile
from collections.abc import Iterator
from typing import BinaryIO, TextIO

from claims.pictures import MAX_PHOTO_BYTES
from claims.web.export import undefused
from trips.calc.csv_cells import csv
from trips.calc.zip_look import most_parts, packed_otherwise
from trips.moving import kept_rules, tables
from trips.moving.errors import NoRecord

MAX_ENTRIES = 20_000
MAX_TABLE_BYTES = 60_000_000
MAX_ROWS = 400_000
MAX_CELL = 100_000
MAX_ROW = 1_000_000
MAX_LIST_BYTES = 100_000
MAX_FILES_BYTES = 4_000_000_000
# What one file of a folder may have: hostile JSON takes thirty times its bytes once it is read.
FOLDERS = {
    "files/": MAX_PHOTO_BYTES,
    "tracks/": MAX_PHOTO_BYTES,
    "packs/": 2_000_000,
    "sign-offs/": 2_000_000,
}


def refuse_crowded(stream: BinaryIO) -> None:
    """Count what the zip names before the library makes an object of each.

    Raises: NoRecord.
    """
    if most_parts(stream) > 2 * MAX_ENTRIES:  # twice: a photo may hold such bytes by chance
        raise NoRecord(f"It holds more than {MAX_ENTRIES} files; at most that many are read.")


def unpacked_bytes(stream: BinaryIO) -> int:
    """How large the zip says that it becomes; of no part more is read than it says.

    Its own size where it can't be opened.
    """
    try:
        refuse_crowded(stream)
        with zipfile.ZipFile(stream) as packed:
            return sum(info.file_size for info in packed.infolist())
    except (NoRecord, zipfile.BadZipFile, EOFError, NotImplementedError, RuntimeError):
        return stream.seek(0, io.SEEK_END)
    finally:
        stream.seek(0)


class PackedRecord:
    """What lies in the zip. Nothing is read before all sizes were looked at.

    Raises: NoRecord, from the start on and while rows are read.
    """

    def __init__(self, inside: zipfile.ZipFile):
        self.zip, self.left_rows = inside, MAX_ROWS
        self._check_outline()

    def __contains__(self, name: str) -> bool:
        return name in self.zip.NameToInfo

    def _check_outline(self) -> None:
        names = self.zip.namelist()
        if tables.LIST not in names:
            raise NoRecord(f"This is no record that was taken out: it has no {tables.LIST}.")
        if len(names) > MAX_ENTRIES:
            raise NoRecord(f"It holds {len(names)} files; at most {MAX_ENTRIES} are read.")
        if other := packed_otherwise(self.zip):
            raise NoRecord(f"“{other[:80]}” is packed in a way that isn't read here.")
        known = {tables.LIST, "README.txt", "tables/files.csv", "tables/tracks.csv"}
        known |= {tables.table_name(model) for model in tables.fact_tables()}
        known |= {kept_rules.PACKS, kept_rules.SIGN_OFFS}
        total = 0
        for info in self.zip.infolist():
            folder = f"{info.filename.partition('/')[0]}/"
            if info.filename in known:
                limit = MAX_LIST_BYTES if info.filename == tables.LIST else MAX_TABLE_BYTES
            elif folder in FOLDERS and ".." not in info.filename:
                limit = FOLDERS[folder]
                total += info.file_size
            else:
                raise NoRecord(
                    f"“{info.filename[:80]}” doesn't belong into a record. If a newer version of "
                    "the program made this file, update the program first."
                )
            if info.file_size > limit:
                raise NoRecord(f"“{info.filename[:80]}” is larger than {limit / 1_000_000:.3g} MB.")
        if total > MAX_FILES_BYTES:
            raise NoRecord("Its photos and papers are larger than 4 GB in all.")
        try:
            about = json.loads(self.content(tables.LIST))
        except (ValueError, RecursionError):
            raise NoRecord(f"{tables.LIST} can't be read.") from None
        if not isinstance(about, dict) or about.get("kind") != tables.KIND:
            raise NoRecord(f"This is no record that was taken out: {tables.LIST} doesn't say so.")
        if about.get("format") != tables.FORMAT:
            raise NoRecord(
                "A newer version of the program made this file. Update the program first."
            )

    def content(self, name: str) -> bytes:
        """One file of the zip, never more than it says of itself."""
        info = self.zip.getinfo(name)
        with self.zip.open(info) as stream:
            data = stream.read(info.file_size + 1)
        if len(data) > info.file_size:
            raise NoRecord(f"“{name}” is larger than it says of itself.")
        return data

    def rows(self, name: str) -> Iterator[dict[str, str]]:
        """The rows of a table one after the other; a table that isn't there has none."""
        if name not in self:
            return
        with (
            self.zip.open(name) as packed,
            io.TextIOWrapper(packed, "utf-8-sig", newline="") as text,
        ):
            lines = _Lines(text, name)
            reader = csv.DictReader(lines, strict=True)
            try:
                for row in reader:
                    lines.of_row = 0
                    if None in row or None in row.values():
                        raise NoRecord(
                            f"{name}, line {reader.line_num}: it has more or fewer cells than the "
                            "heads."
                        )
                    if max(map(len, row.values()), default=0) > MAX_CELL:
                        raise NoRecord(
                            f"{name}, line {reader.line_num}: a cell has at most "
                            f"{MAX_CELL:,} letters."
                        )
                    self.left_rows -= 1
                    if self.left_rows < 0:
                        raise NoRecord(f"{name}: a record holds at most {MAX_ROWS} rows in all.")
                    yield {head: undefused(cell) for head, cell in row.items()}
            except csv.Error as problem:
                raise NoRecord(f"{name}, line {reader.line_num}: {problem}.") from None
            except UnicodeDecodeError:
                raise NoRecord(f"{name} is not UTF-8 text.") from None


class _Lines:
    """The lines of a table, as long as no row of it grows beyond its bound."""

    def __init__(self, stream: TextIO, name: str):
        self.stream, self.name, self.of_row = stream, name, 0

    def __iter__(self):
        return self

    def __next__(self) -> str:
        line = self.stream.readline(MAX_ROW + 1)
        self.of_row += len(line)
        if self.of_row > MAX_ROW:
            raise NoRecord(f"{self.name}: a row has at most {MAX_ROW:,} letters.")
        if not line:
            raise StopIteration
        return line
