"""One battery over every pack: the shipped ones and the demo's."""

import datetime as dt
import json
import re
from dataclasses import replace
from pathlib import Path

import pytest
from django.conf import settings

from claims.management.commands.check_packs import beside, run, with_demo
from claims.rules import effects as e
from claims.rules import when as c
from claims.rules.crosscheck import walk
from claims.rules.evaluate import evaluate
from claims.rules.facts import AmountFact, Gear, HoleFact, PersonFact, Place, Situation
from claims.rules.json_schema import reference
from claims.rules.judge import Case, judge
from claims.rules.loader import SITUATIONS, load_folders, stack
from claims.rules.quantities import Bound
from claims.rules.schema import Pack
from claims.rules.situations import SituationFile, load_situations
from claims.rules.words import USES

FOLDERS = with_demo([])
PACKS = load_folders(FOLDERS)
EVERY = [pytest.param(each.pack, id=each.id) for each in PACKS.values()]
RULES = [
    pytest.param(each.pack, rule, id=f"{each.id}/{rule.id}")
    for each in PACKS.values()
    for rule in each.pack.rule
]
DAY = dt.timedelta(days=1)
A_DAY = dt.date(2031, 5, 14)


def alone(pack, rule, **changes):
    """The pack with one rule only."""
    return replace(pack, rule=(replace(rule, **changes),))


def on(day, **facts):
    return Situation(first_day=day, last_day=day, as_of=day - 400 * DAY, **facts)


def speaks(pack, situation):
    return bool(evaluate([pack], situation).findings)


def test_there_are_packs():
    assert "velmarrow" in PACKS


@pytest.mark.parametrize("pack", EVERY)
def test_every_rule_says_where_it_is_from_and_how_that_is_known(pack):
    for rule in pack.rule:
        for source in pack.sources_of(rule):
            assert source.title
            assert source.url or source.where
            assert source.date_of_text
        assert pack.confirm_with(rule)
        assert rule.text.rstrip()[-1] in ".!?)"
    assert pack.pack.checked_on <= pack.pack.review_by


@pytest.mark.parametrize("pack", EVERY)
def test_what_is_not_settled_only_warns_or_asks(pack):
    for rule in pack.rule:
        if not pack.is_settled(rule):
            assert isinstance(rule.effect, e.Warn | e.Ask), rule.id
            made = evaluate([alone(pack, rule, when=(), unless=())], on(A_DAY))
            assert {each.outcome for each in made.findings} <= {"ask"}


@pytest.mark.parametrize("pack", EVERY)
def test_no_line_of_a_pack_says_that_a_trip_is_lawful(pack):
    wrong = re.compile(
        r"\b(you may|may (run|go|work|dig|pan|sluice|wash|use|be (used|worked|taken))|is legal|"
        r"are legal|lawful to|is ok|are ok|permitted to|allowed)\b",
        re.I,
    )
    for rule in pack.rule:
        assert not wrong.search(f"{rule.text} {rule.change}"), rule.id


@pytest.mark.parametrize("pack", EVERY)
def test_an_invented_pack_is_not_among_the_shipped_ones(pack):
    shipped = {path.stem for path in (FOLDERS[0]).glob("*.toml")}
    assert pack.pack.invented is (pack.id not in shipped)


@pytest.mark.parametrize(("pack", "rule"), RULES)
def test_a_rule_holds_from_its_first_day_to_its_last(pack, rule):
    bare = alone(pack, rule, when=(), unless=(), effect=e.Inform(), replaced_by=None)
    first, last = rule.valid_from or dt.date(1990, 1, 1), rule.valid_to or dt.date(2060, 1, 1)
    for day in (first, last):
        assert evaluate([bare], on(day)).findings[0].text == rule.text
    if rule.valid_from:
        assert not speaks(bare, on(first - DAY))
    if rule.valid_to:
        (after,) = evaluate([bare], on(last + DAY)).findings
        assert after.outcome == "ask"
        assert "held until" in after.text
        if rule.replaced_by:
            assert not speaks(alone(pack, rule, when=(), unless=()), on(last + DAY))


def windows(condition):
    """(path of nothing, window) of every date test, with all windows of the same test."""
    for _, item in walk(condition):
        if isinstance(item, c.DateIn):
            for window in item.within:
                yield item, window


DATED = [
    pytest.param(pack, test, window, id=f"{param.id} {window.words}")
    for param in RULES
    for pack, rule in [param.values]
    for test, window in windows((*rule.when, *rule.unless, rule.effect))
]


