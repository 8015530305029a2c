"""What effects about papers, consent and notice come to: held, missing, too late, not known.

A paper that isn't noted isn't held, as far as anybody can see: that stops. A paper of the right
sort whose code or end isn't noted asks.
"""

import datetime as dt
import re
from typing import Literal

from claims.rules import effects as e
from claims.rules.due import TermRule, months_before, working_days_before
from claims.rules.facts import PaperFact, PersonFact
from claims.rules.findings import Said, asking
from claims.rules.judge import Case, covering, no_papers, no_people
from claims.rules.schema import PaperKind, Rule
from claims.rules.truth import Missing, Verdict, unknown
from trips.calc import local
from trips.calc.words import say

Held = Literal["held", "follow", "maybe", "none"]


def apply_paper_effect(effect: e.Effect, rule: Rule, case: Case) -> Said | None:
    """What an effect about papers comes to."""
    match effect:
        case e.NeedPaper():
            return _need_paper(effect, rule, case)
        case e.NeedConsent():
            return _consent(effect, rule, case)
        case e.GiveNotice():
            return _notice(effect, rule, case)
        case e.Apply():
            return _apply(effect, rule, case)
        case e.Standdown():
            return _standdown(effect, rule, case)
        case e.PaperTerm():
            return _term(effect, rule, case)
    raise AssertionError(f"no way to apply {effect!r}")


def _held(code: str, case: Case, people: str = "") -> tuple[Held, str]:
    """How a code stands on the day, and the name of the paper that says so."""
    kinds: dict[str, PaperKind] = {each.code: each for each in case.pack.paper}
    if kinds[code].is_these_rules:
        return "follow", kinds[code].title
    maybe = ""
    for paper in case.situation.papers or ():
        if people and not _names(paper.holder, people):
            continue
        value = covering(paper, code, case)
        if value:
            return "held", paper.name
        if value is None and not maybe:
            maybe = paper.name
    return ("maybe", maybe) if maybe else ("none", kinds[code].title)


def _names(holder: str, person: str) -> bool:
    """Whether a paper's holder names a person in whole words: "Edda Vayle" doesn't name Ed."""
    return bool(re.search(rf"(?<!\w){re.escape(person)}(?!\w)", holder, re.IGNORECASE))


def _titles(codes: tuple[str, ...], case: Case) -> list[str]:
    kinds: dict[str, str] = {each.code: each.title for each in case.pack.paper}
    return [kinds[code] for code in codes]


def _need_paper(effect: e.NeedPaper, rule: Rule, case: Case) -> Said:
    if case.situation.papers is None:
        return asking(no_papers(), rule.text)
    if effect.each_person:
        return _each_person(effect, rule, case)
    codes = effect.all_of or effect.any_of
    states = [_held(code, case) for code in codes]
    return _paper_outcome(effect, rule, case, states)


def _paper_outcome(
    effect: e.NeedPaper, rule: Rule, case: Case, states: list[tuple[Held, str]]
) -> Said:
    codes = effect.all_of or effect.any_of
    order: tuple[Held, ...] = ("none", "maybe", "follow", "held")
    pick = min if effect.all_of else max
    worst = pick((state for state, _ in states), key=order.index)
    names = [name for state, name in states if state == worst]
    titles = (" and " if effect.all_of else " or ").join(_titles(codes, case))
    if worst == "none":
        missing = " or ".join(names) if effect.any_of else " and ".join(names)
        return Said(
            "stop",
            say(
                "No paper is noted that covers {day_words}: {missing}. {text}",
                day_words=case.day_words,
                missing=missing,
                text=rule.text,
            ),
            "plan",
            can_be_met=True,
        )
    if worst == "maybe":
        wanted = tuple(
            Missing(
                f"paper:{name}",
                say("Is {name} the {titles}, and does it cover the day?", name=name, titles=titles),
            )
            for name in names
        )
        return asking(Verdict(None, missing=wanted), rule.text)
    if worst == "follow":
        return Said(
            "do",
            say("Carry and follow {names}. {text}", names=" and ".join(names), text=rule.text),
            "leave",
        )
    return Said(
        "know",
        say(
            "{names}: the printed dates cover {day_words}. {text}",
            names=" and ".join(names),
            day_words=case.day_words,
            text=rule.text,
        ),
        "plan",
        tuple(names),
    )


