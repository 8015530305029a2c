"""Where next in figures and words: the day at a site, what moves it, how firm, the fuel."""

import dataclasses
import datetime as dt

import pytest

from reports.decide.belief import Seen, Shares
from reports.decide.gammas import GammaMix
from reports.decide.ranking import rank
from reports.figures.outlook import (
    Effect,
    Gold,
    Place,
    common_log_sd,
    effects,
    first_at_price,
    habits,
    outlook,
    turning,
)
from reports.figures.ranking import (
    Thirst,
    Way,
    effect_words,
    evidence_words,
    fuel_there_and_back,
    how_firm,
    pct,
    share_words,
    toss_up,
    turning_words,
)
from tests.reports import made
from trips.calc.gold import Unknown

CAR = Thirst("Van", 8_000, 10_000, None)
GOLD = Gold(80.0, 0.8, 1.2, 0.75, 0.4, "EUR")
NONE = habits((), {})


def place(site_id=1, **overrides):
    values = {
        "name": "ABCDEFG"[site_id - 1],
        "stopped": False,
        "drive_minutes": 45,
        "walk_minutes": 15,
        "light_minutes": 840,
        "fuel_minor": 1_000,
        "fuel_reason": "",
        "rate": GammaMix((1.0,), (6.0,), (20.0,)),
        "raw_rate": None,
    }
    return Place(site_id=site_id, **values | overrides)


def names(*looks):
    return {look.place.site_id: look.place.name for look in looks}


def ranked(*looks, per="hour"):
    return rank([look.outing for look in looks if look.outing], GOLD.log_sd, per)


def test_a_day_without_any_trip_on_record_is_assumed_and_says_so():
    look = outlook(place(), NONE, GOLD)
    # 5 h × 60 L × 0.8 mg × 0.75 × 80 a gram = 14.40 for each colour per litre.
    assert look.outing.gain == pytest.approx(14.4)
    assert (look.outing.cost, look.outing.hours) == (10.0, 7.0)
    assert all("assumed" in words or "no trip" in words for words in NONE.words)


def test_own_trips_say_how_long_and_how_much():
    trips = [made.trip(n, door_minutes=600, washed_ml=v) for n, v in ((1, 100_000), (2, 300_000))]
    found = habits(trips, {1: 120})
    # 10 h door to door less 2 h of way; 400 L in 16 h; 8.00 of other outlay each.
    assert (found.usual.creek_hours, found.usual.litres_per_hour) == (8.0, 25.0)
    assert (found.usual.other_minor, found.usual.wear_minor, found.people) == (800, 500, 2.0)
    assert "from 2 trips" in found.words[0]


def test_a_site_keeps_its_own_stay_from_two_trips_on():
    long = {"ends_on": made.DAY + dt.timedelta(days=1), "door_minutes": 1_200}
    far = [made.trip(n, parts=((2, 60, None),), washed_ml=900_000, **long) for n in (1, 2)]
    near = [made.trip(n, parts=((1, 60, None),)) for n in (3, 4, 5)]
    found = habits([*far, *near], {1: 60, 2: 240})
    assert (found.at(2).days, found.at(2).creek_hours) == (2, 16.0)
    assert (found.at(1).days, found.at(1).creek_hours) == (1, 9.0)
    assert found.at(2).litres_per_hour > found.usual.litres_per_hour > found.at(1).litres_per_hour
    assert found.at(99) == found.usual
    alone = habits([far[0], *near], {1: 60, 2: 240})
    assert (alone.at(2).days, alone.at(2).creek_hours) == (1, 9.0)


@pytest.mark.parametrize("minutes", [None, 100])
def test_a_trip_without_hours_or_shorter_than_its_way_says_nothing_of_hours(minutes):
    found = habits([made.trip(1, door_minutes=minutes)], {1: 120})
    assert found.usual.creek_hours == 5.0
    assert "assumed" in found.words[1]


