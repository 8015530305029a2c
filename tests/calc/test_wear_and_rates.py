"""Published examples of wear, distance rates and pump fuel."""

from datetime import date
from decimal import Decimal as D

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trips.calc import engines
from trips.calc.errors import OutOfRange
from trips.calc.gold import Unknown
from trips.calc.kmrates import RateTable, Tier, distance_charge, table_on
from trips.calc.units import MI_KM
from trips.calc.wear import units_of_production, vehicle_wear_minor


@pytest.mark.parametrize(
    ("cost", "residual", "life", "used", "charge"),
    [
        pytest.param(
            40_000, 5_000, 200_000, 30_000, 5_250,
            marks=pytest.mark.outside("edlintics, units of production, truck (seen)"),
        ),
        pytest.param(
            101_000, 1_000, 1_000_000, 100_000, 10_000,
            marks=pytest.mark.outside("opentuition, units of production, machine (seen)"),
        ),
        pytest.param(
            10_000, 1_000, 150_000, 18_000, 1_080,
            marks=pytest.mark.outside("icdifference, units of production, year 1 (seen)"),
        ),
        pytest.param(
            10_000, 1_000, 150_000, 13_000, 780,
            marks=pytest.mark.outside("icdifference, units of production, year 2 (seen)"),
        ),
    ],
)  # fmt: skip
def test_units_of_production(cost, residual, life, used, charge):
    assert units_of_production(cost, residual, life, used) == charge


@pytest.mark.outside("icdifference: book value 8,920 (seen); 8,140 computed")
def test_book_value_after_two_years():
    first, second = (units_of_production(10_000, 1_000, 150_000, n) for n in (18_000, 13_000))
    assert 10_000 - first == 8_920
    assert 10_000 - first - second == 8_140


@pytest.mark.parametrize("wrong", [(1, 0, 0, 1), (1, 2, 5, 1), (1, -1, 5, 1), (1, 0, 5, -1)])
def test_wear_that_means_nothing_is_refused(wrong):
    with pytest.raises(OutOfRange):
        units_of_production(*wrong)


def test_vehicle_wear_in_minor_units():
    assert vehicle_wear_minor(160_000, 120, "EUR") == 1920
    assert vehicle_wear_minor(1_500, 33_000, "JPY") == 50  # 49.5, half to even


def tiers(*rows):
    return tuple(Tier(None if limit is None else D(limit), D(rate)) for limit, rate in rows)


NZ_PETROL = tiers((14_000, "1.17"), (None, "0.37"))
RATES = [
    (NZ_PETROL, 16_000, "17120.00", "Inland Revenue NZ 2024-25, petrol, restated (seen 2nd)"),
    (
        tiers((14_000, "1.26"), (None, "0.35")),
        16_000,
        "18340.00",
        "Inland Revenue NZ 2024-25, diesel, restated (seen 2nd)",
    ),
    (tiers((None, "0.37")), 16_000, "5920.00", "Inland Revenue NZ, running cost only (seen 2nd)"),
    (
        tiers((5_000, "0.88")),
        4_200,
        "3696.00",
        "Australian Taxation Office, Cents per Kilometre rate 2024 (seen)",
    ),
    (
        tiers((5_000, "0.88")),
        9_000,
        "4400.00",
        "Australian Taxation Office, cap of 5,000 km (seen 2nd)",
    ),
    (
        tiers((10_000, "0.45"), (None, "0.25")),
        16_000,
        "6000.00",
        "HMRC approved rates, Diocese of Canterbury page, miles (seen 2nd)",
    ),
    (
        tiers((5_000, "0.70"), (None, "0.64")),
        6_500,
        "4460.00",
        "CRA 2024, aggregator pages (seen 2nd)",
    ),
]


@pytest.mark.parametrize(
    ("table", "distance", "charge"),
    [pytest.param(*row[:3], marks=pytest.mark.outside(row[3]), id=row[3]) for row in RATES],
)
def test_published_distance_rates(table, distance, charge):
    assert distance_charge(table, D(distance)) == D(charge)


@pytest.mark.outside("USA 2023: 65.5 c a mile, of it 28 c depreciation; CPA and table (seen 2nd)")
def test_a_rate_per_mile_without_its_depreciation_per_km():
    mile = distance_charge(tiers((None, "65.5")), D(1)) - distance_charge(
        tiers((None, "28.0")), D(1)
    )
    assert mile == D("37.5")
    assert round(mile / MI_KM, 1) == D("23.3")
    assert round(D("65.5") / MI_KM, 1) == D("40.7")


@given(st.integers(0, 30_000), st.integers(0, 30_000))
def test_two_trips_cost_what_one_long_one_does(one, other):
    together = distance_charge(NZ_PETROL, D(one + other))
    apart = distance_charge(NZ_PETROL, D(one)) + distance_charge(NZ_PETROL, D(other), D(one))
    assert apart == together


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: distance_charge(NZ_PETROL, D(-1)),
        lambda: distance_charge(tiers((None, 1), (5, 1)), D(1)),
        lambda: distance_charge(tiers((5, 1), (5, 1)), D(1)),
    ],
)
def test_rate_tables_out_of_order_are_refused(wrong):
    with pytest.raises(OutOfRange):
        wrong()


def test_the_table_of_a_day_and_never_of_the_nearest_year():
    table = RateTable("car", date(2030, 7, 1), date(2031, 6, 30), "km", "NZD", NZ_PETROL, "own")
    assert table_on([table], "car", date(2030, 7, 1)) == table
    assert table_on([table], "car", date(2031, 6, 30)) == table
    for day in (date(2030, 6, 30), date(2031, 7, 1)):
        found = table_on([table], "car", day)
        assert isinstance(found, Unknown)
        assert "2030-07-01" in found.reason
    assert isinstance(table_on([table], "bus", date(2031, 1, 1)), Unknown)


@pytest.mark.outside(
    "Iowa State Extension, Estimating Farm Machinery Costs, p. 6: 0.060 gal (seen)"
)
@pytest.mark.parametrize(
    ("power_hp", "litres"), [("2.5", "0.57"), ("5.5", "1.25"), ("6.5", "1.48")]
)
def test_pump_fuel_at_part_load(power_hp, litres):
    assert round(engines.average_l_per_h(D(power_hp)), 2) == D(litres)
    assert engines.engine_fuel_ml(D(power_hp), 60) == round(
        engines.average_l_per_h(D(power_hp)) * 1000
    )


@pytest.mark.outside("Outboard rule 0.40-0.45 lb per hp and hour, trade page (seen)")
@pytest.mark.parametrize(
    ("power_hp", "low", "high"), [("5.5", "1.34", "1.51"), ("6.5", "1.59", "1.79")]
)
def test_pump_fuel_at_full_throttle(power_hp, low, high):
    got = engines.full_load_l_per_h(D(power_hp))
    assert [round(each, 2) for each in got] == [D(low), D(high)]


def test_an_engine_without_power_or_with_time_below_zero_is_refused():
    with pytest.raises(OutOfRange):
        engines.average_l_per_h(D(0))
    with pytest.raises(OutOfRange):
        engines.engine_fuel_ml(D(5), -1)