@pytest.mark.parametrize(("pack", "test", "window"), DATED)
def test_a_window_holds_on_its_first_and_last_day_and_not_beside_them(pack, test, window):
    if window.is_yearly:
        first, last = (
            dt.date(2032, *map(int, end.split("-"))) for end in (window.first, window.last)
        )
    else:
        first, last = dt.date.fromisoformat(window.first), dt.date.fromisoformat(window.last)

    def holds(day):
        return judge(test, Case(pack, on(day), day)).value

    assert holds(first) is True
    assert holds(last) is True
    others = [each for each in test.within if each != window]
    for day in (first - DAY, last + DAY):
        assert holds(day) is any(each.holds(day) for each in others)


TABLES = [
    pytest.param(each.pack, table, row, window, id=f"{each.id} {row.place} {window.words}")
    for each in PACKS.values()
    for table in each.pack.table
    for row in table.rows
    for window in row.windows
]


@pytest.mark.parametrize(("pack", "table", "row", "window"), TABLES)
def test_a_line_of_a_table_holds_on_its_days_and_asks_in_another_year(pack, table, row, window):
    year = table.year or 2031
    test = c.DateInTable(table=table.id)
    place = Place(water=row.place) if table.by == "water" else Place(areas={row.place: True})
    ends = [
        dt.date(year, *map(int, end.split("-"))) if window.is_yearly else dt.date.fromisoformat(end)
        for end in (window.first, window.last)
    ]

    def holds(day):
        return judge(test, Case(pack, on(day, place=place), day)).value

    same_place = [one for other in table.rows if other.place == row.place for one in other.windows]
    for end, beyond in ((ends[0], -DAY), (ends[1], DAY)):
        assert holds(end) is True
        if (end + beyond).year == year:
            assert holds(end + beyond) is any(one.holds(end + beyond) for one in same_place)
    if table.year is not None:
        assert holds(dt.date(year + 1, 6, 1)) is None
    nowhere = on(ends[0], place=Place(water="a water of no list"))
    assert judge(test, Case(pack, nowhere, ends[0])).value is None


LIMITS = (e.GearLimit, e.AmountLimit, e.HoleLimit, e.CountLimit, e.Setback)


def limits(rule):
    return [item for _, item in walk(rule.effect) if isinstance(item, LIMITS)]


LIMITED = [
    pytest.param(pack, rule, limit, id=param.id)
    for param in RULES
    for pack, rule in [param.values]
    for limit in limits(rule)
]


def sides(limit):
    if isinstance(limit, e.HoleLimit):
        word = "at_most" if limit.inclusive else "under"
        named = {"depth": limit.depth, "length": limit.length, "width": limit.width}
        return [(side, word, most) for side, most in named.items() if most]
    return [
        ("", word, getattr(limit, word))
        for word in ("over", "at_least", "under", "at_most")
        if getattr(limit, word)
    ]


# Which of just under, at and just over stops the plan, by the word of the bound.
STOPS = {
    "at_most": (False, False, True),
    "under": (False, True, True),
    "at_least": (True, False, False),
    "over": (True, True, False),
}


@pytest.mark.parametrize(("pack", "rule", "limit"), LIMITED)
def test_a_limit_stops_just_beyond_its_bound(pack, rule, limit):
    bare = alone(pack, rule, when=(), unless=(), effect=limit, valid_from=None, valid_to=None)
    for side, word, quantity in sides(limit):
        for step, stops in zip((-1, 0, 1), STOPS[word], strict=True):
            made = evaluate([bare], at_amount(limit, side, quantity.base + step, pack))
            got = any(each.outcome == "stop" for each in made.findings)
            assert got is stops, f"{word} {quantity.text}, {step:+}: {made.findings}"


def at_amount(limit, side, base, pack):
    """A plan in which the limited number is `base`."""
    people = (PersonFact(name="Ada", age=40),)
    match limit:
        case e.GearLimit():
            return on(A_DAY, gear=(fitting(limit, base, pack),))
        case e.AmountLimit():
            line = AmountFact(amount=limit.amount, day=A_DAY, base=base, site="S", water="W")
            place = Place(name="S", water="W")
            planned = {limit.amount: 0}
            return on(A_DAY, amounts=(line,), place=place, people=people, planned=planned)
        case e.HoleLimit():
            return on(A_DAY, holes=(HoleFact(name="the hole", **{side: base}),))
        case e.Setback():
            return on(A_DAY, place=Place(distances={limit.to: base}))
        case e.CountLimit(of="open_holes"):
            return on(A_DAY, people=people, open_holes=base)
        case e.CountLimit():
            age = 10 if limit.of == "children" else 40
            crowd = tuple(PersonFact(name=f"p{n}", age=age) for n in range(base))
            box = (Gear(name="box", cls="dredge_suction"),)
            return on(A_DAY, people=crowd, gear=box)


