"""Which rules hold at a site, and what is known of a plan there, before either is evaluated."""

import datetime as dt
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field

from django.db.models import Q

from claims.models import OwnRule, PaperCondition, Party, Site
from claims.packs import packs_of
from claims.rules.facts import AmountFact, Gear, PersonFact
from claims.rules.loader import LoadedPack, stack
from claims.rules.own import OwnTerm, own_pack
from claims.rules.schema import Pack
from claims.rules.windows import Sun
from claims.web import show
from claims.whole import Part, whole
from trips.calc.words import say

SunTimes = Callable[[Site, dt.date], Sun]


@dataclass(frozen=True, kw_only=True)
class Said:
    """An answer to a line of the checklist."""

    value: str
    by: str
    at: str
    note: str = ""

    @property
    def words(self) -> str:
        """The answer for people."""
        note = f" ({self.note})" if self.note else ""
        return say(
            "{value}{note}, said by {by} on {at}",
            value=self.value,
            note=note,
            by=self.by,
            at=self.at,
        )


@dataclass(frozen=True, kw_only=True)
class PlanFacts:
    """What is known of the work; whatever is None asks. `answers` are by site id, then key."""

    as_of: dt.date | None = None
    gear: tuple[Gear, ...] | None = None
    people: tuple[PersonFact, ...] | None = None
    amounts: tuple[AmountFact, ...] | None = None
    uncounted: frozenset[str] = frozenset()
    answers: Mapping[int, Mapping[str, Said]] = field(default_factory=dict)
    sun: SunTimes | None = None


@dataclass(frozen=True)
class RuleBook:
    """Packs at hand, the party's own rules by site id (None: every site), and its papers' lines.

    `conditions`: those that say by when holes are to be filled.
    """

    packs: Mapping[str, LoadedPack]
    own: tuple[OwnRule, ...]
    party_name: str
    conditions: tuple[PaperCondition, ...] = ()

    def at(self, site: Site) -> tuple[Pack, ...]:
        """Packs that hold at a site, widest first, the own rules last."""
        chosen = [each.pack for each in stack(self.packs, site.rule_packs)]
        terms = tuple(
            own_term(row) for row in self.own if row.site_id is None or row.site_id == site.pk
        )
        mine = own_pack(terms, self.party_name, dt.date(2000, 1, 1))
        return (*chosen, mine) if mine else tuple(chosen)

    def uses_sun(self, site: Site) -> bool:
        """Whether a rule at the site hangs on sunrise or sunset."""
        return any(each.uses_sun for each in stack(self.packs, site.rule_packs))

    def amounts_used(self, sites: Iterable[Site]) -> frozenset[str]:
        """Amounts of the record that rules at these sites ask for."""
        used = {
            amount
            for site in sites
            for each in stack(self.packs, site.rule_packs)
            for amount in each.amounts_used
        }
        own = {"moved_volume" for row in self.own if row.shape == OwnRule.Shape.VOLUME}
        return frozenset(used | own)

    def gone(self, site: Site) -> tuple[str, ...]:
        """Ids that the site or a pack of it names and that aren't at hand any more."""
        outer = [
            name for each in stack(self.packs, site.rule_packs) for name in each.pack.pack.within
        ]
        named = dict.fromkeys([*site.rule_packs, *outer])
        return tuple(name for name in named if name not in self.packs)


# What a party's book is made of; conditions only where they say by when holes are to be filled.
OF_BOOK = (
    Part("packs"),
    Part("own_rules"),
    Part("papers"),
    Part("papers__condition_lines", only=~Q(fill_due="")),
)


def party_book(party: Party) -> RuleBook:
    """The rule book of a party: own rules of every site first, then as they came; one query."""
    return book_at_hand(whole(party, *OF_BOOK))


def book_at_hand(party: Party) -> RuleBook:
    """The rule book of a party that was fetched with what it is made of; no query."""
    rules = sorted(party.own_rules.all(), key=lambda rule: (rule.site_id is not None, rule.pk))
    papers = sorted(party.papers.all(), key=lambda paper: paper.pk)
    conditions = tuple(line for paper in papers for line in paper.condition_lines.all())
    return RuleBook(packs_of(party.packs.all()), tuple(rules), party.name, conditions)


def own_term(row: OwnRule) -> OwnTerm:
    """An own rule as the pure code takes it."""
    return OwnTerm(
        id=f"own-{row.pk or 0}",
        shape=row.shape,
        text=row.text,
        agreed_with=row.agreed_with,
        written_where=row.written_where,
        dated=row.dated,
        closed_from=row.closed_from,
        closed_until=row.closed_until,
        gear_class=row.gear_class,
        most_ml=row.most_ml,
        most_mm=row.most_mm,
        most_people=row.most_people,
        period=row.period,
        due=row.due,
        lead_days=row.lead_days,
        valid_from=row.valid_from,
        valid_to=row.valid_to,
    )


def said_at(instant: dt.datetime) -> str:
    """When something was said, for people."""
    return show.day(instant.date())
