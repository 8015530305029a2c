"""What number did a person type? Reads marks, spaces and digits of any script, or refuses.

A number is never guessed from half a text: anything that is not one plain number is refused.
"""

import unicodedata
from decimal import Decimal

from trips.calc.errors import NotANumber
from trips.calc.words import say

MAX_LENGTH = 40

_MINUS = "-\u2212\u2010\u2011\u2012\u2013\ufe63\uff0d"
_MARKS = {".": ".", ",": ",", "\u066b": ".", "\uff0e": ".", "\uff0c": ",", "\u060c": ","}
_GROUPERS = {" ", "\u00a0", "\u202f", "\u2009", "\u2007", "'", "\u2019", "\u066c"}
# Invisible direction marks come along when a number is pasted from right-to-left text.
_INVISIBLE = "\u200e\u200f\u061c\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\ufeff"


def parse_decimal(text: str, own_mark: str = "") -> Decimal:
    """Read one number as people write it; the result has the unit that the asker meant.

    A comma or point standing alone is the decimal mark. `own_mark` is the mark that the writer
    reads numbers with: the other one, alone before exactly three digits ("1,234" of somebody
    whose mark is the point), could as well group thousands and is refused. Without `own_mark`
    such a text is one and a bit: columns and phones have no groups.
    If both occur, the last is the decimal mark and the other must group by threes. Two or more
    of one mark, and spaces or apostrophes, are thousands and must group by threes.

    Raises: NotANumber for an empty text, letters, exponents, infinities, a grouping not by
        threes, two meanings, or more than 40 characters; the message names the text.
    """
    if len(text) > MAX_LENGTH:
        shown = text[:MAX_LENGTH]
        raise NotANumber(
            say(
                "“{shown}…” is too long: a number of at most {max_length} characters.",
                shown=shown,
                max_length=MAX_LENGTH,
            )
        )
    plain = _to_plain(text)
    sign = ""
    if plain[:1] in ("-", "+"):
        sign = "-" if plain[0] == "-" else ""
        plain = plain[1:].lstrip(" ")
    whole, mark, decimals = _split_at_decimal_mark(plain, text)
    if own_mark and mark and mark != own_mark and _could_group(whole, decimals):
        one, other = f"{sign}{whole}{own_mark}{decimals}", f"{sign}{whole}{decimals}"
        raise NotANumber(
            say(
                "“{text}” can mean two numbers. Write {one} or {other}.",
                text=text.strip(),
                one=one,
                other=other,
            )
        )
    digits = _ungroup(whole, text)
    if decimals and not _all_digits(decimals):
        raise _refused(text, say("only digits can follow the decimal mark"))
    if not digits and not decimals:
        raise _refused(text, say("a number was expected"))
    return Decimal(f"{sign}{digits or '0'}{'.' if mark and decimals else ''}{decimals}")


def _refused(text: str, why: str) -> NotANumber:
    return NotANumber(
        say(
            "“{text}” could not be read as a number: {why}. Write it like 1234.5.",
            text=text,
            why=why,
        )
    )


def _to_plain(text: str) -> str:
    """Bring every accepted character to 0-9, point, comma, space, hyphen or plus."""
    out = []
    for char in text.strip().strip(_INVISIBLE).strip():
        if char in _INVISIBLE:
            continue
        if char.isdecimal():
            out.append(str(unicodedata.decimal(char)))
        elif char in _MINUS:
            out.append("-")
        elif char in _MARKS:
            out.append(_MARKS[char])
        elif char in _GROUPERS:
            out.append("'" if char in "'\u2019" else "\u066c" if char == "\u066c" else " ")
        elif char == "+":
            out.append("+")
        else:
            raise _refused(text, say("a number was expected, without letters or signs"))
    return "".join(out)


def _split_at_decimal_mark(plain: str, text: str) -> tuple[str, str, str]:
    """Part a plain text into whole part, decimal mark (or nothing) and decimals."""
    points, commas = plain.count("."), plain.count(",")
    if points and commas:
        mark = "." if plain.rindex(".") > plain.rindex(",") else ","
        if plain.count(mark) > 1:
            raise _refused(text, say("it has two decimal marks"))
    elif points == 1 or commas == 1:
        mark = "." if points else ","
    else:
        return plain, "", ""
    whole, _, decimals = plain.partition(mark)
    return whole, mark, decimals


def _could_group(whole: str, decimals: str) -> bool:
    """Could the mark between these two be a thousands mark?"""
    by_threes = len(decimals) == 3 and _all_digits(decimals)
    return by_threes and 1 <= len(whole) <= 3 and _all_digits(whole) and whole[0] != "0"


def _ungroup(whole: str, text: str) -> str:
    """Take the thousands marks out of a whole part after checking that they group by threes."""
    used = {char for char in whole if not _all_digits(char)}
    if not used:
        return whole
    if len(used) > 1 or used & {"-", "+"}:
        raise _refused(text, say("it mixes several marks or signs"))
    groups = whole.split(used.pop())
    first, rest = groups[0], groups[1:]
    by_threes = 1 <= len(first) <= 3 and not first.startswith("0")
    if not by_threes or any(len(group) != 3 for group in rest):
        raise _refused(text, say("thousands marks must stand between groups of three digits"))
    return "".join(groups)


def _all_digits(text: str) -> bool:
    return text.isascii() and text.isdigit()
