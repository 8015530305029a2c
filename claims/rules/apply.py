"""What a rule's effect comes to where its tests hold: gear, places, limits, duties, notes."""

import datetime as dt
import math
from decimal import Decimal

from claims.rules import effects as e
from claims.rules.amounts import period_words, tally
from claims.rules.apply_gear import gear_count, gear_limit, gear_list
from claims.rules.apply_papers import apply_paper_effect
from claims.rules.due import DutyDue, next_business_day
from claims.rules.fees import fee_minor
from claims.rules.findings import ASK, CHECK_THIS, NOT_AS_PLANNED, Said, asking
from claims.rules.judge import (
    Case,
    count_of,
    distance,
    hours_missing,
    judge_all,
    no_gear,
    no_people,
)
from claims.rules.quantities import Bound
from claims.rules.schema import Rule
from claims.rules.truth import Missing, unknown
from claims.rules.windows import clock_words
from claims.rules.words import AMOUNTS, COUNT_WORDS, DUE_POINTS, PER_WORDS
from trips.calc import local, money
from trips.calc.words import say

DEVICES = (
    "sluice_stream_fed",
    "sluice_pumped",
    "dredge_suction",
    "dredge_gravity_siphon",
    "trommel",
    "rocker",
)


def apply_effect(effect: e.Effect, rule: Rule, case: Case) -> Said | None:
    """What an effect comes to; None where it has nothing to say (no such gear in the plan)."""
    match effect:
        case e.Prohibit():
            return Said("stop", f"{say(NOT_AS_PLANNED)} {rule.text}", "plan")
        case e.GearList():
            return gear_list(effect, rule, case)
        case e.OnlyIf():
            return _only_if(effect, rule, case)
        case e.GearLimit():
            return gear_limit(effect, rule, case)
        case e.GearCount():
            return gear_count(effect, rule, case)
        case e.AmountLimit():
            return _amount_limit(effect, rule, case)
        case e.HoleLimit():
            return _hole_limit(effect, rule, case)
        case e.CountLimit():
            return _count_limit(effect, rule, case)
        case e.Setback():
            return _setback(effect, rule, case)
        case e.ClosedHours():
            return _closed_hours(effect, rule, case)
        case e.Duty():
            return _duty(effect, rule, case)
        case e.Remind():
            return _remind(effect, rule, case)
        case e.Fee():
            return Said("know", f"{rule.text}{_fee_words(effect)}", "plan")
        case e.Warn():
            return Said("ask", f"{say(CHECK_THIS)} {rule.text}", "plan", can_be_met=True)
        case e.Ask():
            return Said("ask", f"{say(ASK)} {rule.text}", "plan", can_be_met=True)
        case e.Inform():
            return Said("know", rule.text, "plan")
        case e.Switch():
            return _switch(effect, rule, case)
        case _:
            return apply_paper_effect(effect, rule, case)


def _switch(effect: e.Switch, rule: Rule, case: Case) -> Said | None:
    verdict = judge_all(effect.when, case)
    if verdict.value is None:
        return asking(verdict, rule.text)
    return apply_effect(effect.then if verdict.value else effect.otherwise, rule, case)


def _only_if(effect: e.OnlyIf, rule: Rule, case: Case) -> Said:
    verdict = judge_all(effect.that, case)
    if verdict.value is None:
        return asking(verdict, rule.text)
    if verdict.value:
        return Said("know", rule.text, "plan", verdict.used, (), verdict.evidence)
    return Said(
        "stop",
        f"{say(NOT_AS_PLANNED)} {rule.text}",
        "plan",
        verdict.used,
        (),
        verdict.evidence,
    )


def _amount_limit(effect: e.AmountLimit, rule: Rule, case: Case) -> Said:
    bound, name = effect.bound, say(AMOUNTS[effect.amount][0])
    unit = bound.sides[0].unit
    free_from = effect.big_nuggets_free
    said_free = case.situation.free.get(case.own(rule.id))
    count = tally(
        case.situation,
        case.day,
        effect.amount,
        effect.per,
        effect.period,
        unit,
        free_from.base if free_from else None,
        said_free,
    )
    period = period_words(effect.period)
    if count is None:
        key = f"amount:{effect.amount}"
        return asking(
            unknown(
                key, say("How much {name} is there so far {period}?", name=name, period=period)
            ),
            rule.text,
        )
    limit = (f"amount:{effect.amount}:{effect.per}:{period}", bound)
    asks_free: tuple[Missing, ...] = ()
    if free_from is not None and count.could_be_free:
        question = say(
            "How many {unit} of it are single pieces of {words} or more?",
            unit=unit,
            words=free_from.words,
        )
        asks_free = (Missing(f"free:{case.own(rule.id)}", question),)
    words = f"{name.capitalize()} {PER_WORDS[effect.per]} {period}: {bound.words}; {count.words}."
    if count.within(bound) is False:
        return Said(
            "stop", f"{words} {rule.text}", "plan", (), asks_free, count.evidence, limit=limit
        )
    if not count.is_complete:
        verdict = unknown(
            f"amount:{effect.amount}",
            say("How much {name} is missing in the record {period}?", name=name, period=period),
        )
        said = asking(verdict, rule.text)
        missing = (*said.missing, *asks_free)
        return Said("ask", said.text, "plan", (words,), missing, count.evidence)
    return Said(
        "do",
        say("Keep to it: {words} {text}", words=words, text=rule.text),
        "creek",
        (),
        asks_free,
        count.evidence,
        limit=limit,
    )


