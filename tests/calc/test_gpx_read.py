"""GPX files as they come, whole and damaged: read, or refused with what to do, within bounds."""

import time
import tracemalloc

import pytest

from tests.factories import gpx_bytes
from trips.calc import gpx_read
from trips.calc.gpx_read import GpxError, read_gpx

POINT = '<trkpt lat="46.5" lon="7.9"><time>2031-05-03T08:00:00Z</time></trkpt>'


def gpx(inside: str, version="1.1", head='<?xml version="1.0"?>') -> str:
    space = f"http://www.topografix.com/GPX/{version.replace('.', '/')}"
    return f'{head}<gpx version="{version}" creator="t" xmlns="{space}">{inside}</gpx>'


def track(*points: str) -> str:
    return f"<trk><trkseg>{''.join(points)}</trkseg></trk>"


def point(lat="46.5", lon="7.9", when="2031-05-03T08:00:00Z") -> str:
    return f'<trkpt lat="{lat}" lon="{lon}"><time>{when}</time></trkpt>'


@pytest.mark.parametrize("version", ["1.0", "1.1"])
def test_tracks_and_waypoints_of_both_versions_are_read(version):
    way = '<wpt lat="46.51" lon="-7.9"><name> Split\n boulder </name><desc>deep</desc></wpt>'
    read = read_gpx(gpx(way + track(POINT, point(lat="46.6")), version).encode())
    [[first, second]] = read.segments
    assert (first.latitude, first.longitude, first.at) == (46.5, 7.9, 1_935_561_600)
    assert second.latitude == 46.6
    [waypoint] = read.waypoints
    assert (waypoint.name, waypoint.note) == ("Split boulder", "deep")
    assert (waypoint.latitude_udeg, waypoint.longitude_udeg) == (46_510_000, -7_900_000)
    assert read.left_out == ()


def test_a_route_is_a_recording_without_times():
    read = read_gpx(gpx('<rte><rtept lat="1" lon="2"/><rtept lat="1" lon="3"/></rte>').encode())
    assert [[fix.at for fix in part] for part in read.segments] == [[None, None]]


@pytest.mark.parametrize(
    ("when", "at"),
    [
        ("2031-05-03T08:00:00Z", 1_935_561_600),
        ("2031-05-03T08:00:00.250Z", 1_935_561_600),
        ("2031-05-03T10:00:00+02:00", 1_935_561_600),
        ("2031-05-03T08:00:00", 1_935_561_600),
    ],
)
def test_times_are_utc_whatever_their_writing(when, at):
    [[fix]] = read_gpx(gpx(track(point(when=when))).encode()).segments
    assert fix.at == at


@pytest.mark.parametrize(
    ("encoding", "head"),
    [
        ("utf-16", ""),
        ("utf-16", '<?xml version="1.0" encoding="UTF-16"?>'),
        ("utf-16-le", '<?xml version="1.0" encoding="UTF-16"?>'),
        ("utf-16-be", ""),
        ("utf-8-sig", '<?xml version="1.0" encoding="UTF-8"?>'),
        ("iso-8859-1", '<?xml version="1.0" encoding="ISO-8859-1"?>'),
        ("cp1252", "<?xml version='1.0' encoding='windows-1252'?>"),
    ],
)
def test_files_in_other_encodings_are_read(encoding, head):
    text = gpx(f"<trk><name>Süd</name><trkseg>{POINT}</trkseg></trk>", head=head)
    read = read_gpx(text.encode(encoding))
    assert read.name == "Süd"
    assert len(read.segments[0]) == 1


def bomb(levels=9) -> str:
    lines = ['<!ENTITY a0 "gold gold gold">']
    lines += [f'<!ENTITY a{n} "{f"&a{n - 1};" * 10}">' for n in range(1, levels)]
    return f"<!DOCTYPE gpx [{''.join(lines)}]>" + gpx(
        f"<trk><name>&a{levels - 1};</name></trk>", head=""
    )


