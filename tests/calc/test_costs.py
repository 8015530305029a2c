from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trips.calc.costs import Leg, PaidLine, drive_fuel_ml, fuel_cost_minor, trip_cost
from trips.calc.errors import OutOfRange
from trips.calc.wear import GearUse

DRIVE = (
    Leg("sealed, out and back", 120_000, 8_000),
    Leg("unsealed, out and back", 40_000, 10_000, towing_pct=30),
)
PUMP = GearUse("pump", 40_000, 4_000, 60_000, 300)


def cost(**changes):
    facts = {
        "currency": "EUR",
        "legs": DRIVE,
        "engine_fuel_ml": 1500,
        "fuel_price_milli_per_l": 1850,
        "paid": [],
        "vehicle_wear_milli_per_km": 120,
        "gear": [PUMP],
    }
    return trip_cost(**facts | changes)


def by_label(got):
    return {line.label: line.amount_minor for line in got.lines}


def test_drive_fuel_adds_legs_by_road_and_towing():
    # 120 km at 8 L + 40 km at 10 L and 30 % more = 9.6 + 5.2 L
    assert drive_fuel_ml(DRIVE) == 14_800
    assert drive_fuel_ml(()) == 0
    assert drive_fuel_ml([Leg("track", 1000, None)]) is None
    assert drive_fuel_ml([Leg("no drive", 0, None)]) == 0


def test_fuel_cost_is_rounded_once_in_the_currency_s_own_minor_unit():
    assert fuel_cost_minor(14_800, 1850, "EUR") == 2738
    assert fuel_cost_minor(Fraction(14_800), 180_500, "JPY") == 2671
    assert fuel_cost_minor(1000, 500, "KWD") == 500


def test_a_trip_in_its_three_layers():
    got = cost(paid=[PaidLine("food", "bread", 900, "EUR"), PaidLine("fee", "day fee", 500, "EUR")])
    assert got.fuel_minor == 2738 + 278
    assert got.outlay_minor == got.fuel_minor + 1400
    # 160 km at 0.120 = 19.20; pump (400 - 40)/1000 h x 5 h = 1.80
    assert got.wear_minor == 1920 + 180
    assert got.unknown == ()
    assert all(got.is_known(layer) for layer in ("fuel", "outlay", "wear"))
    assert [line.kind for line in got.lines] == ["fuel", "fuel", "food", "fee", "wear", "wear"]


def test_fuel_receipts_replace_the_estimates_and_say_so():
    got = cost(paid=[PaidLine("fuel", "fill-up", 4000, "EUR")])
    assert got.fuel_minor == 4000
    assert "Fuel for the drive" not in by_label(got)
    assert "replaces the estimate" in got.lines[0].basis
    assert not got.lines[0].estimated


@pytest.mark.parametrize(
    ("changes", "says", "layer"),
    [
        ({"legs": None, "vehicle_wear_milli_per_km": None}, "drive is not recorded", "fuel"),
        ({"legs": (Leg("track", 1000, None),)}, "consumption", "fuel"),
        ({"engine_fuel_ml": None}, "engine is not recorded", "fuel"),
        ({"fuel_price_milli_per_l": None}, "no fuel price", "fuel"),
        ({"paid": [PaidLine("camp", "site", None, "EUR")]}, "site: the amount", "outlay"),
        ({"paid": [PaidLine("camp", "site", 500, "NOK")]}, "paid in NOK", "outlay"),
        ({"vehicle_wear_milli_per_km": None}, "wear per km", "wear"),
        ({"gear": [GearUse("pump", 40_000, 0, None, 300)]}, "life", "wear"),
        ({"gear": [GearUse("pump", None, 0, 1, 300)]}, "price", "wear"),
        ({"gear": [GearUse("pump", 1, 0, 1, None)]}, "time it ran", "wear"),
    ],
)
def test_what_is_not_known_stays_unknown_with_its_reason(changes, says, layer):
    got = cost(**changes)
    assert any(says in reason for reason in got.unknown)
    known = {each: got.is_known(each) for each in ("fuel", "outlay", "wear")}
    assert not known[layer]
    assert known["fuel"] == (layer != "fuel")
    assert known["outlay"] == (layer == "wear")


def test_a_walk_from_home_without_engine_has_no_fuel_and_no_unknown():
    got = cost(legs=(), engine_fuel_ml=0, fuel_price_milli_per_l=None, gear=[])
    assert (got.lines, got.unknown, got.outlay_minor) == ((), (), 0)


def test_gear_that_was_not_used_costs_nothing_and_says_that_time_ages_it():
    got = cost(legs=(), engine_fuel_ml=0, gear=[GearUse("pump", None, 0, None, 0)])
    assert got.wear_minor == 0
    assert "time ages it" in got.lines[0].basis


@pytest.mark.parametrize(
    "changes",
    [
        {"legs": (Leg("back", -1, 8000),)},
        {"legs": (Leg("back", 1, 8000, towing_pct=-1),)},
        {"engine_fuel_ml": -1},
        {"fuel_price_milli_per_l": -1},
        {"vehicle_wear_milli_per_km": -1},
    ],
)
def test_negative_facts_are_refused(changes):
    with pytest.raises(OutOfRange):
        cost(**changes)


KINDS = st.sampled_from(["fuel", "consumables", "fee", "food", "camp", "gear_hire", "other"])
LINES = st.lists(
    st.builds(PaidLine, KINDS, st.just("x"), st.none() | st.integers(0, 10**6), st.just("EUR")),
    max_size=8,
)


@given(LINES)
def test_lines_sum_to_the_layers_in_any_order(paid):
    got, turned = cost(paid=paid), cost(paid=paid[::-1])
    figures = (got.fuel_minor, got.outlay_minor, got.wear_minor)
    assert figures == (turned.fuel_minor, turned.outlay_minor, turned.wear_minor)
    total = sum(line.amount_minor or 0 for line in got.lines)
    assert got.outlay_minor + got.wear_minor == total
    assert got.fuel_minor <= got.outlay_minor
    assert bool(got.unknown) == any(line.amount_minor is None for line in got.lines)