def _hole_limit(effect: e.HoleLimit, rule: Rule, case: Case) -> Said:
    sides = {"depth": effect.depth, "length": effect.length, "width": effect.width}
    bounds = {
        side: Bound(at_most=most) if effect.inclusive else Bound(under=most)
        for side, most in sides.items()
        if most is not None
    }
    words = ", ".join(f"{side} {bound.words}" for side, bound in bounds.items())
    for hole in case.situation.holes or ():
        for side, bound in bounds.items():
            size = getattr(hole, side)
            if size is not None and not bound.holds(size):
                return Said(
                    "stop", f"{hole.name}: {side} {bound.words}. {rule.text}", "plan", (hole.name,)
                )
    return Said("do", say("Every hole: {words}. {text}", words=words, text=rule.text), "creek")


def _count_limit(effect: e.CountLimit, rule: Rule, case: Case) -> Said | None:
    bound, people = effect.bound, case.situation.people
    if effect.of == "people_per_device":
        gear = case.situation.gear
        if gear is None or people is None:
            return asking(no_gear() if gear is None else no_people(), rule.text)
        unsure = [item for item in gear if item.cls is None]
        devices = sum(item.count for item in gear if item.cls in DEVICES)
        if not devices:
            if not unsure:
                return None
            name = unsure[0].name
            return asking(
                unknown(f"gear:{name}:class", say("What kind of gear is {name}?", name=name)),
                rule.text,
            )
        count: int | None = math.ceil(len(people) / devices)
    else:
        count = count_of(effect.of, case)
    name = COUNT_WORDS[effect.of]
    if count is None:
        at_creek = effect.of == "open_holes"
        return asking(
            unknown(f"count:{effect.of}", say("How many {name}?", name=name), at_creek=at_creek),
            rule.text,
        )
    if effect.per_person:
        if people is None:
            return asking(no_people(), rule.text)
        count = math.ceil(count / max(1, len(people)))
    why = (
        say("{count} {name} a person", count=count, name=name)
        if effect.per_person
        else f"{count} {name}",
    )
    if not bound.holds(count):
        return Said("stop", f"{name.capitalize()}: {bound.words}. {rule.text}", "plan", why)
    if effect.of == "open_holes":
        return Said(
            "do",
            say("Open holes: {words}. {text}", words=bound.words, text=rule.text),
            "creek",
            why,
        )
    return Said("know", f"{name.capitalize()}: {bound.words}. {rule.text}", "plan", why)


def _setback(effect: e.Setback, rule: Rule, case: Case) -> Said:
    at_creek = effect.known == "at_creek"
    verdict = distance(effect.to, effect.bound, case, at_creek=at_creek)
    name = effect.to.replace("_", " ").replace("-", " ")
    keep = say("Keep {words} from the {name}", words=effect.bound.words, name=name)
    if verdict.value is None:
        if at_creek:
            return Said("do", f"{keep}: {rule.text}", "creek", (), verdict.missing)
        return asking(verdict, rule.text)
    if verdict.value:
        return Said("know", f"{keep}: {rule.text}", "creek", verdict.used)
    return Said(
        "stop", say("Too near. {keep}: {text}", keep=keep, text=rule.text), "plan", verdict.used
    )


def _closed_hours(effect: e.ClosedHours, rule: Rule, case: Case) -> Said:
    sun, hours = case.situation.sun, case.situation.hours
    words = say("Closed hours: {sun}.", sun=effect.within.words(sun))
    if effect.within.minutes(sun) is None:
        return asking(unknown("sun", say("When does the sun rise and set there?")), rule.text)
    if hours is None:
        return Said("do", f"{words} {rule.text}", "creek", missing=(hours_missing(),))
    why = (
        say(
            "work from {hours} to {hours_2}",
            hours=clock_words(hours[0]),
            hours_2=clock_words(hours[1]),
        ),
    )
    if effect.within.meets(*hours, sun):
        return Said(
            "stop",
            say("{words} The plan reaches into them: {text}", words=words, text=rule.text),
            "plan",
            why,
        )
    return Said("know", f"{words} {rule.text}", "creek", why)


