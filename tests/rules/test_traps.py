"""The places where law trips up whoever writes it down, each by its outcome.

Shipped packs stand for a trap where they have it; made-up rules where none does.
"""

import datetime as dt

import pytest
from django.conf import settings

from claims.rules.evaluate import evaluate
from claims.rules.loader import load_folders, stack
from claims.rules.spans import read_span
from claims.rules.term_end import TermRule, term_end
from tests.rules.making import outcome, pack_of, plan, rule_text

PACKS = load_folders([settings.BASE_DIR / "claims" / "rules" / "packs"])
DREDGE = "gear = [{ name = 'dredge', class = 'dredge_suction', power = 'engine', nozzle = '4 in' }]"
TEXTS = "The text named in the pack's rule (seen)"


def said(pack_ids, text, day="2027-05-14"):
    """Outcome of every rule of shipped packs, with those they lie within."""
    chosen = [each.pack for each in stack(PACKS, pack_ids)]
    made = evaluate(chosen, plan(text, day=dt.date.fromisoformat(day)))
    found = {}
    for finding in made.findings:
        found.setdefault(finding.key, finding)
    return found


def test_a_layer_that_bars_wins_over_one_that_asks_for_nothing():
    """BLM's casual use takes the box, California's fish law bars its motor, a county its hours."""
    text = (
        "gear = [{ name = 'box', class = 'sluice_pumped', power = 'engine' }]\n"
        "place = { land = 'public', not_areas = ['listed_species'] }\npapers = []\n"
        "answers = { away_from_stream = false, blm_tier = 'casual' }"
    )
    found = said(["us-ca"], text)
    assert found["us-fed/casual-use"].outcome == "know"
    assert found["us-ca/motors"].outcome == "stop"
    assert (found["us-ca/motors"].level, found["us-ca/motors"].layer) == (
        "region", PACKS["us-ca"].pack.pack.title,
    )  # fmt: skip


def test_following_a_pamphlet_is_the_approval_itself():
    effect = "{ type = 'paper', any_of = ['pamphlet'] }"
    assert outcome(effect, plan("papers = []")) == "do"


def test_a_window_wraps_the_year_s_end_and_a_cycle_ends_for_everybody_at_once():
    fish = "answers = { fish = true, good_practice = true, takes_water = false }"
    for day, stops in (("2027-10-31", False), ("2027-12-31", True), ("2028-01-01", True)):
        assert (said(["uk-sct"], fish, day).get("uk-sct/season") is not None) is stops
    cycle = TermRule("cycle", cycle_end="05-31")
    ends = {term_end(dt.date(2031, month, 9), None, cycle).last_day for month in (1, 3, 5)}
    assert ends == {dt.date(2031, 5, 31)}


def test_what_a_day_of_the_week_does_to_a_deadline_is_only_known_where_a_text_says_so():
    """1 September 2030 is a Sunday: the federal pack keeps the day, because nobody read more."""
    text = "place = { title = 'own_claim' }\nanswers = { small_miner = false }\nas_of = 2030-08-01"
    assert said(["us-fed"], text, "2030-08-10")["us-fed/fee-day"].due_on == dt.date(2030, 9, 1)
    rolls = "{ type = 'remind', on = '09-01', roll = '%s' }"
    due = {}
    for roll in ("none", "next_business_day", "not_known"):
        pack = pack_of(rule_text(rolls % roll))
        (finding,) = evaluate([pack], plan("as_of = 2030-08-01")).findings
        due[roll] = finding.due_on
    assert due == {
        "none": dt.date(2030, 9, 1),
        "next_business_day": dt.date(2030, 9, 2),
        "not_known": dt.date(2030, 9, 1),
    }


def test_hours_roll_and_calendar_years_do_not():
    cap = "{ type = 'amount_limit', amount = 'moved_volume', at_most = '1 m3', period = %s }"
    line = "amounts = [{ amount = 'moved_volume', day = 2030-12-31, much = '2 m3' }]"
    new_year = dt.date(2031, 1, 1)
    rolling = cap % "{ kind = 'rolling', hours = 48 }"
    yearly = cap % "{ kind = 'calendar_year' }"
    assert outcome(rolling, plan(line, day=new_year)) == "stop"
    assert outcome(yearly, plan(line, day=new_year)) == "do"


@pytest.mark.outside("BLM announcement of 2024-06-28: 40 acres 400, 45 acres 600 (seen)")
def test_a_part_pays_for_a_whole():
    text = said(["us-fed"], "place = { title = 'own_claim' }")["us-fed/fee"].text
    assert "up to 40 acre 400.00" in text
    assert "up to 60 acre 600.00" in text


