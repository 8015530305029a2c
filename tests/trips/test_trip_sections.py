"""The order of a trip's page, what is folded, and what a folded part says of itself."""

import datetime as dt

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from claims.lines import Answerable, CheckLine, by_phase
from tests import factories as make
from tests.trips.full_trip import full_trip
from trips.views.trip_sections import FEW_PANS, counted, pans_by_spot

pytestmark = pytest.mark.django_db


@pytest.fixture
def keeper(client, party):
    make.signed_in(client, party)
    return client


@pytest.fixture
def party():
    return make.make_party()


def sections(keeper, trip):
    return keeper.get(reverse("trips:trip_detail", args=[trip.pk])).context["sections"]


@pytest.mark.parametrize(
    ("state", "first", "folded"),
    [
        ("planned", ["plan", "checks"], "money"),
        ("under_way", ["creek", "pan", "run"], "plan"),
        ("wrapped_up", ["result", "compared", "pays", "gold"], "plan"),
        ("called_off", ["plan"], "pays"),
    ],
)
def test_what_matters_in_a_state_comes_first_and_open(keeper, party, state, first, folded):
    trip = full_trip(party)
    trip.state = state
    trip.save()
    shown = sections(keeper, trip)
    assert [each.key for each in shown][: len(first)] == first
    assert all(each.is_open for each in shown[: len(first)])
    closed = next(each for each in shown if each.key == folded)
    assert not closed.is_open
    assert closed.said
    assert len({each.key for each in shown}) == len(shown)


def test_many_pans_are_folded_by_spot_and_keep_their_numbers(party):
    trip = make.make_trip(party)
    site = trip.trip_sites.get().site
    one, two = make.make_spot(site), make.make_spot(site)
    pans = [make.make_pan(trip, spot) for spot in (one, two, one)]
    few = pans_by_spot(pans)
    assert [[number for number, _ in each.pans] for each in few] == [[1, 3], [2]]
    assert all(each.is_open for each in few)
    assert few[0].volume_ml == pans[0].volume_ml + pans[2].volume_ml
    assert not any(each.is_open for each in pans_by_spot(pans * FEW_PANS))
    pans[1].fine = None
    assert pans_by_spot(pans)[1].colours is None


def test_a_phase_is_open_while_a_line_of_it_is_to_be_settled():
    def line(outcome, said=None):
        asked = () if said is None else (Answerable("k", "Is it?", (), said=said),)
        return CheckLine(outcome, "t", "w", "s", "c", None, answers=asked)

    assert [by_phase([line(*x)])[0].is_due for x in
            [("know",), ("do",), ("ask", ""), ("ask", "yes"), ("stop",)]] == [
        False, True, True, False, True]  # fmt: skip
    assert by_phase([line("do"), line("know"), line("do")])[0].counts == "2 to do, 1 to know"


def test_numbers_of_things_in_words():
    said = [counted(n, "{n} pan", "{n} pans") for n in (0, 1, 2)]
    assert said == ["none yet", "1 pan", "2 pans"]


def test_a_trip_that_is_over_fetches_each_thing_once(keeper, party):
    trip = full_trip(party)
    address = reverse("trips:trip_detail", args=[trip.pk])
    keeper.get(address)
    with CaptureQueriesContext(
        connection,
    ) as caught:
        keeper.get(address)
    assert len(caught) <= 25


def rule_line(outcome, text, rule="Whoever digs needs a licence.", answers=()):
    return CheckLine(outcome, text, "w", "s", "c", 1, rule_text=rule, answers=answers)


@pytest.mark.parametrize(
    ("text", "head", "rest"),
    [
        ("Is it a claim? The answer decides on this rule: R.", "Is it a claim?", "R."),
        ("Look out at the creek: Any eggs? The rule: R.", "Look out at the creek: Any eggs?", "R."),
        ("Keep at least 10 m from the path: R.", "Keep at least 10 m from the path:", "R."),
        ("Not as planned: R.", "Not as planned: R.", ""),
        ("R.", "R.", ""),
        ("A line of the party's own.", "A line of the party's own.", ""),
    ],
)
def test_a_line_leads_with_what_to_do_and_keeps_the_rule_s_words(text, head, rest):
    line = rule_line("ask", text, "R.")
    assert (line.head, line.rest) == (head, rest)


def test_a_question_on_which_several_rules_hang_is_asked_once():
    ask = "Whose is it? The answer decides on this rule: {}"
    answer = (Answerable("site:land", "Whose is it?", entry="site"),)
    lines = [
        rule_line("ask", ask.format("A."), "A.", answer),
        rule_line("ask", "Another? The answer decides on this rule: B.", "B."),
        rule_line("ask", ask.format("C."), "C.", answer),
        rule_line("do", "Ask the owner. D.", "D."),
        rule_line("do", "Ask the owner. E.", "E."),
        rule_line("stop", ask.format("F."), "F.", answer),
        rule_line("know", ask.format("G."), "G."),
    ]
    (group,) = by_phase(lines)
    told = [[line.rest for line in bundle.lines] for bundle in group.urgent]
    assert told == [["F."], ["D."], ["E."], ["A.", "C."], ["B."]]
    assert [each.is_one for each in group.urgent] == [True, True, True, False, True]


def test_what_is_noted_with_the_site_leads_there(keeper, party):
    site = make.make_site(party, rule_packs=["au-vic"])
    trip = make.make_trip(party, site, starts_on=dt.date(2099, 5, 14), ends_on=dt.date(2099, 5, 14))
    page = keeper.get(reverse("trips:trip_detail", args=[trip.pk])).content.decode()
    assert reverse("claims:site_rules_edit", args=[site.pk]) in page
