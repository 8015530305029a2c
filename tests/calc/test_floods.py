"""What floods leave of older evidence."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trips.calc.floods import FLOOR, FloodEffect, kept_since, usual_effect

DAY = date(2031, 5, 3)


def flood(days=0, spot=0.5, site=0.9, years=2.0):
    return FloodEffect(DAY + timedelta(days=days), "Marl Beck", years, spot, site, "")


@pytest.mark.parametrize(
    ("years", "expected"),
    [
        *[(None, (1, 1)), (1.9, (1, 1)), (2, (0.5, 0.9)), (4.99, (0.5, 0.9))],
        *[(5, (0.25, 0.75)), (100, (0.25, 0.75))],
    ],
)
def test_usual_effect_on_both_sides_of_each_bound(years, expected):
    """Own judgement, stated on the page."""
    assert usual_effect(years) == expected


def test_only_floods_after_the_evidence_count():
    floods = [flood(-1), flood(0), flood(1), flood(9)]
    kept = kept_since(floods, DAY, DAY + timedelta(days=8))
    assert [each.day for each in kept.floods] == [DAY + timedelta(days=1)]
    assert (kept.spot_ratio, kept.site_ratio) == (0.5, 0.9)
    assert kept.resets_spots


def test_without_a_flood_everything_is_kept():
    kept = kept_since([], DAY, DAY)
    assert (kept.spot_ratio, kept.site_ratio, kept.floods) == (1, 1, ())
    assert not kept.resets_spots


@given(
    st.lists(
        st.tuples(st.integers(1, 50), st.floats(0, 1), st.floats(0, 1)), min_size=1, max_size=6
    )
)
def test_more_floods_never_keep_more_and_the_site_keeps_at_least_the_spot(rows):
    floods = [flood(days, min(a, b), max(a, b)) for days, a, b in rows]
    late = DAY + timedelta(days=60)
    all_of_them, fewer = kept_since(floods, DAY, late), kept_since(floods[1:], DAY, late)
    assert all_of_them.spot_ratio <= fewer.spot_ratio
    assert all_of_them.site_ratio <= fewer.site_ratio
    assert FLOOR <= all_of_them.spot_ratio <= all_of_them.site_ratio <= 1
