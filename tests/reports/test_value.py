"""Valuing trips: which price counts, and what stays unknown."""

import dataclasses
import datetime as dt
from decimal import Decimal

from reports.figures.facts import OwnPriced
from reports.figures.value import price_words, value_trips
from tests.reports.made import PRICE, party, trip
from trips.calc.gold import Unknown

LATER = dt.date(2031, 9, 1)
DEARER = dataclasses.replace(PRICE, day=dt.date(2031, 8, 1), amount=Decimal(120))


def value(trips, prices=(PRICE, DEARER), basis="trip", **its):
    return value_trips(trips, party(**its), prices, as_of=LATER, basis=basis)


def test_half_a_gram_at_a_hundred_a_gram_is_worth_fifty():
    [each] = value([trip()])
    assert each.value_minor == 5_000
    assert each.net_minor == 3_000


def test_the_day_shown_takes_its_own_price():
    [each] = value([trip()], basis="today")
    assert each.value_minor == 6_000
    assert each.price == DEARER


def test_a_buyer_who_pays_ninety_per_cent_lowers_the_value():
    assert value([trip()], payable_ppt=900)[0].value_minor == 4_500


def test_the_price_of_a_long_trip_is_that_of_its_last_day():
    long = trip(starts_on=dt.date(2031, 7, 30), ends_on=dt.date(2031, 8, 1))
    assert value([long])[0].value_minor == 6_000
    short = trip(starts_on=dt.date(2031, 7, 30), ends_on=dt.date(2031, 7, 31))
    assert value([short])[0].value_minor == 5_000


def test_without_a_price_by_that_day_the_value_is_unknown_with_the_reason():
    [each] = value([trip()], prices=[DEARER])
    assert each.value_minor is None
    assert each.net_minor is None
    assert "on or before 2031-05-03" in each.net_reason


def test_gold_that_was_not_weighed_is_unknown_with_the_trips_own_reason():
    [each] = value([trip(fine_ug=None, mass_ug=None, unknown=("Nothing has been weighed.",))])
    assert each.net_minor is None
    assert each.net_reason == "Nothing has been weighed."


def test_no_gold_at_all_is_worth_nothing_even_without_a_price():
    [each] = value([trip(fine_ug=0, mass_ug=0)], prices=[])
    assert each.value_minor == 0
    assert each.net_minor == -2_000


def test_an_unknown_outlay_leaves_the_net_unknown_but_not_the_value():
    [each] = value([trip(outlay_minor=None, unknown=("No fuel price is known.",))])
    assert each.value_minor == 5_000
    assert each.net_minor is None
    assert each.net_reason == "No fuel price is known."


def test_a_price_in_another_currency_is_not_taken():
    other = dataclasses.replace(PRICE, currency="USD")
    [each] = value([trip()], prices=[other])
    assert each.value_minor is None
    assert "USD" in each.net_reason


def test_price_words_name_amount_day_and_source():
    assert price_words(PRICE) == "100 EUR per gram of 1 Jan 2031 (made up for tests)"
    assert price_words(Unknown("No gold price has been entered yet.")).startswith("No gold price")


def test_a_specimen_counts_at_its_own_price_on_any_day():
    """Half a gram pure in all, a tenth of it in a lot priced at 30.00: 0.4 × 100 + 30."""
    with_specimen = trip(own=OwnPriced(3_000, 100_000))
    assert value([with_specimen])[0].value_minor == 7_000
    assert value([with_specimen], basis="today")[0].value_minor == 7_800


def test_a_specimen_alone_needs_no_price_of_the_metal():
    [each] = value([trip(own=OwnPriced(3_000, 500_000))], prices=())
    assert each.value_minor == 3_000


def test_own_prices_in_another_currency_leave_the_value_unknown():
    reason = "A lot's own price is in USD, the record is in EUR."
    [each] = value([trip(own=OwnPriced(None, 100_000, reason))])
    assert each.value_minor is None
    assert each.net_reason == reason
