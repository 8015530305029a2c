"""When to leave, on the day and looking back, from the record."""

import datetime as dt

import pytest
from django.urls import reverse

from reports.decide import leave_advice
from reports.decide.creek import NO_COST
from reports.pages import leave
from tests import factories as f
from tests.reports.asking import page, queries, words
from tests.reports.creek_made import PLAN_DAY, planned_trip
from trips.models import Run
from trips.services.derive import rebuild_party, rebuild_trip

pytestmark = pytest.mark.django_db
ON_THE_DAY = f"as_of={PLAN_DAY}"
AFTER = "as_of=2031-12-31"


def ask(name, trip, query=ON_THE_DAY):
    return reverse(f"reports:{name}", args=[trip.pk]) + f"?{query}"


def dug(party, fine, state="under_way", minutes=60, **overrides):
    """A trip with one clean-up for each number of fine colours."""
    trip = planned_trip(party, state=state, **overrides)
    spot = trip.trip_sites.order_by("rank").first().site.spots.get(name="Spot 1")
    box = trip.gear.get()
    for number in fine:
        f.make_run(trip, spot, gear=box, coarse=0, medium=0, fine=number, minutes=minutes)
    if state == "wrapped_up":
        trip.trip_sites.filter(rank=0).update(was_visited=True)
    rebuild_trip(trip.pk)
    return trip


def test_a_falling_hole_has_its_steps_its_line_and_its_advice(keeper, party):
    trip = dug(party, (400, 100, 150, 20))
    shown = page(keeper, ask("leave_page", trip))
    [hole] = shown.holes
    rates = [step.fitted for step in hole.now.steps]
    assert rates == sorted(rates, reverse=True)
    assert sum(s.fitted * s.hours for s in hole.now.steps) == pytest.approx(
        sum(row.gain for row in hole.rows)
    )
    assert len(hole.advice) == 4
    assert hole.figure is not None
    assert [row.after for row in hole.printed] == [1, 2, 3, 4]
    assert hole.now.line is not None
    assert "not weighed yet" in " ".join(hole.details)
    assert shown.season.rate_ug_per_h > 0


def test_weighed_clean_ups_use_their_share(keeper, party):
    trip = dug(party, (40, 10))
    f.make_weigh_in(trip, runs=list(trip.runs.all()))
    rebuild_trip(trip.pk)
    [hole] = page(keeper, ask("leave_page", trip)).holes
    assert sum(row.gain for row in hole.rows) == 1_000_000
    assert "not weighed" not in " ".join(hole.details)


def test_clean_ups_that_say_nothing_are_named(keeper, party):
    trip = dug(party, (40,))
    spot = trip.runs.get().spot
    f.make_run(trip, spot, coarse=None, medium=None, fine=None)
    f.make_run(trip, spot, coarse=None, medium=0, fine=3)
    shown = " ".join(page(keeper, ask("leave_page", trip)).holes[0].details)
    assert "1 clean-up left out: neither weighed nor counted" in shown
    assert "Some classes of colours were not counted" in shown


@pytest.mark.parametrize(
    ("fine", "minutes", "sentence"),
    [
        ((30,), 60, leave_advice.ONE),
        ((30, 0), 60, leave_advice.NOTHING),
        ((30, 20), None, leave_advice.NO_RATE),
        ((30, 20), 240, leave_advice.NO_TIME),
    ],
)
def test_thin_data_have_their_sentences(keeper, party, fine, minutes, sentence):
    trip = dug(party, fine, minutes=minutes)
    assert sentence in words(keeper.get(ask("leave_page", trip)))


def test_no_price_compares_gold_alone_and_says_so(keeper, party):
    trip = dug(party, (30, 20))
    party.prices.all().delete()
    shown = words(keeper.get(ask("leave_page", trip)))
    assert "gold alone is compared" in shown


def test_what_isnt_known_of_gear_plan_and_cost_is_said(keeper, party):
    trip = dug(party, (30, 20), planned_work_minutes=None)
    trip.gear.update(fuel_ml_per_h=None)
    [hole] = page(keeper, ask("leave_page", trip)).holes
    assert leave.NOT_PLANNED.format(hours=5) in hole.details
    assert NO_COST in hole.details
    assert hole.there is not None
    party.trips.filter(state="wrapped_up").delete()
    trip.gear.clear()
    party.gear.update(feed_ml_per_h=None)
    rebuild_party(party)
    [hole] = page(keeper, ask("leave_page", trip)).holes
    assert hole.there is None
    assert leave.NO_LITRES in hole.details
    assert leave_advice.NOWHERE not in hole.details, "there are other places; they have no figure"


def test_a_time_to_leave_by_is_reckoned_back_from_the_time_to_be_home(keeper, party):
    back = dt.datetime(2031, 8, 2, 19, 0, tzinfo=dt.UTC)
    trip = dug(party, (900,), back_by=back)
    [hole] = page(keeper, ask("leave_page", trip)).holes
    assert hole.now.action == "stay"
    said = next(each for each in hole.details if each.startswith("Leave this hole by"))
    # 45 minutes home; staying to the end of the planned hours.
    assert hole.now.day.stay_hours == pytest.approx(hole.now.hours_left)
    assert "by 18:15" in said


