"""What is checked against which outside source: read from the file that the tests' marks make."""

import json
from dataclasses import dataclass
from functools import cache
from pathlib import Path

FILE = Path(__file__).with_name("checked.json")


@dataclass(frozen=True)
class Check:
    """One outside source, how it was read as it says itself, and the tests that rest on it."""

    source: str
    how: str
    tests: tuple[str, ...]


@dataclass(frozen=True)
class Room:
    """The checks of one file of tests."""

    title: str
    room: str
    checks: tuple[Check, ...]

    @property
    def rows(self) -> tuple[tuple[str, str, str], ...]:
        """Cells of a table."""
        return tuple((each.source, each.how, "; ".join(each.tests)) for each in self.checks)


def how_known(source: str) -> str:
    """How the source was read, the weaker where it says two things."""
    said = source.casefold()
    if "memory" in said:
        return "from memory, in part" if "seen" in said else "from memory"
    if "second" in said or "2nd" in said:
        return "seen second-hand"
    if "seen" in said or "official" in said:
        return "seen"
    return "as it says"


@cache
def checked_groups() -> tuple[Room, ...]:
    """Every file of tests with its sources."""
    return tuple(
        Room(
            room["title"].rstrip("."),
            room["room"],
            tuple(
                Check(each["source"], how_known(each["source"]), tuple(each["tests"]))
                for each in room["checks"]
            ),
        )
        for room in json.loads(FILE.read_text(encoding="utf-8"))
    )
