"""Units of mass, volume and distance, there and back."""

from decimal import Decimal as D

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from trips.calc import units
from trips.calc.errors import OutOfRange, UnknownUnit

REGISTRY = pint.UnitRegistry(non_int_type=D)
BASE = {"mass": "microgram", "volume": "milliliter", "distance": "meter", "length": "millimeter"}
NAMES = {
    "g": "gram",
    "mg": "milligram",
    "dwt": "pennyweight",
    "grain": "grain",
    "ozt": "troy_ounce",
    "L": "liter",
    "us_gal": "US_liquid_gallon",
    "imp_gal": "imperial_gallon",
    "m3": "meter**3",
    "yd3": "yard**3",
    "km": "kilometer",
    "mi": "mile",
    "m": "meter",
    "ft": "foot",
    "cm": "centimeter",
    "mm": "millimeter",
    "in": "inch",
}
EVERY = [each for table in units.UNITS.values() for each in table.values()]
IDS = [f"{each.kind}-{each.code}" for each in EVERY]


@pytest.mark.outside("Independent units library, definitions file (seen)")
@pytest.mark.parametrize("each", EVERY, ids=IDS)
def test_every_factor_is_the_one_of_an_independent_library(each):
    oracle = REGISTRY.Quantity(D(1), NAMES[each.code]).to(BASE[each.kind]).magnitude
    assert abs(oracle / each.factor - 1) < D("1e-20")


@pytest.mark.outside("Independent units library, definitions file (seen)")
def test_horsepower_is_the_one_of_an_independent_library():
    oracle = REGISTRY.Quantity(D(1), "horsepower").to("kilowatt").magnitude
    assert abs(oracle / units.HP_KW - 1) < D("1e-9")
    assert units.kw_from_hp(D(2)) == 2 * units.HP_KW


@pytest.mark.outside("NIST SP 811, App. B.8 (memory); products computed")
def test_troy_and_yard_identities():
    assert 480 * units.GRAIN_UG == units.unit("mass", "ozt").factor == D("31103476.8")
    assert 24 * units.GRAIN_UG == units.unit("mass", "dwt").factor == D("1555173.84")
    assert 20 * units.unit("mass", "dwt").factor == units.unit("mass", "ozt").factor
    assert D("0.9144") ** 3 * 1000 == units.YD3_L


@pytest.mark.outside("Crude ounces: miningnewsnorth, 26 Mar 2006 (seen)")
@pytest.mark.parametrize(
    ("crude_ozt", "grams", "printed_millions"),
    [(70_322, 2_187_259, "2.2"), (76_152, 2_368_592, "2.4")],
)
def test_crude_ounces_in_grams(crude_ozt, grams, printed_millions):
    got_ug = units.to_base(D(crude_ozt), units.unit("mass", "ozt"))
    assert round(D(got_ug) / 1_000_000) == grams
    assert str(round(D(got_ug) / 10**12, 1)) == printed_millions


@pytest.mark.parametrize("each", EVERY, ids=IDS)
@given(base=st.integers(-(10**15), 10**15))
def test_there_and_back_keeps_the_stored_number(each, base):
    assert units.to_base(units.from_base(base, each), each) == base


def test_rounds_half_to_even_once():
    mg = units.unit("mass", "mg")
    assert [units.to_base(D(x), mg) for x in ("0.0005", "0.0015", "0.0025")] == [0, 2, 2]
    assert units.from_base(1234567, units.unit("mass", "g"), 2) == D("1.23")


def test_unknown_unit_is_refused_with_the_known_ones():
    with pytest.raises(UnknownUnit, match=r"stone.*ozt"):
        units.unit("mass", "stone")
    with pytest.raises(UnknownUnit, match="mg_per_yd3"):
        units.convert_grade(D(1), "ppm", "mg_per_l")
    with pytest.raises(OutOfRange):
        units.to_base(D("NaN"), units.unit("mass", "g"))


def test_choices_are_offered_in_order():
    assert units.choices("mass")[0] == ("g", "g")
    assert [code for code, _ in units.choices("volume")] == ["L", "us_gal", "imp_gal", "m3", "yd3"]


def test_grade_per_litre_is_none_without_a_volume():
    assert units.grade_mg_per_l(1500, 3000) == D("0.5")
    assert units.grade_mg_per_l(1500, 0) is None
    assert units.colours_per_l(3, 6000) == D("0.5")
    assert units.colours_per_l(3, 0) is None


def test_grade_units_agree():
    assert units.convert_grade(D("0.5"), "mg_per_l", "g_per_m3") == D("0.5")
    assert units.convert_grade(D("0.5"), "mg_per_l", "mg_per_m3") == D(500)
    back = units.convert_grade(D("0.5"), "mg_per_l", "mg_per_yd3")
    assert back == D("382.277428992")
    assert round(units.convert_grade(back, "mg_per_yd3", "mg_per_l"), 20) == D("0.5")


@pytest.mark.outside("Miners' karat table, a buyer's page (seen)")
@pytest.mark.parametrize(
    ("karat", "fine"), [(24, 1000), (22, 916), (18, 750), (14, 583), (10, 416)]
)
def test_karat_table(karat, fine):
    assert units.fineness_from_karat(D(karat)) == fine


@pytest.mark.parametrize("karat", ["0", "-1", "24.1"])
def test_karat_outside_the_scale_is_refused(karat):
    with pytest.raises(OutOfRange):
        units.fineness_from_karat(D(karat))


def test_a_small_fineness_looks_like_karat():
    assert units.looks_like_karat(22)
    assert units.looks_like_karat(D(24))
    assert not units.looks_like_karat(25)
    assert not units.looks_like_karat(0)


@pytest.mark.outside("Fuel identity from the gallon and the mile: 235.215 and 282.481 (memory)")
@pytest.mark.parametrize(("gallon", "constant"), [("us", "235.215"), ("imp", "282.481")])
def test_fuel_use_both_ways(gallon, constant):
    assert round(units.swap_l_per_100km_mpg(D(1), gallon), 3) == D(constant)
    there = units.swap_l_per_100km_mpg(D("8.4"), gallon)
    assert round(units.swap_l_per_100km_mpg(there, gallon), 20) == D("8.4")
    with pytest.raises(OutOfRange):
        units.swap_l_per_100km_mpg(D(0), gallon)
