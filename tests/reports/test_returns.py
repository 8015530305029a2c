"""Return per door-to-door hour: ratio of sums, ranges by number of trips, unknown trips named."""

import dataclasses

import pytest

from reports.figures.returns import at_site, mean_of_ratios_minor, past_share, returns, whole_trips
from reports.figures.value import value_trips
from tests.reports.made import DAY, PRICE, party, trip

# Notes on methods, § 10 "Does it pay", table, row 2 (worked out for this project): net per trip in
# EUR and hours; R = +0.277228 an hour while the mean of the ratios is -0.698990 an hour.
NETS = (-22, 14, -31, 55, 3, -18, 40, -27)
HOURS = (6, 7, 5.5, 9, 6, 4, 8, 5)


def valued(trips):
    return value_trips(trips, party(), [PRICE], as_of=DAY, basis="trip")


def with_net(trip_id: int, net_minor: int, hours: float, **overrides):
    """A trip without outlay below its value: gold worth more than 100.00, outlay the rest."""
    values = {
        "fine_ug": 1_000_000,
        "outlay_minor": 10_000 - net_minor,
        "door_minutes": round(60 * hours),
    }
    return trip(trip_id, **values | overrides)


def eight():
    return [
        with_net(i, 100 * net, hours)
        for i, (net, hours) in enumerate(zip(NETS, HOURS, strict=True))
    ]


def test_ratio_of_sums_and_mean_of_ratios_have_different_signs():
    outings = whole_trips(valued(eight()))
    result = returns(outings, "EUR")
    assert result.net_minor == 1_400
    assert result.minutes == 3_030
    assert result.per_hour_minor == 28  # 0.277228 an hour
    assert mean_of_ratios_minor(outings) == -70  # -0.698990 an hour


def test_eight_trips_have_a_resampled_range_around_the_figure():
    result = returns(whole_trips(valued(eight())), "EUR")
    assert result.method == "bootstrap-t"
    assert result.low_minor < 28 < result.high_minor
    # The 90 % limits are -3.018 and 4.347 (same table, own, ± 0.03): 80 % must lie inside.
    assert result.low_minor > -302
    assert result.high_minor < 435


def test_the_same_trips_in_another_order_give_the_same_range():
    one = returns(whole_trips(valued(eight())), "EUR")
    other = returns(whole_trips(valued(eight()[::-1])), "EUR")
    assert (one.low_minor, one.high_minor) == (other.low_minor, other.high_minor)


@pytest.mark.parametrize(
    ("count", "method"), [(0, "none"), (1, "none"), (2, "none"), (3, "rough"), (7, "rough")]
)
def test_the_kind_of_range_goes_by_the_number_of_trips(count, method):
    result = returns(whole_trips(valued(eight()[:count])), "EUR")
    assert result.method == method
    assert (result.low_minor is None) == (method == "none")
    assert result.note


def test_a_trip_with_an_unknown_net_is_named_and_not_counted_as_zero():
    lost = trip(99, fine_ug=None, mass_ug=None, unknown=("Nothing has been weighed.",))
    result = returns(whole_trips(valued([*eight(), lost])), "EUR")
    assert (result.trips, result.known) == (9, 8)
    assert [(gap.name, gap.reason) for gap in result.gaps] == [
        ("Trip 99", "Nothing has been weighed.")
    ]
    assert result.per_hour_minor == 28
    assert result.minutes == 3_030


def test_a_trip_without_hours_is_named():
    """Beside trips with hours it would skew the return per hour, so it is left out."""
    result = returns(whole_trips(valued([trip(1), trip(2, door_minutes=None)])), "EUR")
    assert result.net_minor == 3_000
    assert [(gap.name, gap.reason) for gap in result.gaps] == [("Trip 2", "No hours are recorded.")]


def test_without_any_hours_the_sums_are_per_trip_only():
    none = [trip(n, door_minutes=None) for n in range(4)]
    result = returns(whole_trips(valued(none)), "EUR")
    assert (result.known, result.net_minor, result.minutes) == (4, 12_000, 0)
    assert result.per_hour_minor is None
    assert result.low_minor is None
    assert result.note == "No hours are recorded: per trip only."


def test_without_any_trip_everything_is_unknown():
    result = returns((), "EUR")
    assert result.net_minor is None
    assert result.value_minor is None
    assert result.mass_ug is None
    assert result.per_hour_minor is None
    assert result.fuel.range is None


def test_equal_trips_have_no_range():
    result = returns(whole_trips(valued([with_net(i, 500, 5) for i in range(9)])), "EUR")
    assert result.method == "exact-equal"
    assert result.low_minor is None
    assert result.per_hour_minor == 100


def test_a_site_takes_only_its_part_of_a_trip():
    both = trip(parts=((1, 60, 0), (2, 180, 600_000)))
    first = returns(at_site(valued([both]), 1), "EUR")
    second = returns(at_site(valued([both]), 2), "EUR")
    assert (first.net_minor, first.minutes) == (-500, 150)
    assert (second.net_minor, second.minutes) == (3_500, 450)
    assert returns(at_site(valued([both]), 3), "EUR").trips == 0


def test_yen_have_no_decimals():
    price = dataclasses.replace(PRICE, currency="JPY")
    yen = value_trips([trip()], party(currency="JPY"), [price], as_of=DAY, basis="trip")
    # Half a gram at 100 a gram is 50 yen; 2 000 yen went out in 10 hours.
    assert returns(whole_trips(yen), "JPY").per_hour_minor == -195


def test_four_of_eight_has_the_jeffreys_range():
    share = past_share([True, False] * 4 + [None])
    assert (share.reached, share.known) == (4, 8)
    # Beta(4.5, 4.5) at 10 % and 90 %: symmetric about a half, inside the 95 % limits
    # .19897 and .80103 (notes on methods, § 10, table, own).
    assert share.low_pct + share.high_pct == 100
    assert 20 < share.low_pct < 50


def test_fuel_counts_the_trips_where_one_can_tell():
    paid = trip(1)
    missed = trip(2, fine_ug=100_000)  # worth 10.00, fuel 12.00
    even = trip(3, fine_ug=120_000)  # worth 12.00: covered
    unknown = trip(4, fuel_minor=None, outlay_minor=None)
    fuel = returns(whole_trips(valued([paid, missed, even, unknown])), "EUR").fuel
    assert (fuel.reached, fuel.known) == (2, 3)
