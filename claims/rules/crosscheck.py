"""What the format alone can't refuse: ids used twice, names of nothing, bounds without a side.

Each check yields (path, message) in the words of the packs' README.
"""

import datetime as dt
import re
from collections.abc import Iterator, Mapping
from dataclasses import fields, is_dataclass
from functools import cache
from typing import Any

from claims.rules import effects as e
from claims.rules import when as c
from claims.rules.quantities import Bound, Quantity
from claims.rules.reading import Path, key_of
from claims.rules.schema import Pack, PackHead, Rule
from claims.rules.words import AMOUNTS, GEAR_NUMBERS
from trips.calc.words import say

Wrong = tuple[Path, str]
CURRENCY = re.compile(r"^[A-Z]{3}$")


def wrong_inside(pack: Pack) -> list[Wrong]:
    """Mistakes within one pack that read well field by field."""
    return [
        *_ids(pack),
        *_head(pack),
        *_references(pack),
        *_values(pack),
        *(wrong for index, rule in enumerate(pack.rule) for wrong in _rule(pack, rule, index)),
    ]


def wrong_between(packs: Mapping[str, Pack]) -> list[tuple[str, str]]:
    """(pack id, message) for packs that lie within one that isn't there, or within themselves."""
    wrong = [
        (pack.id, say("names “{outer}”, and there is no pack of this id", outer=outer))
        for pack in packs.values()
        for outer in pack.pack.within
        if outer not in packs
    ]
    for start in packs:
        seen: list[str] = []
        waiting = [start]
        while waiting:
            name = waiting.pop()
            for outer in packs[name].pack.within if name in packs else ():
                if outer == start:
                    round_trip = " within ".join([start, *seen, start])
                    wrong.append(
                        (start, say("goes in a circle: {round_trip}", round_trip=round_trip))
                    )
                    waiting = []
                    break
                if outer not in seen:
                    seen.append(outer)
                    waiting.append(outer)
    return wrong


def walk(value: Any, path: Path = ()) -> Iterator[tuple[Path, Any]]:
    """Every dataclass inside a value with its path in the file."""
    cls: type = type(value)
    parts = _parts(cls)
    if parts is not None:
        yield path, value
        for name, key in parts:
            inner = getattr(value, name)
            if inner is not None and not isinstance(inner, str):
                yield from walk(inner, (*path, key))
    elif isinstance(value, tuple):
        for index, item in enumerate(value):
            yield from walk(item, (*path, index))


@cache
def _parts(cls: type) -> tuple[tuple[str, str], ...] | None:
    """(attribute, key in the file) of a class that is walked into; None for plain values.

    Every start of the site walks through every pack, so a class is looked at once.
    """
    if not is_dataclass(cls) or issubclass(cls, Quantity | Bound):
        return None
    return tuple((entry.name, key_of(entry)) for entry in fields(cls))


def _ids(pack: Pack) -> Iterator[Wrong]:
    lists: tuple[tuple[str, str, tuple[Any, ...]], ...] = (
        ("source", "id", pack.source),
        ("paper", "code", pack.paper),
        ("area", "id", pack.area),
        ("question", "id", pack.question),
        ("table", "id", pack.table),
        ("group", "id", pack.group),
        ("rule", "id", pack.rule),
    )
    for name, key, items in lists:
        seen: dict[str, int] = {}
        for index, item in enumerate(items):
            value = getattr(item, key)
            if value in seen:
                first = f"{name}[{seen[value] + 1}]"
                yield (
                    (name, index, key),
                    say(
                        "“{value}” is the {key} of {first} already",
                        value=value,
                        key=key,
                        first=first,
                    ),
                )
            seen.setdefault(value, index)
    for index, source in enumerate(pack.source):
        if bool(source.url) == bool(source.where):
            yield (
                ("source", index),
                say("needs either url or where, to say where the text can be read"),
            )
    if not pack.rule:
        yield ("rule",), say("holds no rule")


def _head(pack: Pack) -> Iterator[Wrong]:
    if pack.pack.review_by < pack.pack.checked_on:
        yield ("pack", "review_by"), say("lies before checked_on")
    if pack.id in pack.pack.within:
        yield ("pack", "within"), say("names the pack itself")


