"""The card of two lines for panning: its rows, its exact chances, published plans."""

from math import inf, log

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from reports.decide import sprt
from trips.calc.errors import OutOfRange

# Rows without an outside mark are own figures of methods notes, recomputed here by convolution.
TWELVE = [8.0] * 12
HANDBOOK = sprt.lines(0.005 / log(2), 2, 0.1, 0.1)  # rates 1/200 and 1/100 an hour


def shown(rows):
    return [(row.move_at_most, row.dig_at_least) for row in rows]


@pytest.mark.outside("MIL-HDBK-781A, §5.9.5 example: truncation at 15 events (seen second-hand)")
def test_truncation_of_the_handbook_example():
    events, exposure = sprt.truncation(2, 0.1, 0.1)
    assert events == 15
    # In mean times: 20.60 of the lower one, as the handbook lists (memory).
    assert exposure * 200 == pytest.approx(2059.92, abs=0.005)


@pytest.mark.outside("MIL-HDBK-781A, plan III-D: accept times 4.40, 5.79, 7.18 (memory)")
@pytest.mark.parametrize(("failures", "printed"), [(0, 4.40), (1, 5.79), (2, 7.18)])
def test_accept_times_of_the_handbook_plan(failures, printed):
    """Failures up to slope·t - low accept; the printed plan was tuned: within two hundredths."""
    found = HANDBOOK
    assert (found.poor, found.rich) == pytest.approx((1 / 200, 1 / 100))
    assert (failures + found.low) / found.slope / 100 == pytest.approx(printed, abs=0.021)


def test_lines_of_the_handbook_example():
    assert HANDBOOK.slope == pytest.approx(0.00721348, abs=5e-9)
    assert (HANDBOOK.low, HANDBOOK.high) == pytest.approx((3.169925, 3.169925), abs=5e-7)
    # The handbook tightens the reject ratio by (d+1)/(2d); this card doesn't.
    assert HANDBOOK.high + log(3 / 4) / log(2) == pytest.approx(2.754888, abs=5e-7)


@pytest.mark.outside("McAuslane, Ellis & Allen, Canadian Entomologist, abstract (seen)")
@pytest.mark.parametrize(("low", "high"), [(17.75, 13.82), (13.42, 10.45)])
def test_the_ratio_of_the_intercepts_of_a_published_plan(low, high):
    """Beetle counts: errors .10 and .05 give intercepts in this ratio whatever the scatter."""
    found = sprt.lines(1.0, 3, 0.10, 0.05)
    assert found.low / found.high == pytest.approx(low / high, abs=1e-3)


def test_slope_is_break_even_itself():
    found = sprt.lines(0.1, 3, 0.1, 0.1)
    assert (found.poor, found.rich) == pytest.approx((0.0549306, 0.1647918), abs=5e-8)
    assert (found.rich - found.poor) / log(found.rich / found.poor) == pytest.approx(0.1)
    assert (found.low, found.high) == pytest.approx((2, 2))


@pytest.mark.parametrize(
    ("rate", "move", "pans", "wald_move", "wald_pans"),
    [
        (0.5, 0.946054, 5.530577, 0.9, 3.900),
        (1 / log(3), 0.521506, 7.474801, 0.5, 4.394),
        (1.5, 0.059634, 4.325427, 0.1, 2.713),
    ],
)
def test_exact_chances_without_truncation_and_walds(rate, move, pans, wald_move, wald_pans):
    found = sprt.lines(1 / log(3), 3, 0.1, 0.1)
    litres = [1.0] * 400
    exact = sprt.chances(sprt.card(found, litres), litres, rate)
    assert (exact.move, exact.pans) == pytest.approx((move, pans), abs=5e-7)
    wald = sprt.wald_chances(found, rate, 1)
    assert (wald.move, wald.pans) == pytest.approx((wald_move, wald_pans), abs=5e-4)
    assert wald.pans < 0.75 * exact.pans, "never print the approximation as the card's own"


def test_clumped_lines_and_their_limit():
    found = sprt.clumped_lines(0.5, 1.5, 1, 0.1, 0.1)
    assert (found.slope, found.low, found.high) == pytest.approx(
        (0.869066, 3.738133, 3.738133), abs=5e-7
    )
    plain = sprt.clumped_lines(0.5, 1.5, 1e8, 0.1, 0.1)
    assert (plain.slope, plain.low) == pytest.approx((0.910239, 2), abs=1e-6)


def test_the_worked_card():
    found = sprt.lines(0.1, 3, 0.1, 0.1)
    rows = sprt.card(found, TWELVE)
    assert shown(rows) == [
        *[(None, 3), (None, 4), (0, 5), (1, 6), (2, 6), (2, 7)],
        *[(3, 8), (4, 9), (5, 10), (6, 10), (6, 11), (9, 10)],
    ]
    expected = [
        (found.poor, 0.06214, 5.4103),
        (0.1, 0.46771, 6.5589),
        (found.rich, 0.91076, 4.5673),
    ]
    for rate, dig, pans in expected:
        got = sprt.chances(rows, TWELVE, rate)
        assert got.dig == pytest.approx(dig, abs=5e-6)
        assert got.pans == pytest.approx(pans, abs=5e-5)
        assert got.dig + got.move == pytest.approx(1)


