import datetime as dt

import pytest

from reports.charts.plots import (
    BarRow,
    IntervalRow,
    RateStep,
    SiteMonth,
    SiteRow,
    StairPoint,
    bars,
    clock_words,
    interval_plot,
    pay_ladder,
    rate_steps,
    season_calendar,
    value_against_cost,
)
from reports.charts.scene import Box, Dot, Line, Path, Text

from .samples import ALL, LONG, calendar, grades, intervals, ladder, rates, stairs

WORDS = {"title": "T", "desc": "D", "unit": "EUR"}


def dots(scene):
    return [mark for mark in scene.marks if isinstance(mark, Dot)]


def texts(scene):
    return [mark.text for mark in scene.marks if isinstance(mark, Text)]


def test_no_rows_make_no_figure():
    assert interval_plot([], **WORDS) is None
    assert bars([], **WORDS) is None
    assert pay_ladder([], value=3.0, **WORDS) is None
    assert value_against_cost([], **WORDS) is None
    assert rate_steps([], **WORDS) is None
    assert season_calendar([], [SiteRow("A", ())], title="T", desc="D") is None
    assert season_calendar(["May"], [], title="T", desc="D") is None


@pytest.mark.parametrize("name", ALL)
def test_every_mark_stays_on_its_sheet(name):
    figure = ALL[name]()
    for scene in (figure.wide, figure.narrow):
        for mark in scene.marks:
            match mark:
                case Line():
                    xs, ys = [mark.x1, mark.x2], [mark.y1, mark.y2]
                case Path():
                    xs, ys = zip(*mark.points, strict=True)
                case Box():
                    xs, ys = [mark.x, mark.x + mark.width], [mark.y, mark.y + mark.height]
                case _:
                    xs, ys = [mark.x], [mark.y]
            assert min(xs) >= 0
            assert max(xs) <= scene.width
            assert min(ys) >= 0
            assert max(ys) <= scene.height


@pytest.mark.parametrize("name", ALL)
def test_table_has_a_cell_for_every_header(name):
    figure = ALL[name]()
    assert all(len(row) == len(figure.table_headers) for row in figure.table_rows)


def test_unknown_range_is_a_hollow_dot_and_unknown_value_is_no_dot():
    drawn = dots(intervals().wide)
    assert [dot.hollow for dot in drawn] == [False, False, True]
    assert texts(intervals().wide).count("unknown") == 1


def test_table_says_unknown_and_never_zero_for_missing():
    assert intervals().table_rows[3][1:] == ("unknown", "unknown", "no trips")
    assert grades().table_rows[3][2:] == ("unknown", "unknown", "no pan")


def test_zero_grade_is_shown_as_a_number():
    assert grades().table_rows[2][2] == "0.0"


def test_range_shows_no_more_digits_than_it_knows():
    assert "+5  (−2 to +14)" in texts(intervals().wide)
    assert "−3.1  (−6.1 to +1.2)" in texts(intervals().wide)


def test_better_rows_lie_further_right():
    left, right = dots(intervals().wide)[:2]
    assert left.x < right.x


def test_long_name_is_cut_with_an_ellipsis_and_kept_as_a_tip():
    for scene, lines in ((intervals().wide, 2), (intervals().narrow, 1)):
        said = [m.text for m in scene.marks if isinstance(m, Text) and m.tip == LONG]
        assert len(said) == lines
        assert said[-1].endswith("…")
        assert LONG.startswith(" ".join(said)[:-1])


def test_a_number_is_never_cut():
    figure = interval_plot([IntervalRow("a", 1e9 + 1, 2e9, 4e9 + 5)], **WORDS)
    for scene in (figure.wide, figure.narrow):
        assert not any("…" in words for words in texts(scene))


@pytest.mark.parametrize("value", [1e-9, 1e-3, 1.0, 1e6, 1e14])
def test_one_row_of_any_size_can_be_drawn(value):
    figure = interval_plot([IntervalRow("a", value, value, value)], **WORDS)
    assert len(dots(figure.wide)) == 1


def test_infinite_values_are_refused():
    with pytest.raises(ValueError, match="finite"):
        interval_plot([IntervalRow("a", None, float("inf"), None)], **WORDS)


def test_narrow_has_at_most_four_ticks_per_axis():
    figure = interval_plot([IntervalRow("a", -7.3, 1.0, 9.9)], **WORDS)
    below = max(m.y for m in figure.narrow.marks if isinstance(m, Text))
    ticks = [m for m in figure.narrow.marks if isinstance(m, Text) and m.y == below - 18]
    assert 2 <= len(ticks) <= 4


def test_ladder_fills_each_rung_as_far_as_the_value_reaches():
    boxes = [m for m in ladder().wide.marks if isinstance(m, Box)]
    full = [box for box in boxes if box.fill == "b"]
    open_ends = [box for box in boxes if box.dash]
    assert len(full) == 3
    assert len(open_ends) == 1
    assert [row[2] for row in ladder().table_rows] == [
        "reached",
        "reached",
        "not reached",
        "unknown",
    ]


def test_ladder_of_an_unknown_value_fills_nothing():
    figure = ladder(value=None)
    assert not [m for m in figure.wide.marks if isinstance(m, Box) and m.fill == "b"]
    assert {row[2] for row in figure.table_rows} == {"unknown"}


def test_totals_are_stairs():
    for path in (m for m in stairs().wide.marks if isinstance(m, Path)):
        for (x1, y1), (x2, y2) in zip(path.points, path.points[1:], strict=False):
            assert x1 == x2 or y1 == y2


def test_second_series_is_dashed_and_both_are_named():
    paths = [m for m in stairs().wide.marks if isinstance(m, Path)]
    assert sorted(path.dash for path in paths) == [False, True]
    assert {"cost 438", "value 330"} <= set(texts(stairs().wide))


