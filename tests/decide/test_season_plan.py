"""The season plan: knapsack sets, windows, pins, and what one more day is worth."""

from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from reports.decide.season import Choice, NoPlan, Window, falling, one_more_day, plan_season
from trips.calc.errors import OutOfRange


def whole(days, choices):
    return [Window("season", days, {each.site_id: days for each in choices})]


P01 = (
    (23, 31, 29, 44, 53, 38, 63, 85, 89, 82),
    (92, 57, 49, 68, 60, 43, 67, 84, 87, 72),
    165, 309, {1, 2, 3, 4, 6},
)  # fmt: skip
P02 = ((12, 7, 11, 8, 9), (24, 13, 23, 15, 16), 26, 51, {2, 3, 4})


@pytest.mark.outside("Knapsack sets P01 and P02 of several public test suites (seen)")
@pytest.mark.parametrize(("weights", "profits", "capacity", "best", "items"), [P01, P02])
def test_public_knapsack_sets(weights, profits, capacity, best, items):
    choices = [
        Choice(n, days, (float(gain),))
        for n, (days, gain) in enumerate(zip(weights, profits, strict=True), 1)
    ]
    plan = plan_season(choices, whole(capacity, choices))
    assert plan.gain == best
    assert set(plan.visits) == items


FOUR = [
    Choice(1, 2, (90, 60, 35)),
    Choice(2, 1, (70, 55, 40)),
    Choice(3, 3, (120, 50, 20)),
    Choice(4, 1, (30, 25, 20)),
]


def test_diminishing_trips_of_four_sites():
    # Own example, checked by enumeration; f(0..7) by dynamic programming.
    plan = plan_season(FOUR, whole(7, FOUR))
    assert (plan.gain, plan.visits) == (335, {1: 1, 2: 2, 3: 1})
    gains = [plan_season(FOUR, whole(days, FOUR)).gain for days in range(8)]
    assert gains == [0, 70, 125, 165, 215, 255, 285, 335]


def enumerated(choices, windows):
    best = 0
    ranges = [range(len(c.gains) + 1) for _ in windows for c in choices]
    for counts in product(*ranges):
        rows = [counts[w * len(choices) : (w + 1) * len(choices)] for w in range(len(windows))]
        if any(
            sum(n * c.days for n, c in zip(row, choices, strict=True)) > window.days
            or any(
                n * c.days > window.open_days.get(c.site_id, 0)
                for n, c in zip(row, choices, strict=True)
            )
            for row, window in zip(rows, windows, strict=True)
        ):
            continue
        totals = [sum(row[i] for row in rows) for i in range(len(choices))]
        if all(n <= len(c.gains) for n, c in zip(totals, choices, strict=True)):
            best = max(best, sum(sum(c.gains[:n]) for n, c in zip(totals, choices, strict=True)))
    return best


@settings(max_examples=25)
@given(
    st.lists(
        st.tuples(st.integers(1, 3), st.integers(-20, 100), st.integers(30, 95)),
        min_size=1,
        max_size=3,
    ),
    st.tuples(st.integers(0, 4), st.integers(0, 4)),
    st.integers(0, 4),
)
def test_two_windows_agree_with_enumeration(sites, days, open_first):
    choices = [
        Choice(n, length, tuple(falling(first, keep / 100, 2, cost=15)))
        for n, (length, first, keep) in enumerate(sites)
    ]
    windows = [
        Window("May", days[0], {c.site_id: open_first for c in choices}),
        Window("June", days[1], {c.site_id: 30 for c in choices}),
    ]
    plan = plan_season(choices, windows)
    assert plan.gain == pytest.approx(enumerated(choices, windows))
    assert plan.days <= sum(days)


def test_a_closed_site_is_never_planned_and_a_loss_neither():
    choices = [Choice(1, 1, (50.0,)), Choice(2, 1, (-3.0,))]
    plan = plan_season(choices, [Window("May", 3, {1: 0, 2: 3})])
    assert (plan.trips, plan.gain) == ({}, 0)


def test_a_pinned_trip_stays_even_at_a_loss_and_one_that_cannot_be_is_refused():
    choices = [Choice(1, 1, (50.0, 40.0)), Choice(2, 1, (-3.0,))]
    windows = [Window("May", 2, {1: 2, 2: 2})]
    plan = plan_season(choices, windows, {(0, 2): 1})
    assert plan.trips == {(0, 1): 1, (0, 2): 1}
    assert plan.gain == 47
    with pytest.raises(NoPlan, match="pinned"):
        plan_season(choices, [Window("May", 2, {1: 2, 2: 0})], {(0, 2): 1})
    with pytest.raises(NoPlan, match="pinned"):
        plan_season(choices, [Window("May", 1, {1: 2, 2: 2})], {(0, 1): 1, (0, 2): 1})
    with pytest.raises(NoPlan, match="pinned"):
        plan_season(choices, windows, {(0, 99): 1})


def test_one_more_day_and_where_it_helps():
    choices = [Choice(1, 1, (50.0, 40.0, 30.0))]
    windows = [Window("May", 1, {1: 0}), Window("June", 1, {1: 30})]
    now = plan_season(choices, windows).gain
    assert one_more_day(choices, windows, now=now) == (40.0, 1)
    assert one_more_day(choices, [Window("May", 9, {1: 31})], now=120.0) == (0.0, None)


def test_forty_sites_and_sixty_days():
    choices = [Choice(n, 1 + n % 2, tuple(falling(30 + n % 17, 0.85))) for n in range(40)]
    windows = [Window(str(m), 10, dict.fromkeys(range(40), 30)) for m in range(6)]
    plan = plan_season(choices, windows)
    assert plan.days <= 60
    assert max(plan.visits.values()) <= 6
    assert plan.gain > 60 * 20


def test_a_trip_of_no_days_is_refused():
    with pytest.raises(OutOfRange, match="at least one"):
        plan_season([Choice(1, 0, (1.0,))], [])
