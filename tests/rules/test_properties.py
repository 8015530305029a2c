"""What a person would assert of rules, whatever the plan: more packs never loosen, not knowing
never asks less, and the order of anything makes no difference."""

import datetime as dt
import random
from dataclasses import fields, replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from claims.management.commands.check_packs import beside, with_demo
from claims.rules.evaluate import Kept, evaluate
from claims.rules.facts import AmountFact, Gear, PaperFact, PersonFact, Place, Situation
from claims.rules.loader import load_folders, stack
from claims.rules.situations import as_situation, load_situations
from claims.rules.windows import Sun
from claims.rules.words import GEAR_WORDS, LAND_WORDS, TITLE_WORDS, ZONE_WORDS
from tests.rules.making import HEAD, pack_of, rule_text

PACKS = load_folders(with_demo([]))
DEMO = PACKS["velmarrow"].pack
MIXED = pack_of(Path(__file__).with_name("mixed.toml").read_text(encoding="utf-8"))

DAYS = st.dates(dt.date(2031, 1, 1), dt.date(2032, 12, 31))
MAYBE = st.sampled_from([None, True, False])


@st.composite
def plans(draw):
    """A plan in which anything may be known or not."""

    def maybe(strategy):
        return draw(st.none() | strategy)

    day = draw(DAYS)
    gear = st.builds(
        Gear,
        name=st.sampled_from(["x", "y"]),
        cls=st.none() | st.sampled_from(sorted(GEAR_WORDS)),
        power=st.sampled_from([None, "none", "battery", "engine"]),
        numbers=st.dictionaries(st.sampled_from(["nozzle", "length"]), st.integers(1, 3_000_000)),
    )
    people = st.builds(
        PersonFact, name=st.sampled_from(["Ada", "Bo"]), age=st.none() | st.integers(5, 70),
        supervised=MAYBE,
    )  # fmt: skip
    papers = st.builds(
        PaperFact,
        name=st.just("paper"),
        kind=st.sampled_from(["licence", "permit", "claim", "consent"]),
        code=st.sampled_from([None, "licence", "permit", "washing_licence", "reach_permit"]),
        holder=st.sampled_from(["", "Ada", "Ada and Bo"]),
        issued_on=st.none() | DAYS,
        expires_on=st.none() | DAYS,
    )
    lines = st.builds(
        AmountFact, amount=st.just("moved_volume"), day=DAYS,
        base=st.none() | st.integers(0, 3_000_000), site=st.just("S"), water=st.just("W"),
    )  # fmt: skip
    return Situation(
        first_day=day,
        last_day=day + dt.timedelta(days=draw(st.integers(0, 2))),
        as_of=maybe(DAYS),
        hours=maybe(st.tuples(st.integers(0, 1439), st.integers(0, 1439))),
        sun=Sun(maybe(st.just(360)), maybe(st.just(1200))),
        place=Place(
            name="S",
            land=maybe(st.sampled_from(sorted(LAND_WORDS))),
            title=maybe(st.sampled_from(sorted(TITLE_WORDS))),
            water=maybe(st.sampled_from(["Drennock Water", "W"])),
            zones=maybe(st.tuples(st.sampled_from(sorted(ZONE_WORDS)))),
            areas=draw(
                st.dictionaries(
                    st.sampled_from(["gfa", "river_reaches", "weir_zone"]), st.booleans()
                )
            ),
            distances=draw(
                st.dictionaries(st.sampled_from(["homestead", "path"]), st.integers(0, 3 * 10**9))
            ),
        ),
        gear=maybe(st.lists(gear, max_size=2).map(tuple)),
        people=maybe(st.lists(people, max_size=2).map(tuple)),
        papers=maybe(st.lists(papers, max_size=2).map(tuple)),
        amounts=maybe(st.lists(lines, max_size=2).map(tuple)),
        planned=draw(st.dictionaries(st.just("moved_volume"), st.integers(0, 2_000_000))),
        open_holes=maybe(st.integers(0, 3)),
        purpose=maybe(st.sampled_from(["recreation", "commercial"])),
        answers=draw(
            st.dictionaries(st.sampled_from(["fish", "eggs", "mussels", "fire_ban"]), st.booleans())
        ),
    )


def stops(packs, plan):
    return set(evaluate(packs, plan).by_outcome("stop"))


def asks(packs, plan):
    return len(evaluate(packs, plan).by_outcome("ask"))


@settings(max_examples=25, deadline=None)
@given(plans())
def test_one_more_pack_never_takes_a_stop_away(plan):
    assert stops([DEMO], plan) <= stops([DEMO, MIXED], plan)
    assert stops([MIXED], plan) <= stops([MIXED, DEMO], plan)


PLACE_FACTS = ("land", "title", "water", "zones")
WHOLE_FACTS = ("gear", "people", "papers", "amounts", "purpose", "hours", "open_holes")


@settings(max_examples=60, deadline=None)
@given(plans(), st.sampled_from([*PLACE_FACTS, *WHOLE_FACTS, "areas", "distances", "answers"]))
def test_not_knowing_a_fact_never_asks_less(plan, fact):
    if fact in PLACE_FACTS:
        less = replace(plan, place=replace(plan.place, **{fact: None}))
    elif fact in ("areas", "distances"):
        less = replace(plan, place=replace(plan.place, **{fact: {}}))
    else:
        less = replace(plan, **{fact: {} if fact == "answers" else None})
    assert asks([MIXED, DEMO], less) >= asks([MIXED, DEMO], plan)


