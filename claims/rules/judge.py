"""Does a test hold for a plan on a day? Yes, no or not known, with what it rests on."""

import datetime as dt
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any

from claims.rules import when as c
from claims.rules import words
from claims.rules.amounts import tally
from claims.rules.facts import PaperFact, PersonFact, Situation
from claims.rules.gearfit import fits, number_within, sum_within
from claims.rules.quantities import Bound, in_unit
from claims.rules.schema import Pack
from claims.rules.truth import YES, Missing, Verdict, all_of, any_of, known, negated, unknown
from claims.rules.windows import clock_words
from trips.calc import local
from trips.calc.words import say


def no_gear() -> Verdict:
    """Nobody has said which gear comes along."""
    return unknown("gear", say("Which gear comes along?"))


def no_people() -> Verdict:
    """Nobody has said who comes along."""
    return unknown("people", say("Who comes along?"))


def no_papers() -> Verdict:
    """Nobody has said which papers are held."""
    return unknown("papers", say("Which papers are held?"))


def hours_missing() -> Missing:
    """The hours of work aren't planned; the creek shows them."""
    return Missing("hours", say("From when to when will you work?"), at_creek=True)


@dataclass(frozen=True)
class Case:
    """One pack, one plan, one day."""

    pack: Pack
    situation: Situation
    day: dt.date

    @property
    def day_words(self) -> str:
        """The day for people, e.g. "14 May"."""
        return local.day_of_month(self.day)

    def own(self, name: str) -> str:
        """An id of this pack as a party's record keeps it."""
        return f"{self.pack.id}/{name}"


def judge_all(tests: tuple[c.Condition, ...], case: Case) -> Verdict:
    """Whether all tests hold; no tests at all hold always."""
    if not tests:
        return YES
    return all_of([judge(test, case) for test in tests])


def judge(test: c.Condition, case: Case) -> Verdict:
    """Whether one test holds."""
    return JUDGES[type(test)](test, case)


def _any(test: c.AnyOf, case: Case) -> Verdict:
    return any_of([judge(each, case) for each in test.of])


def _date(test: c.DateIn, case: Case) -> Verdict:
    return known(any(window.holds(case.day) for window in test.within), case.day_words)


def _gear(test: c.GearIs | c.OnlyGear, case: Case) -> Verdict:
    gear = case.situation.gear
    if gear is None:
        return no_gear()
    if isinstance(test, c.OnlyGear):
        return all_of([fits(item, test, case.pack) for item in gear])
    if test.number is None:
        return any_of([fits(item, test, case.pack) for item in gear])
    if test.add_up:
        return sum_within(gear, test, test.number, test.bound, case.pack)
    return any_of(
        [
            all_of([fits(item, test, case.pack), number_within(item, test.number, test.bound)])
            for item in gear
        ]
    )


def _land(test: c.LandIs, case: Case) -> Verdict:
    land = case.situation.place.land
    if land is None:
        return unknown("site:land", say("Which kind of land is it?"))
    return known(land in test.one_of, words.LAND_WORDS.get(land, land))


def _title(test: c.TitleIs, case: Case) -> Verdict:
    title = case.situation.place.title
    if title is None:
        return unknown("site:title", say("Is there a mining title over the ground, and whose?"))
    return known(title in test.one_of, words.TITLE_WORDS[title])


def _water(test: c.WaterIs, case: Case) -> Verdict:
    water = case.situation.place.water
    if not water:
        return unknown("site:water", say("What is the water called?"))
    return known(water.casefold() in {name.casefold() for name in test.one_of}, water)


def _zone(test: c.ZoneIs, case: Case) -> Verdict:
    zones = case.situation.place.zones
    if zones is None:
        parts = ", ".join(words.ZONE_WORDS[zone] for zone in test.one_of)
        return unknown("zone", say("Will you work {parts}?", parts=parts), at_creek=True)
    here = bool(set(zones) & set(test.one_of))
    return known(here, ", ".join(words.ZONE_WORDS[zone] for zone in zones))