def fitting(limit, base, pack):
    """Gear that the limit means."""
    groups = {group.id: group for group in pack.group}
    wanted = groups[limit.group].any_of[0] if limit.group else limit
    classes = limit.cls or wanted.cls or tuple(cls for cls in USES if cls not in wanted.not_cls)
    power = (limit.power or wanted.power or (None,))[0]
    uses = limit.use or wanted.use or None
    return Gear(name="it", cls=classes[0], power=power, uses=uses, numbers={limit.number: base})


@pytest.mark.parametrize("pack", EVERY)
def test_situations_stand_beside_the_pack_and_come_out_as_written(pack):
    files = [path for path in beside(FOLDERS) if path.name == f"{pack.id}{SITUATIONS}"]
    assert files, f"{pack.id}{SITUATIONS} is missing"
    outcomes = run(PACKS, files)
    assert len(outcomes) >= 3
    assert [f"{each.name}: {each.wrong}" for each in outcomes if each.wrong] == []
    assert any(each.evaluation.by_outcome("stop") for each in outcomes)
    assert any(each.evaluation.by_outcome("ask") for each in outcomes)


@pytest.mark.parametrize("pack", EVERY)
def test_of_a_plan_of_which_nothing_is_known_nothing_is_passed(pack):
    stacked = [each.pack for each in stack(PACKS, [pack.id])]
    made = evaluate(stacked, on(A_DAY))
    assert made.worst != "know"
    said = {each.key for each in made.findings}
    dated_only = {
        f"{pack.id}/{rule.id}"
        for rule in pack.rule
        if rule.valid_from or rule.valid_to or any(isinstance(t, c.DateIn) for t in rule.when)
    }
    assert {f"{pack.id}/{rule.id}" for rule in pack.rule} - said <= dated_only


@pytest.mark.parametrize("pack", EVERY)
def test_a_pack_past_its_review_date_warns_on_every_line_and_informs_no_more(pack):
    late = pack.pack.review_by + DAY
    for day, old in ((pack.pack.review_by, False), (late, True)):
        situation = replace(
            on(A_DAY), as_of=day, first_day=min(day, A_DAY), last_day=min(day, A_DAY)
        )
        findings = evaluate([pack], situation).findings
        assert all(any("read again" in w for w in f.warnings) is old for f in findings)
        if old:
            assert "know" not in {each.outcome for each in findings}


def test_the_readme_lists_every_key_and_its_example_holds():
    text = (FOLDERS[0] / "README.md").read_text(encoding="utf-8")
    assert reference(Pack, SituationFile).strip() in text
    blocks = re.findall(r"```toml\n(.*?)```", text, re.DOTALL)
    situations = load_situations(blocks[1].encode(), "readme")
    from claims.rules.situations import run_file

    assert [each.wrong for each in run_file(situations, "readme", PACKS)] == [()]
    demo = Path(settings.BASE_DIR, "fixtures_demo/packs/velmarrow.toml").read_text(encoding="utf-8")
    assert 'id = "engines"' in blocks[0]
    assert blocks[0].partition("[[rule]]")[2].strip() in demo


def test_the_json_schema_takes_every_pack_and_refuses_an_unknown_key():
    import tomllib

    from jsonschema import Draft202012Validator

    from claims.rules.json_schema import json_schema

    schema = json_schema(Pack, "Rule pack")
    Draft202012Validator.check_schema(schema)
    validator = Draft202012Validator(schema)
    for folder in FOLDERS:
        for path in folder.glob("*.toml"):
            if path.name.endswith(SITUATIONS):
                continue
            data = json.loads(json.dumps(tomllib.loads(path.read_text("utf-8")), default=str))
            assert [error.message for error in validator.iter_errors(data)] == []
            data["rule"][0]["colour"] = "green"
            assert list(validator.iter_errors(data))


def test_bounds_in_the_battery_are_the_evaluators():
    """The table of the battery, against the class that compares."""
    from claims.rules.quantities import Quantity

    most = Quantity.parse("1 m")
    for word, stops in STOPS.items():
        bound = Bound(**{word: most})
        assert tuple(not bound.holds(most.base + step) for step in (-1, 0, 1)) == stops