def test_short_light_shortens_the_day_and_lowers_the_net():
    long, short = outlook(place(), NONE, GOLD), outlook(place(light_minutes=210), NONE, GOLD)
    assert (long.creek_hours, short.creek_hours) == (5.0, 3.0)  # 3.5 h less the walk both ways
    assert short.outing.hours == 5.0
    unknown = outlook(place(light_minutes=None), NONE, GOLD)
    assert unknown.creek_hours == 5.0


@pytest.mark.parametrize(
    ("changes", "gold", "standing", "reason"),
    [
        ({"stopped": True}, GOLD, "stopped", "do not go as planned"),
        ({}, Unknown("No gold price has been entered yet."), "unknown", "No gold price"),
        ({"drive_minutes": None}, GOLD, "unknown", "no door-to-door time"),
        ({"fuel_minor": None, "fuel_reason": "No car is entered."}, GOLD, "unknown", "No car"),
        ({"light_minutes": 0}, GOLD, "unknown", "daylight"),
        ({"stopped": True, "fuel_minor": None}, GOLD, "stopped", "do not go"),
    ],
)
def test_a_place_that_cannot_be_ranked_says_why(changes, gold, standing, reason):
    look = outlook(place(**changes), NONE, gold)
    assert (look.standing, look.outing) == (standing, None)
    assert reason in look.reason


def test_asked_hours_make_a_day_trip_of_them():
    look = outlook(place(), NONE, GOLD, 2.5)
    assert (look.creek_hours, look.stay.days) == (2.5, 1)


def test_doubts_add_as_squares_and_grow_with_the_days_ahead():
    assert common_log_sd(psi_log_sd=0.3, mean_cv=0.4, price_days=0) == pytest.approx(0.5)
    assert common_log_sd(psi_log_sd=0, mean_cv=0, price_days=365) == pytest.approx(0.16)
    assert common_log_sd(psi_log_sd=0, mean_cv=0, price_days=-5) == 0


def test_what_moves_a_site_has_the_sign_that_a_person_expects():
    rich = outlook(place(1, rate=GammaMix((1.0,), (30.0,), (20.0,)), raw_rate=2.0), NONE, GOLD)
    far = outlook(place(2, drive_minutes=180, fuel_minor=4_000), NONE, GOLD)
    dark = outlook(place(3, light_minutes=200), NONE, GOLD)
    moved = effects([rich, far, dark], NONE, GOLD, "hour", 0.8)
    by = {site: {each.key: each.amount for each in its} for site, its in moved.items()}
    assert by[1]["gravel"] > 0
    assert by[1]["evidence"] < 0  # its own pans alone would say 2.0, the belief says 1.5
    assert by[2]["drive"] < 0
    assert by[3]["light"] < 0
    assert "light" not in by[1]
    assert all(each["price"] > 0 for each in by.values())  # today is dearer than the year
    amounts = [abs(each.amount) for each in moved[1]]
    assert amounts == sorted(amounts, reverse=True)
    assert effects([], NONE, GOLD, "hour", None) == {}


def test_effects_in_words():
    words = effect_words([Effect("gravel", 1.5), Effect("evidence", -0.25)], "EUR")
    assert words == ("+1.50\u202fEUR by its gravel", "\u22120.25\u202fEUR by thin evidence")
    assert "neighbours" in effect_words([Effect("evidence", 0.25)], "EUR")[0]


def test_the_observation_that_would_turn_the_order():
    first = outlook(place(1, rate=GammaMix((1.0,), (60.0,), (40.0,))), NONE, GOLD)
    sure = outlook(place(2, rate=GammaMix((1.0,), (50.0,), (40.0,))), NONE, GOLD)
    wide = outlook(place(3, rate=GammaMix((1.0,), (1.2,), (1.0,))), NONE, GOLD)
    looks = [first, sure, wide]
    order = ranked(*looks)
    found = turning(looks, order.rows, "hour", pan_l=6.0, dispersion=1.5)
    assert found.site_id == 3
    assert 0.2 < found.turn.chance < 0.5
    words = turning_words(found, names(*looks), 6.0)
    assert "10 test pans (60 L) at C" in words
    assert "or more, it would come first, ahead of A" in words
    assert turning(looks[:1], ranked(first).rows, "hour", pan_l=6.0, dispersion=1.0) is None
    assert turning_words(None, {}, 6.0) == ""