OUTSIDE = '<!DOCTYPE gpx [<!ENTITY x SYSTEM "file:///etc/passwd">]>' + gpx(
    "<trk><name>&x;</name></trk>", head=""
)


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "empty"),
        (b"\x00" * 100, "whole XML"),
        (b"lat,lon\n46,7\n", "whole XML"),
        (gpx(track(POINT)).encode()[:-30], "cut off"),
        (gpx(track(POINT, "\x00")).encode(), "whole XML"),
        (b"<html><body>x</body></html>", "another kind, <html>"),
        (gpx("").encode(), "no track, route or waypoint"),
        (bomb().encode(), "entities"),
        (OUTSIDE.encode(), "entities"),
        (b'<!DOCTYPE gpx SYSTEM "http://example.org/x.dtd"><gpx/>', "entities"),
        (gpx("<a>" * 5000 + "</a>" * 5000).encode(), "nested"),
        (gpx(track(point(lat="91"), point(lat="NaN"))).encode(), "latitude is -90 to 90"),
        (gpx(track(POINT)).encode("utf-16-le")[:-40], "cut off"),
        (gpx("é", head='<?xml version="1.0" encoding="UTF-8"?>').encode("latin-1"), "UTF-8"),
        (gpx(track(POINT), head='<?xml version="1.0" encoding="klingon"?>').encode(), "klingon"),
        (gpx(track(POINT), head='<?xml version="1.0" encoding="UTF-7"?>').encode(), "UTF-7"),
    ],
)
def test_what_cannot_be_read_is_refused_with_a_reason(content, words):
    with pytest.raises(GpxError) as refused:
        read_gpx(content)
    assert words in str(refused.value)
    assert len(str(refused.value).split()) > 5


@pytest.mark.parametrize(
    ("lat", "lon"),
    [("NaN", "7"), ("inf", "7"), ("91", "7"), ("46", "-180.1"), ("", "7"), ("x", "7"),
     ("1e309", "7"), ("٤٦", "7"), ("9" * 400, "7"), ("−46", "7")],
)  # fmt: skip
def test_a_point_that_is_nowhere_is_left_out_and_said(lat, lon):
    read = read_gpx(gpx(track(POINT, point(lat=lat, lon=lon), POINT)).encode())
    assert len(read.segments[0]) == 2
    assert read.left_out == ("1 point left out: no position on earth, the first is point 2.",)


@pytest.mark.parametrize(
    "when", ["yesterday", "2031-13-45T00:00:00Z", "0001-01-01T00:00:00Z", "99999-01-01T00:00:00Z"]
)
def test_a_time_that_cannot_be_is_left_out_and_said(when):
    read = read_gpx(gpx(track(POINT, point(when=when))).encode())
    assert [fix.at for fix in read.segments[0]] == [1_935_561_600, None]
    assert "1 time can't be read, the first at point 2" in read.left_out[0]


def test_extensions_and_foreign_names_do_not_reach_the_library():
    import xml.etree.ElementTree as ElementTree

    before = dict(ElementTree._namespace_map)
    odd = (
        '<gpx version="1.1" xmlns="http://www.topografix.com/GPX/1/1" xmlns:evil="http://evil/">'
        f"{track(POINT)}<extensions><evil:x>1</evil:x></extensions></gpx>"
    )
    assert len(read_gpx(odd.encode()).segments[0]) == 1
    assert before == ElementTree._namespace_map


def test_names_are_one_line_of_text():
    way = '<wpt lat="1" lon="2"><name>&lt;b&gt;x&lt;/b&gt;&#10;y\u202e</name></wpt>'
    [waypoint] = read_gpx(gpx(way).encode()).waypoints
    assert waypoint.name == "<b>x</b> y"
    long = f'<wpt lat="1" lon="2"><name>{"x" * 5000}</name></wpt>'
    assert len(read_gpx(gpx(long).encode()).waypoints[0].name) == 120


def test_waypoints_beyond_the_bound_are_counted():
    ways = "".join(f'<wpt lat="1" lon="{n % 90}"/>' for n in range(520))
    read = read_gpx(gpx(ways).encode())
    assert len(read.waypoints) == 500
    assert read.left_out == ("20 waypoints beyond the first 500 left out.",)


def bounded(content: bytes, words: str) -> None:
    tracemalloc.start()
    began = time.process_time()
    with pytest.raises(GpxError, match=words):
        read_gpx(content)
    took, peak = time.process_time() - began, tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    # Bounds on one machine with tracing on, far under the 256 MB and generous for the time.
    assert peak < 256 * 2**20
    assert took < 15


def test_fifty_megabytes_are_refused_unread():
    bounded(b"<gpx>" + b" " * 50 * 2**20 + b"</gpx>", "at most 20 MB")


def test_an_entity_bomb_costs_nothing():
    bounded(bomb(levels=30).encode(), "entities")


def test_more_points_than_any_day_has_are_refused():
    bounded(gpx(track(*[POINT] * 60_000)).encode(), "more than 50,000 points")


def test_a_heap_of_empty_elements_is_refused(monkeypatch):
    monkeypatch.setattr(gpx_read, "MAX_ELEMENTS", 100_000)
    bounded(gpx("<a/>" * 150_000).encode(), "nested or filled")


def test_a_file_made_by_the_tests_is_read():
    read = read_gpx(gpx_bytes(waypoints=[(46.5, 7.9, "bar")]))
    assert (read.name, len(read.segments), len(read.waypoints)) == ("Morning", 1, 1)
