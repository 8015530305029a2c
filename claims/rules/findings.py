"""What one rule says for one plan: an outcome, what to do, why it applies and where it is written.

Outcomes are stop (don't go as planned), do, ask and know. There is none for "fine".
"""

import datetime as dt
from copy import copy
from dataclasses import asdict, dataclass, field
from typing import Any

from claims.rules.due import DutyDue, TermRule
from claims.rules.quantities import Bound
from claims.rules.truth import Missing, Verdict
from claims.rules.words import Outcome, Phase
from trips.calc.words import marked, say

RANKS: dict[str, int] = {"stop": 0, "do": 1, "ask": 2, "know": 3}
# What leads in a rule's own words; a page shows what stands before them.
ANSWER_DECIDES = marked("The answer decides on this rule:")
LOOK_OUT = marked("Look out at the creek:")
THE_RULE = marked("The rule:")
NOT_AS_PLANNED = marked("Not as planned:")
ASK = marked("Ask:")
CHECK_THIS = marked("Check this:")
LEVELS = ("country", "region", "local", "own")


@dataclass(frozen=True)
class SourceLine:
    """One text as a page shows it."""

    title: str
    url: str
    where: str
    date_of_text: str
    how_known: str


@dataclass(frozen=True)
class Said:
    """What an effect comes to, before the rule's own particulars are put to it.

    `limit` names what is bounded and by how much, so that packs can be compared. `consents` are the
    noted consents that it takes for the one it asks for.
    """

    outcome: Outcome
    text: str
    phase: Phase
    why: tuple[str, ...] = ()
    missing: tuple[Missing, ...] = ()
    evidence: tuple[str, ...] = ()
    due_on: dt.date | None = None
    due_words: str = ""
    duty: DutyDue | None = None
    term: TermRule | None = None
    limit: tuple[str, Bound] | None = None
    can_be_met: bool = False
    consents: tuple[str, ...] = ()


@dataclass(frozen=True)
class Finding:
    """One line for a page. `key` is "pack/rule"; `days` are those of the trip it holds on."""

    key: str
    pack_id: str
    rule_id: str
    kind: str
    level: str
    layer: str
    outcome: Outcome
    phase: Phase
    text: str
    rule_text: str
    why: tuple[str, ...]
    missing: tuple[Missing, ...]
    evidence: tuple[str, ...]
    change: str
    sources: tuple[SourceLine, ...]
    section: str
    standing: str
    confirm_with: str
    warnings: tuple[str, ...]
    due_on: dt.date | None
    due_words: str
    duty: DutyDue | None
    term: TermRule | None
    can_be_met: bool
    days: tuple[dt.date, ...]
    limit: tuple[str, Bound] | None = field(default=None, compare=False)
    consents: tuple[str, ...] = field(default=(), compare=False)

    @property
    def rank(self) -> tuple[int, int, int, str]:
        """Gravest first, then widest level, then by name."""
        level = LEVELS.index(self.level)
        return RANKS[self.outcome], 0 if self.missing else 1, level, self.key

    def on(self, day: dt.date) -> "Finding":
        """The same on another day alone; quicker than `replace`, which checks every field."""
        if self.days == (day,):
            return self
        other = copy(self)
        object.__setattr__(other, "days", (day,))
        return other


def as_data(finding: Finding) -> dict[str, Any]:
    """A finding as plain data for JSON; days as ISO text."""

    def plain(value: Any) -> Any:
        if isinstance(value, dt.date):
            return value.isoformat()
        if isinstance(value, dict):
            return {key: plain(item) for key, item in value.items()}
        if isinstance(value, list | tuple):
            return [plain(item) for item in value]
        return value

    data = asdict(finding)
    del data["limit"], data["consents"]
    return {key: plain(value) for key, value in data.items()}


def asking(verdict: Verdict, rule_text: str) -> Said:
    """What not knowing comes to: a question, or a reminder where only the creek can tell."""
    questions = " ".join(missing.words for missing in verdict.missing)
    if verdict.only_seen_at_creek:
        return Said(
            "do",
            f"{say(LOOK_OUT)} {questions} {say(THE_RULE)} {rule_text}",
            "creek",
            verdict.used,
            verdict.missing,
            verdict.evidence,
        )
    return Said(
        "ask",
        f"{questions} {say(ANSWER_DECIDES)} {rule_text}",
        "plan",
        verdict.used,
        verdict.missing,
        verdict.evidence,
    )
