"""Figures in running sentences: money and plain lists."""

from collections.abc import Sequence

from trips.calc import local
from trips.calc.money import from_minor
from trips.calc.words import say, several

NARROW = "\u202f"  # doesn't break a line


def money_words(amount_minor: int, currency: str) -> str:
    """An amount with its currency, e.g. "−12.50 EUR"."""
    return local.money(from_minor(amount_minor, currency), currency)


def trips_word(count: int) -> str:
    """ "1 trip", "4 trips"."""
    return several("{n} trip", "{n} trips", count)


def listed(names: Sequence[str], most: int = 6) -> str:
    """Names in a row, "A, B and C"; beyond `most` the rest is counted."""
    shown = list(names[:most])
    left = len(names) - len(shown)
    if left:
        shown.append(say("{left} more", left=left))
    if len(shown) < 2:
        return "".join(shown)
    return say("{shown} and {shown_2}", shown=", ".join(shown[:-1]), shown_2=shown[-1])
