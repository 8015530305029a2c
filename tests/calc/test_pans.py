"""Pans to the cubic yard, and grades in place; the inputs' own status stands in each mark."""

from decimal import Decimal as D

import pytest

from trips.calc import pans
from trips.calc.errors import OutOfRange

PAN_ML = 336 * D("16.387064")  # the handbook's 16 in pan holds 336 in³
WELLS = "J. H. Wells, Placer Examination, US BLM Technical Bulletin 4, 1969"


@pytest.mark.outside(f"{WELLS}, Part V sec. 2b: 336 in³, 180 pans (seen); factors computed")
@pytest.mark.parametrize(
    ("swell", "factor"), [("0", "138.9"), ("0.20", "166.6"), ("0.25", "173.6")]
)
def test_pan_factor_from_volume_and_swell(swell, factor):
    assert round(pans.pan_factor(PAN_ML, D(swell)), 1) == D(factor)


@pytest.mark.outside(f"{WELLS}, Part V sec. 2b: practice 150-200 (seen); swells computed")
@pytest.mark.parametrize(("factor", "swell"), [(180, "0.296"), (150, "0.080"), (200, "0.440")])
def test_the_swell_that_a_quoted_factor_means(factor, swell):
    assert round(pans.swell_implied(PAN_ML, D(factor)), 3) == D(swell)


@pytest.mark.outside(f"{WELLS}, Part V sec. 2c: 20 lb a pan (seen); bed weights I.C. 6786, 1934")
def test_density_of_a_pan_is_inside_the_measured_bed_weights():
    lb_per_loose_yd3 = 20 * pans.pan_factor(PAN_ML, D(0))
    assert round(lb_per_loose_yd3) == 2777
    bank = [pans.bank_grade(lb_per_loose_yd3, D(swell)) for swell in ("0.20", "0.25")]
    assert [round(each) for each in bank] in ([3333, 3471], [3333, 3472])
    assert all(3000 <= each <= 3540 for each in bank)


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: pans.pan_factor(D(0), D("0.2")),
        lambda: pans.swell_implied(D(-1), D(180)),
        lambda: pans.bank_grade(D(1), D("-0.1")),
    ],
)
def test_sizes_that_mean_nothing_are_refused(wrong):
    with pytest.raises(OutOfRange):
        wrong()
