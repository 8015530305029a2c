"""Reads packs from text and folders. A pack with any mistake is refused as a whole.

Every mistake names the file and the key, and the line where it can be told. What one pack can't
know by itself (ids used twice over several packs, packs that hold each other up) is checked over
all of them.
"""

import re
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property
from hashlib import sha256
from pathlib import Path as FilePath
from typing import Any

from claims.rules.crosscheck import walk, wrong_between, wrong_inside
from claims.rules.effects import AmountLimit, ClosedHours
from claims.rules.lines import LineFinder
from claims.rules.reading import Path, Problem, Reader, key_words
from claims.rules.schema import Pack
from claims.rules.when import AmountIs, HoursIn
from trips.calc.words import marked, say

MAX_BYTES = 2_000_000
MAX_RULES = 2_000
MAX_DEPTH = 16
# A key of many parts. The library looks at every beginning of a key anew: one of a hundred thousand
# parts would keep it busy for hours.
LONG_KEY = re.compile(
    r"""(?<![\w.-])(?:(?>[\w-]+|"(?:[^"\\\n]|\\.)*"|'[^'\n]*')[ \t]*\.[ \t]*){40}"""
)
UNREADABLE = marked("holds a number or date that can't be read")
LONG_NUMBER = re.compile(r"[\d_]{1000}")
SITUATIONS = ".situations.toml"


class PackError(Exception):
    """Packs that can't be used; `problems` names each mistake."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__("\n".join(str(problem) for problem in self.problems))


@dataclass(frozen=True)
class LoadedPack:
    """A pack with the name and the hash of the text it came from."""

    pack: Pack
    file: str
    sha256: str

    @property
    def id(self) -> str:
        """The pack's id."""
        return self.pack.id

    @cached_property
    def amounts_used(self) -> frozenset[str]:
        """Amounts of the party's record that its rules ask for."""
        return frozenset(
            item.amount
            for _, item in walk(self.pack.rule)
            if isinstance(item, AmountIs | AmountLimit)
        )

    @cached_property
    def uses_sun(self) -> bool:
        """Whether a rule hangs on sunrise or sunset."""
        return any(
            "sun" in f"{item.within.first}{item.within.last}"
            for _, item in walk(self.pack.rule)
            if isinstance(item, HoursIn | ClosedHours)
        )


def load_text(text: str | bytes, file: str) -> LoadedPack:
    """Read one pack from its text.

    Raises: PackError naming every mistake.
    """
    raw = text.encode() if isinstance(text, str) else text
    data, lines = parse(raw, file)
    rules = data.get("rule")
    if isinstance(rules, list) and len(rules) > MAX_RULES:
        raise PackError(
            [
                Problem(
                    file,
                    "rule",
                    None,
                    say(
                        "holds {rules} rules; a pack holds at most {max_rules}. Split it "
                        "by jurisdiction.",
                        rules=len(rules),
                        max_rules=MAX_RULES,
                    ),
                )
            ]
        )
    reader = Reader()
    pack = reader.read(Pack, data)
    wrong = list(reader.wrong)
    if pack is not None:
        wrong += wrong_inside(pack)
    if pack is None or wrong:
        raise PackError(as_problems(wrong, file, lines))
    return LoadedPack(pack, file, sha256(raw).hexdigest())


def parse(raw: bytes, file: str) -> tuple[dict[str, Any], LineFinder]:
    """The tables of a TOML file within the limits of size and depth.

    Raises: PackError for bytes that are too many, aren't UTF-8 or aren't TOML.
    """
    if len(raw) > MAX_BYTES:
        raise PackError([_too_big(file, len(raw))])
    try:
        text = raw.decode("utf-8")
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        raise PackError(
            [Problem(file, "", line, say("is not UTF-8 text; save it as UTF-8"))]
        ) from None
    if long_key := LONG_KEY.search(text):
        line = text.count("\n", 0, long_key.start()) + 1
        raise PackError(
            [
                Problem(
                    file,
                    "",
                    line,
                    say("is nested over {max_depth} levels deep", max_depth=MAX_DEPTH),
                )
            ]
        )
    if LONG_NUMBER.search(text):
        raise PackError([Problem(file, "", None, say(UNREADABLE))])
    try:
        data = tomllib.loads(text, parse_float=Decimal)
    except tomllib.TOMLDecodeError as error:
        message = str(error)
        found = message.rpartition("(at line ")[2].partition(",")[0]
        line_no = int(found) if found.isdigit() else None
        plain = message.partition(" (at ")[0]
        raise PackError(
            [Problem(file, "", line_no, say("is not TOML: {plain}", plain=plain))]
        ) from None
    except ValueError:
        raise PackError([Problem(file, "", None, say(UNREADABLE))]) from None
    except RecursionError:
        raise PackError(
            [Problem(file, "", None, say("is nested over {max_depth} deep", max_depth=MAX_DEPTH))]
        ) from None
    finder = LineFinder(text)
    deep = _too_deep(data)
    if deep is not None:
        raise PackError(
            as_problems(
                [(deep, say("is nested over {max_depth} levels deep", max_depth=MAX_DEPTH))],
                file,
                finder,
            )
        )
    return data, finder


