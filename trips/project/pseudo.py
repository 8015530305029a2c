"""Languages that nobody speaks, to see what isn't translated and what breaks when it is.

`longer` is English with accents, half as long again; `turned` has Hebrew letters, so that a page
runs from the right. Both stand in brackets: text without them was never marked.
"""

import re

OPEN, CLOSE = "⟦", "⟧"
LONGER, TURNED = "en_XA", "he_XB"
# What stands for a value or is markup stays as it is.
KEPT = re.compile(r"(%\(\w+\)[sd]|%[sd%]|\{[^{}]*\}|<[^>]*>|&#?\w+;)")
_LETTERS = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ"
_ACCENTED = "åƀçđéƒĝĥîĵķļɱñöþɋŕšţûṽŵẋýžÅƁÇĐÉƑĜĤÎĴĶĻṀÑÖÞɊŔŠŢÛṼŴẊÝŽ"
_HEBREW = "אבגדהוזחטיכלמנסעפצקרשתםןףץ" * 2
_TO_ACCENTED = str.maketrans(_LETTERS, _ACCENTED)
_TO_HEBREW = str.maketrans(_LETTERS, _HEBREW)


def longer(text: str) -> str:
    """Accented and half as long again."""
    letters = sum(character.isalpha() for character in KEPT.sub("", text))
    more = " ".join(["lorem"] * max(1, letters // 12)) if letters > 3 else ""
    return _changed(text, _TO_ACCENTED, f" {more}" if more else "")


def turned(text: str) -> str:
    """In letters that run from right to left."""
    return _changed(text, _TO_HEBREW, "")


def _changed(text: str, table: dict[int, int], more: str) -> str:
    parts = KEPT.split(text)
    said = "".join(part if n % 2 else part.translate(table) for n, part in enumerate(parts))
    # Line ends at either side must stay: gettext compares them.
    start = len(said) - len(said.lstrip())
    end = len(said.rstrip())
    return f"{said[:start]}{OPEN}{said[start:end]}{more}{CLOSE}{said[end:]}"
