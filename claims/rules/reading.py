"""From parsed TOML to the classes of the format, with every mistake named at once.

The reader goes by the annotations of the dataclasses, so that a field is declared in one place
only. A mistake becomes a `Problem` with its key; nothing is guessed and no unknown key passes.
"""

import datetime as dt
import re
from dataclasses import MISSING, dataclass, field, fields, is_dataclass
from functools import cache
from types import UnionType
from typing import Any, Literal, Union, get_args, get_origin, get_type_hints
from urllib.parse import urlsplit

from trips.calc.words import marked, say

Day = dt.date
Path = tuple[str | int, ...]
LONGEST_TEXT = 2000
SLUG = re.compile(r"^[a-z0-9][a-z0-9_.:-]{0,79}$")


def doc(text: str, default: Any = MISSING, *, name: str = "") -> Any:
    """Declare a field of the format with its sentence; without a default it is required.

    `name` is the key in the file where Python keeps the word for itself.
    """
    metadata = {"doc": text, "name": name}
    if default is MISSING:
        return field(metadata=metadata)
    return field(default=default, metadata=metadata)


class Slug(str):
    """An id: small letters, digits and _ . : - ; at most 80."""

    __slots__ = ()

    @classmethod
    def parse(cls, text: str) -> "Slug":
        """Check an id; raises ValueError that says what was expected."""
        if not SLUG.match(text):
            raise ValueError(
                say("“{text}” is not an id of small letters, digits, _ . : and -", text=text[:80])
            )
        return cls(text)


class Url(str):
    """An address that begins with http:// or https:// and names a host."""

    __slots__ = ()

    @classmethod
    def parse(cls, text: str) -> "Url":
        """Check an address; raises ValueError that says what was expected."""
        try:
            parts = urlsplit(text)
            host = parts.hostname
        except ValueError:
            host = None
        whole = not re.search(r"[\s<>\"\\^`{|}]", text)
        if not (host and "." in host.strip(".") and parts.scheme in ("http", "https") and whole):
            raise ValueError(
                say("“{text}” is not an address such as https://example.org/rules", text=text[:120])
            )
        return cls(text)


@dataclass(frozen=True)
class Problem:
    """What is wrong, under which key, and in which line where that could be found."""

    file: str
    key: str
    line: int | None
    message: str

    def __str__(self) -> str:
        line = say(", line {line}", line=self.line) if self.line else ""
        key = f": {self.key}" if self.key else ""
        return f"{self.file}{line}{key}: {self.message}"


class _Stop(Exception):
    """This value can't be read; its problem has been noted."""


def key_words(path: Path) -> str:
    """A path as people write it, lists counted from 1: rule[3].effect.at_most."""
    text = ""
    for part in path:
        if isinstance(part, int):
            text += f"[{part + 1}]"
        else:
            text += f".{part}" if text else part
    return text


@cache
def entries_of(cls: type) -> dict[str, Any]:
    """Key in the file → field of a class, cached like its hints."""
    return {key_of(entry): entry for entry in fields(cls)}


@cache
def hints_of(cls: type) -> dict[str, Any]:
    """Resolved annotations of a class, cached because every rule asks for them."""
    return get_type_hints(cls)


def key_of(entry: Any) -> str:
    """The key in the file for a field."""
    return str(entry.metadata.get("name") or entry.name)


def tag_key(cls: type) -> str:
    """Which key chooses among the classes of a union."""
    return "fact" if cls.__module__.endswith(".when") else "type"


@cache
def union_of(hint: Any) -> tuple[Any, ...]:
    """The members of a union without None; empty for anything else."""
    if get_origin(hint) in (UnionType, Union):
        return tuple(member for member in get_args(hint) if member is not type(None))
    return ()


