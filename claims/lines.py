"""One line of a checklist."""

from collections.abc import Iterable
from dataclasses import dataclass

from claims.rules.findings import ANSWER_DECIDES, ASK, CHECK_THIS, NOT_AS_PLANNED, THE_RULE
from claims.rules.words import PHASE_WORDS, PHASES
from trips.calc.words import marked, say

# Templates say the words themselves.
RANKS = {marked("stop"): 0, marked("do"): 1, marked("ask"): 2, marked("know"): 3}
# What the rule's own words are led in by, and what says nothing without them.
LEADS = (ANSWER_DECIDES, THE_RULE)
LABELS = (NOT_AS_PLANNED, ASK, CHECK_THIS)
COUNT_WORDS = (
    ("stop", marked("stop")),
    ("do", marked("to do")),
    ("ask", marked("to ask")),
    ("know", marked("to know")),
)


@dataclass(frozen=True)
class Answerable:
    """What can be answered to a line: a question, or that what it asks for was seen to.

    `entry` says how: one of the `choices` (value, words), "hours" of a day, an "amount" of
    `unit`, or noted with the "site" on its own page. `on_site` is kept for the site, the rest for
    the trip. `said` is the answer given, with whose and when.
    """

    key: str
    question: str
    choices: tuple[tuple[str, str], ...] = ()
    on_site: bool = False
    said: str = ""
    entry: str = "choice"
    unit: str = ""


@dataclass(frozen=True)
class CheckLine:
    """What to heed, why, where that is written and whom to ask.

    `outcome` is "stop" (don't go as planned), "do", "ask" or "know"; there is no "fine".
    `site_id` is None for a caution that holds anywhere. `key` is "pack/rule" for a rule's line.
    """

    outcome: str
    text: str
    why: str
    source: str
    confirm_with: str
    site_id: int | None
    phase: str = "leave"
    key: str = ""
    layer: str = ""
    rule_text: str = ""
    change: str = ""
    date_of_text: str = ""
    how_known: str = ""
    url: str = ""
    due: str = ""
    evidence: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()
    answers: tuple[Answerable, ...] = ()

    @property
    def rank(self) -> int:
        """0 for stop to 3 for know."""
        return RANKS[self.outcome]

    @property
    def head(self) -> str:
        """What to read at a glance: the text up to the rule's own words, where that says enough."""
        start = self._start
        for lead in LEADS:
            start = start.removesuffix(say(lead)).rstrip()
        return self.text if not start or start in [say(label) for label in LABELS] else start

    @property
    def rest(self) -> str:
        """The rule's own words, where `head` leaves them out."""
        return "" if self.head == self.text else self.rule_text

    @property
    def is_question(self) -> bool:
        """Whether its head is a question on whose answer the rule hangs."""
        return self._start.endswith(tuple(say(lead) for lead in LEADS))

    @property
    def _start(self) -> str:
        whole = bool(self.rule_text) and self.text.endswith(self.rule_text)
        return self.text[: -len(self.rule_text)].rstrip() if whole else ""

    @property
    def is_due(self) -> bool:
        """Whether it stops, asks or leaves something to do that nobody has answered yet."""
        if self.outcome == "know":
            return False
        return not (self.answers and all(each.said for each in self.answers))


@dataclass(frozen=True)
class Bundle:
    """Lines that hang on the same question, so that it is read once; mostly a single line."""

    lines: tuple[CheckLine, ...]

    @property
    def first(self) -> CheckLine:
        """The line that stands for all."""
        return self.lines[0]

    @property
    def is_one(self) -> bool:
        """Whether there is only one."""
        return len(self.lines) == 1


@dataclass(frozen=True)
class PhaseLines:
    """Lines that matter at one time, gravest first."""

    phase: str
    title: str
    lines: tuple[CheckLine, ...]

    @property
    def urgent(self) -> tuple[Bundle, ...]:
        """What stops, asks or leaves something to do; a question once for all lines it decides."""
        found: dict[object, list[CheckLine]] = {}
        for number, line in enumerate(self.lines):
            if line.outcome != "know":
                same = (line.outcome, line.head, line.answers)
                key: object = same if line.is_question else number
                found.setdefault(key, []).append(line)
        return tuple(Bundle(tuple(lines)) for lines in found.values())

    @property
    def to_know(self) -> tuple[CheckLine, ...]:
        """Lines that are only to be known."""
        return tuple(line for line in self.lines if line.outcome == "know")

    @property
    def is_due(self) -> bool:
        """Whether any of its lines is to be settled yet."""
        return any(line.is_due for line in self.lines)

    @property
    def counts(self) -> str:
        """How many lines of each outcome, e.g. "2 stop, 5 to do"."""
        return counts_of(self.lines)


def counts_of(lines: Iterable[CheckLine]) -> str:
    """How many lines of each outcome in words; an outcome without a line is left out."""
    lines = tuple(lines)
    counted = [(sum(x.outcome == code for x in lines), say(words)) for code, words in COUNT_WORDS]
    return ", ".join(f"{count} {words}" for count, words in counted if count)


def by_phase(lines: Iterable[CheckLine]) -> tuple[PhaseLines, ...]:
    """Lines grouped by when they matter, in that order; times without a line are left out."""
    lines = tuple(lines)
    groups = []
    for phase in PHASES:
        here = sorted((line for line in lines if line.phase == phase), key=lambda x: x.rank)
        if here:
            groups.append(PhaseLines(phase, PHASE_WORDS[phase], tuple(here)))
    return tuple(groups)


def worst(lines: Iterable[CheckLine]) -> str:
    """The gravest outcome among the lines; "ask" when there are none, because nothing is known."""
    return min((line.outcome for line in lines), key=RANKS.__getitem__, default="ask")
