"""A plan under which a rule's own tests hold, made from the tests themselves.

Nothing of the rule is taken away. Where no such plan is found, the caller has to say so.
"""

import copy
import datetime as dt
from dataclasses import dataclass, field

from claims.rules import effects as e
from claims.rules import when as c
from claims.rules import words
from claims.rules.facts import AmountFact, Gear, PaperFact, PersonFact, Place, Situation
from claims.rules.gearfit import POWER_OF, fits
from claims.rules.judge import Case, judge_all
from claims.rules.windows import Sun
from claims.rules.words import USES

SUN = Sun(6 * 60, 20 * 60)
ALWAYS = (dt.date(1980, 1, 1), dt.date(2090, 1, 1))


@dataclass
class Plan:
    """Facts gathered so far; None is not set yet."""

    day: dt.date
    land: str | None = None
    title: str | None = None
    water: str | None = None
    zones: tuple[str, ...] | None = None
    areas: dict[str, bool] = field(default_factory=dict)
    distances: dict[str, int] = field(default_factory=dict)
    gear: list[Gear] = field(default_factory=list)
    people: list[PersonFact] = field(default_factory=list)
    papers: list[PaperFact] = field(default_factory=list)
    amounts: list[AmountFact] = field(default_factory=list)
    answers: dict[str, object] = field(default_factory=dict)
    purpose: str | None = None
    hours: tuple[int, int] | None = None
    open_holes: int | None = None
    holes: tuple = ()

    def situation(self, day=None):
        """The facts as the evaluator takes them; the record is whole, the plan adds nothing."""
        day = day or self.day
        return Situation(
            first_day=day,
            last_day=day,
            as_of=day,
            hours=self.hours,
            sun=SUN,
            place=Place(
                name="S", land=self.land, title=self.title, water=self.water or "W",
                zones=self.zones, areas=self.areas, distances=self.distances,
            ),
            gear=tuple(self.gear),
            people=tuple(self.people or [PersonFact(name="Ada", age=40)]),
            papers=tuple(self.papers),
            amounts=tuple(self.amounts),
            planned=dict.fromkeys(words.AMOUNTS, 0),
            holes=self.holes,
            open_holes=self.open_holes,
            purpose=self.purpose,
            answers=self.answers,
        )  # fmt: skip


def meet(pack, rule, day=None, limit=None):
    """A plan under which the rule's tests hold on its day; None where none was found.

    Args: limit: a part of a switch that is to speak.
    """
    plan = Plan(day or dt.date(2031, 5, 14))
    wanted = [*rule.when, *switches(rule, limit)]
    # Days first, so that what hangs on them is made for the right one.
    wanted.sort(key=lambda test: not isinstance(test, c.DateIn))
    if day is not None:
        wanted = [test for test in wanted if not isinstance(test, c.DateIn)]
    for test in wanted:
        found = make(test, True, plan, pack)
        if found is None:
            return None
        plan = found
    if rule.unless:
        plan = first_of((make(test, False, plan, pack) for test in rule.unless), pack, rule, plan)
    return plan if plan and holds(pack, rule, plan) else None


def holds(pack, rule, plan):
    """Whether the rule speaks for certain under a plan."""
    case = Case(pack, plan.situation(), plan.day)
    no = judge_all(rule.unless, case).value if rule.unless else False
    return judge_all(rule.when, case).value is True and no is False


def switches(rule, limit):
    """Tests of a switch that lead to the part wanted."""
    if not isinstance(rule.effect, e.Switch) or limit is None:
        return []
    leads = limit == rule.effect.then
    return list(rule.effect.when) if leads else [c.NotAll(of=rule.effect.when)]


def first_of(plans, pack, rule, before):
    if holds(pack, rule, before):
        return before
    return next((each for each in plans if each and holds(pack, rule, each)), None)


