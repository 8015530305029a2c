"""Distance, moving time, stops and pieces of a track, and their blocks by local day."""

import datetime as dt
import os
import re
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from trips.calc.gpx_read import Fix, GpxError, read_gpx
from trips.calc.track_hours import Block, blocks, by_road, driven_m, is_one_way
from trips.calc.track_line import thinned
from trips.calc.tracks import Piece, Place, distance_m, inside, near_m, sum_up

T0 = 1_935_561_600  # 2031-05-03 08:00 UTC
M = 1 / 111_200  # degrees of latitude that are about a metre


def drive_to(seconds: int, metres_a_second: float, start=(46.0, 8.0), t0=T0, every=10):
    """Fixes due north."""
    return [
        Fix(start[0] + s * metres_a_second * M, start[1], t0 + s) for s in range(0, seconds, every)
    ]


def stay(seconds: int, at: Fix, every=30):
    """Fixes that wander a few metres around a place."""
    return [
        Fix(at.latitude + (n % 3) * 2 * M, at.longitude, at.at + every * (n + 1))
        for n in range(seconds // every)
    ]


@pytest.mark.outside("geographiclib documentation, Geodesic.Inverse example (seen in the package)")
def test_the_published_distance_between_two_cities():
    wellington, salamanca = Fix(-41.32, 174.81, None), Fix(40.96, -5.50, None)
    assert distance_m(wellington, salamanca) == pytest.approx(19_959_679.267, abs=0.001)


@pytest.mark.outside("GDA94 Technical Manual, worked example Flinders Peak to Buninyong (memory)")
def test_the_published_distance_between_two_peaks():
    # On GRS80, which differs from WGS 84 by less than the last digit here.
    flinders = Fix(-(37 + 57 / 60 + 3.72030 / 3600), 144 + 25 / 60 + 29.52440 / 3600, None)
    buninyong = Fix(-(37 + 39 / 60 + 10.15610 / 3600), 143 + 55 / 60 + 35.38390 / 3600, None)
    assert distance_m(flinders, buninyong) == pytest.approx(54_972.271, abs=0.001)


def test_a_distance_worked_out_before():
    """A plain regression: computed with geographiclib when this was written."""
    one, other = Fix(39.49, -120.62, None), Fix(39.51, -120.59, None)
    assert distance_m(one, other) == pytest.approx(3_404.277, abs=0.001)


@given(
    lat=st.floats(-85, 85),
    lon=st.floats(-180, 180),
    north=st.floats(-0.004, 0.004),
    east=st.floats(-0.004, 0.004),
)
@settings(max_examples=60)
def test_the_quick_distance_is_near_the_geodesic(lat, lon, north, east):
    exact = distance_m(Fix(lat, lon, None), Fix(lat + north, lon + east, None))
    assert near_m(lat, lon, lat + north, lon + east) == pytest.approx(exact, rel=0.011, abs=0.5)


def test_a_drive_a_walk_a_stop_and_a_stay_on_site_are_told_apart():
    there = drive_to(1800, 15.0)
    foot = drive_to(900, 1.2, (there[-1].latitude, 8.0), there[-1].at + 10)
    last = foot[-1]
    fixes = [*there, *foot, *stay(7200, last)]
    site = Place(last.latitude, last.longitude, 100)
    sums = sum_up([fixes], [site])
    assert [piece.kind for piece in sums.pieces] == ["drive", "walk", "site"]
    drive, walk, work = sums.pieces
    # 1800 s at 15 m/s and 900 s at 1.2 m/s, by hand; the edges blur over the speed's window
    assert drive.distance_m == pytest.approx(27_000, rel=0.02)
    assert drive.seconds == pytest.approx(1800, abs=60)
    assert walk.seconds == pytest.approx(900 - 100 / 1.2, abs=60)
    assert work.place == 0
    assert work.seconds == pytest.approx(7200 + 100 / 1.2, abs=60)
    assert driven_m(sums.pieces) == drive.distance_m
    without = sum_up([fixes])
    assert [piece.kind for piece in without.pieces] == ["drive", "walk", "stop"]
    assert without.stopped_s == pytest.approx(7200, abs=60)
    assert (without.moving_s, without.stopped_s) == (sums.moving_s, sums.stopped_s)


def test_a_halt_at_a_crossing_stays_part_of_the_drive():
    one = drive_to(600, 15.0)
    halt = stay(90, one[-1])
    two = drive_to(600, 15.0, (one[-1].latitude, 8.0), halt[-1].at + 10)
    assert [piece.kind for piece in sum_up([[*one, *halt, *two]]).pieces] == ["drive"]


def test_an_outline_makes_a_site_as_a_radius_does():
    square = ((46.0, 8.0), (46.0, 8.01), (46.01, 8.01), (46.01, 8.0))
    hole = ((46.004, 8.004), (46.004, 8.006), (46.006, 8.006), (46.006, 8.004))
    assert inside(46.002, 8.002, [square])
    assert not inside(46.011, 8.002, [square])
    assert not inside(46.005, 8.005, [square, hole])
    fixes = stay(3600, Fix(46.002, 8.002, T0))
    far = Place(47.0, 9.0, 100, rings=(square,))
    assert [piece.kind for piece in sum_up([fixes], [far]).pieces] == ["site"]


def test_a_gap_is_said_and_not_filled_with_anything():
    one = drive_to(600, 15.0)
    two = drive_to(600, 15.0, (one[-1].latitude + 0.02, 8.0), one[-1].at + 1500)
    sums = sum_up([[*one, *two]])
    assert [piece.kind for piece in sums.pieces] == ["drive", "gap", "drive"]
    assert any("1 gap of more than 5 minutes, 25 min in all and 2.2 km" in r for r in sums.remarks)
    assert sum(piece.seconds for piece in sums.pieces) == sums.ends - sums.begins
    assert [block.kind for block in blocks(sums.pieces, dt.UTC)] == ["drive"]


def test_a_recorder_that_sleeps_on_the_spot_is_a_stop():
    one = drive_to(600, 1.2)
    two = drive_to(600, 1.2, (one[-1].latitude, 8.0), one[-1].at + 3600)
    sums = sum_up([one, two])
    assert [piece.kind for piece in sums.pieces] == ["walk", "stop", "walk"]
    assert sums.stopped_s == 3600


def test_what_lies_between_two_recordings_is_not_in_the_distance():
    one = drive_to(600, 15.0)
    two = drive_to(600, 15.0, (47.0, 8.0), one[-1].at + 7200)
    sums = sum_up([one, two])
    assert sums.distance_m == pytest.approx(2 * 590 * 15, rel=0.01)


def test_recordings_are_taken_by_their_times():
    one = drive_to(600, 1.2)
    two = drive_to(600, 1.2, (one[-1].latitude, 8.0), one[-1].at + 10)
    assert sum_up([two, one]).pieces == sum_up([one, two]).pieces


def test_one_time_ahead_of_the_others_is_the_only_fault():
    fixes = drive_to(600, 1.2)
    fixes[20] = Fix(fixes[20].latitude, 8.0, fixes[20].at + 86_400)
    sums = sum_up([fixes])
    assert "The clock runs backwards at 1 point, the first is point 21" in sums.remarks[0]
    assert sums.ends - sums.begins == 590
    assert sums.distance_m == sum_up([drive_to(600, 1.2)]).distance_m


def test_one_time_behind_the_others_is_the_only_fault():
    fixes = drive_to(600, 1.2)
    fixes[20] = Fix(fixes[20].latitude, 8.0, fixes[20].at - 86_400)
    sums = sum_up([fixes])
    assert "at 1 point, the first is point 21" in sums.remarks[0]
    assert sums.ends - sums.begins == 590


def test_a_first_time_ahead_is_the_only_fault():
    fixes = drive_to(600, 1.2)
    fixes[0] = Fix(fixes[0].latitude, 8.0, fixes[0].at + 86_400)
    sums = sum_up([fixes])
    assert "at 1 point, the first is point 1:" in sums.remarks[0]
    assert sums.ends - sums.begins == 580


def test_times_that_run_backwards_all_the_way_leave_only_the_distance():
    forth = drive_to(600, 1.2)
    back = [Fix(f.latitude, f.longitude, T0 - f.at + T0) for f in forth]
    sums = sum_up([back])
    assert sums.distance_m == sum_up([forth]).distance_m
    assert any("runs backwards" in remark for remark in sums.remarks)
    assert sum(piece.seconds for piece in sums.pieces) <= 20


def test_a_leap_to_another_country_is_said_and_left_out():
    fixes = drive_to(600, 15.0)
    fixes[30] = Fix(48.0, 9.0, fixes[30].at)
    sums = sum_up([fixes])
    assert any("2 jumps faster than 216 km/h" in remark for remark in sums.remarks)
    assert sums.distance_m < 9_000


def test_no_times_give_a_distance_and_nothing_else():
    fixes = [Fix(f.latitude, f.longitude, None) for f in drive_to(600, 1.2)]
    sums = sum_up([fixes])
    assert (sums.begins, sums.ends, sums.moving_s, sums.pieces) == (None, None, 0, ())
    assert sums.distance_m == pytest.approx(708, rel=0.01)
    assert "No point has a time" in sums.remarks[0]


@pytest.mark.parametrize("fixes", [[], [Fix(46.0, 8.0, T0)], [Fix(46.0, 8.0, T0)] * 3])
def test_a_track_of_next_to_nothing_has_no_length(fixes):
    sums = sum_up([fixes])
    assert (sums.distance_m, sums.moving_s) == (0, 0)


def test_over_the_date_line_the_way_is_short():
    fixes = [Fix(-17.0, 179.999, T0), Fix(-17.0, -179.999, T0 + 60), Fix(-17.0, -179.997, T0 + 120)]
    # 0.004° of longitude at 17° south: 0.004 x 111 320 m x cos 17° = 425.8 m, by hand
    assert sum_up([fixes]).distance_m == pytest.approx(425.8, rel=0.002)
    place = Place(-17.0, -179.9999, 200)
    assert sum_up([[fixes[0], *stay(600, fixes[0])]], [place]).pieces[0].kind == "site"


fix_lists = st.lists(
    st.tuples(
        st.floats(45.9, 46.1), st.floats(7.9, 8.1), st.one_of(st.none(), st.integers(T0, T0 + 9999))
    ),
    max_size=40,
)


@given(fix_lists, fix_lists)
@settings(max_examples=80)
def test_pieces_follow_each_other_and_never_exceed_the_whole(one, two):
    sums = sum_up([[Fix(*f) for f in one], [Fix(*f) for f in two]], [Place(46.0, 8.0, 500)])
    for piece, following in zip(sums.pieces, sums.pieces[1:], strict=False):
        assert piece.ends == following.begins
    assert all(piece.seconds >= 0 and piece.distance_m >= 0 for piece in sums.pieces)
    assert sum(piece.distance_m for piece in sums.pieces) <= sums.distance_m + 1
    if sums.pieces:
        whole = sums.ends - sums.begins
        assert sum(piece.seconds for piece in sums.pieces) == whole
        assert sums.moving_s + sums.stopped_s <= whole


def test_many_fixes_on_one_spot_are_summed_in_time():
    import time

    fixes = [Fix(46.0 + (n % 7) * M, 8.0, T0 + n // 400) for n in range(50_000)]
    began = time.process_time()
    sum_up([fixes])
    assert time.process_time() - began < 12  # 50 000 geodesics; bounded, not a benchmark


def test_a_line_for_the_map_is_thinned_and_keeps_its_ends():
    fixes = drive_to(36_000, 1.2, every=1)
    [line] = thinned([fixes], 500)
    assert len(line) <= 500
    assert line[0] == (46_000_000, 8_000_000)
    assert line[-1] == (round(fixes[-1].latitude * 1e6), 8_000_000)
    assert len(thinned([fixes[:20]], 500)[0]) == 20
    assert thinned([], 500) == []


def test_a_walk_over_midnight_is_two_days_where_it_was_walked():
    # 21:30 to 22:30 UTC on 3 May is 23:30 to 00:30 in Zurich
    walk = Piece("walk", T0 + 13 * 3600 + 1800, T0 + 14 * 3600 + 1800, 4000)
    first, second = blocks([walk], ZoneInfo("Europe/Zurich"))
    assert (first.day, first.minutes, first.distance_m) == (dt.date(2031, 5, 3), 30, 2000)
    assert (second.day, second.minutes, second.distance_m) == (dt.date(2031, 5, 4), 30, 2000)
    assert [block.minutes for block in blocks([walk], dt.UTC)] == [60]


def test_the_night_in_which_clocks_are_put_back_has_its_25_hours():
    # Zurich, 26 October 2031: from local midnight (22:00 UTC on the 25th) 25 hours to the next
    midnight = int(dt.datetime(2031, 10, 25, 22, tzinfo=dt.UTC).timestamp())
    stop = Piece("stop", midnight, midnight + 25 * 3600, 0)
    [day] = blocks([stop], ZoneInfo("Europe/Zurich"))
    assert (day.day, day.minutes) == (dt.date(2031, 10, 26), 1500)


def test_a_clock_two_days_off_is_moved():
    walk = Piece("walk", T0 + 2 * 86_400, T0 + 2 * 86_400 + 1800, 1000)
    [block] = blocks([walk], dt.UTC, shift_s=-2 * 86_400)
    assert block.day == dt.date(2031, 5, 3)


def test_pieces_of_a_kind_are_put_together():
    pieces = [
        Piece("drive", T0, T0 + 1800, 20_000),
        Piece("site", T0 + 1800, T0 + 9000, 300, 0),
        Piece("drive", T0 + 9000, T0 + 10_800, 20_000),
        Piece("walk", T0 + 10_800, T0 + 10_820, 20),
    ]
    assert [(b.kind, b.minutes) for b in blocks(pieces, dt.UTC)] == [("drive", 60), ("site", 120)]
    assert isinstance(blocks(pieces, dt.UTC)[0], Block)


@pytest.mark.parametrize(
    ("total", "leg", "roads"),
    [
        (40_000, (15_000, 4_000, 1_000), (30_000, 8_000, 2_000)),
        (50_000, (15_000, 4_000, 1_000), (40_000, 8_000, 2_000)),
        (9_000, (15_000, 4_000, 1_000), (0, 8_000, 1_000)),
        (40_000, (None, None, None), (40_000, 0, 0)),
        (10_000, (0, 3_000, 1_000), (0, 7_500, 2_500)),
    ],
)
def test_a_drive_is_split_as_the_known_way_is_made_up(total, leg, roads):
    assert by_road(total, *leg) == roads
    assert sum(by_road(total, *leg)) == total


@pytest.mark.parametrize(
    ("total", "leg", "expected"),
    [
        (21_000, (15_000, 4_000, 1_000), True),
        (29_999, (15_000, 4_000, 1_000), True),
        (30_000, (15_000, 4_000, 1_000), False),
        (41_000, (15_000, 4_000, 1_000), False),
        (21_000, (15_000, None, 1_000), False),
        (0, (15_000, 4_000, 1_000), False),
    ],
)
def test_a_drive_as_long_as_the_way_there_lacks_the_way_back(total, leg, expected):
    assert is_one_way(total, *leg) is expected


# ------------------------------------------------------- real tracks, where there are some


def real_tracks() -> list[Path]:
    folder = os.environ.get("REAL_DATA_DIR", "")
    return sorted(Path(folder).glob("*.gpx")) if folder else []


@pytest.fixture(params=[0, 1])
def real(request):
    found = real_tracks()
    if len(found) <= request.param:
        pytest.skip("REAL_DATA_DIR names no folder with real tracks")
    return found[request.param].read_bytes()


@pytest.mark.outside("gpxpy.GPX.length_2d, spherical formula of another author (seen)")
def test_a_real_track_is_as_long_as_another_library_finds_it(real):
    import gpxpy

    read = read_gpx(real)
    sums = sum_up(read.segments)
    parsed = gpxpy.parse(real.decode())
    # A sphere is off by up to 0.56 % against the ellipsoid.
    assert sums.distance_m == pytest.approx(parsed.length_2d(), rel=0.006)
    assert sums.points == parsed.get_points_no()
    assert len(read.waypoints) == len(parsed.waypoints)
    whole = sums.ends - sums.begins
    assert sum(piece.seconds for piece in sums.pieces) == whole
    assert 0 < sums.moving_s <= whole


def test_damaged_copies_of_a_real_track_are_read_in_part_or_refused(real):
    text = real.decode()
    whole = sum_up(read_gpx(real).segments)
    for cut in (len(real) // 3, len(real) - 20):
        with pytest.raises(GpxError, match="cut off"):
            read_gpx(real[:cut])
    lost = re.sub(r'(<trkpt[^>]*?)lat="[^"]+"', r'\1lat="NaN"', text, count=1)
    read = read_gpx(lost.encode())
    assert "1 point left out" in read.left_out[0]
    assert sum_up(read.segments).points == whole.points - 1
    again = sum_up(read_gpx(text.encode("utf-16")).segments)
    assert (again.distance_m, again.pieces) == (whole.distance_m, whole.pieces)
    backwards = [tuple(reversed(part)) for part in read_gpx(real).segments]
    turned = sum_up(backwards)
    assert turned.distance_m == pytest.approx(whole.distance_m, abs=1)
    assert any("runs backwards" in remark for remark in turned.remarks)