def _each_person(effect: e.NeedPaper, rule: Rule, case: Case) -> Said:
    people = case.situation.people
    if people is None:
        return asking(no_people(), rule.text)
    codes = effect.all_of or effect.any_of
    stops, asks, fine = [], [], []
    for person in people:
        exempt = _exempt(effect, person)
        if exempt.value:
            continue
        states = [_held(code, case, person.name) for code in codes]
        good = [state in ("held", "follow") for state, _ in states]
        if all(good) if effect.all_of else any(good):
            fine.append(person.name)
        elif exempt.value is None:
            asks += list(exempt.missing)
        elif any(_held(code, case)[0] != "none" for code in codes):
            key = f"person:{person.name}:paper"
            titles = " or ".join(_titles(codes, case))
            asks.append(
                Missing(key, say("Does a {titles} cover {name}?", titles=titles, name=person.name))
            )
        else:
            stops.append(person.name)
    if stops:
        titles = " or ".join(_titles(codes, case))
        return Said(
            "stop",
            say(
                "No {titles} is noted for {stops} on {day_words}. {text}",
                titles=titles,
                stops=", ".join(stops),
                day_words=case.day_words,
                text=rule.text,
            ),
            "plan",
            tuple(stops),
            can_be_met=True,
        )
    if asks:
        return asking(Verdict(None, missing=tuple(dict.fromkeys(asks))), rule.text)
    return Said("know", rule.text, "plan", tuple(fine))


def _exempt(effect: e.NeedPaper, person: PersonFact) -> Verdict:
    if effect.exempt_under_age is None:
        return Verdict(False)
    under = person.under(effect.exempt_under_age)
    if under is None:
        return unknown(f"person:{person.name}:age", say("How old is {name}?", name=person.name))
    if not under or not effect.exempt_with_adult:
        return Verdict(under)
    if person.supervised is None:
        return unknown(
            f"person:{person.name}:supervised",
            say("Does an adult look after {name}?", name=person.name),
        )
    return Verdict(person.supervised)


def _consent(effect: e.NeedConsent, rule: Rule, case: Case) -> Said:
    joined = " and " if effect.need == "all" else " or "
    whose = joined.join(effect.of)
    met = case.situation.met.get(case.own(rule.id))
    if met is False:
        return Said(
            "stop",
            say("Consent was not given ({whose}). {text}", whose=whose, text=rule.text),
            "plan",
        )
    if case.situation.papers is None and not met:
        return asking(no_papers(), rule.text)
    noted = [paper for paper in case.situation.papers or () if paper.kind == "consent"]
    good = [paper for paper in noted if paper.covers(case.day)]
    if good and not met and (len(effect.of) == 1 or effect.need == "any"):
        names = tuple(paper.name for paper in good)
        return Said(
            "know",
            say(
                "{names} is noted: check that it comes from {whose}. {text}",
                names=", ".join(names),
                whose=whose,
                text=rule.text,
            ),
            "plan",
            names,
            can_be_met=True,
            consents=names,
        )
    open_ones = [paper for paper in noted if paper.covers(case.day) is not False]
    if open_ones and not met:
        missing = tuple(
            Missing(
                f"paper:{paper.name}", say("Until when and from whom is {name}?", name=paper.name)
            )
            for paper in open_ones
        )
        return asking(Verdict(None, missing=missing), rule.text)
    return _lead(
        say("Ask for written consent of {whose}.", whose=whose)
        if effect.form == "written"
        else say("Ask for consent of {whose}.", whose=whose),
        rule,
        case,
        _due(case, effect.lead_days, working=False),
    )


def _notice(effect: e.GiveNotice, rule: Rule, case: Case) -> Said:
    what = say(" It says: {content}.", content=", ".join(effect.content)) if effect.content else ""
    written = say(" in writing") if effect.form == "written" else ""
    again = say(" Tell them again when leaving.") if effect.again_on_leaving else ""
    return _lead(
        say(
            "Tell {to}{written}.{what}{again}",
            to=" and ".join(effect.to),
            written=written,
            what=what,
            again=again,
        ),
        rule,
        case,
        _due(case, effect.lead_days, working=effect.working_days),
    )


def _due(case: Case, lead_days: int | None, *, working: bool) -> dt.date | None:
    first = case.situation.first_day
    if lead_days is None:
        return None
    if working:
        return working_days_before(first, lead_days)
    return first - dt.timedelta(days=lead_days)


