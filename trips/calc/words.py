"""Sentences of the pure code in the language of the person who reads them.

Pure code knows no catalogue. It says each sentence through `say`, which hands it to whatever the
site gave to `speak_with`; until then, as in a test of a sum, sentences stay English. What is kept
as text and what is compared with it is said within `kept`: in English and the program's own
manner, whoever happens to write it.
"""

from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager, nullcontext
from dataclasses import dataclass
from functools import lru_cache, wraps
from typing import Any, ParamSpec, TypeVar, cast

from trips.calc import local

P = ParamSpec("P")
R = TypeVar("R")


def _one_or_many(one: str, many: str, count: int) -> str:
    return one if count == 1 else many


@dataclass(frozen=True)
class Tongue:
    """How sentences are found in the reader's language.

    `name` tells which language that is, `in_source` makes it English for the length of a block.
    """

    one: Callable[[str], str] = str
    plural: Callable[[str, str, int], str] = _one_or_many
    name: Callable[[], str | None] = lambda: None
    in_source: Callable[[], AbstractContextManager[None]] = nullcontext


_site = [Tongue()]


def speak_with(tongue: Tongue) -> None:
    """Look sentences up here from now on; the site does so once, when it starts."""
    _site[0] = tongue


@contextmanager
def kept() -> Iterator[None]:
    """English and the program's own manner within the block, also as a decorator."""
    with _site[0].in_source(), local.written(local.OWN):
        yield


def is_source() -> bool:
    """Is what is said now what would be kept: English, in the program's own manner?"""
    return _site[0].name() in (None, "en") and local.current() == local.OWN


def say(message: str, /, **values: object) -> str:
    """A sentence in the reader's language, its `{places}` filled with `values`."""
    if not message:
        return ""
    return _filled(_site[0].one(message), message, values)


def several(one: str, many: str, count: int, /, **values: object) -> str:
    """The form that the reader's language has for so many; `{n}` is the number."""
    values = {"n": count, **values}
    source = _one_or_many(one, many, count)
    return _filled(_site[0].plural(one, many, count), source, values)


def _filled(said: str, source: str, values: dict[str, object]) -> str:
    if not values:
        return said
    try:
        return said.format(**values)
    except (KeyError, IndexError, ValueError):  # a place that a translation got wrong
        return source.format(**values)


def marked(message: str) -> str:
    """A text that stands where nobody reads yet; whoever shows it hands it to `say`."""
    return message


class Spoken(dict[str, str]):
    """Words by their code, each said in the reader's language when it is asked for."""

    def __getitem__(self, code: str) -> str:
        return say(super().__getitem__(code))

    def get(self, code: str, otherwise: Any = None) -> Any:
        """The word of a code, or `otherwise` as it stands."""
        return say(super().__getitem__(code)) if code in self else otherwise

    def source(self) -> list[tuple[str, str]]:
        """Codes with their words as written here, for what looks them up later by itself."""
        return list(super().items())

    def items(self) -> Any:
        """Codes with their words."""
        return [(code, self[code]) for code in self]

    def values(self) -> Any:
        """The words."""
        return [self[code] for code in self]


class Said(dict[str, str]):
    """Texts as `say` says them, each looked up once; for thousands of rows that share a few.

    Lives no longer than the page or file that it is made for: another reader needs another one.
    """

    def __missing__(self, message: str) -> str:
        said = self[message] = say(message)
        return said

    def filled(self, message: str, /, **values: object) -> str:
        """A sentence with its `{places}` filled, as `say` gives it."""
        return _filled(self[message], message, values)


def remembered(most: int) -> Callable[[Callable[P, R]], Callable[P, R]]:
    """Like `lru_cache`, for what holds sentences: each language and manner has its own."""

    def keep(work: Callable[P, R]) -> Callable[P, R]:
        @lru_cache(maxsize=most)
        def by_reader(reader: object, *args: Any, **kwargs: Any) -> R:
            return work(*args, **kwargs)

        @wraps(work)
        def ask(*args: P.args, **kwargs: P.kwargs) -> R:
            return by_reader((_site[0].name(), local.current()), *args, **cast(Any, kwargs))

        return cast(Callable[P, R], ask)

    return keep