def _duty(effect: e.Duty, rule: Rule, case: Case) -> Said:
    phase, words = DUE_POINTS[effect.due][0], say(DUE_POINTS[effect.due][1])
    end = case.situation.last_day
    due_on: dt.date | None = None
    match effect.due:
        case "before_start":
            due_on = case.situation.first_day
        case "same_day" | "before_next_hole" | "at_once":
            due_on = case.day
        case "before_leaving":
            due_on = end
        case "after_end":
            due_on = end + dt.timedelta(days=effect.days or 0)
            words = say("within {days} days of the end of the work", days=effect.days)
        case "after_paper_end":
            words = say("within {days} days after the paper ends", days=effect.days)
            ends = [
                paper.expires_on
                for paper in case.situation.papers or ()
                if paper.expires_on and paper.code in (case.own(effect.paper or ""), effect.paper)
            ]
            due_on = max(ends) + dt.timedelta(days=effect.days or 0) if ends else None
        case "on_date":
            assert effect.on is not None
            due_on = effect.on.in_year(end.year)
            if due_on < end:
                due_on = effect.on.in_year(end.year + 1)
            words = say("by {day}", day=local.day(due_on))
        case _:
            pass
    duty = duty_of(
        rule,
        case,
        point=effect.due,
        due_on=due_on,
        repeats="yearly" if effect.due == "on_date" else "none",
        days=effect.days,
        month_day=effect.on or "",
        paper_code=case.own(effect.paper) if effect.paper else "",
        about_holes=effect.holes,
    )
    return Said("do", rule.text, phase, due_on=due_on, due_words=words, duty=duty, can_be_met=True)


def _remind(effect: e.Remind, rule: Rule, case: Case) -> Said:
    day = case.situation.as_of or case.day
    due_on = effect.on_day
    if effect.on is not None:
        due_on = effect.on.in_year(day.year)
        if due_on < day:
            due_on = effect.on.in_year(day.year + 1)
    assert due_on is not None
    if effect.roll == "next_business_day":
        due_on = next_business_day(due_on)
    duty = duty_of(
        rule,
        case,
        point="on_date",
        due_on=due_on,
        repeats="yearly" if effect.on else "none",
        lead_days=effect.lead_days,
        month_day=effect.on or "",
        paper_code=case.own(effect.paper) if effect.paper else "",
        work_minor=effect.work_minor,
        currency=effect.currency or "",
        period=effect.period,
        blocks_renewal=effect.blocks_renewal,
        roll=effect.roll,
    )
    near = 0 <= (due_on - day).days <= effect.lead_days
    return Said(
        "do" if near else "know",
        rule.text,
        "after",
        due_on=due_on,
        due_words=say("by {day}", day=local.day(due_on)),
        duty=duty,
        can_be_met=True,
    )


def duty_of(rule: Rule, case: Case, **given: object) -> DutyDue:
    """A duty with the rule's particulars."""
    first = case.pack.sources_of(rule)[0]
    return DutyDue(
        key=case.own(rule.id),
        pack_id=case.pack.id,
        rule_id=rule.id,
        kind=rule.kind,
        text=rule.text,
        source=first.title + (f", {rule.section}" if rule.section else ""),
        confirm_with=case.pack.confirm_with(rule),
        **given,  # type: ignore[arg-type]
    )


def _fee_words(effect: e.Fee) -> str:
    if effect.amount_minor is None:
        return say(" How much isn't known: ask.")
    amount = f"{money.from_minor(effect.amount_minor, effect.currency)} {effect.currency}"
    return f" ({amount}{' ' + effect.per if effect.per else ''}{_steps_words(effect)})"


def _steps_words(effect: e.Fee) -> str:
    """The first steps of a fee by size, because a part of a unit pays for the whole."""
    if effect.unit_size is None:
        return ""
    number, unit = effect.unit_size.text.split(" ")
    steps = []
    for count in (1, 2, 3):
        minor = fee_minor(effect, count * effect.unit_size.base)
        assert minor is not None
        up_to = say("up to {count} {unit}", count=count * Decimal(number), unit=unit)
        steps.append(f"{up_to} {money.from_minor(minor, effect.currency)}")
    return say("; a part counts as a whole: {steps}", steps=", ".join(steps))
