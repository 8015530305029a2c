"""Parting a trip over its sites: exact sums, gold by its runs, the rest by time."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reports.figures.attribution import NOT_WEIGHED, attribute
from tests.reports.made import trip

FIGURES = ("mass_ug", "value_minor", "fuel_minor", "outlay_minor", "wear_minor", "minutes")


def test_a_trip_to_one_site_belongs_to_it_whole():
    [share] = attribute(trip(), 5_000)
    assert (share.value_minor, share.outlay_minor, share.minutes) == (5_000, 2_000, 600)
    assert share.net_minor == 3_000
    assert share.basis == ""


def test_gold_follows_the_shares_and_costs_follow_the_time():
    first, second = attribute(trip(parts=((1, 60, 0), (2, 180, 600_000))), 5_000)
    assert (first.value_minor, second.value_minor) == (0, 5_000)
    assert (first.mass_ug, second.mass_ug) == (0, 600_000)
    assert (first.outlay_minor, second.outlay_minor) == (500, 1_500)
    assert (first.minutes, second.minutes) == (150, 450)
    assert (first.net_minor, second.net_minor) == (-500, 3_500)


def test_the_odd_unit_goes_to_the_largest_fraction():
    # 2 000 over 1 : 1 : 1 is 666 2/3 each; the two left over go to the first two.
    shares = attribute(trip(parts=((1, 0, None), (2, 0, None), (3, 0, None))), 5_000)
    assert [share.outlay_minor for share in shares] == [667, 667, 666]
    assert shares[0].basis.endswith("costs and hours evenly")


def test_a_site_without_noted_time_carries_no_cost_beside_one_with_time():
    first, second = attribute(trip(parts=((1, 0, 600_000), (2, 90, None))), 5_000)
    assert (first.outlay_minor, second.outlay_minor) == (0, 2_000)
    assert (first.value_minor, second.value_minor) == (5_000, 0)


def test_gold_that_no_share_places_goes_by_time_and_says_so():
    first, second = attribute(trip(parts=((1, 100, None), (2, 300, None))), 4_000)
    assert (first.value_minor, second.value_minor) == (1_000, 3_000)
    assert "by time, as no share says" in first.basis


def test_a_site_whose_runs_were_not_weighed_is_unknown_beside_one_that_was():
    first, second = attribute(trip(parts=((1, 60, 600_000), (2, 180, None, 1))), 5_000)
    assert (first.mass_ug, first.value_minor, first.reason) == (600_000, 5_000, "")
    assert (second.mass_ug, second.value_minor, second.net_minor) == (None, None, None)
    assert second.reason == NOT_WEIGHED
    assert second.outlay_minor == 1_500  # the cost is known all the same


def test_a_weigh_in_over_the_whole_trip_covers_runs_that_it_does_not_name():
    shares = attribute(trip(parts=((1, 60, None, 2), (2, 60, None, 1))), 5_000)
    assert [share.value_minor for share in shares] == [2_500, 2_500]


@pytest.mark.parametrize("name", ["fuel_minor", "outlay_minor", "wear_minor", "mass_ug"])
def test_what_is_unknown_of_the_trip_is_unknown_at_each_site(name):
    shares = attribute(trip(parts=((1, 60, 1), (2, 60, 1)), **{name: None}), 5_000)
    assert [getattr(share, name) for share in shares] == [None, None]


def test_an_unknown_value_leaves_the_net_unknown_at_each_site():
    shares = attribute(trip(parts=((1, 60, 1), (2, 60, 1))), None)
    assert [(share.value_minor, share.net_minor) for share in shares] == [(None, None)] * 2


def test_a_trip_to_no_recorded_site_is_placed_nowhere():
    assert attribute(trip(parts=()), 5_000) == ()


part_of = (st.integers(0, 900), st.none() | st.integers(0, 10**9))


@given(
    st.lists(st.tuples(*part_of), min_size=1, max_size=5),
    st.integers(0, 10**8),
    st.integers(0, 10**7),
    st.integers(0, 10**9),
)
def test_the_parts_add_up_to_the_trip(parts, value, outlay, mass):
    whole = trip(
        parts=[(i, *each) for i, each in enumerate(parts)], outlay_minor=outlay, mass_ug=mass
    )
    shares = attribute(whole, value)
    sums = [sum(getattr(share, name) for share in shares) for name in FIGURES]
    assert sums == [mass, value, 1_200, outlay, 500, 600]


@given(st.lists(st.tuples(*part_of, st.integers(0, 2)), min_size=1, max_size=5))
def test_what_is_known_at_the_sites_adds_up_to_the_trip(parts):
    whole = trip(parts=[(i, *each) for i, each in enumerate(parts)])
    known = [share for share in attribute(whole, 5_000) if share.value_minor is not None]
    assert sum(share.value_minor for share in known) == 5_000
    assert sum(share.mass_ug for share in known) == 600_000
