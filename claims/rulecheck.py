"""From a party's rows to the evaluator and back: which packs hold at a site, what is known, lines.

The work (gear, amounts, answers) is above this room and comes as a `PlanFacts`; everything in it
may be unknown. Nothing here queries.
"""

import datetime as dt
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace

from claims.lines import Answerable, CheckLine
from claims.models import Hole, OwnRule, Paper, PartyPack, Person, Site
from claims.packs import packs_of
from claims.rules.evaluate import Evaluation, evaluate
from claims.rules.facts import (
    AmountFact,
    Gear,
    HoleFact,
    PaperFact,
    PersonFact,
    Place,
    Situation,
)
from claims.rules.findings import Finding
from claims.rules.loader import LoadedPack, stack
from claims.rules.own import OwnTerm, own_pack
from claims.rules.schema import Pack
from claims.rules.truth import Missing
from claims.rules.windows import Sun
from claims.rules.words import HOW_KNOWN_WORDS
from claims.web import show

SunTimes = Callable[[Site, dt.date], Sun]
YES_NO = (("yes", "yes"), ("no", "no"))
MET = (("yes", "seen to"), ("no", "refused or not possible"))
PLAIN_LAND = {Site.LandKind.PRIVATE: "private", Site.LandKind.PUBLIC: "public"}


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
        return f"{self.value}{note}, said by {self.by} on {self.at}"


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
    """Packs at hand, and the party's own rules by site id (None: every site)."""

    packs: Mapping[str, LoadedPack]
    own: tuple[OwnRule, ...]
    party_name: str

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
        """Ids that the site names and that aren't at hand any more."""
        return tuple(name for name in site.rule_packs if name not in self.packs)


def rule_book(uploaded: Iterable[PartyPack], own: Iterable[OwnRule], party_name: str) -> RuleBook:
    """The rule book of a party from its rows."""
    return RuleBook(packs_of(uploaded), tuple(own), party_name)


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


def rule_lines(
    book: RuleBook,
    site: Site,
    day: dt.date,
    last: dt.date,
    *,
    papers: Iterable[Paper],
    holes: Iterable[Hole],
    plan: PlanFacts,
) -> list[CheckLine]:
    """Lines that the rules of a site give for a plan."""
    made = evaluation(book, site, day, last, papers=papers, holes=holes, plan=plan)
    lines = [check_line(finding, site, book, plan) for finding in made.findings]
    return [*lines, *_gone_lines(book, site)]


def evaluation(
    book: RuleBook,
    site: Site,
    day: dt.date,
    last: dt.date,
    *,
    papers: Iterable[Paper],
    holes: Iterable[Hole],
    plan: PlanFacts,
) -> Evaluation:
    """What all packs of a site say; the party's own rules among them."""
    packs = book.at(site)
    if not packs:
        return Evaluation(())
    if not book.uses_sun(site):
        plan = replace(plan, sun=None)
    return evaluate(packs, situation_of(site, day, last, papers=papers, holes=holes, plan=plan))


def situation_of(
    site: Site,
    day: dt.date,
    last: dt.date,
    *,
    papers: Iterable[Paper],
    holes: Iterable[Hole],
    plan: PlanFacts,
) -> Situation:
    """What is known about a plan at a site."""
    holes = tuple(holes)
    said = plan.answers.get(site.pk, {})
    on_site = {key: str(entry.get("value", "")) for key, entry in site.rule_facts.items()}
    values = {**on_site, **{key: answer.value for key, answer in said.items()}}
    return Situation(
        first_day=day,
        last_day=last,
        as_of=plan.as_of,
        sun=plan.sun(site, day) if plan.sun else Sun(),
        place=_place(site, values),
        gear=plan.gear,
        people=_supervised(plan.people, values),
        papers=tuple(paper_fact(paper) for paper in papers),
        amounts=plan.amounts,
        uncounted=plan.uncounted,
        holes=tuple(_hole(hole) for hole in holes if hole.site_id == site.pk),
        open_holes=sum(hole.site_id == site.pk for hole in holes),
        purpose=values.get("purpose"),
        answers=_by_prefix(values, "answer:"),
        met={
            key: value
            for key, value in _by_prefix(values, "met:").items()
            if isinstance(value, bool)
        },
    )


def _by_prefix(values: Mapping[str, str], prefix: str) -> dict[str, bool | str]:
    return {
        key.removeprefix(prefix): {"yes": True, "no": False}.get(value, value)
        for key, value in values.items()
        if key.startswith(prefix)
    }


def _place(site: Site, values: Mapping[str, str]) -> Place:
    own_claim = "own_claim" if site.land_kind == Site.LandKind.CLAIM else None
    distances = {
        key.removeprefix("distance:"): int(value) * 1_000_000
        for key, value in values.items()
        if key.startswith("distance:") and value.isdigit()
    }
    return Place(
        name=site.name,
        land=site.land or PLAIN_LAND.get(site.land_kind),
        title=site.mining_title or own_claim,
        water=site.water_name or None,
        areas={
            key.removeprefix("area:"): value == "yes"
            for key, value in values.items()
            if key.startswith("area:") and value in ("yes", "no")
        },
        distances=distances,
    )


def _supervised(
    people: tuple[PersonFact, ...] | None, values: Mapping[str, str]
) -> tuple[PersonFact, ...] | None:
    if people is None or values.get("supervised") not in ("yes", "no"):
        return people
    looked_after = values["supervised"] == "yes"
    return tuple(
        replace(person, supervised=looked_after) if person.under(18) else person
        for person in people
    )