class Reader:
    """Reads one file's values and gathers (path, message) of everything wrong."""

    def __init__(self) -> None:
        self.wrong: list[tuple[Path, str]] = []

    def read(self, cls: type, value: Any, path: Path = ()) -> Any:
        """An instance of `cls`, or None when anything in it was wrong."""
        before = len(self.wrong)
        try:
            made = self._dataclass(cls, value, path)
        except _Stop:
            return None
        return made if len(self.wrong) == before else None

    def _fail(self, path: Path, message: str) -> _Stop:
        self.wrong.append((path, message))
        return _Stop()

    def _dataclass(self, cls: type, value: Any, path: Path) -> Any:
        if not isinstance(value, dict):
            raise self._fail(path, say("expected a table, not {value}", value=_named(value)))
        entries = entries_of(cls)
        tag = getattr(cls, "TAG", None)
        skip = {tag_key(cls)} if tag else set()
        for key in value:
            if key not in entries and key not in skip:
                known = ", ".join(entries)
                self.wrong.append(
                    ((*path, key), say("is not a key here; known are {known}", known=known))
                )
        made: dict[str, Any] = {}
        hints = hints_of(cls)
        failed = False
        for key, entry in entries.items():
            if key not in value:
                if entry.default is MISSING:
                    self.wrong.append(
                        (
                            (*path, key),
                            say("is missing. {metadata}", metadata=entry.metadata["doc"]),
                        )
                    )
                    failed = True
                continue
            try:
                made[entry.name] = self._value(hints[entry.name], value[key], (*path, key))
            except _Stop:
                failed = True
        if failed:
            raise _Stop
        return cls(**made)

    def _value(self, hint: Any, value: Any, path: Path) -> Any:
        members = union_of(hint)
        if len(members) == 1:
            return self._value(members[0], value, path)
        if members:
            return self._tagged(members, value, path)
        if get_origin(hint) is tuple:
            return self._list(get_args(hint)[0], value, path)
        if get_origin(hint) is dict:
            return self._answers(value, path)
        if get_origin(hint) is Literal:
            return self._word(get_args(hint), value, path)
        if is_dataclass(hint) and not hasattr(hint, "parse"):
            return self._dataclass(hint, value, path)  # type: ignore[arg-type]
        return self._scalar(hint, value, path)

    def _tagged(self, members: tuple[Any, ...], value: Any, path: Path) -> Any:
        if not isinstance(value, dict):
            raise self._fail(path, say("expected a table, not {value}", value=_named(value)))
        key = tag_key(members[0])
        by_tag = {member.TAG: member for member in members}
        if key not in value:
            raise self._fail(
                (*path, key), say("is missing; write one of {by_tag}", by_tag=", ".join(by_tag))
            )
        chosen = by_tag.get(value[key]) if isinstance(value[key], str) else None
        if chosen is None:
            raise self._fail(
                (*path, key),
                say(
                    "is “{value}”; write one of {by_tag}",
                    value=value[key],
                    by_tag=", ".join(by_tag),
                ),
            )
        return self._dataclass(chosen, value, path)

    def _list(self, hint: Any, value: Any, path: Path) -> tuple[Any, ...]:
        if not isinstance(value, list):
            raise self._fail(path, say("expected a list in [ ], not {value}", value=_named(value)))
        made, failed = [], False
        for index, item in enumerate(value):
            try:
                made.append(self._value(hint, item, (*path, index)))
            except _Stop:
                failed = True
        if failed:
            raise _Stop
        return tuple(made)

    def _answers(self, value: Any, path: Path) -> dict[str, bool | str]:
        if not isinstance(value, dict):
            raise self._fail(path, say("expected a table, not {value}", value=_named(value)))
        for key, answer in value.items():
            if not isinstance(answer, bool | str):
                self.wrong.append(((*path, key), say("expected true, false or text in quotes")))
        return dict(value)

    def _word(self, allowed: tuple[Any, ...], value: Any, path: Path) -> Any:
        if value not in allowed or isinstance(value, bool):
            known = ", ".join(str(word) for word in allowed)
            raise self._fail(
                path, say("is {value}; write one of {known}", value=_named(value), known=known)
            )
        return value

    def _scalar(self, hint: Any, value: Any, path: Path) -> Any:
        if hint is bool:
            if not isinstance(value, bool):
                raise self._fail(
                    path, say("expected true or false, not {value}", value=_named(value))
                )
            return value
        if hint is int:
            if isinstance(value, bool) or not isinstance(value, int):
                raise self._fail(
                    path, say("expected a whole number, not {value}", value=_named(value))
                )
            if not 0 <= value <= 10**12:
                raise self._fail(
                    path, say("is {value}; expected a number from 0 to 10^12", value=value)
                )
            return value
        if hint is dt.date:
            if isinstance(value, dt.datetime) or not isinstance(value, dt.date):
                raise self._fail(
                    path,
                    say(
                        "expected a day without quotes, such as 2031-03-01, not {value}",
                        value=_named(value),
                    ),
                )
            return value
        if not isinstance(value, str):
            expected = say(getattr(hint, "EXPECTED", marked("text in quotes")))
            raise self._fail(
                path,
                say("expected {expected}, not {value}", expected=expected, value=_named(value)),
            )
        if len(value) > LONGEST_TEXT:
            raise self._fail(
                path,
                say(
                    "has {value} characters; at most {longest_text} fit",
                    value=len(value),
                    longest_text=LONGEST_TEXT,
                ),
            )
        if hint is str:
            if not value.strip():
                raise self._fail(path, say("is empty"))
            return value.strip()
        try:
            return hint.parse(value)
        except ValueError as error:
            raise self._fail(path, str(error)) from None


def _named(value: Any) -> str:
    """A wrong value for a sentence, short."""
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list):
        return "a list"
    if isinstance(value, bool):
        return str(value).lower()
    text = str(value)
    return f"“{text if len(text) <= 60 else text[:57] + '…'}”"