@settings(max_examples=15, deadline=None)
@given(plans(), st.integers(0, 10**6))
def test_no_order_of_anything_makes_a_difference(plan, seed):
    chance = random.Random(seed)

    def shuffled(values):
        values = list(values)
        chance.shuffle(values)
        return tuple(values)

    packs = [replace(pack, rule=shuffled(pack.rule)) for pack in (DEMO, MIXED)]
    mixed_up = replace(
        plan,
        **{
            name: shuffled(getattr(plan, name))
            for name in ("amounts",)
            if getattr(plan, name) is not None
        },
    )
    assert evaluate(shuffled(packs), mixed_up).findings == evaluate([MIXED, DEMO], plan).findings


@settings(max_examples=40, deadline=None)
@given(plans(), st.lists(DAYS, min_size=1, max_size=4))
def test_a_plan_asked_for_many_days_says_each_day_what_it_says_alone(plan, days):
    kept = Kept()
    for day in days:
        alone = replace(plan, first_day=day, last_day=day)
        expected = evaluate([MIXED, DEMO], alone, Kept()).findings
        assert evaluate([MIXED, DEMO], alone, kept).findings == expected


@settings(max_examples=15, deadline=None)
@given(plans())
def test_an_old_pack_keeps_its_stops_and_informs_no_more(plan):
    old = replace(DEMO, pack=replace(DEMO.pack, review_by=dt.date(2030, 1, 1)))
    assert stops([old], plan) == stops([DEMO], plan)
    assert evaluate([old], plan).by_outcome("know") == ()


def test_a_looser_bound_names_the_stricter_pack():
    limit = "{ type = 'gear_limit', number = 'nozzle', at_most = '%s in' }"
    strict = pack_of(rule_text(limit % 3, rule_id="strict"))
    other = pack_of(
        rule_text(limit % 4, rule_id="loose"), head=HEAD.replace('id = "p"', 'id = "q"', 1)
    )
    plan = Situation(
        first_day=dt.date(2031, 5, 14),
        last_day=dt.date(2031, 5, 14),
        gear=(Gear(name="d", cls="dredge_suction", numbers={"nozzle": 88_900}),),
    )
    made = {each.rule_id: each for each in evaluate([strict, other], plan).findings}
    assert made["strict"].outcome == "stop"
    assert made["loose"].outcome == "know"
    assert made["loose"].warnings == ("Place P is stricter here: see strict.",)
    assert made["strict"].warnings == ()


@pytest.mark.parametrize("name", [each.name for each in fields(Situation)])
def test_every_fact_of_a_plan_is_drawn_above(name):
    """A new fact has to be thought of in these properties."""
    left_out = {"uncounted", "holes", "met", "free"}
    assert name in left_out | {
        "first_day", "last_day", "as_of", "hours", "sun", "place", "gear", "people", "papers",
        "amounts", "planned", "open_holes", "purpose", "answers",
    }  # fmt: skip


SITUATIONS = [pytest.param(path, id=path.name) for path in beside(with_demo([]))]


def without(plan):
    """The plan with each fact in turn not known."""
    for name in PLACE_FACTS:
        yield name, replace(plan, place=replace(plan.place, **{name: None}))
    for name in ("areas", "distances"):
        yield name, replace(plan, place=replace(plan.place, **{name: {}}))
    for name in (*WHOLE_FACTS, "holes"):
        yield name, replace(plan, **{name: None})
    yield "answers", replace(plan, answers={})
    yield "sun", replace(plan, sun=Sun())


@pytest.mark.parametrize("path", SITUATIONS)
def test_in_no_situation_of_a_pack_does_not_knowing_ask_less_or_lose_a_stop(path):
    """What stops for certain may turn into a question or a reminder, never into silence."""
    file = load_situations(path.read_bytes(), path.name)
    layers = [PACKS[name] for name in file.packs] if file.alone else stack(PACKS, file.packs)
    packs = [each.pack for each in layers]
    for text in file.situation:
        plan = as_situation(text)
        whole = evaluate(packs, plan)
        for name, less in without(plan):
            made = evaluate(packs, less)
            assert len(made.by_outcome("ask")) >= len(whole.by_outcome("ask")), (text.name, name)
            told = {key for each in ("stop", "do", "ask") for key in made.by_outcome(each)}
            assert set(whole.by_outcome("stop")) <= told, (text.name, name)


@pytest.mark.parametrize("path", SITUATIONS)
def test_every_situation_of_a_pack_says_on_other_days_what_it_says_there_alone(path):
    """Days of the next months, over the year's end, and long after the packs' review dates."""
    file = load_situations(path.read_bytes(), path.name)
    layers = [PACKS[name] for name in file.packs] if file.alone else stack(PACKS, file.packs)
    packs = [each.pack for each in layers]
    for text in file.situation:
        plan, kept = as_situation(text), Kept()
        for later in (0, 1, 30, 75, 140, 250, 365, 3_000):
            day = plan.first_day + dt.timedelta(days=later)
            there = replace(plan, first_day=day, last_day=day)
            expected = evaluate(packs, there, Kept()).findings
            assert evaluate(packs, there, kept).findings == expected, (text.name, day)
