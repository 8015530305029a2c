"""Worked examples of the placer handbooks; the inputs' own status stands in each mark."""

from decimal import Decimal as D

import pytest

from trips.calc import pans, sluices
from trips.calc.errors import OutOfRange
from trips.calc.units import convert_grade

IN_MM = D("25.4")
IN3_ML = D("16.387064")
WELLS = "J. H. Wells, Placer Examination, US BLM Technical Bulletin 4, 1969"


def inches(*sizes):
    return [D(size) * IN_MM for size in sizes]


@pytest.mark.outside(f"{WELLS}, Part V sec. 2b: 16 in pan, 336 in³ (seen)")
def test_standard_pan_volume_is_within_half_a_per_cent_of_the_handbook():
    ml = pans.pan_volume_ml(*inches("16", "10", "2.5"))
    assert round(ml / IN3_ML, 1) == D("337.7")
    assert round(ml / 1000, 3) == D("5.534")
    assert abs(ml / IN3_ML / 336 - 1) < D("0.0055")
    assert ml == pans.pan_volume_ml(D("406.4"), D("254"), D("63.5"))


@pytest.mark.outside(f"{WELLS}, Part V sec. 2c: 12 in pan, 9 lb to 20 lb (seen)")
def test_half_size_pan():
    ml = pans.pan_volume_ml(*inches("12", "7.5", "2"))
    assert round(ml / IN3_ML, 2) == D("151.97")
    assert round(ml / 1000, 3) == D("2.490")
    assert round(ml / pans.pan_volume_ml(*inches("16", "10", "2.5")), 3) == D("0.450")
    assert round(pans.pan_factor(ml, D(0)), 1) == D("307.0")
    assert round(pans.pan_factor(ml, D("0.20")), 1) == D("368.4")
    assert round(pans.pan_factor(ml, D("0.25")), 1) in (D("383.7"), D("383.8"))


@pytest.mark.outside(f"{WELLS}, Part V sec. 2b: 336 in³, 180 pans (seen); factors computed")
@pytest.mark.parametrize(
    ("swell", "factor"), [("0", "138.9"), ("0.20", "166.6"), ("0.25", "173.6")]
)
def test_pan_factor_from_volume_and_swell(swell, factor):
    assert round(pans.pan_factor(336 * IN3_ML, D(swell)), 1) == D(factor)


@pytest.mark.outside(f"{WELLS}, Part V sec. 2b: practice 150-200 (seen); swells computed")
@pytest.mark.parametrize(("factor", "swell"), [(180, "0.296"), (150, "0.080"), (200, "0.440")])
def test_the_swell_that_a_quoted_factor_means(factor, swell):
    assert round(pans.swell_implied(336 * IN3_ML, D(factor)), 3) == D(swell)


@pytest.mark.outside(f"{WELLS}, Part V sec. 2b, factor 180 (seen); grades computed")
@pytest.mark.parametrize(("factor", "mg_per_m3"), [(180, "235.4"), (150, "196.2"), (200, "261.6")])
def test_pan_to_grade(factor, mg_per_m3):
    grade = pans.pan_grade_mg_per_yd3(D(1), D(factor))
    assert grade == factor
    assert round(convert_grade(grade, "mg_per_yd3", "mg_per_m3"), 1) == D(mg_per_m3)


@pytest.mark.outside(f"{WELLS}, Part III sec. 1a(2): a fly speck is 2-5 c/yd³ (seen)")
@pytest.mark.parametrize(("mg_per_yd3", "mg_per_pan"), [(20, "0.11"), (50, "0.28")])
def test_fly_speck_in_a_pan(mg_per_yd3, mg_per_pan):
    speck = D(mg_per_yd3) / 180
    assert round(speck, 2) == D(mg_per_pan)
    assert pans.pan_grade_mg_per_yd3(speck, D(180)) == pytest.approx(D(mg_per_yd3))
    assert pans.colour_number(speck) == 3


@pytest.mark.outside(f"{WELLS}, Part V sec. 2c: 20 lb a pan (seen); bed weights I.C. 6786, 1934")
def test_density_of_a_pan_is_inside_the_measured_bed_weights():
    lb_per_loose_yd3 = 20 * pans.pan_factor(336 * IN3_ML, D(0))
    assert round(lb_per_loose_yd3) == 2777
    bank = [pans.bank_grade(lb_per_loose_yd3, D(swell)) for swell in ("0.20", "0.25")]
    assert [round(each) for each in bank] in ([3333, 3471], [3333, 3472])
    assert all(3000 <= each <= 3540 for each in bank)


@pytest.mark.outside(
    "911metallurgist, fire assaying: 1/4 mg belongs to 7 1/2 lb at 10 c/yd³; 1/4 oz a ton (seen)"
)
def test_why_assaying_a_spoonful_misleads():
    litres = pans.sample_l(1, D("0.25"), convert_grade(D(100), "mg_per_yd3", "mg_per_l"))
    pounds = litres / D("764.554857984") * 3000
    assert round(pounds, 2) == D("7.50")
    assert round(D("0.25") / D("29.166") * 1000, 2) == D("8.57")  # mg in one assay ton, g/t
    sphere = pans.sphere_mg(IN_MM / 32, D("17.5"))
    assert round(sphere, 2) == D("4.58")
    assert round(sphere / D("0.25")) == 18


def test_boulder_correction_by_a_formula_from_memory():
    assert pans.boulder_corrected(D("235.4"), D("0.40")) == D("141.24")
    with pytest.raises(OutOfRange):
        pans.boulder_corrected(D(1), D("1.1"))


