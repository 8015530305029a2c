"""How often floods come: ranks, log-Pearson III, and chances within some years."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trips.calc.errors import OutOfRange
from trips.calc.return_period import (
    Fitted,
    chance_within,
    fit,
    flow_of,
    ranked,
    return_period,
    skew_mse,
    weibull_years,
    weighted_skew,
    years_of,
)

# Fishkill Creek at Beacon, New York, 1945-68, cubic feet a second (data seen).
FISHKILL = (
    *(2290, 1470, 2220, 2970, 3020, 1210, 2490, 3170, 3220, 1760, 8800, 8280),
    *(1310, 2500, 1960, 2140, 4340, 3060, 1780, 1380, 980, 1040, 1580, 3630),
)


@pytest.mark.outside("Bulletin 17B, 1982, app. 12, Fishkill Creek: M, S, G (memory)")
def test_moments_of_fishkill_creek():
    found = fit(FISHKILL)
    assert (found.mean, found.sd) == pytest.approx((3.3684, 0.2456), abs=6e-5)
    assert found.skew == pytest.approx(0.7300, abs=6e-5)
    assert found.years == 24


@pytest.mark.outside(
    "Hydrology validation page quoting Bulletin 17B, Fishkill Creek, G = 0.7 (seen)"
)
@pytest.mark.parametrize(("years", "flow", "within"), [(1 / 0.99, 841, 1), (100, 11_500, 50)])
def test_quantiles_of_fishkill_creek(years, flow, within):
    """The page prints the 100-year flow as 1150, a zero short."""
    found = fit(FISHKILL)
    rounded = Fitted(found.mean, found.sd, 0.7, 24)
    assert flow_of(rounded, years) == pytest.approx(flow, abs=within)


def test_hundred_year_flow_to_more_digits():
    """Own value."""
    found = fit(FISHKILL)
    assert flow_of(Fitted(found.mean, found.sd, 0.7, 24), 100) == pytest.approx(11_530.9, abs=0.1)


@pytest.mark.outside("Bulletin 17B formulas: regional skew 0.6, MSE 0.302 (memory)")
def test_weighted_skew():
    skew = fit(FISHKILL).skew
    assert skew_mse(skew, 24) == pytest.approx(0.27744, abs=1e-5)
    assert weighted_skew(skew, 24, 0.6, 0.302) == pytest.approx(0.6677, abs=5e-5)
    assert fit(FISHKILL, (0.6, 0.302)).skew == pytest.approx(0.6677, abs=5e-5)


@pytest.mark.outside("Weibull plotting position, formula (n + 1)/m (memory)")
def test_ranks_of_fishkill_creek():
    found = ranked(FISHKILL)
    assert [(each.peak, each.rank) for each in found[:3]] == [(8800, 1), (8280, 2), (4340, 3)]
    assert [round(each.years, 2) for each in found[:4]] == [25, 12.5, 8.33, 6.25]


@pytest.mark.outside("Chance of at least one T-year flood in n years, standard formula (memory)")
@pytest.mark.parametrize(
    ("years", "within", "chance"),
    [
        *[(5, 3, 0.488), (2, 1, 0.5), (1.5, 1, 0.667), (1.5, 2, 0.889), (2, 2, 0.75)],
        *[(2, 3, 0.875), (5, 1, 0.2), (5, 2, 0.36), (10, 5, 0.410)],
    ],
)
def test_chance_within_years(years, within, chance):
    assert chance_within(years, within) == pytest.approx(chance, abs=5e-4)


def test_short_records_go_by_rank_and_very_short_ones_say_nothing():
    assert return_period(90, [90, 40, 60, 50]).years == 5
    assert return_period(55, [90, 40, 60, 50]).years == 2.5
    assert return_period(200, [90, 40, 60, 50]).years == 5  # no more than the record can tell
    few = return_period(90, [90, 40])
    assert few.years is None
    assert "2 of at least 3 years" in few.reason


def test_long_records_go_by_the_fit():
    found = return_period(8800, FISHKILL)
    assert found.method == "fit"
    assert found.years == pytest.approx(years_of(fit(FISHKILL), 8800))
    assert 30 < found.years < 80


def test_ten_equal_years_fall_back_to_ranks():
    assert return_period(50, [50] * 12).method == "rank"


@pytest.mark.parametrize("peaks", [(0, 5, 6), (-1, 5, 6), (float("nan"), 5, 6), (5, 6), (7, 7, 7)])
def test_what_cannot_be_fitted_is_refused(peaks):
    with pytest.raises(OutOfRange):
        fit(peaks)


def test_nonsense_is_refused():
    with pytest.raises(OutOfRange, match="Rank 4 of 3"):
        weibull_years(3, 4)
    with pytest.raises(OutOfRange, match="more than one"):
        flow_of(fit(FISHKILL), 1)
    with pytest.raises(OutOfRange):
        chance_within(0.5, 1)


@given(st.floats(1.05, 500))
def test_flow_and_years_are_each_others_way_back(years):
    found = fit(FISHKILL)
    assert years_of(found, flow_of(found, years)) == pytest.approx(years, rel=1e-6)


@given(st.lists(st.integers(1, 10_000), min_size=3, max_size=9))
def test_a_higher_flood_is_never_more_frequent(peaks):
    periods = [return_period(peak, peaks).years for peak in sorted(peaks)]
    assert periods == sorted(periods)
