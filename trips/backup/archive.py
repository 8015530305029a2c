"""The backup file: a zip that names every part it holds with its size and SHA-256.

    manifest.json              what is in it, from which state of the tables, when
    rows/<app>.<model>.jsonl   one table: a line with the column names, then one line a row
    files/<stored name>        photos and papers, byte for byte

The manifest is written last and read first. A part that it doesn't name, or that differs from
what it says, makes the whole file refused. The zip's comment is the SHA-256 of every byte before
it, so that one changed byte anywhere is found and not only one inside a part.
"""

import contextlib
import hashlib
import json
import os
import zipfile
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path, PurePosixPath
from typing import BinaryIO

from trips.backup import rows
from trips.backup.errors import BackupError
from trips.calc.zip_look import PartCount, packed_otherwise

KIND = "gravel ledger backup"
FORMAT = 1
MANIFEST = "manifest.json"
MANIFEST_MAX_BYTES = 64 * 1024 * 1024
# Bounds of what is read of a file that may come from anywhere. Each part costs the reader about a
# kilobyte; text of tables packs to a tenth or so. What of ours packs harder is kept unpacked.
MOST_PARTS = 200_000
MOST_RATIO, RATIO_FROM_BYTES = 200, 16 * 1024 * 1024
SHORTEST_LINE = len(b"[]\n")
LONGEST_NAME = 255
CHUNK = 1024 * 1024
SEAL_LENGTH = 64


@dataclass(frozen=True)
class Part:
    """One part of the archive as its manifest names it."""

    name: str
    size_bytes: int
    sha256: str
    rows: int | None = None

    @property
    def is_table(self) -> bool:
        """Whether it holds rows; else a photo or a paper."""
        return self.name.startswith("rows/")

    @property
    def label(self) -> str:
        """The model of a table, as `app.model`."""
        return self.name.removeprefix("rows/").removesuffix(".jsonl")


@dataclass
class Writer:
    """Writes parts one after the other and remembers what the manifest has to say of them."""

    zip: zipfile.ZipFile
    parts: list[Part] = field(default_factory=list)

    def add(self, name: str, chunks: Iterable[bytes], *, packed: bool, rows: int | None = None):
        """Write one part from its pieces; `packed` for text, pictures are packed already."""
        how = zipfile.ZIP_DEFLATED if packed else zipfile.ZIP_STORED
        info = zipfile.ZipInfo(name)
        info.compress_type = how
        digest, size = hashlib.sha256(), 0
        with self.zip.open(info, "w", force_zip64=True) as out:
            for chunk in chunks:
                digest.update(chunk)
                size += len(chunk)
                out.write(chunk)
        self.parts.append(Part(name, size, digest.hexdigest(), rows))
        if len(self.parts) > MOST_PARTS:
            raise BackupError(f"A backup takes at most {MOST_PARTS:,} tables and files.")

    def last_is_too_dense(self) -> bool:
        """Whether the last part packed as hard as only bombs do, so that it would be refused."""
        return _is_too_dense(self.zip.getinfo(self.parts[-1].name))

    def take_back_last(self):
        """Forget the last part; the next one is written over it and must be longer."""
        part = self.parts.pop()
        info = self.zip.NameToInfo.pop(part.name)
        self.zip.filelist.remove(info)
        self.zip.start_dir = info.header_offset

    def close(self, about: dict[str, object]):
        """Write the manifest: what the caller says of the whole, and every part."""
        manifest = {
            "kind": KIND,
            "format": FORMAT,
            **about,
            "parts": [
                {
                    "name": part.name,
                    "bytes": part.size_bytes,
                    "sha256": part.sha256,
                    **({} if part.rows is None else {"rows": part.rows}),
                }
                for part in self.parts
            ],
        }
        self.zip.writestr(MANIFEST, json.dumps(manifest, indent=1, ensure_ascii=False))
        self.zip.comment = b"0" * SEAL_LENGTH
        self.zip.close()
        seal(Path(self.zip.filename or ""))


@dataclass(frozen=True)
class Archive:
    """A backup file as its own list and directory describe it; `read_through` checks its bytes."""

    path: Path
    about: dict[str, object]
    parts: tuple[Part, ...]

    def table_parts(self) -> tuple[Part, ...]:
        """The parts that hold rows."""
        return tuple(part for part in self.parts if part.is_table)

    def file_parts(self) -> tuple[Part, ...]:
        """The parts that hold photos and papers."""
        return tuple(part for part in self.parts if not part.is_table)

    def open(self, part: Part) -> BinaryIO:
        """The bytes of one part; close it with the file it came from."""
        return zipfile.ZipFile(self.path).open(part.name)