def make(test, want, plan, pack):
    """The plan with facts added so that a test comes out as wanted; None where they clash."""
    plan = copy.deepcopy(plan)
    match test:
        case c.AllOf() | c.AnyOf() | c.NotAll():
            return _joined(test, want, plan, pack)
        case c.LandIs():
            return _word(plan, "land", test.one_of, want, words.LAND_WORDS)
        case c.TitleIs():
            return _word(plan, "title", test.one_of, want, words.TITLE_WORDS)
        case c.PurposeIs():
            every = ("recreation", "education", "tour", "commercial")
            return _word(plan, "purpose", test.one_of, want, every)
        case c.WaterIs():
            return _word(plan, "water", test.one_of, want, (*test.one_of, "Other Creek"))
        case c.ZoneIs():
            if plan.zones is None:
                others = [zone for zone in words.ZONE_WORDS if zone not in test.one_of]
                plan.zones = (test.one_of[0] if want else others[0],)
        case c.AreaIs():
            for name in test.one_of[:1] if want else test.one_of:
                if plan.areas.setdefault(name, want) is not want:
                    return None
        case c.DistanceIs():
            plan.distances.setdefault(test.to, number(test.bound, want))
        case c.DateIn():
            days = (plan.day + dt.timedelta(days=n) for n in range(366))
            day = next((d for d in days if any(w.holds(d) for w in test.within) is want), None)
            if day is None and want:
                day = dt.date.fromisoformat(test.within[0].first)
            if day is None:
                return None
            plan.day = day
        case c.HoursIn():
            first, last = test.within.minutes(SUN)
            plan.hours = (first, first + 30) if want else (last, last + 30)
        case c.PaperHeld():
            if want:
                kinds = {each.code: each.kind for each in pack.paper}
                code = test.any_of[0]
                plan.papers.append(PaperFact(
                    name=code, kind=kinds[code], code=code, holder="Ada",
                    issued_on=ALWAYS[0], expires_on=ALWAYS[1],
                ))  # fmt: skip
        case c.AnswerIs():
            question = next(each for each in pack.question if each.id == test.question)
            others = [each for each in question.choices if each not in test.one_of]
            yes = test.one_of[0] if test.one_of else test.yes
            no = (others or [None])[0] if test.one_of else not test.yes
            if plan.answers.setdefault(test.question, yes if want else no) != (yes if want else no):
                return None
        case c.OnlyGear():
            if want and not plan.gear:
                plan.gear.append(fitting(test, pack))
            elif not want:
                plan.gear.append(Gear(name="digger", cls="excavator", power="engine"))
        case c.GearIs():
            if want:
                plan.gear.append(fitting(test, pack, test.number, test.bound))
        case c.PersonIs():
            _person(test, want, plan)
        case c.CountIs():
            count = number(test.bound, want)
            if test.of == "open_holes":
                plan.open_holes = count
            else:
                age = 10 if test.of == "children" else 40
                plan.people = [PersonFact(name=f"p{n}", age=age) for n in range(count)]
        case c.AmountIs():
            base = number(test.bound, want)
            plan.amounts = [AmountFact(amount=test.amount, day=plan.day, base=base, site="S",
                                       water=plan.water or "W")]  # fmt: skip
        case _:
            return None
    return plan


def _joined(test, want, plan, pack):
    every = (isinstance(test, c.AllOf) and want) or (isinstance(test, c.NotAll) and not want)
    if every or (isinstance(test, c.AnyOf) and not want):
        for each in test.of:
            plan = make(each, not isinstance(test, c.AnyOf), plan, pack)
            if plan is None:
                return None
        return plan
    one = isinstance(test, c.AnyOf)
    return next((found for each in test.of if (found := make(each, one, plan, pack))), None)


def _word(plan, name, listed, want, known):
    value = getattr(plan, name)
    if value is None:
        value = next((word for word in known if (word in listed) is want), None)
        setattr(plan, name, value)
    return plan if value is not None and (value in listed) is want else None


def _person(test, want, plan):
    age = 40 if test.under_age is None else test.under_age - (1 if want else 0)
    if test.of_age is not None:
        age = test.of_age if want else test.of_age - 1
    supervised = test.supervised if want else not test.supervised
    plan.people = [PersonFact(name="p", age=age, supervised=supervised)]


def number(bound, want):
    """A number inside a bound or outside it."""
    tries = [0, 1]
    for side in bound.sides:
        tries += [side.base, side.base + 1, max(0, side.base - 1)]
    return next(each for each in tries if bound.holds(each) is want)


def fitting(wanted, pack, name=None, bound=None):
    """A piece of gear that a filter means, with its number within a bound."""
    groups = {group.id: group for group in pack.group}
    for one in groups[wanted.group].any_of if wanted.group else (wanted,):
        classes = wanted.cls or one.cls or tuple(words.GEAR_WORDS)
        powers = wanted.power or one.power or ("none", "engine", "battery")
        uses = wanted.use or one.use or (None,)
        for cls in classes:
            for power in powers:
                if POWER_OF.get(cls, power) != power and not (wanted.power or one.power):
                    continue
                item = Gear(
                    name="it", cls=cls, power=power,
                    uses=uses if uses != (None,) else USES.get(cls) or ("process",),
                    numbers={} if name is None else {name: number(bound, True)},
                )  # fmt: skip
                if fits(item, wanted, pack).value is True:
                    return item
    raise AssertionError(f"no gear fits {wanted}")
