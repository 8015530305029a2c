"""Files that nobody sends by accident, made when they are asked for: each with what is said of it.

Bounds are tried at both sides: what is a byte too large, and what just passes and costs most.
"""

import io
import json
import uuid
import zipfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from trips.drills import hostile_pictures as pictures

MB = 1_000_000
GPX = '<gpx version="1.1" xmlns="http://www.topografix.com/GPX/1/1">{}</gpx>'
SHEET = b"Date,Site,Gold (g),Hours\n2031-05-03,Alder Bend,0.4,5\n"
MAIN = b"http://schemas.openxmlformats.org/spreadsheetml/2006/main"
PARTS = b"[]," * 600_000 + b"[]"

Make = Callable[[], bytes]


@dataclass(frozen=True)
class Hostile:
    """One file: which door it is sent to, its name, its bytes, and the words of the answer.

    `says` is part of what a person then reads; "" where nothing need be said.
    """

    door: str
    what: str
    name: str
    content: Make
    says: str = ""


def all_files() -> Iterator[Hostile]:
    """Every file, by door."""
    for door, name, made in (
        ("track", "walk.gpx", _tracks()),
        ("trips", "days.csv", _sheets()),
        ("trips", "days.xlsx", _books()),
        ("prices", "prices.csv", _prices()),
        ("peaks", "peaks.csv", _peaks()),
        ("outline", "claim.geojson", _outlines()),
        ("pack", "hills.toml", _packs()),
        ("field file", "field.json", [*_entries("at most 2000"), *_field_files()]),
        ("sync", "", _entries("too much")),
        ("record", "whole-record.zip", _records()),
    ):
        for what, content, says in made:
            yield Hostile(door, what, name, content, says)
    for what, name, content, says in pictures.all_pictures(zipped({"a": b"a"})):
        yield Hostile("photo", what, name, content, says)


Case = tuple[str, Make, str]


# --- Tracks -----------------------------------------------------------------------------------
def _track(points: str) -> bytes:
    return GPX.format(f"<trk><trkseg>{points}</trkseg></trk>").encode()


def _points(numbers, lat: str = "") -> str:
    return "".join(
        f'<trkpt lat="{lat or 46 + number / 1e6:.10}" lon="7.9"><time>2031-05-03T'
        f"{number // 3600 % 24:02d}:{number // 60 % 60:02d}:{number % 60:02d}Z</time></trkpt>"
        for number in numbers
    )


def _tracks() -> Iterator[Case]:
    grown = "".join(f'<!ENTITY a{n} "{f"&a{n - 1};" * 10}">' for n in range(1, 9))
    laughs = f'<?xml version="1.0"?><!DOCTYPE gpx [<!ENTITY a0 "ha">{grown}]>'
    outside = '<?xml version="1.0"?><!DOCTYPE gpx [<!ENTITY x SYSTEM "file:///etc/hostname">]>'
    named = GPX.format("<trk><name>&{};</name></trk>")
    inside = f'<trkpt lat="46" lon="7.9">{"<a/>" * 740_000}</trkpt>'
    name = b"<trk><name>%s</name>" % (b"x" * 19 * MB)
    yield "entities that grow", lambda: (laughs + named.format("a8")).encode(), "entities"
    yield "an entity from outside", lambda: (outside + named.format("x")).encode(), "entities"
    yield "50 MB", lambda: _track("").ljust(50 * MB), "48 MB"
    yield "nested 100,000 deep", lambda: GPX.format("<a>" * 100_000).encode(), "nested"
    yield "19 MB of empty elements", lambda: GPX.format("<a/>" * 4_700_000).encode(), "nested"
    yield "740,000 elements inside one point", lambda: _track(inside), ""
    yield "a name of 19 MB", lambda: _track(_points(range(9))).replace(b"<trk>", name), ""
    yield "as many points as are taken", lambda: _track(_points(range(50_000))), ""
    yield "a point more", lambda: _track(_points(range(50_001))), "more than 50,000 points"
    yield "no number", lambda: _track(_points([1], "NaN")), "usable position"
    yield "latitude 91", lambda: _track(_points([1], "91")), "usable position"
    yield "times running backwards", lambda: _track(_points(range(9_000, 8_000, -9))), ""
    yield "UTF-16 with its mark", lambda: _track(_points(range(30))).decode().encode("utf-16"), ""
    yield "UTF-16 without", lambda: _track(_points(range(31))).decode().encode("utf-16-le"), ""


# --- Tables -----------------------------------------------------------------------------------
def _wide() -> bytes:
    return b",".join([b"a"] * MB) + b"\n1\n"


