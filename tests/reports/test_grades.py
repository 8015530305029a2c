"""Grades by spot and layer: zero is data, not counted is missing."""

from decimal import Decimal

import pytest

from reports.figures.grades import colour_masses, pan_grades, pan_rate, run_grades
from tests.reports.made import pan, run

MASSES = colour_masses(12_000, 2_500, 500)


def test_colours_and_milligrams_per_litre_of_two_pans():
    # 10 colours in 20 L; 2 medium at 2.5 mg and 8 fine at 0.5 mg make 9 mg in 20 L.
    [grade] = pan_grades([pan(), pan()], MASSES)
    assert grade.rate.best == pytest.approx(0.5)
    assert grade.mg_per_l == Decimal("0.45")
    assert (grade.pans, grade.not_counted, grade.at_least) == (2, 0, False)


@pytest.mark.outside("Garwood 1936 / Pearson & Hartley t.40 (memory); y=0: epitools (seen)")
@pytest.mark.parametrize(
    ("colours", "low", "high"), [(0, 0, 3.6889), (1, 0.0253, 5.5716), (10, 4.7954, 18.3904)]
)
def test_the_range_is_the_exact_95_per_cent_range(colours, low, high):
    rate = pan_rate([pan(volume_ml=1_000, coarse=0, medium=0, fine=colours)])
    assert rate.low == pytest.approx(low, abs=1e-4)
    assert rate.high == pytest.approx(high, abs=1e-4)


def test_no_colours_are_data_and_pans_not_counted_are_left_out():
    nothing = pan(coarse=None, medium=None, fine=None)
    [grade] = pan_grades([pan(coarse=0, medium=0, fine=0), nothing], MASSES)
    assert grade.rate.best == 0
    assert grade.rate.litres == 10
    assert grade.mg_per_l == 0
    assert grade.not_counted == 1


def test_a_spot_where_nothing_was_counted_has_no_grade():
    [grade] = pan_grades([pan(coarse=None, medium=None, fine=None)], MASSES)
    assert grade.rate is None
    assert grade.mg_per_l is None
    assert grade.not_counted == 1


def test_a_class_that_was_not_counted_makes_a_lower_figure():
    [grade] = pan_grades([pan(coarse=None)], MASSES)
    assert grade.at_least
    assert grade.mg_per_l == Decimal("0.45")


def test_spots_and_layers_are_kept_apart():
    pans = [pan(), pan(layer="bedrock"), pan(spot_id=2, spot="Alder bar")]
    grades = pan_grades(pans, MASSES)
    assert [(grade.spot, grade.layer) for grade in grades] == [
        ("Alder bar", "gravel"),
        ("Bend", "bedrock"),
        ("Bend", "gravel"),
    ]


def test_a_heavier_colour_of_the_party_raises_the_grade():
    [grade] = pan_grades([pan()], colour_masses(12_000, 5_000, 500))
    assert grade.mg_per_l == Decimal("0.7")


def test_runs_without_weight_or_litres_are_left_out_and_counted():
    # 50 mg and 70 mg from 200 L make 0.6 mg a litre.
    runs = [run(), run(share_ug=70_000), run(share_ug=None), run(volume_ml=None)]
    [grade] = run_grades(runs)
    assert grade.mg_per_l == Decimal("0.6")
    assert (grade.runs, grade.left_out) == (4, 2)


def test_runs_that_were_never_weighed_have_no_grade():
    [grade] = run_grades([run(share_ug=None)])
    assert grade.mg_per_l is None
    assert grade.mass_ug is None