def _purpose(test: c.PurposeIs, case: Case) -> Verdict:
    purpose = case.situation.purpose
    if purpose is None:
        return unknown("purpose", say("What is the trip for: recreation, education, business?"))
    return known(purpose in test.one_of, words.PURPOSE_WORDS[purpose])


def distance(to: str, bound: Bound, case: Case, *, at_creek: bool = False) -> Verdict:
    """Whether the site's distance to something lies in the bound."""
    metres = case.situation.place.distances.get(to)
    name = to.replace("_", " ").replace("-", " ")
    if metres is None:
        return unknown(
            f"distance:{to}", say("How far is it to the {name}?", name=name), at_creek=at_creek
        )
    return known(
        bound.holds(metres), say("{metres} from the {name}", metres=in_unit(metres, "m"), name=name)
    )


def _area(ids: Iterable[str], case: Case) -> Verdict:
    titles: dict[str, str] = {area.id: area.title for area in case.pack.area}
    inside = case.situation.place.areas
    found = []
    for name in ids:
        value = inside.get(case.own(name), inside.get(name))
        title = titles.get(name, name)
        found.append(
            unknown(f"area:{case.own(name)}", say("Does the site lie in {title}?", title=title))
            if value is None
            else known(value, title if value else say("not in {title}", title=title))
        )
    return any_of(found)


def _table(test: c.DateInTable, case: Case) -> Verdict:
    table = next(each for each in case.pack.table if each.id == test.table)
    if table.year is not None and table.year != case.day.year:
        return unknown(
            f"table:{case.own(table.id)}",
            say(
                "{title}: the table of {year} is needed, and the pack holds that of {year_2}.",
                title=table.title,
                year=case.day.year,
                year_2=table.year,
            ),
        )
    if not table.rows:
        return unknown(
            f"table:{case.own(table.id)}",
            say("{title}: the pack doesn't hold this table.", title=table.title),
        )
    if table.by == "water":
        name = case.situation.place.water
        if not name:
            return unknown("site:water", say("What is the water called?"))
        rows = [row for row in table.rows if row.place.casefold() == name.casefold()]
        if not rows:
            return unknown(
                f"table:{case.own(table.id)}",
                say("{title} has no line for {name}.", title=table.title, name=name),
            )
        inside = any(window.holds(case.day) for row in rows for window in row.windows)
        return known(inside, name, case.day_words)
    return any_of(
        [
            all_of(
                [
                    _area([row.place], case),
                    known(any(w.holds(case.day) for w in row.windows), case.day_words),
                ]
            )
            for row in table.rows
        ]
    )


def _amount(test: c.AmountIs, case: Case) -> Verdict:
    sides = test.bound.sides
    count = tally(
        case.situation, case.day, test.amount, test.per, test.period, sides[0].unit if sides else ""
    )
    name = say(words.AMOUNTS[test.amount][0])
    if count is None:
        return unknown(f"amount:{test.amount}", say("How much {name} is there so far?", name=name))
    value = count.within(test.bound)
    if value is not None:
        return known(value, f"{name}: {count.words}", evidence=count.evidence)
    if not count.is_complete:
        return unknown(
            f"amount:{test.amount}", say("How much {name} is missing in the record?", name=name)
        )
    return unknown(
        f"plan:{test.amount}", say("How much {name} will it be?", name=name), at_creek=True
    )


def paper_codes(case: Case, code: str) -> tuple[str, str]:
    """How a paper's record may name a code of this pack."""
    return case.own(code), code


def covering(paper: PaperFact, code: str, case: Case) -> bool | None:
    """Whether a paper is of this code and covers the day; None while either isn't known."""
    covers = paper.covers(case.day)
    if paper.code is not None:
        return covers if paper.code in paper_codes(case, code) else False
    kinds: dict[str, str] = {each.code: each.kind for each in case.pack.paper}
    return False if covers is False or paper.kind != kinds.get(code) else None


