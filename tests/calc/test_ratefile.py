"""The file of published distance rates, and charges over tiers and years."""

import copy
import tomllib
from datetime import date
from decimal import Decimal as D

import pytest

from trips.calc.kmrates import Driven, RateTable, Tier, charge
from trips.calc.ratefile import RateFileError, rate_tables
from trips.selectors.rates import FILE

CONTENT = tomllib.loads(FILE.read_text(encoding="utf-8"))
TABLES = rate_tables(CONTENT)


def table(name, day):
    [found] = [t for t in TABLES if t.name == name and t.first_day <= day <= t.last_day]
    return found


@pytest.mark.outside(
    "Published rate tables, as each entry's source says (seen, second-hand, memory)"
)
@pytest.mark.parametrize(
    ("name", "day", "rate"),
    [
        ("Australia, car", date(2025, 7, 1), "0.88"),
        ("Australia, car", date(2024, 6, 30), "0.85"),
        ("USA, business", date(2022, 6, 30), "0.585"),
        ("USA, business", date(2022, 7, 1), "0.625"),
        ("USA, business", date(2023, 1, 1), "0.655"),
        ("New Zealand, diesel", date(2024, 4, 1), "1.26"),
        ("Canada, car", date(2024, 12, 31), "0.70"),
    ],
)
def test_rates_on_both_sides_of_their_days(name, day, rate):
    assert table(name, day).tiers[0].rate == D(rate)


def test_every_rate_names_how_it_is_known():
    assert all("seen" in t.source or "memory" in t.source for t in TABLES)


@pytest.mark.parametrize(
    ("changes", "part"),
    [
        ({"colour": "red"}, "colour is unknown"),
        ({"unit": "league"}, "km or mi"),
        ({"currency": "euro"}, "three capital letters"),
        ({"last_day": date(2000, 1, 1)}, "in order"),
        ({"tiers": [{"rate": "x"}]}, "are numbers"),
        ({"tiers": [{"rate": "1"}, {"rate": "2"}]}, "must rise"),
        ({"tiers": [{"rate": "-1"}]}, "below zero"),
        ({"tiers": [{"upto": "5"}]}, "has a rate"),
        ({"year_starts": "April"}, "such as 04-06"),
        ({"first_day": date(2023, 1, 1)}, "two rates hold"),
    ],
)
def test_a_wrong_entry_is_named(changes, part):
    content = copy.deepcopy(CONTENT)
    content["rate"][0] |= changes
    if part == "two rates hold":
        content["rate"][0]["last_day"] = date(2024, 1, 1)
    with pytest.raises(RateFileError, match=part):
        rate_tables(content)


def test_a_missing_key_is_named():
    content = copy.deepcopy(CONTENT)
    del content["rate"][3]["source"]
    with pytest.raises(RateFileError, match=r"Rate 4 .*source"):
        rate_tables(content)


def day_table(first, last, rates, year_starts=""):
    return RateTable("car", first, last, "km", "EUR", rates, "own", year_starts)


TWO = (Tier(D(100), D("0.5")), Tier(None, D("0.2")))


def test_a_tier_fills_over_the_trips_of_a_year_and_begins_anew():
    tables = [day_table(date(2030, 4, 1), date(2032, 3, 31), TWO)]
    driven = [
        Driven(date(2031, 3, 30), 80_000),
        Driven(date(2031, 3, 31), 40_000),
        Driven(date(2031, 4, 1), 40_000),
    ]
    assert charge(tables, "car", driven).amount == D("50") + D("4") + D("20")


def test_a_change_in_mid_year_keeps_what_was_driven():
    tables = [
        day_table(date(2031, 1, 1), date(2031, 6, 30), TWO),
        day_table(date(2031, 7, 1), date(2031, 12, 31), TWO, "01-01"),
    ]
    driven = [Driven(date(2031, 6, 30), 90_000), Driven(date(2031, 7, 1), 20_000)]
    assert charge(tables, "car", driven).amount == D("45") + D("5") + D("2")


def test_a_day_without_a_rate_makes_the_charge_unknown():
    tables = [day_table(date(2031, 1, 1), date(2031, 6, 30), TWO)]
    found = charge(tables, "car", [Driven(date(2031, 7, 1), 1_000)])
    assert found.amount is None
    assert "2031-07-01" in found.reason
    assert charge(tables, "car", []).amount == 0


def test_two_currencies_are_never_added():
    other = RateTable("car", date(2032, 1, 1), date(2032, 12, 31), "km", "USD", TWO, "own")
    tables = [day_table(date(2031, 1, 1), date(2031, 12, 31), TWO), other]
    driven = [Driven(date(2031, 1, 1), 1_000), Driven(date(2032, 1, 1), 1_000)]
    assert "USD" in charge(tables, "car", driven).reason
