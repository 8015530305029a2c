import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reports.charts.scale import LETTER, axis, fit, fit_lines, fixed, percent, plain, tick_words
from reports.charts.scale import ticks as ticks_of

sizes = st.floats(min_value=-1e12, max_value=1e12, allow_nan=False)


@given(sizes, sizes, st.integers(3, 8))
def test_ticks_cover_the_values_with_no_more_than_asked(low, high, most):
    marks = ticks_of(low, high, most)
    low, high = min(low, high), max(low, high)
    room = 1e-6 * max(abs(low), abs(high), 1e-300)
    assert 2 <= len(marks) <= most
    assert marks[0] <= low + room
    assert marks[-1] >= high - room


def test_ticks_are_round():
    assert ticks_of(-6.1, 14.2, 6) == (-10, -5, 0, 5, 10, 15)
    assert ticks_of(0, 96, 6) == (0, 20, 40, 60, 80, 100)


def test_tick_words_share_their_decimals():
    assert tick_words((0.0, 0.5, 1.0)) == ("0.0", "0.5", "1.0")
    assert tick_words((-10.0, 0.0, 10.0)) == ("−10", "0", "10")
    assert tick_words((0.0, 2e6, 4e6)) == ("0", "2 M", "4 M")


@pytest.mark.parametrize(
    ("value", "words"),
    [
        (0, "0"),
        (12.345, "12.3"),
        (-0.0421, "−0.0421"),
        (1234567, "1\u202f234\u202f567"),
        (1e-9, "1e-9"),
        (2.5e20, "2.5e20"),
    ],
)
def test_numbers_are_said_to_three_digits(value, words):
    assert plain(value) == words


def test_gains_carry_their_sign():
    assert [fixed(n, 2, sign=True) for n in (3, -3, 0)] == ["+3.00", "−3.00", "0.00"]


def test_rounding_to_zero_leaves_no_sign():
    assert fixed(-0.04, 1, sign=True) == "0.0"


@pytest.mark.parametrize(
    ("share", "words"),
    [(0, "0 %"), (0.002, "under 1 %"), (0.5, "50 %"), (0.997, "over 99 %"), (1, "100 %")],
)
def test_chances_never_round_to_certainty(share, words):
    assert percent(share) == words


@pytest.mark.parametrize("value", [math.inf, -math.inf, math.nan])
def test_numbers_without_a_place_are_refused(value):
    for refuse in (plain, percent, lambda v: ticks_of(0, v, 4)):
        with pytest.raises(ValueError, match="finite"):
            refuse(value)


def test_axis_includes_zero_when_asked():
    assert axis([5.0, 9.0], 0, 100, 6)[0].low == 0
    assert axis([5.0, 9.0], 0, 100, 6, zero=False)[0].low == 5


def test_names_that_fit_are_left_alone():
    assert fit("Alder Bend", 100, 13) == "Alder Bend"
    assert fit("two\nlines\x00here", 300, 13) == "two lines here"


@pytest.mark.parametrize(
    ("name", "lines"),
    [
        ("Alder Bend", ("Alder Bend",)),
        ("Long gravel bar at the old bridge", ("Long gravel bar", "at the old bridge")),
        ("Long gravel bar at the old bridge below", ("Long gravel bar", "at the old bridg…")),
        ("Donaudampfschifffahrt at the bend", ("Donaudampfschiff…", "at the bend")),
        ("", ("",)),
    ],
)
def test_a_long_name_goes_on_in_a_second_line(name, lines):
    width = 17 * 13 * LETTER
    assert fit_lines(name, width, 13, 2) == lines
    assert fit_lines(name, width, 13, 1) == (fit(name, width, 13),)


def test_wide_scripts_take_more_room():
    assert len(fit("漢" * 40, 120, 13)) < len(fit("a" * 40, 120, 13))