def _papers(test: c.PaperHeld, case: Case) -> Verdict:
    papers = case.situation.papers
    if papers is None:
        return no_papers()
    found = []
    for code in test.any_of:
        for paper in papers:
            value = covering(paper, code, case)
            found.append(
                unknown(
                    f"paper:{paper.name}",
                    say("Is {name} such a paper, and does it run?", name=paper.name),
                )
                if value is None
                else known(value, paper.name if value else "")
            )
    return any_of(found)


def _people(test: c.PersonIs, case: Case) -> Verdict:
    people = case.situation.people
    if people is None:
        return no_people()
    found = [all_of(_person(person, test)) for person in people]
    return any_of(found) if test.who == "any" else all_of(found)


def _person(person: PersonFact, test: c.PersonIs) -> list[Verdict]:
    verdicts = []
    for years, want in ((test.under_age, True), (test.of_age, False)):
        if years is not None:
            under = person.under(years)
            verdicts.append(
                unknown(f"person:{person.name}:age", say("How old is {name}?", name=person.name))
                if under is None
                else known(under is want, person.name)
            )
    if test.supervised is not None:
        verdicts.append(
            unknown(
                f"person:{person.name}:supervised",
                say("Does an adult look after {name}?", name=person.name),
            )
            if person.supervised is None
            else known(person.supervised is test.supervised, person.name)
        )
    return verdicts


def count_of(what: str, case: Case) -> int | None:
    """How many there are; None while not known."""
    situation = case.situation
    if what == "open_holes":
        return situation.open_holes
    if situation.people is None:
        return None
    if what == "people":
        return len(situation.people)
    under = [person.under(18) for person in situation.people]
    return None if None in under else under.count(what == "children")


def _count(test: c.CountIs, case: Case) -> Verdict:
    count = count_of(test.of, case)
    if count is None:
        at_creek = test.of == "open_holes"
        return unknown(
            f"count:{test.of}",
            say("How many {of}?", of=words.COUNT_WORDS[test.of]),
            at_creek=at_creek,
        )
    return known(test.bound.holds(count), f"{count} {words.COUNT_WORDS[test.of]}")


def _hours(test: c.HoursIn, case: Case) -> Verdict:
    hours, sun = case.situation.hours, case.situation.sun
    if test.within.minutes(sun) is None:
        return unknown("sun", say("When does the sun rise and set there?"))
    if hours is None:
        return Verdict(None, missing=(hours_missing(),))
    meets = bool(test.within.meets(*hours, sun))
    return known(
        meets,
        say(
            "work from {hours} to {hours_2}",
            hours=clock_words(hours[0]),
            hours_2=clock_words(hours[1]),
        ),
    )


def _answer(test: c.AnswerIs, case: Case) -> Verdict:
    question = next(each for each in case.pack.question if each.id == test.question)
    answers = case.situation.answers
    given = answers.get(case.own(question.id), answers.get(question.id))
    if given is None or isinstance(given, bool) is bool(question.choices):
        return unknown(
            f"answer:{case.own(question.id)}", question.text, at_creek=question.scope == "creek"
        )
    if isinstance(given, bool):
        words = say("Yes.") if given else say("No.")
        return known(given is test.yes, f"{question.text} {words}")
    return known(given in test.one_of, f"{question.text} {given}")


JUDGES: dict[type, Callable[[Any, Case], Verdict]] = {
    c.AllOf: lambda test, case: judge_all(test.of, case),
    c.AnyOf: _any,
    c.NotAll: lambda test, case: negated(judge_all(test.of, case)),
    c.GearIs: _gear,
    c.OnlyGear: _gear,
    c.LandIs: _land,
    c.TitleIs: _title,
    c.AreaIs: lambda test, case: _area(test.one_of, case),
    c.WaterIs: _water,
    c.ZoneIs: _zone,
    c.DistanceIs: lambda test, case: distance(test.to, test.bound, case),
    c.DateIn: _date,
    c.DateInTable: _table,
    c.HoursIn: _hours,
    c.AmountIs: _amount,
    c.PaperHeld: _papers,
    c.PersonIs: _people,
    c.CountIs: _count,
    c.PurposeIs: _purpose,
    c.AnswerIs: _answer,
}