def _lead(text: str, rule: Rule, case: Case, due_on: dt.date | None) -> Said:
    """A thing to be done ahead: do, or stop once the day for it has gone by."""
    as_of = case.situation.as_of
    met = case.situation.met.get(case.own(rule.id))
    if due_on is None:
        return Said(
            "do", f"{text} {rule.text}", "leave", due_words=say("before you go"), can_be_met=True
        )
    due_words = say("by {day}", day=local.day(due_on))
    if as_of is not None and as_of > due_on and not met:
        late = say("Too late for the day planned:")
        return Said(
            "stop",
            " ".join((late, text, say("It was due {when}.", when=due_words), rule.text)),
            "plan",
            due_on=due_on,
            due_words=due_words,
            can_be_met=True,
        )
    return Said(
        "do", f"{text} {rule.text}", "plan", due_on=due_on, due_words=due_words, can_be_met=True
    )


def _apply(effect: e.Apply, rule: Rule, case: Case) -> Said:
    if case.situation.papers is None:
        return asking(no_papers(), rule.text)
    state, name = _held(effect.paper, case)
    if state in ("held", "follow"):
        return Said(
            "know",
            say("{name} is noted for the day. {text}", name=name, text=rule.text),
            "plan",
            (name,),
        )
    as_of, first = case.situation.as_of, case.situation.first_day
    if effect.window is not None:
        if as_of is not None and not effect.window.holds(as_of):
            return Said(
                "stop",
                say(
                    "Applications are taken {words} only. {text}",
                    words=effect.window.words,
                    text=rule.text,
                ),
                "plan",
                can_be_met=True,
            )
        return Said(
            "do",
            say("Apply within {words}. {text}", words=effect.window.words, text=rule.text),
            "plan",
            due_words=effect.window.words,
            can_be_met=True,
        )
    if effect.by is not None:
        due: dt.date | None = effect.by.in_year(first.year)
        if due is not None and due > first:
            due = effect.by.in_year(first.year - 1)
    elif effect.lead_months is not None:
        due = months_before(first, effect.lead_months)
    else:
        due = _due(case, effect.lead_days, working=effect.working_days)
    return _lead(say("Apply for {name}.", name=name), rule, case, due)


def _standdown(effect: e.Standdown, rule: Rule, case: Case) -> Said | None:
    papers = case.situation.papers
    if papers is None:
        return asking(no_papers(), rule.text)
    held = [
        paper
        for paper in papers
        if covering(paper, effect.paper, case) is not False or _waits(paper, effect, case)
    ]
    if not held:
        return None
    paper = min(held, key=lambda each: each.issued_on or dt.date.max)
    if paper.issued_on is None:
        return asking(
            unknown(f"paper:{paper.name}:issued", say("When was {name} issued?", name=paper.name)),
            rule.text,
        )
    first_use = paper.issued_on + dt.timedelta(days=effect.days)
    if case.day >= first_use:
        return Said(
            "know",
            say("{name}: the wait is over. {text}", name=paper.name, text=rule.text),
            "plan",
            (paper.name,),
        )
    until = f"{first_use.day} {first_use:%b %Y}"
    if effect.ended_by is not None:
        question = next(each for each in case.pack.question if each.id == effect.ended_by)
        answers = case.situation.answers
        given = answers.get(case.own(question.id), answers.get(question.id))
        if given is True:
            return Said(
                "know",
                say("{text} Yes. {text_2}", text=question.text, text_2=rule.text),
                "plan",
                (paper.name,),
            )
        if given is None:
            return asking(unknown(f"answer:{case.own(question.id)}", question.text), rule.text)
    return Said(
        "stop",
        say(
            "{name} can be used from {until}. {text}", name=paper.name, until=until, text=rule.text
        ),
        "plan",
        (paper.name,),
    )


def _waits(paper: PaperFact, effect: e.Standdown, case: Case) -> bool:
    """Whether a paper is of the code and hasn't begun yet; one that ran out has no wait left."""
    begins_later = paper.issued_on is not None and case.day < paper.issued_on
    return begins_later and paper.code in (case.own(effect.paper), effect.paper)


def _term(effect: e.PaperTerm, rule: Rule, case: Case) -> Said:
    first = case.pack.sources_of(rule)[0]
    term = TermRule(
        case.own(effect.paper),
        effect.years,
        effect.months,
        effect.days,
        effect.until,
        effect.fixed_day,
        effect.renewals,
        case.own(rule.id),
        rule.text,
        first.title + (f", {rule.section}" if rule.section else ""),
    )
    return Said("know", rule.text, "plan", term=term)