def paper_fact(paper: Paper) -> PaperFact:
    """A paper as rules see it: its last day as printed or counted."""
    return PaperFact(
        name=str(paper),
        kind=paper.kind,
        code=paper.rule_code or None,
        holder=paper.holder,
        issued_on=paper.issued_on,
        expires_on=paper.last_day,
        ends_openly=paper.end.basis == "life",
    )


def person_fact(person: Person, year: int) -> PersonFact:
    """Somebody as rules see them in a year; a year of birth gives an age give or take one."""
    adult = {"adult": True, "child": False}.get(person.age_group)
    if person.birth_year is None:
        return PersonFact(name=person.name, is_adult=adult)
    most = max(0, year - person.birth_year)
    return PersonFact(name=person.name, age=max(0, most - 1), age_up_to=most, is_adult=adult)


def _hole(hole: Hole) -> HoleFact:
    sides = [
        None if side is None else side * 1000
        for side in (hole.depth_mm, hole.length_mm, hole.width_mm)
    ]
    return HoleFact(name=str(hole), depth=sides[0], length=sides[1], width=sides[2])


def check_line(finding: Finding, site: Site, book: RuleBook, plan: PlanFacts) -> CheckLine:
    """A finding as a line of the checklist."""
    first = finding.sources[0]
    source = "; ".join(each.title for each in finding.sources)
    days = _days_words(finding)
    why = " · ".join((*(each for each in finding.why if each != days), days))
    known = dict.fromkeys(HOW_KNOWN_WORDS[each.how_known] for each in finding.sources)
    return CheckLine(
        outcome=finding.outcome,
        text=finding.text,
        why=f"{why[:1].upper()}{why[1:]}.",
        source=source + (f", {finding.section}" if finding.section else ""),
        confirm_with=finding.confirm_with,
        site_id=site.pk,
        phase=finding.phase,
        key=finding.key,
        layer=finding.layer,
        rule_text=finding.rule_text,
        change=finding.change,
        date_of_text="; ".join(dict.fromkeys(each.date_of_text for each in finding.sources)),
        how_known=", ".join(known),
        url=first.url,
        due=finding.due_words,
        evidence=finding.evidence,
        warnings=finding.warnings,
        answers=_answers(finding, site, book, plan),
    )


def _days_words(finding: Finding) -> str:
    first, last = finding.days[0], finding.days[-1]
    words = f"{first.day} {first:%b}"
    return words if first == last else f"{words} to {last.day} {last:%b}"


def _answers(
    finding: Finding, site: Site, book: RuleBook, plan: PlanFacts
) -> tuple[Answerable, ...]:
    made = [each for missing in finding.missing if (each := _answerable(missing, book))]
    if finding.can_be_met and not finding.missing:
        made.append(Answerable(f"met:{finding.key}", "Has it been seen to?", MET))
    elif said := plan.answers.get(site.pk, {}).get(f"met:{finding.key}"):
        made.append(Answerable(f"met:{finding.key}", "Has it been seen to?", MET, said=said.words))
    return tuple(_with_said(each, site, plan) for each in made)


def _with_said(each: Answerable, site: Site, plan: PlanFacts) -> Answerable:
    said = plan.answers.get(site.pk, {}).get(each.key)
    if said is None:
        return each
    return Answerable(each.key, each.question, each.choices, each.on_site, said.words)


def _answerable(missing: Missing, book: RuleBook) -> Answerable | None:
    """What can be answered on the spot; the rest is noted where it belongs (gear, site, paper)."""
    if missing.key.startswith("answer:"):
        pack_id, _, name = missing.key.removeprefix("answer:").partition("/")
        loaded = book.packs.get(pack_id)
        question = next((q for q in loaded.pack.question if q.id == name), None) if loaded else None
        if question is None:
            return None
        choices = tuple((each, each) for each in question.choices) or YES_NO
        return Answerable(missing.key, question.text, choices, question.scope == "site")
    if missing.key.startswith("area:"):
        return Answerable(missing.key, missing.words, YES_NO, on_site=True)
    if missing.key == "purpose":
        choices = tuple((each, each) for each in ("recreation", "education", "tour", "commercial"))
        return Answerable("purpose", missing.words, choices)
    if missing.key == "supervised" or missing.key.endswith(":supervised"):
        return Answerable("supervised", "Does an adult look after every child?", YES_NO)
    return None


def answered(site: Site, book: RuleBook, plan: PlanFacts) -> tuple[Answerable, ...]:
    """What was answered for this plan at a site, to be read, changed or taken back."""
    made = []
    for key, said in sorted(plan.answers.get(site.pk, {}).items()):
        if key.startswith("met:"):
            pack_id, _, rule_id = key.removeprefix("met:").partition("/")
            rules = [rule for pack in book.at(site) if pack.id == pack_id for rule in pack.rule]
            text = next((rule.text for rule in rules if rule.id == rule_id), rule_id)
            made.append(Answerable(key, f"Seen to? {text}", MET, said=said.words))
        elif each := _answerable(Missing(key, key), book):
            made.append(Answerable(key, each.question, each.choices, each.on_site, said.words))
    return tuple(made)


def _gone_lines(book: RuleBook, site: Site) -> list[CheckLine]:
    return [
        CheckLine(
            outcome="ask",
            text=f"{site}: the rule pack “{name}” isn't here any more. Ask what holds.",
            why="The site names it.",
            source="the party's own note on the site",
            confirm_with="the office of the place",
            site_id=site.pk,
            phase="plan",
        )
        for name in book.gone(site)
    ]


def said_at(instant: dt.datetime) -> str:
    """When something was said, for people."""
    return show.day(instant.date())
