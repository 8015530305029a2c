"""In which line of a TOML text a key stands, as well as that can be told without a full parser."""

import re
from functools import cached_property

from claims.rules.reading import Path

HEADER = re.compile(r"^\s*(\[\[?)\s*([A-Za-z0-9_.\-\s]+?)\s*\]\]?\s*(#.*)?$")
KEY = re.compile(r"^\s*([A-Za-z0-9_-]+)\s*=")


class LineFinder:
    """Finds the line of a path; falls back to the line of what encloses it."""

    def __init__(self, text: str) -> None:
        self.lines = text.splitlines()

    @cached_property
    def at(self) -> dict[Path, int]:
        """Path → line, counted from 1. Looked for at the first mistake; most packs have none."""
        found: dict[Path, int] = {}
        counts: dict[Path, int] = {}
        current: Path = ()
        for number, line in enumerate(self.lines, 1):
            header = HEADER.match(line)
            if header:
                current = _header_path(header.group(2), header.group(1) == "[[", counts)
                found.setdefault(current, number)
            elif key := KEY.match(line):
                found.setdefault((*current, key.group(1)), number)
        return found

    def line_of(self, path: Path) -> int | None:
        """The line, counted from 1; None when nothing of the path was found."""
        for length in range(len(path), 0, -1):
            if (start := self.at.get(path[:length])) is not None:
                return self._within(start, path[length:])
        return None

    def _within(self, start: int, rest: Path) -> int:
        """The line of what is inside an array or inline table that begins in `start`."""
        line = start
        for part in rest:
            found = self._item(line, part) if isinstance(part, int) else self._key(line, part)
            if found is None:
                return line
            line = found
        return line

    def _item(self, start: int, index: int) -> int | None:
        seen = -1
        for number in range(start, min(start + 400, len(self.lines)) + 1):
            line = self.lines[number - 1]
            if number > start and (HEADER.match(line) or KEY.match(line)):
                return None
            if line.lstrip().startswith(("{", '"')):
                seen += 1
                if seen == index:
                    return number
        return None

    def _key(self, start: int, key: str) -> int | None:
        wanted = re.compile(rf"(?<![\w-]){re.escape(key)}\s*=")
        for number in range(start, min(start + 400, len(self.lines)) + 1):
            line = self.lines[number - 1]
            if number > start and (HEADER.match(line) or KEY.match(line)):
                return None
            if wanted.search(line):
                return number
        return None


def _header_path(dotted: str, is_list: bool, counts: dict[Path, int]) -> Path:
    parts = [part.strip() for part in dotted.split(".")]
    path: Path = ()
    for place, part in enumerate(parts):
        path = (*path, part)
        last = place == len(parts) - 1
        if last and is_list:
            counts[path] = counts.get(path, -1) + 1
        if path in counts:
            path = (*path, counts[path])
    return path