@pytest.mark.outside("Washington State gold text: colours per troy ounce (seen second-hand)")
@pytest.mark.parametrize(
    ("per_ozt", "mg", "number"),
    [
        (12_000, "2.592", 2),
        (40_000, "0.7776", 3),
        (300_000, "0.1037", 3),
        pytest.param(14_000_000, "0.00222", 3),
        pytest.param(2_200, "14.14", 1, id="2200-memory"),
    ],
)
def test_colours_per_ounce_to_mass_and_class(per_ozt, mg, number):
    mass = pans.mg_per_colour(per_ozt)
    assert round(mass, len(mg.partition(".")[2])) == D(mg)
    assert round(pans.colours_per_ozt(mass)) == per_ozt
    assert pans.colour_number(mass) == number


@pytest.mark.outside("Washington State gold text: fine is 0.38-0.76 mm (seen second-hand)")
@pytest.mark.parametrize(
    ("per_ozt", "mm"), [(12_000, "0.656"), (40_000, "0.439"), (300_000, "0.2245")]
)
def test_equal_mass_spheres(per_ozt, mm):
    across = pans.sphere_diameter_mm(pans.mg_per_colour(per_ozt), D("17.5"))
    assert abs(across - D(mm)) < D("0.0006")
    assert pans.sphere_mg(across, D("17.5")) == pytest.approx(pans.mg_per_colour(per_ozt))


def test_flake_and_ellipsoid_by_geometry():
    flake = pans.flake_mg(D("0.177"), D("0.0177"), D(17))
    assert round(flake * 1000, 2) == D("7.40")
    grain = pans.ellipsoid_mg(D("1.0"), D("0.8"), D("0.1"), D("17.5"))
    assert round(grain, 3) == D("0.733")


@pytest.mark.outside("E. H. Macdonald, Handbook of Gold Exploration, p. 203, eq. 4.3 (seen)")
def test_corey_factor():
    assert round(pans.corey_factor(D("1.0"), D("0.8"), D("0.1")), 3) == D("0.112")
    assert pans.corey_factor(D(1), D(1), D(1)) == 1


@pytest.mark.parametrize(
    ("fineness", "density"),
    [(800, "16.5"), (850, "17.15"), (885, "17.6"), (900, "17.8"), (950, "18.5"), (1000, "19.32")],
    ids=lambda each: f"memory-{each}",
)
def test_density_of_native_gold_by_a_formula_from_memory(fineness, density):
    assert abs(pans.density_g_per_cm3(fineness) - D(density)) <= D("0.06")


@pytest.mark.outside(
    "Clifton and others, USGS Prof. Paper 625-C, 1969, restated by Marshall 2002 (seen second-hand)"
)
@pytest.mark.parametrize(
    ("diameter_mm", "grade_ppb", "density"), [("0.177", 3000, "17.2"), ("0.030", 16, "18.9")]
)
def test_twenty_flakes_in_the_assay_sample(diameter_mm, grade_ppb, density):
    flake_mg = D(grade_ppb) * 50 / 20 / 10**6  # 50 g of sample, 20 flakes
    unit_mg = pans.flake_mg(D(diameter_mm), D(diameter_mm) / 10, D(1))
    assert round(flake_mg / unit_mg, 1) == D(density)


@pytest.mark.parametrize(
    ("colour_mg", "litres"), [("0.0074", "0.74"), ("2.592", "259.2")], ids=["own-flake", "own-fine"]
)
def test_litres_for_twenty_colours_at_a_fifth_of_a_gram_a_cubic_metre(colour_mg, litres):
    assert pans.sample_l(20, D(colour_mg), D("0.2")) == D(litres)


@pytest.mark.outside("BGS WC/97/14, 1997, as digested: 96 % and 20 % by size (seen second-hand)")
def test_recovery_weighted_grade():
    parts = ((D("0.6"), D("0.96")), (D("0.4"), D("0.20")))
    assert pans.recovered_grade(D(200), parts) == D("131.2")
    with pytest.raises(OutOfRange):
        pans.recovered_grade(D(200), ((D("0.6"), D("0.9")),))


@pytest.mark.parametrize(
    ("fall", "run", "per_cent", "degrees"),
    [(1, 12, "8.33", 4.76), (6, 144, "4.17", 2.39), (1, 36, "2.78", 1.59)],
    ids=["Mother Earth News 1979 (seen)", "19th-century text (seen)", "own page (seen)"],
)
def test_slope_of_a_box(fall, run, per_cent, degrees):
    assert round(sluices.slope_pct(D(fall), D(run)), 2) == D(per_cent)
    assert round(sluices.slope_degrees(D(fall), D(run)), 2) == degrees
    with pytest.raises(OutOfRange):
        sluices.slope_pct(D(1), D(0))


@pytest.mark.outside("Poling 1989 and Clarkson 1990, restated: water per width (seen second-hand)")
def test_water_per_width_and_solids():
    assert round(sluices.gal_per_min_per_ft(D(2400))) == 193
    assert abs(sluices.gal_per_min_per_ft(D(4800)) - 386) < 1
    assert round(sluices.least_water_ratio(), 2) == D("7.33")


def test_bank_and_loose_there_and_back():
    assert pans.loose_from_bank_ml(D(1000), D("0.25")) == 1250
    assert pans.bank_from_loose_ml(D(1250), D("0.25")) == 1000
    assert pans.loose_grade(pans.bank_grade(D(200), D("0.25")), D("0.25")) == 200
    with pytest.raises(OutOfRange):
        pans.bank_grade(D(1), D("-0.1"))


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: pans.pan_volume_ml(D(0), D(0), D(1)),
        lambda: pans.pan_volume_ml(D(1), D(-1), D(1)),
        lambda: pans.mg_per_colour(0),
        lambda: pans.density_g_per_cm3(1001),
    ],
)
def test_sizes_that_mean_nothing_are_refused(wrong):
    with pytest.raises(OutOfRange):
        wrong()