def start(path: Path) -> Writer:
    """Begin a new archive at `path`."""
    return Writer(zipfile.ZipFile(path, "w", allowZip64=True))


def seal(path: Path):
    """Write the hash of everything before the comment into the comment."""
    with path.open("r+b") as file:
        digest = _digest_before_seal(file)
        file.write(digest.encode("ascii"))


def _digest_before_seal(file: BinaryIO, count: PartCount | None = None) -> str:
    """SHA-256 of a file without its last bytes; leaves the position where those begin.

    `count` takes in the same bytes, so that a large file is read once.
    """
    left = file.seek(0, os.SEEK_END) - SEAL_LENGTH
    file.seek(0)
    digest = hashlib.sha256()
    while left > 0 and (chunk := file.read(min(CHUNK, left))):
        digest.update(chunk)
        if count is not None:
            count.add(chunk)
        left -= len(chunk)
    return digest.hexdigest()


def checked(path: Path) -> Archive:
    """Open a backup and read every byte of it.

    Raises:
        BackupError: it isn't one, is of a newer format, or differs from its manifest.
    """
    backup = opened(path)
    read_through(backup)
    return backup


def opened(path: Path) -> Archive:
    """Open a backup whose seal, list and directory are in order; its parts aren't unpacked yet.

    Raises:
        BackupError: it isn't one, is of a newer format, or says of itself what can't be right.
    """
    with _in_words(path):
        with path.open("rb") as file:
            count = PartCount()
            digest = _digest_before_seal(file, count)
            is_whole = file.read() == digest.encode("ascii")
        if not is_whole:
            raise BackupError(
                f"{path.name} is damaged, or no backup of this program. Use another copy of it."
            )
        # The list itself is a part, too.
        if count.most > MOST_PARTS + 1:
            raise BackupError(f"{path.name} is damaged: it names more than {MOST_PARTS:,} parts.")
        with zipfile.ZipFile(path) as zip_file:
            return _listed(path, zip_file)


def read_through(backup: Archive) -> None:
    """Unpack every part once and compare it with the list; stops at the first line that is no row.

    Raises:
        BackupError: a part differs from what the list says of it.
    """
    with _in_words(backup.path), zipfile.ZipFile(backup.path) as zip_file:
        for part in backup.parts:
            with zip_file.open(part.name) as inside:
                stream = _Hashed(inside)
                if part.is_table:
                    _read_rows(stream, part)
                else:
                    for _ in pieces_of(stream):
                        pass
            if stream.digest.hexdigest() != part.sha256:
                raise BackupError(
                    f"{backup.path.name} is damaged: {part.name} differs from what its list says. "
                    "Use another copy of it."
                )


@contextlib.contextmanager
def _in_words(path: Path):
    try:
        yield
    except OSError as problem:
        raise BackupError(f"{path} can't be read: {problem.strerror or problem}.") from problem
    except (zipfile.BadZipFile, EOFError, NotImplementedError, RuntimeError) as problem:
        raise BackupError(f"{path.name} is damaged: {problem}.") from problem


class _Hashed:
    """A stream that takes the hash of what is read of it."""

    def __init__(self, inside: BinaryIO):
        self._inside, self.digest = inside, hashlib.sha256()

    def read(self, most: int) -> bytes:
        piece = self._inside.read(most)
        self.digest.update(piece)
        return piece

    def readline(self, most: int) -> bytes:
        line = self._inside.readline(most)
        self.digest.update(line)
        return line


def _read_rows(stream, part: Part) -> None:
    count = rows.look_through(stream, part.label)
    if count != part.rows:
        raise BackupError(f"{part.label}: {count} rows, the list says {part.rows}.")


def _listed(path: Path, zip_file: zipfile.ZipFile) -> Archive:
    if packed_otherwise(zip_file):
        raise BackupError(f"{path.name} is damaged: it is packed as no backup is.")
    manifest = _manifest(path, zip_file)
    parts = tuple(_part(path, row) for row in _rows_of(path, manifest))
    inside = zip_file.infolist()
    if sorted(info.filename for info in inside) != sorted([MANIFEST, *(p.name for p in parts)]):
        raise BackupError(f"{path.name} is damaged: its parts are not the ones its list names.")
    # Parts that lie over each other become many times what the bytes of one of them would.
    if sum(info.compress_size for info in inside) > path.stat().st_size:
        raise BackupError(f"{path.name} is damaged: its parts are larger than the whole file.")
    for part in parts:
        _refuse_size(path, zip_file.getinfo(part.name), part)
    about = {key: value for key, value in manifest.items() if key != "parts"}
    return Archive(path, about, parts)