def _references(pack: Pack) -> Iterator[Wrong]:
    papers: set[str] = {paper.code for paper in pack.paper}
    known: dict[str, set[str]] = {
        "paper": papers,
        "area": {area.id for area in pack.area},
        "question": {question.id for question in pack.question},
        "table": {table.id for table in pack.table},
        "group": {group.id for group in pack.group},
        "source": {source.id for source in pack.source},
    }

    def missing(kind: str, names: tuple[str, ...], path: Path) -> Iterator[Wrong]:
        for name in names:
            if name not in known[kind]:
                there = ", ".join(sorted(known[kind])) or "none"
                yield (
                    path,
                    say(
                        "names the {kind} “{name}”, which the pack doesn't define ({there})",
                        kind=kind,
                        name=name,
                        there=there,
                    ),
                )

    for path, item in walk(pack):
        match item:
            case Rule():
                yield from missing("source", item.sources, (*path, "sources"))
            case c.AreaIs():
                yield from missing("area", item.one_of, (*path, "one_of"))
            case c.DateInTable():
                yield from missing("table", (item.table,), (*path, "table"))
            case c.PaperHeld():
                yield from missing("paper", item.any_of, (*path, "any_of"))
            case c.AnswerIs():
                yield from missing("question", (item.question,), (*path, "question"))
            case e.NeedPaper():
                yield from missing("paper", item.all_of, (*path, "all_of"))
                yield from missing("paper", item.any_of, (*path, "any_of"))
            case e.Apply() | e.Standdown() | e.PaperTerm():
                yield from missing("paper", (item.paper,), (*path, "paper"))
            case e.Duty() | e.Remind() | e.Fee() if item.paper:
                yield from missing("paper", (item.paper,), (*path, "paper"))
            case _:
                pass
        if isinstance(item, c.GearFilter) and item.group:
            yield from missing("group", (item.group,), (*path, "group"))
        if isinstance(item, e.Standdown) and item.ended_by:
            yield from missing("question", (item.ended_by,), (*path, "ended_by"))
    for index, table in enumerate(pack.table):
        yield from missing("source", (table.source,), ("table", index, "source"))
        if table.by == "area":
            places = tuple(row.place for row in table.rows)
            yield from missing("area", places, ("table", index, "rows"))
    for index, group in enumerate(pack.group):
        if any(one.group for one in group.any_of):
            yield ("group", index), say("is made of another group; name classes and power instead")


def _bound(item: Any, path: Path, dimension: str) -> Iterator[Wrong]:
    sides = item.bound.sides
    if not sides:
        yield path, say("needs a bound: over, at_least, under or at_most")
    if (item.over and item.at_least) or (item.under and item.at_most):
        yield path, say("is bounded twice on one side; keep the strict or the inclusive one")
    for side in sides:
        if side.dimension != dimension:
            yield (
                path,
                say(
                    "“{text}” is a {dimension}; expected a {dimension_2}",
                    text=side.text,
                    dimension=side.dimension,
                    dimension_2=dimension,
                ),
            )


def _values(pack: Pack) -> Iterator[Wrong]:
    for path, item in walk(pack):
        if isinstance(item, c.GearIs | e.GearLimit):
            if item.number is not None:
                yield from _bound(item, path, GEAR_NUMBERS[item.number][1])
            elif item.bound.sides:
                yield path, say("has a bound but doesn't say of which number")
        elif isinstance(item, c.AmountIs | e.AmountLimit):
            yield from _bound(item, path, AMOUNTS[item.amount][1])
        elif isinstance(item, c.DistanceIs | e.Setback):
            yield from _bound(item, path, "length")
        elif isinstance(item, c.CountIs | e.CountLimit | e.GearCount):
            yield from _bound(item, path, "count")
        yield from _single(item, path)