def test_the_worked_card_for_clumped_colours():
    plain = sprt.card(sprt.lines(0.1, 3, 0.1, 0.1), TWELVE)
    found = sprt.lines(0.1, 3, 0.1, 0.1, phi=1.5)
    rows = sprt.card(found, TWELVE)
    assert shown(rows) == [
        *[(None, 4), (None, 5), (None, 6), (0, 7), (1, 7), (1, 8)],
        *[(2, 9), (3, 10), (4, 11), (5, 11), (5, 12), (9, 10)],
    ]
    for size, poor, rich in ((None, 0.0452, 0.9445), (1.5, 0.0707, 0.8578), (0.7, 0.0934, 0.7728)):
        got = [sprt.chances(rows, TWELVE, rate, size).dig for rate in (found.poor, found.rich)]
        assert got == pytest.approx([poor, rich], abs=6e-5)
    got = [sprt.chances(plain, TWELVE, rate, 0.7).dig for rate in (found.poor, found.rich)]
    assert got == pytest.approx([0.1179, 0.6997], abs=6e-5)


def test_the_worked_card_with_looser_errors():
    found = sprt.lines(0.1, 3, 0.2, 0.2)
    assert found.low == pytest.approx(1.26186, abs=5e-6)
    eight = TWELVE[:8]
    rows = sprt.card(found, eight)
    assert shown(rows) == [
        *[(None, 3), (0, 3), (1, 4), (1, 5), (2, 6), (3, 7), (4, 7), (6, 7)],
    ]
    for rate, dig, pans in (
        (found.poor, 0.10360, 3.406),
        (0.1, 0.44348, 3.826),
        (found.rich, 0.83050, 3.049),
    ):
        got = sprt.chances(rows, eight, rate)
        assert got.dig == pytest.approx(dig, abs=5e-6)
        assert got.pans == pytest.approx(pans, abs=6e-4)


def test_the_edge_of_a_whole_number_decides():
    """After 30 L at .1 a litre and h 2, slope·V - h is exactly 1, which floats may miss."""
    rows = sprt.card(sprt.lines(0.1, 3, 0.1, 0.1), [10.0] * 5)
    assert rows[2].move_at_most == 1
    assert rows[2].dig_at_least == 5


def test_pans_of_unequal_litres_only_move_along_the_lines():
    found = sprt.lines(0.1, 3, 0.1, 0.1)
    rows = sprt.card(found, [4.0, 20.0, 8.0, 64.0])
    assert [row.litres for row in rows] == [4, 24, 32, 96]
    assert shown(rows)[1:3] == [(0, 5), (1, 6)]
    assert shown(rows)[3] == (9, 10)


def test_thousands_of_colours_only_cost_what_lies_between_the_lines():
    """Sixty thousand colours at break-even; with every total kept this takes minutes."""
    found = sprt.lines(50, phi=4.8)
    litres = [100.0] * 12
    rows = sprt.card(found, litres)
    got = [sprt.chances(rows, litres, rate, phi=4.8) for rate in (found.poor, 50, found.rich)]
    assert [each.dig for each in got] == pytest.approx([0, 0.5, 1], abs=0.01)
    assert all(each.dig + each.move == pytest.approx(1) for each in got)


@settings(max_examples=40)
@given(
    st.floats(0.02, 3),
    st.floats(1.5, 6),
    st.sampled_from([0.05, 0.1, 0.2, 0.3]),
    st.floats(1, 4),
    st.lists(st.floats(0.5, 20), min_size=1, max_size=8),
)
def test_richer_ground_is_dug_more_often(even, ratio, wrong, phi, litres):
    found = sprt.lines(even, ratio, wrong, wrong, phi)
    rows = sprt.card(found, litres)
    before = -1.0
    for factor in (0.3, 0.7, 1.0, 1.5, 3.0):
        got = sprt.chances(rows, litres, even * factor)
        assert got.dig + got.move == pytest.approx(1, abs=1e-9)
        assert 1 <= got.pans <= len(litres) + 1e-9
        assert got.dig >= before - 1e-12
        before = got.dig


@pytest.mark.parametrize(
    "bad",
    [
        lambda: sprt.lines(0, 3),
        lambda: sprt.lines(0.1, 1),
        lambda: sprt.lines(0.1, 3, 0.6, 0.5),
        lambda: sprt.lines(0.1, 3, phi=inf),
        lambda: sprt.clumped_lines(2, 1, 1),
        lambda: sprt.card(sprt.lines(0.1), [8, 0]),
        lambda: sprt.truncation(1, 0.1, 0.1),
    ],
)
def test_input_without_meaning_is_refused(bad):
    with pytest.raises(OutOfRange):
        bad()