def _sheets() -> Iterator[Case]:
    many = SHEET[:25] + b"2031-05-04,Alder Bend,0.4,5\n" * 5_000
    yield "a million columns", _wide, "more than 60 columns"
    yield "a cell of 10 MB", lambda: SHEET + b"x" * 10 * MB, "at most 5,000,000"
    yield "a cell of 4.9 MB", lambda: SHEET + b"x" * 4_900_000, ""
    yield "2.4 million lines", lambda: b"a\n" * 2_400_000, "more than 5,000 lines"
    yield "lines of empty cells", lambda: b"a,b\n" + (b"," * 40 + b"\n") * 60_000, "no line below"
    yield "NUL bytes", lambda: SHEET + b"\0\0\0,\0\n", "zero bytes"
    yield "mixed ends of lines", lambda: SHEET + b"2031-05-04,A,1,2\r2031-05-05,A,1,2\r\n", ""
    yield "a lone quote", lambda: SHEET + b'2031-05-04,"A,1,2\n', ""
    yield "as many lines as are taken", lambda: many, ""


def _prices() -> Iterator[Case]:
    yield "a million columns", _wide, "at most 2,000"
    yield "4.4 MB of ends of lines", lambda: b"date,price\n" + b"\n" * 4_400_000, "no line with"
    yield "19,000 lines", lambda: b"date,price\n" + b"2031-05-03,61.5\n" * 19_000, ""


def _peaks() -> Iterator[Case]:
    number = "could not be read as a number"
    for text, says in (
        ("1e309", number),
        ("NaN", number),
        ("1" * 400, "is too long"),
        ("−5", "is not above zero"),
        ("١٢", ""),  # read as 12
    ):
        table = f"date,peak\n2021-05-03,{text}\n".encode()
        yield f"a peak of {text[:8]}", lambda table=table: table, says