@pytest.mark.parametrize(
    ("back_by", "site", "said"),
    [
        (None, {}, "When to be back isn't noted in the plan"),
        (None, {}, "The way home from Reach 1 takes 45\u202fmin"),
        (
            19,
            {"drive_minutes": None},
            "by 18:50 to be back when you said, and earlier by the drive",
        ),
        (19, {"walk_minutes": None}, "by 18:25 to be back when you said, and earlier by the walk"),
    ],
)
def test_what_is_missing_for_a_time_to_leave_by_is_said(keeper, party, back_by, site, said):
    back = back_by and dt.datetime(2031, 8, 2, back_by, 0, tzinfo=dt.UTC)
    trip = dug(party, (900,), back_by=back)
    party.sites.update(**{"drive_minutes": 35} | site)
    [hole] = page(keeper, ask("leave_page", trip)).holes
    assert said in " ".join(hole.details)


def test_on_a_trip_of_days_the_time_to_leave_by_names_the_day(keeper, party):
    back = dt.datetime(2031, 8, 3, 19, 0, tzinfo=dt.UTC)
    trip = dug(party, (900,), back_by=back, ends_on=dt.date(2031, 8, 3))
    [hole] = page(keeper, ask("leave_page", trip)).holes
    assert any("by 3 Aug 2031, 18:15" in said for said in hole.details)


def test_no_run_yet_says_what_it_would_show(keeper, party):
    trip = planned_trip(party, state="under_way")
    assert "No clean-up yet" in words(keeper.get(ask("leave_page", trip)))


def test_looking_back_weighs_what_staying_brought(keeper, party):
    trip = dug(party, (400, 4, 3, 2), state="wrapped_up")
    spot = trip.runs.first().spot
    for fine in (0, 0, 1):
        f.make_pan(trip, spot, medium=0, fine=fine)
    shown = page(keeper, ask("hindsight", trip, AFTER))
    assert shown.is_over
    [back] = shown.holes
    assert back.staying is not None
    assert back.staying.hours < 4
    assert "the same rules would have said: leave for" in back.finding
    low, high = back.range_words.split(", ")
    assert " to " in low
    assert "EUR" in high
    [pans] = shown.spots
    assert [step.pans for step in pans.steps] == [1, 2, 3]
    assert "4 box runs followed here" in pans.finding
    text = words(keeper.get(ask("hindsight", trip, AFTER))).lower()
    assert "isn&#x27;t a mistake" in text or "isn't a mistake" in text
    for harsh in ("should have", "wrong decision", "failed", "wasted"):
        assert harsh not in text


@pytest.mark.parametrize(
    ("fine", "minutes", "said"),
    [
        ((900, 900), 170, "after the last one 20\u202fmin of the planned time were left"),
        ((900, 900), 180, "said stay until the planned time was over, and so it was done"),
        ((900, 800, 700), 200, "With clean-up 2 the planned time was over"),
        ((900, 2), 60, "Nobody stayed past the point"),
    ],
)
def test_a_day_by_the_rules_or_past_its_hours_is_told_as_it_was(keeper, party, fine, minutes, said):
    """Six hours are planned; nothing is said of leaving early or late that didn't happen."""
    trip = dug(party, fine, state="wrapped_up", minutes=minutes)
    [back] = page(keeper, ask("hindsight", trip, AFTER)).holes
    assert back.staying is None
    assert said in back.finding


def test_gold_after_a_leave_without_hours_cannot_be_held_against_going(keeper, party):
    trip = dug(party, (400, 2), state="wrapped_up")
    f.make_run(trip, trip.runs.first().spot, fine=5, minutes=None)
    [back] = page(keeper, ask("hindsight", trip, AFTER)).holes
    assert back.staying is None
    assert "no hours noted, so it can't be held against going" in back.finding


def test_looking_back_without_a_price_gives_gold_only(keeper, party):
    trip = dug(party, (400, 4, 3, 2), state="wrapped_up")
    party.prices.all().delete()
    [back] = page(keeper, ask("hindsight", trip, AFTER)).holes
    assert "in money unknown" in back.range_words


def test_a_day_that_is_not_over_is_not_judged(keeper, party):
    trip = dug(party, (30,))
    assert "The day isn" in words(keeper.get(ask("hindsight", trip)))
    assert page(keeper, ask("hindsight", trip)).holes == ()


def test_a_day_without_pans_or_runs_has_nothing_to_look_back_on(keeper, party):
    trip = planned_trip(party, state="wrapped_up")
    assert "Nothing to look back on" in words(keeper.get(ask("hindsight", trip, AFTER)))


def test_looking_back_uses_the_belief_of_the_day_before(keeper, party):
    trip = dug(party, (400, 4, 3, 2), state="wrapped_up")
    before = page(keeper, ask("hindsight", trip, AFTER)).holes[0].finding
    later = f.make_trip(
        party, trip.trip_sites.first().site, starts_on=dt.date(2031, 9, 6), state="wrapped_up"
    )
    for _ in range(5):
        f.make_pan(later, trip.runs.first().spot, fine=60)
    assert page(keeper, ask("hindsight", trip, AFTER)).holes[0].finding == before


def test_queries_do_not_grow_with_runs_and_pans(keeper, party):
    trip = dug(party, (40, 10), state="wrapped_up")
    addresses = [ask("leave_page", trip, AFTER), ask("hindsight", trip, AFTER)]
    for each in addresses:
        keeper.get(each)
    before = [queries(keeper, each) for each in addresses]
    site = trip.trip_sites.first().site
    for _ in range(4):
        spot = f.make_spot(site)
        f.make_pan(trip, spot)
        f.make_run(trip, spot)
    assert Run.objects.filter(trip=trip).count() == 6
    for each in addresses:
        keeper.get(each)
    assert [queries(keeper, each) for each in addresses] == before
    assert max(before) <= 12