def _too_big(file: str, size: int) -> Problem:
    most = say("{max_bytes:.0f} MB", max_bytes=MAX_BYTES / 1e6)
    return Problem(
        file,
        "",
        None,
        say("has {size:.1f} MB; a pack has at most {most}.", size=size / 1e6, most=most),
    )


def as_problems(wrong: Iterable[tuple[Path, str]], file: str, lines: LineFinder) -> list[Problem]:
    """Paths and messages as problems of a file, in the order of their lines."""
    problems = [
        Problem(file, key_words(path), lines.line_of(path), message) for path, message in wrong
    ]
    return sorted(problems, key=lambda problem: problem.line or 0)


def _too_deep(value: Any, path: Path = ()) -> Path | None:
    if len(path) > MAX_DEPTH:
        return path[:2]
    items: Iterable[tuple[str | int, Any]] = ()
    if isinstance(value, dict):
        items = value.items()
    elif isinstance(value, list):
        items = enumerate(value)
    for key, item in items:
        if isinstance(item, dict | list) and (found := _too_deep(item, (*path, key))) is not None:
            return found
    return None


def pack_files(folder: FilePath) -> list[FilePath]:
    """Pack files of a folder by name; files of situations stand beside them and aren't packs."""
    return sorted(path for path in folder.glob("*.toml") if not path.name.endswith(SITUATIONS))


def load_folders(folders: Iterable[FilePath]) -> dict[str, LoadedPack]:
    """All packs of some folders by id; a later folder's pack replaces an earlier one's.

    Raises: PackError naming every mistake of every file.
    """
    problems: list[Problem] = []
    packs: dict[str, LoadedPack] = {}
    for folder in folders:
        here: dict[str, LoadedPack] = {}
        for path in pack_files(folder):
            try:
                loaded = load_file(path)
            except PackError as error:
                problems += error.problems
                continue
            if loaded.id in here:
                problems.append(
                    Problem(
                        loaded.file,
                        "pack.id",
                        None,
                        say(
                            "“{id}” is the id of {file} as well",
                            id=loaded.id,
                            file=here[loaded.id].file,
                        ),
                    )
                )
            here[loaded.id] = loaded
        packs.update(here)
    if not problems:
        problems = check_together(packs)
    if problems:
        raise PackError(problems)
    return packs


def load_file(path: FilePath) -> LoadedPack:
    """One pack from a file whose name is the pack's id."""
    with path.open("rb") as stream:
        raw = stream.read(MAX_BYTES + 1)  # enough to refuse a file that is too big
    if len(raw) > MAX_BYTES:
        raise PackError([_too_big(path.name, path.stat().st_size)])
    loaded = load_text(raw, path.name)
    if loaded.id != path.stem:
        raise PackError(
            [
                Problem(
                    path.name,
                    "pack.id",
                    None,
                    say("is “{id}”; a pack of this id is the file {id}.toml", id=loaded.id),
                )
            ]
        )
    return loaded


def check_together(packs: Mapping[str, LoadedPack]) -> list[Problem]:
    """What is wrong between packs: one within another that isn't there, or in a circle."""
    return [
        Problem(packs[pack_id].file, "pack.within", None, message)
        for pack_id, message in wrong_between({key: each.pack for key, each in packs.items()})
    ]


def stack(packs: Mapping[str, LoadedPack], chosen: Iterable[str]) -> tuple[LoadedPack, ...]:
    """The chosen packs with all packs they lie within, widest level first. Unknown ids drop out."""
    order = ("country", "region", "local", "own")
    found: dict[str, LoadedPack] = {}
    waiting = list(chosen)
    while waiting:
        name = waiting.pop()
        if name in packs and name not in found:
            found[name] = packs[name]
            waiting += packs[name].pack.pack.within
    return tuple(
        sorted(found.values(), key=lambda each: (order.index(each.pack.pack.level), each.id))
    )
