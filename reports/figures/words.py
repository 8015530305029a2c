"""Figures in running sentences: money and plain lists."""

from collections.abc import Sequence

from trips.calc import local
from trips.calc.money import from_minor

NARROW = "\u202f"  # doesn't break a line


def money_words(amount_minor: int, currency: str) -> str:
    """An amount with its currency, e.g. "−12.50 EUR"."""
    return local.money(from_minor(amount_minor, currency), currency)


def trips_word(count: int) -> str:
    """ "1 trip", "4 trips"."""
    return f"{count} trip" if count == 1 else f"{count} trips"


def listed(names: Sequence[str], most: int = 6) -> str:
    """Names in a row, "A, B and C"; beyond `most` the rest is counted."""
    shown = list(names[:most])
    left = len(names) - len(shown)
    if left:
        shown.append(f"{left} more")
    if len(shown) < 2:
        return "".join(shown)
    return f"{', '.join(shown[:-1])} and {shown[-1]}"
