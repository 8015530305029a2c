"""What a rule about gear comes to: a closed list, a number on it, how many pieces of it."""

import math

from claims.rules import effects as e
from claims.rules.findings import Said, asking
from claims.rules.gearfit import (
    count_fitting,
    fits,
    gear_words,
    number_within,
    several_within,
    sum_within,
)
from claims.rules.judge import Case, no_gear, no_people
from claims.rules.schema import Rule
from claims.rules.truth import Verdict, any_of
from claims.rules.words import GEAR_NUMBERS
from trips.calc.words import say, several


def gear_list(effect: e.GearList, rule: Rule, case: Case) -> Said:
    """A closed list: what is on none of its lines stays at home."""
    gear = case.situation.gear
    if gear is None:
        return asking(no_gear(), rule.text)
    found = [(item, any_of([fits(item, one, case.pack) for one in effect.allow])) for item in gear]
    off = [gear_words(item) for item, verdict in found if verdict.value is False]
    if off:
        return Said(
            "stop",
            say("Leave at home {off}: {text}", off=", ".join(off), text=rule.text),
            "plan",
            tuple(off),
        )
    open_ones = [verdict for _, verdict in found if verdict.value is None]
    if open_ones:
        missing = tuple(dict.fromkeys(m for v in open_ones for m in v.missing))
        return asking(Verdict(None, missing=missing), rule.text)
    return Said("know", rule.text, "plan", tuple(gear_words(item) for item in gear))


def gear_limit(effect: e.GearLimit, rule: Rule, case: Case) -> Said | None:
    """A number on the gear; None without such gear in the plan."""
    gear, bound = case.situation.gear, effect.bound
    if gear is None:
        return asking(no_gear(), rule.text)
    limit = (f"gear:{effect.number}:{','.join(effect.cls)}:{effect.add_up}", bound)
    fit = [(item, fits(item, effect, case.pack)) for item in gear]
    if all(verdict.value is False for _, verdict in fit):
        return None
    if effect.add_up:
        verdict = sum_within(gear, effect, effect.number, bound, case.pack)
    else:
        checks = []
        for item, fitting in fit:
            inside = number_within(item, effect.number, bound)
            if fitting.value is True:
                checks.append(inside)
            elif fitting.value is None and inside.value is not True:
                checks.append(fitting)
        wrong = [check for check in checks if check.value is False]
        unsure = [check for check in checks if check.value is None]
        verdict = (wrong or unsure or checks or [Verdict(True)])[0]
        if not wrong and unsure:
            every = tuple(dict.fromkeys(m for v in unsure for m in v.missing))
            verdict = Verdict(None, missing=every)
    name = say(GEAR_NUMBERS[effect.number][0])
    if verdict.value is None:
        return asking(verdict, rule.text)
    if verdict.value is False:
        return Said(
            "stop",
            say(
                "Not with this gear ({name} {words}): {text}",
                name=name,
                words=bound.words,
                text=rule.text,
            ),
            "plan",
            verdict.used,
            limit=limit,
        )
    if not effect.add_up and not effect.each_alone:
        together = several_within(gear, effect, effect.number, bound, case.pack)
        if together:
            return Said(
                "ask",
                say(
                    "Each piece keeps to it, all together pass it, and the text "
                    "doesn't say which counts ({name} {words}): ask. {text}",
                    name=name,
                    words=bound.words,
                    text=rule.text,
                ),
                "plan",
                (together,),
                can_be_met=True,
            )
    return Said(
        "know", f"{name.capitalize()} {bound.words}. {rule.text}", "plan", verdict.used, limit=limit
    )


def gear_count(effect: e.GearCount, rule: Rule, case: Case) -> Said | None:
    """How many pieces of a gear there are; None without such gear in the plan."""
    gear, people, bound = case.situation.gear, case.situation.people, effect.bound
    if gear is None:
        return asking(no_gear(), rule.text)
    sure, rest = count_fitting(gear, effect, case.pack)
    if not sure and rest.value is True:
        return None
    if effect.per_person and people is None:
        return asking(no_people(), rule.text)
    heads = max(1, len(people or ())) if effect.per_person else 1
    most = sure + sum(item.count for item in gear if fits(item, effect, case.pack).value is None)
    low, high = math.ceil(sure / heads), math.ceil(most / heads)
    if bound.holds(low) != bound.holds(high):
        return asking(rest, rule.text)
    why = (
        several("{n} piece of it a person", "{n} pieces of it a person", low)
        if effect.per_person
        else several("{n} piece of it", "{n} pieces of it", low),
    )
    if bound.holds(low):
        return Said("know", f"{rule.text}", "plan", why)
    return Said(
        "stop",
        say("Number of pieces: {words}. {text}", words=bound.words, text=rule.text),
        "plan",
        why,
    )
