"""A worked example: what is given, the sum's steps as a table, and what follows."""

from collections.abc import Callable
from dataclasses import dataclass

from trips.calc import local

CURRENCY = "EUR"  # of every example; nothing is converted


@dataclass(frozen=True)
class Example:
    """Everything in words. Every number in it comes out of the functions that the pages use."""

    title: str
    given: tuple[str, ...]
    headers: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    result: tuple[str, ...]


MakeExamples = Callable[[], tuple[Example, ...]]


def sign(value: float, places: int = 2) -> str:
    """A number in the reader's manner, with a true minus sign."""
    return local.fixed(value, places, group="\u2009")


def pct(share: float, places: int = 0) -> str:
    """A share (0 to 1) in per cent."""
    return f"{local.fixed(100 * share, places)}\u202f%"
