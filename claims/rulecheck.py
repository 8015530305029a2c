"""From a party's rows to the evaluator and back: which packs hold at a site, what is known, lines.

The work (gear, amounts, answers) is above this room and comes as a `PlanFacts`; everything in it
may be unknown. Nothing here queries.
"""

import datetime as dt
from collections.abc import Iterable, Mapping
from dataclasses import replace

from claims.answers import answers_for, free_of, hours_of
from claims.lines import CheckLine
from claims.models import Hole, Paper, Person, Site
from claims.rulebook import PlanFacts, RuleBook
from claims.rules.evaluate import Evaluation, Kept, evaluate
from claims.rules.facts import (
    HoleFact,
    PaperFact,
    PersonFact,
    Place,
    Situation,
)
from claims.rules.findings import Finding
from claims.rules.windows import Sun
from claims.rules.words import HOW_KNOWN_WORDS
from claims.web import show
from trips.calc.words import say

# A "public area" may be a park, a forest or a reserve, so it says nothing that a rule could use.
PLAIN_LAND = {Site.LandKind.PRIVATE: "private"}


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
    kept: Kept | None = None,
) -> Evaluation:
    """What all packs of a site say; the party's own rules among them. `kept`: see `evaluate`."""
    packs = book.at(site)
    if not packs:
        return Evaluation(())
    if not book.uses_sun(site):
        plan = replace(plan, sun=None)
    situation = situation_of(site, day, last, papers=papers, holes=holes, plan=plan)
    return evaluate(packs, situation, kept)


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
        hours=hours_of(values.get("hours", "")),
        free=free_of(values),
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
    # A text without an address, as of an own rule, says where it can be read.
    source = "; ".join(
        each.title + (f", {each.where}" if each.where and not each.url else "")
        for each in finding.sources
    )
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
        due=_due_words(finding),
        evidence=finding.evidence,
        warnings=finding.warnings,
        answers=answers_for(finding, site, book, plan),
    )


def _due_words(finding: Finding) -> str:
    """By when, with its day where the words don't name it."""
    if finding.due_on is None or str(finding.due_on.year) in finding.due_words:
        return finding.due_words
    return f"{finding.due_words}, {show.day(finding.due_on)}".lstrip(", ")


def _days_words(finding: Finding) -> str:
    first, last = finding.days[0], finding.days[-1]
    words = f"{first.day} {first:%b}"
    return (
        words
        if first == last
        else say("{words} to {day} {last:%b}", words=words, day=last.day, last=last)
    )


def _gone_lines(book: RuleBook, site: Site) -> list[CheckLine]:
    return [
        CheckLine(
            outcome="ask",
            text=say(
                "{site}: the rule pack “{name}” isn't here any more. Ask what holds.",
                site=site,
                name=name,
            ),
            why=say("The site, or a pack that holds there, names it."),
            source=say("the party's own note on the site"),
            confirm_with=say("the office of the place"),
            site_id=site.pk,
            phase="plan",
        )
        for name in book.gone(site)
    ]