def zipped(parts: dict[str, bytes], how: int = zipfile.ZIP_DEFLATED) -> bytes:
    """A zip of these files."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", how) as made:
        for name, content in parts.items():
            made.writestr(name, content)
    return out.getvalue()


def _book(part: str = "", content: Make = bytes, cells=(1, 2)) -> Make:
    """A spreadsheet in which one part is another."""

    def make() -> bytes:
        from openpyxl import Workbook  # type: ignore[import-untyped]

        book, out = Workbook(), io.BytesIO()
        book.active.append(("Date", "Gold (g)"))
        book.active.append(cells)
        book.save(out)
        with zipfile.ZipFile(out) as made:
            parts = {name: made.read(name) for name in made.namelist()}
        return zipped(parts | ({part: content()} if part else {}))

    return make


def _sheet(inside: bytes, before: bytes = b"") -> Make:
    whole = b"%s<worksheet xmlns='%s'><sheetData>%s</sheetData></worksheet>"
    return _book("xl/worksheets/sheet1.xml", lambda: whole % (before, MAIN, inside))


def _books() -> Iterator[Case]:
    texts = b"<sst xmlns='%s'>" % MAIN
    grown = b"".join(b'<!ENTITY a%d "%s">' % (n, b"&a%d;" % (n - 1) * 10) for n in range(1, 9))
    laughs = b'<!DOCTYPE a [<!ENTITY a0 "ha">%s]>' % grown
    last = b'<row r="1048576"><c r="A1048576"><v>1</v></c></row>'
    link = _book("xl/externalLinks/externalLink1.xml", lambda: b"<externalLink/>")
    yield "a bomb of 400 MB", _book("xl/media/a", lambda: b"0" * 400 * MB), "Unpacked"
    yield (
        "58 MB of texts",
        _book("xl/sharedStrings.xml", lambda: texts + b"<si><t>a</t></si>" * 3_400_000),
        "marks",
    )
    yield "58 MB of styles", _book("xl/styles.xml", lambda: b"<xf/>" * 11_600_000), "marks"
    yield "a line of 3.8 million cells", _sheet(b"<c><v>1</v></c>" * 3_800_000), "marks"
    yield "1.4 million lines", _sheet(b"<row><c><v>1</v></c></row>" * 1_400_000), "marks"
    yield (
        "a line of as many cells as are read",
        _sheet(b"<row>" + b"<c><v>1</v></c>" * 300_000 + b"</row>"),
        "",
    )
    yield "a million empty lines", _sheet(b"<row/>" * MB), "nothing in it"
    yield "a cell in line 1,048,576", _sheet(last), "nothing in it"
    yield "entities that grow", _sheet(b"<row><c><v>&a8;</v></c></row>", laughs), "opened"
    yield "formulas", _book(cells=("=1+1", "=cmd|' /C calc'!A0")), ""
    yield "links to another book", link, ""
    yield "behind a password", lambda: b"\xd0\xcf\x11\xe0".ljust(6_000, b"\0"), "password"
    yield "cut off", lambda: _book()()[:900], "damaged"


# --- Outlines and packs -----------------------------------------------------------------------
def _ring(*points) -> bytes:
    return json.dumps({"type": "Polygon", "coordinates": [points]}).encode()


def _outlines() -> Iterator[Case]:
    cross, away = _ring([7, 46], [8, 47], [8, 46], [7, 47]), _ring([200, 46], [201, 46], [201, 47])
    many = [[7.9 + n / MB, 46.5] for n in range(MB)]
    digits = b'{"type":"Point","coordinates":[%s]}' % (b"9" * 5_000)
    yield "a million points", lambda: _ring(*many), "at most 2,"
    yield "1.8 MB of empty lists", lambda: b"[%s]" % PARTS, "isn't GeoJSON"
    yield "nested 900,000 deep", lambda: b"[" * 900_000, "nested"
    yield "an outline that crosses itself", lambda: cross, "crosses itself"
    yield "outside the world", lambda: away, "outside the world"
    yield "no number", lambda: b'{"type":"Point","coordinates":[NaN,1e999]}', "no number"
    yield "5,000 digits", lambda: digits, "no position can have"


def _packs() -> Iterator[Case]:
    rules = b"".join(b'[[rule]]\nid = "r%d"\n' % n for n in range(10_000))
    keys = b"".join(b"k%d%s = 1\n" % (n, b".a" * 2_000) for n in range(400))
    tables = b"".join(b"[t%d]\n" % n for n in range(190_000))
    yield "50 MB", lambda: b"a = 1\n" * 8_400_000, "at most 2 MB"
    yield "10,000 rules", lambda: rules, "hills.toml"
    yield "nested 900,000 deep", lambda: b"a = " + b"[" * 900_000, "nested"
    yield "a key of 900,000 parts", lambda: b"a" + b".a" * 900_000 + b" = 1\n", "nested"
    yield "400 keys of 2,000 parts", lambda: keys, "nested"
    yield "190,000 tables", lambda: tables, "hills.toml"
    yield "1.9 million digits", lambda: b"a = " + b"9" * 1_900_000, "can't be read"
    yield "a fraction of 1.9 million digits", lambda: b"a = 0." + b"9" * 1_900_000, "can't be read"


# --- Field files and whole records ------------------------------------------------------------
def _entry(number: int, **other) -> dict:
    key = str(uuid.UUID(int=number, version=4))
    body = {"what": "food", "amount": "1.20"}
    return {"id": key, "record": key, "kind": "cost", "trip": None, "body": body} | other


def _batch(entries: list, **other) -> bytes:
    # The drill's record is the first of its database.
    return json.dumps({"device": "drill", "party": 1, "entries": entries} | other).encode()


def _entries(too_many: str) -> Iterator[Case]:
    strange = [7, [], {"id": 3}, _entry(1, kind=4), _entry(2, body=[])]
    late = {"day": "9999-12-31", "text": "x"}
    year = _entry(4, kind="note", at="9999-12-31T23:59:59Z", body=late)
    nobodys = _entry(3, trip=str(uuid.UUID(int=9, version=4)))
    yield "100,000 entries", lambda: _batch([_entry(n) for n in range(100_000)]), too_many
    yield "nested 900,000 deep", lambda: b"[" * 900_000, "isn't"
    yield "1.8 MB of empty lists", lambda: b'{"entries":[%s]}' % PARTS, "t"
    yield "wrong types", lambda: _batch(strange), ""
    yield "a trip of nobody's", lambda: _batch([nobodys]), ""
    yield "the year 9999", lambda: _batch([year]), ""
    yield "5,000 digits", lambda: b'{"entries":[{"id":%s}]}' % (b"9" * 5_000), "isn't"


def _field_files() -> Iterator[Case]:
    lists = b'{"entries":[%s]}' % (b"[]," * 13_000_000 + b"[]")
    yield "39 MB of empty lists", lambda: lists, "filled as no field file is"
    yield "50 MB", lambda: b" " * 50 * MB, "at most 40 MB"
    yield "another record's", lambda: _batch([], party=999_999), "another record"


def _record(name: str, content: bytes) -> bytes:
    about = json.dumps({"kind": "gravel ledger record", "format": 1}).encode()
    party = b"id,name,currency,time_zone\n1,Drill,EUR,UTC\n"
    return zipped({"record.json": about, "tables/parties.csv": party, name: content})


def _records() -> Iterator[Case]:
    costs = "tables/costs.csv"
    row = b",".join([b"a"] * MB) + b"\n" + b",".join([b"1"] * 28 * MB)
    files = {f"files/{n}": b"" for n in range(20_100)} | {"record.json": b"{}"}
    about = {"record.json": b"[%s]" % (b"[]," * 19_600_000)}
    yield "no zip", lambda: b"gravel" * 99, "no zip file"
    yield "a table of 400 MB", lambda: _record(costs, b"0" * 400 * MB), "larger than 60 MB"
    yield "a cell of 59 MB", lambda: _record(costs, b"id\n" + b"0" * 59 * MB), "letters"
    yield "29 million lines", lambda: _record(costs, b"id\n" + b"1\n" * 29 * MB), "line 2"
    yield "29 million cells", lambda: _record(costs, row), "letters"
    yield "its list of 59 MB", lambda: zipped(about), "larger than 0.1 MB"
    yield "20,100 files", lambda: zipped(files), "at most 20000"
    yield (
        "packed by another way",
        lambda: zipped({"record.json": b"{}"}, zipfile.ZIP_LZMA),
        "packed",
    )
    yield "a million marks of parts", lambda: b"PK\1\2" * MB, "more than 20000"
    yield "a path that climbs out", lambda: _record("files/../../evil", b"x"), "doesn't belong"
    yield "a part of another program's", lambda: _record("xl/book.xml", b"x"), "doesn't belong"
