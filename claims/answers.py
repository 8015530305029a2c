"""What a line of the checklist asks for, how it can be answered, and what an answer means.

An answer is kept as text: one of the choices, hours of a day as "07:30-16:00", or an amount with
its unit as "12.5 g".
"""

from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal, InvalidOperation

from claims.lines import Answerable
from claims.models import Site
from claims.rulebook import PlanFacts, RuleBook
from claims.rules.crosscheck import walk
from claims.rules.effects import AmountLimit
from claims.rules.findings import Finding
from claims.rules.quantities import Quantity
from claims.rules.truth import Missing
from claims.rules.windows import clock_minutes, clock_words
from trips.calc.words import say

# What is noted with the site's rules and not with a trip; so are distances.
SITE_KEYS = ("site:land", "site:title")


def _yes_no() -> tuple[tuple[str, str], ...]:
    return ("yes", say("yes")), ("no", say("no"))


def _met() -> tuple[tuple[str, str], ...]:
    return ("yes", say("seen to")), ("no", say("refused or not possible"))


def read_answer(question: Answerable, value: str) -> str:
    """An answer as it is kept.

    Raises: ValueError with a sentence that says what was expected.
    """
    value = value.strip()
    if question.entry == "hours":
        hours = hours_of(value)
        if hours is None:
            raise ValueError(say("Give both times as HH:MM, for example 07:30 and 16:00."))
        if hours[0] == hours[1]:
            raise ValueError(say("The two times are the same: when does work end?"))
        return f"{clock_words(hours[0])}-{clock_words(hours[1])}"
    if question.entry == "amount":
        return _amount(value, question.unit)
    if value not in {choice for choice, _ in question.choices}:
        raise ValueError(say("Choose one of the answers."))
    return value


def _amount(value: str, unit: str) -> str:
    number = value.removesuffix(unit).strip().replace(",", ".")
    try:
        amount = Decimal(number)
    except InvalidOperation:
        amount = Decimal("NaN")
    if not (amount.is_finite() and 0 <= amount <= 1_000_000):
        raise ValueError(say("Give a number of {unit} from 0 on, for example 12.5.", unit=unit))
    return Quantity.parse(f"{amount:f} {unit}").text


def hours_of(value: str) -> tuple[int, int] | None:
    """Begin and end of work in minutes after midnight; None for what is no such answer."""
    first, _, last = value.partition("-")
    try:
        return clock_minutes(first), clock_minutes(last)
    except ValueError:
        return None


def free_of(values: Mapping[str, str]) -> dict[str, int]:
    """How much doesn't count for limits that leave big pieces out, by "pack/rule"."""
    made = {}
    for key, value in values.items():
        if key.startswith("free:"):
            try:
                made[key.removeprefix("free:")] = Quantity.parse(value).base
            except ValueError:
                continue
    return made


def answers_for(
    finding: Finding, site: Site, book: RuleBook, plan: PlanFacts
) -> tuple[Answerable, ...]:
    """What can be answered to a finding, with what was said already."""
    made = [each for missing in finding.missing if (each := _answerable(missing, book))]
    if finding.can_be_met and not finding.missing:
        made.append(Answerable(f"met:{finding.key}", say("Has it been seen to?"), _met()))
    elif said := plan.answers.get(site.pk, {}).get(f"met:{finding.key}"):
        made.append(
            Answerable(f"met:{finding.key}", say("Has it been seen to?"), _met(), said=said.words)
        )
    return tuple(_with_said(each, site, plan) for each in made)


def _with_said(each: Answerable, site: Site, plan: PlanFacts) -> Answerable:
    said = plan.answers.get(site.pk, {}).get(each.key)
    if said is None:
        return each
    return replace(each, said=said.words)


def _answerable(missing: Missing, book: RuleBook) -> Answerable | None:
    """What can be answered on the spot; the rest is noted where it belongs (gear, site, paper)."""
    if missing.key.startswith("answer:"):
        pack_id, _, name = missing.key.removeprefix("answer:").partition("/")
        loaded = book.packs.get(pack_id)
        question = next((q for q in loaded.pack.question if q.id == name), None) if loaded else None
        if question is None:
            return None
        choices = tuple((each, each) for each in question.choices) or _yes_no()
        return Answerable(missing.key, question.text, choices, question.scope == "site")
    if missing.key == "hours":
        return Answerable("hours", say("From when to when will you work there?"), entry="hours")
    if missing.key.startswith("free:"):
        return _big_pieces(missing, book)
    if missing.key.startswith("area:"):
        return Answerable(missing.key, missing.words, _yes_no(), on_site=True)
    if missing.key in SITE_KEYS or missing.key.startswith("distance:"):
        return Answerable(missing.key, missing.words, on_site=True, entry="site")
    if missing.key == "purpose":
        choices = tuple((each, each) for each in ("recreation", "education", "tour", "commercial"))
        return Answerable("purpose", missing.words, choices)
    if missing.key == "supervised" or missing.key.endswith(":supervised"):
        return Answerable("supervised", say("Does an adult look after every child?"), _yes_no())
    return None


def _big_pieces(missing: Missing, book: RuleBook) -> Answerable | None:
    pack_id, _, rule_id = missing.key.removeprefix("free:").partition("/")
    loaded = book.packs.get(pack_id)
    rule = next((r for r in loaded.pack.rule if r.id == rule_id), None) if loaded else None
    for _, effect in walk(rule) if rule else ():
        if isinstance(effect, AmountLimit) and effect.big_nuggets_free is not None:
            unit = effect.bound.sides[0].unit
            least = effect.big_nuggets_free.words
            question = say(
                "How many {unit} of what counts here are single pieces of {least} or more?",
                unit=unit,
                least=least,
            )
            return Answerable(missing.key, question, entry="amount", unit=unit)
    return None


def answered(site: Site, book: RuleBook, plan: PlanFacts) -> tuple[Answerable, ...]:
    """What was answered for this plan at a site, to be read, changed or taken back."""
    made = []
    for key, said in sorted(plan.answers.get(site.pk, {}).items()):
        if key.startswith("met:"):
            pack_id, _, rule_id = key.removeprefix("met:").partition("/")
            rules = [rule for pack in book.at(site) if pack.id == pack_id for rule in pack.rule]
            text = next((rule.text for rule in rules if rule.id == rule_id), rule_id)
            made.append(Answerable(key, say("Seen to? {text}", text=text), _met(), said=said.words))
        elif each := _answerable(Missing(key, key), book):
            made.append(replace(each, said=said.words))
    return tuple(made)
