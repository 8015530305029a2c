"""The season: rungs reached, running totals, costs by kind."""

import datetime as dt

from reports.figures.season import cost_of, ladder, spent, stairs, trip_rungs, worn
from reports.figures.value import value_trips
from tests.reports.made import DAY, PRICE, party, trip
from trips.calc.costs import CostLine


def valued(trips, **its):
    return value_trips(trips, party(**its), [PRICE], as_of=DAY, basis="trip")


def test_each_rung_asks_for_the_ones_below_it_too():
    # Fuel 12.00; outlay 20.00; with wear 25.00; 20 hours at 2.00 more: 65.00. Worth 50.00.
    [each] = valued([trip()])
    rungs = trip_rungs(each, party(hourly_figure_minor=200))
    assert [rung.threshold_minor for rung in rungs] == [1_200, 2_000, 2_500, 6_500]
    assert [rung.reached for rung in rungs] == [True, True, True, False]


def test_the_ladder_counts_trips_by_rung():
    its = party(hourly_figure_minor=200)
    trips = [trip(1), trip(2, fine_ug=150_000), trip(3, fine_ug=0, mass_ug=0)]
    counted = ladder(valued(trips), its)
    assert [rung.share.reached for rung in counted.rungs] == [2, 1, 1, 0]
    assert [rung.share.known for rung in counted.rungs] == [3, 3, 3, 3]
    assert counted.common == 3
    assert counted.value_minor == 6_500
    assert [rung.threshold_minor for rung in counted.rungs] == [3_600, 6_000, 7_500, 19_500]


def test_a_trip_with_an_unknown_value_is_neither_reached_nor_missed():
    lost = trip(2, fine_ug=None, mass_ug=None, unknown=("Nothing has been weighed.",))
    counted = ladder(valued([trip(1), lost]), party())
    assert [rung.share.known for rung in counted.rungs] == [1, 1, 1, 0]
    assert [rung.not_known for rung in counted.rungs] == [1, 1, 1, 2]
    assert "Nothing has been weighed." in counted.rungs[0].reasons[0]
    assert counted.common == 1


def test_without_a_figure_per_hour_the_last_rung_cannot_be_told():
    counted = ladder(valued([trip()]), party())
    assert counted.rungs[3].threshold_minor is None
    assert counted.rungs[3].reasons == ("No figure for an hour is set.",)
    assert counted.common == 1


def test_an_unknown_wear_can_be_surely_missed_but_never_surely_reached():
    rich = trip(1, wear_minor=None, unknown=("Vehicle wear per km is not known.",))
    poor = trip(2, wear_minor=None, fine_ug=10_000, unknown=("Vehicle wear per km is not known.",))
    wear = ladder(valued([rich, poor]), party()).rungs[2]
    assert (wear.share.reached, wear.share.known, wear.not_known) == (0, 1, 1)


def test_no_trip_makes_an_empty_ladder():
    counted = ladder((), party())
    assert counted.value_minor is None
    assert [rung.share.range for rung in counted.rungs] == [None] * 4


def test_the_cost_of_kept_totals_keeps_what_is_unknown():
    cost = cost_of(trip(outlay_minor=None, unknown=("x",)), "EUR")
    assert cost.is_known("fuel")
    assert not cost.is_known("outlay")
    assert cost.fuel_minor == 1_200


def test_running_totals_follow_the_days_and_leave_out_what_is_unknown():
    early = trip(1, ends_on=dt.date(2031, 4, 1))
    late = trip(2, ends_on=dt.date(2031, 6, 1), fine_ug=100_000)
    lost = trip(3, ends_on=dt.date(2031, 5, 1), outlay_minor=None, unknown=("No fuel price.",))
    steps, gaps = stairs(valued([late, early, lost]))
    assert [(s.value_minor, s.outlay_minor, s.full_minor) for s in steps] == [
        (5_000, 2_000, 2_500),
        (6_000, 4_000, 5_000),
    ]
    assert [(gap.name, gap.reason) for gap in gaps] == [("Trip 3", "No fuel price.")]


def test_an_unknown_wear_makes_the_full_cost_unknown_from_there_on():
    first = trip(1, ends_on=dt.date(2031, 4, 1))
    second = trip(2, wear_minor=None)
    third = trip(3, ends_on=dt.date(2031, 6, 1))
    steps, _ = stairs(valued([first, second, third]))
    assert [step.full_minor for step in steps] == [2_500, None, None]


def test_costs_are_added_up_by_kind_and_unknown_entries_are_counted():
    lines = (
        CostLine("fuel", "Fuel for the drive", 1_000, "", True),
        CostLine("fuel", "Fuel for the engine", None, "", True),
        CostLine("food", "Bread", 300, "", False),
        CostLine("wear", "Wear of Old box", 250, "", True),
        CostLine("wear", "Wear of Old box", 150, "", True),
    )
    assert [(row.label, row.amount_minor, row.not_known) for row in spent(lines)] == [
        ("Fuel", 1_000, 1),
        ("Food", 300, 0),
    ]
    assert [(row.label, row.amount_minor, row.lines) for row in worn(lines)] == [
        ("Wear of Old box", 400, 2)
    ]