def test_a_first_site_of_thin_evidence_is_the_one_to_look_at():
    thin = outlook(place(1, rate=GammaMix((1.0,), (1.5,), (1.0,))), NONE, GOLD)
    sure = outlook(place(2, rate=GammaMix((1.0,), (560.0,), (400.0,))), NONE, GOLD)
    found = turning([thin, sure], ranked(thin, sure).rows, "hour", pan_l=6.0, dispersion=1.0)
    assert (found.site_id, found.turn.fewer) == (1, True)
    assert "or fewer, B would come first" in turning_words(found, {1: "A", 2: "B"}, 6.0)


def test_another_price_can_put_another_site_first():
    near = outlook(place(1, drive_minutes=20, fuel_minor=100), NONE, GOLD)
    rich = outlook(place(2, fuel_minor=2_500, rate=GammaMix((1.0,), (50.0,), (20.0,))), NONE, GOLD)
    assert first_at_price([near, rich], 0.3, "trip") == 1
    assert first_at_price([near, rich], 3.0, "trip") == 2
    assert first_at_price([], 1.0, "trip") is None


def test_how_firm_it_is():
    first = outlook(place(1, rate=GammaMix((1.0,), (60.0,), (40.0,))), NONE, GOLD)
    wide = outlook(place(2, rate=GammaMix((1.0,), (0.4,), (0.3,))), NONE, GOLD)
    order = ranked(first, wide)
    words = how_firm(order, {1: "A", 2: "B"}, "EUR", "hour")
    assert words.startswith("A promises most")
    assert "EUR an hour door to door" in words
    assert how_firm(ranked(), {}, "EUR", "hour") == ""
    assert "Only A" in how_firm(ranked(first), {1: "A"}, "EUR", "trip")
    assert toss_up(
        ranked(
            first, dataclasses.replace(first, outing=dataclasses.replace(first.outing, site_id=2))
        )
    )
    assert not toss_up(ranked(first))


@pytest.mark.parametrize(
    ("chance", "words"),
    [(0.0, "under 1 %"), (0.004, "under 1 %"), (0.5, "50 %"), (1.0, "over 99 %")],
)
def test_chances_never_claim_to_be_sure(chance, words):
    assert pct(chance) == words


def test_evidence_and_whose_it_is_in_words():
    assert evidence_words(Seen()) == "nothing counted yet"
    told = evidence_words(Seen(2, 1, 7, 112.0, 3, 1))
    assert told == (
        "7 colours in 2 pans and 1 run, 112 L; 1 of them only weighed; "
        "3 left out, without a count or litres"
    )
    assert "1 colour in 1 pan, 5 L" in evidence_words(Seen(1, 0, 1, 5.0))
    assert "borrowed from your other sites: nothing" in share_words(Shares(0, 0, 1))
    assert share_words(Shares(0.5, 0.3, 0.2)) == (
        "50 % from this spot's own samples and 30 % from the rest of this site; 20 % is borrowed "
        "from your other sites."
    )


def test_fuel_for_the_way_there_and_back():
    # 2 × (15 km × 8 L + 4 km × 10 L) / 100 km = 3.2 L at 1.80 a litre.
    minor, basis = fuel_there_and_back(Way(15_000, 4_000, None), CAR, 1_800, "EUR")
    assert minor == 576
    assert "3.2 L with Van" in basis


@pytest.mark.parametrize(
    ("way", "car", "price", "reason"),
    [
        (Way(1_000, None, None), None, 1_800, "No car"),
        (Way(None, None, None), CAR, 1_800, "way there is not recorded"),
        (Way(1_000, None, 500), CAR, 1_800, "fuel use on one of the roads"),
        (Way(1_000, None, None), CAR, None, "No fuel price"),
    ],
)
def test_fuel_that_cannot_be_worked_out_says_why(way, car, price, reason):
    found = fuel_there_and_back(way, car, price, "EUR")
    assert isinstance(found, Unknown)
    assert reason in found.reason