def _single(item: Any, path: Path) -> Iterator[Wrong]:
    match item:
        case c.Period(kind="rolling", hours=None):
            yield (*path, "hours"), say("is missing: how many hours does it roll over?")
        case c.Period(kind="rolling", hours=int(hours)) if not 24 <= hours <= 24 * 366:
            yield (*path, "hours"), say("is {hours}; expected 24 to 8784", hours=hours)
        case c.Period(kind="assessment_year", starts=None):
            yield (*path, "starts"), say("is missing: on which day does the year begin?")
        case c.PersonIs(under_age=None, of_age=None, supervised=None):
            yield path, say("tests nothing; give under_age, of_age or supervised")
        case c.AllOf(of=()) | c.AnyOf(of=()) | c.NotAll(of=()):
            yield (*path, "of"), say("is empty")
        case e.NeedPaper() if bool(item.all_of) == bool(item.any_of):
            yield path, say("needs either all_of or any_of")
        case e.HoleLimit():
            yield from _hole(item, path)
        case e.Duty(due="after_end", days=None) | e.Duty(due="after_paper_end", days=None):
            yield (*path, "days"), say("is missing: within how many days?")
        case e.Duty(due="on_date", on=None):
            yield (*path, "on"), say("is missing: on which day of the year, as MM-DD?")
        case e.Remind() if (item.on is None) == (item.on_day is None):
            yield path, say("needs either on (every year) or on_day (once)")
        case e.Remind(work_minor=int(), currency=None):
            yield (*path, "currency"), say("is missing beside work_minor")
        case e.Apply() if _given(item.by, item.window, item.lead_days, item.lead_months) != 1:
            yield path, say("needs one of by, window, lead_days, lead_months")
        case e.PaperTerm(until="from_issue", years=(), months=(), days=()):
            yield path, say("needs years, months or days")
        case e.PaperTerm(until="fixed_day", fixed_day=None):
            yield (*path, "fixed_day"), say("is missing: on which day does it end for everybody?")
        case e.GearLimit(add_up=True, each_alone=True):
            yield path, say("is either added up or each piece alone, not both")
        case e.Fee() if not CURRENCY.match(item.currency):
            yield (
                (*path, "currency"),
                say("is “{currency}”; write three capital letters", currency=item.currency),
            )
        case _:
            pass
    for name in ("one_of", "within", "allow", "that", "to", "of"):
        if isinstance(item, c.AnswerIs | PackHead | c.AllOf | c.AnyOf | c.NotAll):
            break
        if getattr(item, name, None) == ():
            yield (*path, name), say("is empty")


def _given(*values: object) -> int:
    return sum(value is not None for value in values)


def _hole(item: e.HoleLimit, path: Path) -> Iterator[Wrong]:
    sides = [side for side in (item.depth, item.length, item.width) if side is not None]
    if not sides:
        yield path, say("needs depth, length or width")
    for side in sides:
        if side.dimension != "length":
            yield (
                path,
                say(
                    "“{text}” is a {dimension}; expected a length",
                    text=side.text,
                    dimension=side.dimension,
                ),
            )


def _rule(pack: Pack, rule: Rule, index: int) -> Iterator[Wrong]:
    path: Path = ("rule", index)
    if not rule.sources:
        yield (*path, "sources"), say("is empty: every rule names the text it comes from")
        return
    if rule.valid_from and rule.valid_to and rule.valid_from > rule.valid_to:
        yield (*path, "valid_to"), say("lies before valid_from")
    if rule.replaced_by:
        others = {other.id: other for other in pack.rule if other is not rule}
        after = others.get(rule.replaced_by)
        if after is None:
            yield (
                (*path, "replaced_by"),
                say(
                    "names “{replaced_by}”, which isn't another rule", replaced_by=rule.replaced_by
                ),
            )
        if rule.valid_to is None:
            yield (*path, "valid_to"), say("is missing beside replaced_by")
        elif after is not None and _leaves_a_gap(rule.valid_to, after):
            yield (
                (*path, "replaced_by"),
                say(
                    "names “{id}”, which begins on {valid_from}: nothing would be said "
                    "between {valid_to} and that day",
                    id=after.id,
                    valid_from=after.valid_from,
                    valid_to=rule.valid_to,
                ),
            )
    known = {source.id for source in pack.source}
    all_known = known.issuperset(rule.sources)
    settled = all_known and pack.is_settled(rule)
    if all_known and not settled and not isinstance(rule.effect, e.Warn | e.Ask):
        yield (
            (*path, "effect"),
            say(
                "a text that is second-hand, conflicting, without a figure, a "
                "draft or replaced can only warn or ask"
            ),
        )
    yield from _answers(pack, rule, path)


def _leaves_a_gap(valid_to: dt.date, after: Rule) -> bool:
    return after.valid_from is not None and after.valid_from > valid_to + dt.timedelta(days=1)


def _answers(pack: Pack, rule: Rule, path: Path) -> Iterator[Wrong]:
    questions = {question.id: question for question in pack.question}
    for where, item in walk(rule, path):
        if not isinstance(item, c.AnswerIs) or item.question not in questions:
            continue
        choices = questions[item.question].choices
        if choices and (item.yes is not None or not set(item.one_of) <= set(choices)):
            yield where, say("write one_of with some of {choices}", choices=", ".join(choices))
        if not choices and (item.one_of or item.yes is None):
            yield where, say("is about a yes-or-no question; write yes = true or yes = false")
        if choices and not item.one_of:
            yield (*where, "one_of"), say("is missing")