def _manifest(path: Path, zip_file: zipfile.ZipFile) -> dict[str, object]:
    no_backup = BackupError(f"{path.name} is no backup of this program: it has no list of parts.")
    if MANIFEST not in zip_file.namelist():
        raise no_backup
    if zip_file.getinfo(MANIFEST).file_size > MANIFEST_MAX_BYTES:
        raise BackupError(f"{path.name} is damaged: its list of parts is too long.")
    text = zip_file.read(MANIFEST)
    # Each of its parts takes more than a hundred letters, four commas and a bracket; other JSON
    # takes twenty times its length once it is read.
    if (
        len(text) > CHUNK
        and text.count(b"[") + text.count(b"{") + text.count(b",") > len(text) / 20
    ):
        raise BackupError(f"{path.name} is damaged: its list of parts can't be read.")
    try:
        manifest = json.loads(text)
    except (ValueError, RecursionError):
        raise BackupError(f"{path.name} is damaged: its list of parts can't be read.") from None
    if not isinstance(manifest, dict) or manifest.get("kind") != KIND:
        raise no_backup
    version = manifest.get("format")
    if not isinstance(version, int) or version > FORMAT:
        raise BackupError(
            f"{path.name} was made by a newer version of this program (its form is {version}, "
            f"this one reads up to {FORMAT}). Update the program, then bring it back."
        )
    return manifest


def _rows_of(path: Path, manifest: dict[str, object]) -> list[object]:
    rows = manifest.get("parts")
    if not isinstance(rows, list):
        raise BackupError(f"{path.name} is damaged: its list of parts can't be read.")
    return rows


def _part(path: Path, row: object) -> Part:
    """One line of the manifest; a name that would leave its folder is refused."""
    unread = BackupError(f"{path.name} is damaged: its list of parts can't be read.")
    try:
        part = Part(row["name"], row["bytes"], row["sha256"], row.get("rows"))  # type: ignore
        pieces = PurePosixPath(part.name).parts
        is_known = len(pieces) > 1 and pieces[0] in {"rows", "files"} and part.size_bytes >= 0
    except (AttributeError, KeyError, TypeError):
        raise unread from None
    if not is_known:
        raise unread
    strange = any(letter in part.name for letter in "\\:\0")
    if ".." in pieces or strange or part.name != "/".join(pieces):
        raise BackupError(f"{path.name} holds a part that would leave its folder: {part.name!r}.")
    if any(len(piece.encode()) > LONGEST_NAME for piece in pieces):
        raise BackupError(f"{path.name} is damaged: a name in it is too long.")
    return part


def _refuse_size(path: Path, info: zipfile.ZipInfo, part: Part):
    """Refuse a part before it is read whose size, by the directory and the list, can't be right."""
    if info.file_size != part.size_bytes or _is_too_dense(info):
        raise BackupError(
            f"{path.name} is damaged: {part.name} isn't as large as it says, or far larger "
            "than its place in the file."
        )
    if not part.is_table and info.file_size != info.compress_size:
        raise BackupError(
            f"{path.name} is damaged: {part.name} is packed, which no backup does with its files."
        )
    if part.is_table and not _holds_rows(part):
        raise BackupError(
            f"{path.name} is damaged: {part.rows} rows can't be the {part.size_bytes} bytes of "
            f"{part.name}."
        )


def _is_too_dense(info: zipfile.ZipInfo) -> bool:
    is_packed_hard = info.file_size > MOST_RATIO * info.compress_size
    return is_packed_hard and info.file_size > RATIO_FROM_BYTES


def _holds_rows(part: Part) -> bool:
    """Whether so many rows and the line of their columns can be of this size."""
    if not isinstance(part.rows, int) or part.rows < 0:
        return False
    lines = part.rows + 1
    return lines * SHORTEST_LINE <= part.size_bytes <= lines * rows.LONGEST_LINE


def pieces_of(stream: BinaryIO) -> Iterator[bytes]:
    """A stream in pieces of a bounded size."""
    while chunk := stream.read(CHUNK):
        yield chunk


def put_in_place(unfinished: Path, target: Path):
    """Make a finished file appear under its name at once, durable before anybody is told."""
    with unfinished.open("rb") as file:
        os.fsync(file.fileno())
    os.replace(unfinished, target)
    if os.name == "posix":
        folder = os.open(target.parent, os.O_RDONLY)
        try:
            os.fsync(folder)
        finally:
            os.close(folder)
