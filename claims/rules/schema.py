"""A rule pack: the dated rules of one jurisdiction, each with source, date and whom to ask.

These classes are the format: the loader, the JSON Schema and the field table in the packs' README
are all read off them.
"""

import datetime as dt
from dataclasses import dataclass
from functools import cached_property
from typing import Any, Literal

from claims.rules import words
from claims.rules.effects import Effect
from claims.rules.reading import Day, Slug, Url, doc
from claims.rules.when import Condition, GearFilter
from claims.rules.windows import DayWindow

# "seen" by whoever wrote the pack; a summary by somebody else never settles anything.
SETTLED_BY = ("official", "mirror", "own")


@dataclass(frozen=True, kw_only=True)
class PackHead:
    """Who this pack is about and how old it is."""

    id: Slug = doc("Name of the pack, as its file: small letters, digits, hyphens.")
    title: str = doc("Name of the place for people.")
    level: Literal["country", "region", "local", "own"] = doc(
        "How wide it reaches. Where packs stack, the page says which level a line came from."
    )
    code: str = doc("Code of the jurisdiction, e.g. XX-VEL.")
    within: tuple[Slug, ...] = doc("Ids of packs that hold here as well.", ())
    version: str = doc('Edition of this pack, e.g. "2031-03".')
    checked_on: Day = doc("When its texts were last read.")
    review_by: Day = doc("From the day after, every page warns that the pack is old.")
    confirm_with: str = doc("The office to confirm with; a rule may name another.")
    sourcing: Literal["good", "fair", "own"] = doc("How well the texts could be read.")
    invented: bool = doc("For show and tests; never offered to people as law.", False)
    notes: str = doc("What is missing from the pack.", "")


@dataclass(frozen=True, kw_only=True)
class Source:
    """A text that rules rest on."""

    id: Slug = doc("Id for rules to name.")
    title: str = doc("Author and title, with the section.")
    url: Url | None = doc("Address; one of url and where is needed.", None)
    where: str = doc("Where the text can be read, if it has no address.", "")
    date_of_text: str = doc('The date the text states, its edition, or "undated".')
    how_known: words.HowKnown = doc("How it was read.")


@dataclass(frozen=True, kw_only=True)
class PaperKind:
    """A paper that rules of this pack ask for."""

    code: Slug = doc("Code for rules, and for the paper in a party's record.")
    title: str = doc("What it is called.")
    kind: words.PaperWord = doc("Which kind of paper.")
    issuer: str = doc("Who gives it.", "")
    is_these_rules: bool = doc(
        "Following the rules of this pack is itself the approval (a pamphlet to carry).", False
    )


@dataclass(frozen=True, kw_only=True)
class Area:
    """A named area, zone or class of water that a site may lie in."""

    id: Slug = doc("Id for rules, and for the site in a party's record.")
    title: str = doc("Name for people.")


@dataclass(frozen=True, kw_only=True)
class Question:
    """Something only people can answer."""

    id: Slug = doc("Id for rules and situations.")
    text: str = doc("The question, as asked.")
    scope: Literal["site", "trip", "creek"] = doc(
        "Asked once for the site, for every trip, or only to be seen at the creek."
    )
    choices: tuple[str, ...] = doc("Answers to choose from; none: yes or no.", ())


@dataclass(frozen=True, kw_only=True)
class Row:
    """One place of a table and its windows."""

    place: str = doc("Name of the water, or id of the area.")
    windows: tuple[DayWindow, ...] = doc("Windows of days; none: never.", ())


@dataclass(frozen=True, kw_only=True)
class Table:
    """Dates by place that the office sets anew, with the year they are of."""

    id: Slug = doc("Id for rules.")
    title: str = doc("What it is called.")
    year: int | None = doc("The year it holds for; left out: holds for every year.", None)
    by: Literal["water", "area"] = doc("What a row is found by.")
    source: Slug = doc("Id of its source.")
    rows: tuple[Row, ...] = doc("Its rows; none: the table is still missing and rules ask.", ())


@dataclass(frozen=True, kw_only=True)
class Group:
    """Gear that this law puts together under one word, e.g. motorised."""

    id: Slug = doc("Id for rules.")
    title: str = doc("The law's word.")
    any_of: tuple[GearFilter, ...] = doc("Gear that fits one of these belongs to it.")


@dataclass(frozen=True, kw_only=True)
class Rule:
    """One rule in the pack's own words."""

    id: Slug = doc("Id, once in the pack.")
    kind: words.Kind = doc("Which of the kinds of rule it is.")
    text: str = doc("The rule in own words, one or two sentences.")
    sources: tuple[Slug, ...] = doc("Ids of sources, at least one.")
    section: str = doc("Section of the source, if it has many.", "")
    standing: words.Standing = doc("Anything but settled can only warn or ask.", "settled")
    valid_from: Day | None = doc("First day it holds; left out: from ever.", None)
    valid_to: Day | None = doc("Last day it holds; later it asks for what came after.", None)
    replaced_by: Slug | None = doc(
        "Rule of this pack that took over; then its end is silent.", None
    )
    when: tuple[Condition, ...] = doc("Tests that must all hold; none: always.", ())
    unless: tuple[Condition, ...] = doc("Tests that, if all hold, lift the rule.", ())
    effect: Effect = doc("What it asks for.")
    phase: words.Phase | None = doc("When it matters; left out: as the effect says.", None)
    change: str = doc("What would change it for this trip, in words.", "")
    confirm_with: str = doc("Office to confirm with, if not the pack's.", "")


@dataclass(frozen=True, kw_only=True)
class Pack:
    """A whole pack."""

    pack: PackHead = doc("Head of the pack.")
    source: tuple[Source, ...] = doc("Texts.")
    paper: tuple[PaperKind, ...] = doc("Papers.", ())
    area: tuple[Area, ...] = doc("Areas.", ())
    question: tuple[Question, ...] = doc("Questions.", ())
    table: tuple[Table, ...] = doc("Tables.", ())
    group: tuple[Group, ...] = doc("Groups of gear.", ())
    rule: tuple[Rule, ...] = doc("Rules.")

    @property
    def id(self) -> str:
        """The pack's id."""
        return self.pack.id

    @cached_property
    def made(self) -> dict[str, Any]:
        """What the evaluator made of rules, by their ids."""
        return {}

    @cached_property
    def unsettled(self) -> frozenset[str]:
        """Ids of rules that only warn or ask."""
        return frozenset(rule.id for rule in self.rule if not self.is_settled(rule))

    def sources_of(self, rule: Rule) -> tuple[Source, ...]:
        """The texts a rule names, in its order."""
        by_id = {source.id: source for source in self.source}
        return tuple(by_id[name] for name in rule.sources)

    def is_settled(self, rule: Rule) -> bool:
        """Whether a rule rests on a text that was read and isn't in doubt."""
        return rule.standing == "settled" and any(
            source.how_known in SETTLED_BY for source in self.sources_of(rule)
        )

    def confirm_with(self, rule: Rule) -> str:
        """Whom to confirm a rule with."""
        return rule.confirm_with or self.pack.confirm_with

    def is_past_review(self, day: dt.date) -> bool:
        """Whether the review date has gone by."""
        return day > self.pack.review_by