def test_stairs_stop_where_the_value_is_not_known():
    day = dt.date(2031, 5, 1)
    figure = value_against_cost(
        [StairPoint(day, 10.0, 5.0), StairPoint(day + dt.timedelta(7), None, 9.0)], **WORDS
    )
    assert [dot.hollow for dot in dots(figure.wide)] == [True]
    assert figure.table_rows[1][1] == "unknown"


def test_one_trip_makes_stairs():
    assert stairs(days=1).table_rows == (("5 Apr 2031", "0", "20.0"),)


def test_leave_rate_is_drawn_and_named():
    assert "leave below 95.0" in texts(rates().wide)
    assert "leave below 95.0" in texts(rates().narrow)


def test_run_without_a_rate_is_hollow():
    assert [dot.hollow for dot in dots(rates().wide)] == [False, False, False, True]


def test_rates_without_a_fit_have_no_fit_line():
    figure = rate_steps([RateStep("1", 0, 60, 10.0)], **WORDS)
    assert not [m for m in figure.wide.marks if isinstance(m, Path)]


def test_bars_start_at_zero_on_either_side():
    figure = bars([BarRow("", "gain", 4.0), BarRow("", "loss", -4.0)], **WORDS)
    gain, loss = (m for m in figure.wide.marks if isinstance(m, Box))
    assert loss.x + loss.width == pytest.approx(gain.x)


@pytest.mark.parametrize(
    ("hours", "words"), [(0.0, "0 h"), (40 / 60, "40 min"), (6 + 10 / 60, "6 h 10"), (7.0, "7 h")]
)
def test_hours_are_said_as_people_say_them(hours, words):
    assert clock_words(hours) == words


def test_the_season_calendar_says_trips_and_open_days():
    row = SiteRow("Alder Bend", (SiteMonth(2, 15, 30), SiteMonth(0, 0, 31)))
    figure = season_calendar(["Jun", "Jul"], [row], title="T", desc="D")
    assert figure.table_rows == (
        ("Alder Bend", "Jun", "2", "15 of 30"),
        ("Alder Bend", "Jul", "0", "0 of 31"),
    )
    for scene in (figure.wide, figure.narrow):
        planned, stopped = (mark for mark in scene.marks if isinstance(mark, Box))
        assert (planned.fill, stopped.fill, stopped.dash) == ("a", "none", True)
        [share] = [mark for mark in scene.marks if isinstance(mark, Line)]
        assert share.x2 - share.x1 == pytest.approx(planned.width / 2)
        assert {"2", "–"} <= set(texts(scene))


def test_the_calendar_shows_a_long_name_whole():
    """In a wider column, then in two lines; what is longer still keeps its whole name as a tip."""
    longest = "Upper Long Valley Creek at the old bridge below the school"
    too_long = longest + " and the mill of the two brothers"
    names = ("Alder Bend", "Velmarrow middle reach and bar", longest, too_long)
    rows = [SiteRow(name, (SiteMonth(0, 1, 31),) * 12) for name in names]
    figure = season_calendar(["Jun"] * 12, rows, title="T", desc="D")
    said = [mark for mark in figure.wide.marks if isinstance(mark, Text) and mark.x == 0]
    assert [mark.text for mark in said[:2]] == list(names[:2])
    assert f"{said[2].text} {said[3].text}" == longest
    assert (said[4].tip, said[5].tip) == (too_long, too_long)
    assert said[5].text.endswith("…")
    assert {mark.tip for mark in said[:4]} == {""}
    # Each line stays within its row, and the months within the sheet.
    for row, marks in enumerate((said[:1], said[1:2], said[2:4], said[4:])):
        top = 24 + 40 * row
        assert all(top + 10 < mark.y < top + 38 for mark in marks)
    boxes = [mark for mark in figure.wide.marks if isinstance(mark, Box)]
    assert min(box.width for box in boxes) > 20
    assert max(box.x + box.width for box in boxes) <= figure.wide.width


def test_a_row_of_the_calendar_needs_a_cell_for_each_month():
    with pytest.raises(ValueError, match="zip"):
        season_calendar(["May", "Jun"], [SiteRow("A", (SiteMonth(0, 1, 31),))], title="T", desc="D")


def test_the_calendar_draws_a_box_for_each_site_and_month():
    for scene in (calendar().wide, calendar().narrow):
        assert sum(isinstance(mark, Box) for mark in scene.marks) == 10


def test_a_quantity_that_cannot_be_negative_bears_no_plus():
    rows = [IntervalRow("Alder Bend", 0.04, 0.24, 0.53)]
    plain = interval_plot(rows, **WORDS, sign=False)
    assert not any("+" in text for text in texts(plain.wide))
    assert any("+" in text for text in texts(interval_plot(rows, **WORDS).wide))


def test_stairs_name_their_days_as_pages_do():
    """Within one year the axis names it once; over several, every tick does."""
    one = [mark.text for mark in stairs(days=30).wide.marks if isinstance(mark, Text)]
    assert {"5 Apr", "2031"} <= set(one)
    several = [mark.text for mark in stairs(days=60).wide.marks if isinstance(mark, Text)]
    assert "5 Apr 2031" in several
    assert "2031" not in several


def test_a_name_gets_smaller_before_it_is_cut_on_the_phone():
    rows = [IntervalRow("4. Velmarrow middle reach", -1.0, -0.5, 0.0)]
    drawn = interval_plot(rows, **WORDS).narrow.marks
    [name] = [m for m in drawn if isinstance(m, Text) and m.text.startswith("4. ")]
    assert name.text == "4. Velmarrow middle reach"
    assert name.size < 13