@pytest.mark.outside(TEXTS)
def test_under_leaves_the_figure_out_and_or_less_takes_it_in():
    """Tasmania: under 1 m. Idaho: 5 inches or less. Western Australia: not within 100 m."""
    sluice = "gear = [{ class = 'sluice_stream_fed', length = '1 m' }]"
    assert said(["au-tas"], sluice)["au-tas/sluice-length"].outcome == "stop"
    five = DREDGE.replace("4 in", "5 in")
    assert said(["us-id"], five)["us-id/dredge-nozzle"].outcome == "know"
    near = (
        "place = { title = 'exploration', "
        "distances = [{ to = 'work_under_the_licence', by = '100 m' }] }\n"
        "papers = [{ code = 's40e_permit', issued = 2027-01-01, expires = 2027-12-31 }]"
    )
    assert said(["au-wa"], near)["au-wa/permit-distance"].outcome == "stop"


@pytest.mark.outside(TEXTS)
def test_the_same_gear_is_put_elsewhere_by_another_law():
    """A siphon has no motor in Oregon and is a question in California; a battery washer is free on
    BLM land and power-operated processing in New South Wales."""
    siphon = "gear = [{ class = 'dredge_gravity_siphon' }]"
    assert "us-or/motor-permit" not in said(["us-or"], siphon + "\npapers = []")
    assert said(["us-ca"], siphon)["us-ca/siphon"].outcome == "ask"
    washer = "gear = [{ name = 'puffer', class = 'dry_washer_battery' }]\n"
    casual = said(["us-fed"], washer + "place = { land = 'public' }")
    assert casual["us-fed/casual-tools"].outcome == "know"
    assert said(["au-nsw"], washer)["au-nsw/power"].outcome == "stop"


def test_a_text_past_its_end_is_not_applied_but_asked_about():
    ends = "valid_to = 2031-05-13"
    assert outcome("{ type = 'prohibit' }", plan(), more=ends) == "ask"
    assert outcome("{ type = 'prohibit' }", plan(), more="valid_to = 2031-05-14") == "stop"
    over = said(["us-id"], DREDGE, "2023-06-01")["us-id/discharge-term"]
    assert (over.outcome, over.term) == ("ask", None)


@pytest.mark.parametrize(
    ("key", "text", "word"),
    [
        ("au-wa/right-holder", "papers = []", "disagree"),
        ("au-nsw/forest-permit-fee", "place = { land = 'state_forest' }\npapers = []", "disagree"),
    ],
)
def test_texts_that_contradict_each_other_are_both_told_and_settle_nothing(key, text, word):
    found = said([key.partition("/")[0]], text)[key]
    assert found.outcome == "ask"
    assert len(found.sources) == 2
    assert any(word in each for each in found.warnings), found.warnings


@pytest.mark.parametrize(
    ("key", "text"),
    [
        ("au-nt/amounts", "amounts = []"),
        (
            "us-fed/collecting-amount",
            "place = { land = 'public' }\nanswers = { collecting = true }",
        ),
        ("fi/harm", ""),
    ],
)
def test_a_limit_without_a_figure_only_asks(key, text):
    assert said([key.partition("/")[0]], text)[key].outcome == "ask"


@pytest.mark.parametrize(
    ("table", "asks"), [("", "doesn't hold this table"), ("year = 2030", "table of 2031 is needed")]
)
def test_a_table_that_is_missing_or_of_another_year_says_so(table, asks):
    rows = "rows = [{ place = 'W', windows = ['05-01..05-31'] }]" if table else ""
    more = f'\n[[table]]\nid = "t"\ntitle = "Dates"\nby = "water"\nsource = "s"\n{table}\n{rows}\n'
    rule = rule_text("{ type = 'only_if', that = [{ fact = 'date_in_table', table = 't' }] }")
    (finding,) = evaluate([pack_of(rule, more=more)], plan("place = { water = 'W' }")).findings
    assert finding.outcome == "ask"
    assert asks in finding.text


@pytest.mark.parametrize("standing", ["draft", "replaced"])
def test_a_draft_and_a_past_season_can_do_no_more_than_ask(standing):
    rule = rule_text("{ type = 'warn' }", more=f"standing = '{standing}'")
    (finding,) = evaluate([pack_of(rule)], plan()).findings
    assert finding.outcome == "ask"
    assert finding.warnings


@pytest.mark.parametrize(
    ("place", "comes_to"),
    [
        ("distances = [{ to = 'creek_centre_line', by = '21 m' }], areas = ['gfa_20']", "stop"),
        ("distances = [{ to = 'creek_centre_line', by = '19 m' }], areas = ['gfa_20']", "know"),
        ("areas = ['gfa_20']", "ask"),
        ("not_areas = ['gfa_20', 'gfa_21']", None),
    ],
)
def test_a_strip_along_a_creek_is_a_distance_or_a_question(place, comes_to):
    found = said(["nz"], f"papers = []\nplace = {{ {place} }}").get("nz/corridor")
    assert (found.outcome if found else None) == comes_to


def test_a_term_from_29_february_ends_on_the_earlier_day():
    year = TermRule("from_issue", read_span("1 year"))
    leap, printed = dt.date(2032, 2, 29), dt.date(2033, 3, 1)
    counted = term_end(leap, None, year)
    assert counted.last_day == dt.date(2033, 2, 28)
    assert "1 Mar 2033" in counted.remark
    assert term_end(leap, printed, year).last_day == printed
