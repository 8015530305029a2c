"""A paper's conditions as lines of their own: one sentence each, with a first guess at its kind."""

import re
from dataclasses import dataclass

# The first list that holds a word of the line names its kind; a person corrects it.
HINTS = (
    ("fill_in", ("fill", "hole", "restore", "level", "backfill", "rehabilit")),
    ("report", ("report", "notif", "notice", "call ", "tell ", "inform", "return of")),
    ("fee", ("fee", "rent", "pay ")),
    ("work", ("days of work", "hours of work", "work of", "assessment", "expend")),
    ("gear", ("hand tool", "sluice", "pump", "engine", "pan", "dredge", "motor", "hp", "tool")),
    ("time", ("season", "sunrise", "sunset", "hour", "month", "closed", "between")),
    ("place", ("gate", "marker", "post", "camp", "metre", "fire", "bank", "people", "person")),
)
MOST_LINES = 60
# A full stop ends a sentence before a capital letter, not in "No. 5" or "0.5 m".
END = re.compile(r"(?<=[^\W\d_][.;!?])\s+(?=[^\W\d_a-z])")


@dataclass(frozen=True)
class ConditionLine:
    """One demand in the paper's words, and what it seems to be about."""

    kind: str
    text: str


def condition_lines(text: str) -> tuple[ConditionLine, ...]:
    """Lines and sentences of a paper's conditions in order; bullets are taken off."""
    found = []
    for line in text.splitlines():
        plain = re.sub(r"^\s*(?:[-*•·–]|\(?\d{1,2}[.)])\s+", "", line).strip()
        found += [part.strip() for part in END.split(plain) if part.strip()]
    return tuple(ConditionLine(kind_of(part), part) for part in found[:MOST_LINES])


def kind_of(text: str) -> str:
    """What a line seems to be about; "other" without a hint."""
    plain = f"{text.casefold()} "
    for kind, hints in HINTS:
        if any(hint in plain for hint in hints):
            return kind
    return "other"
