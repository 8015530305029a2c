"""What lines of a spreadsheet are read as, and why others are refused."""

import datetime as dt
import io
import zipfile

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trips.calc.sheet_columns import TARGETS, guess_columns
from trips.calc.sheet_file import MAX_BYTES, SheetError, SheetLine, read_file
from trips.calc.sheet_rows import Reading, read_lines

TODAY = dt.date(2031, 10, 12)
KEYS = [target.key for target in TARGETS]
COLUMNS = {key: number for number, key in enumerate(KEYS)}
HEADERS = [target.name for target in TARGETS]


def read_one(*, day_first=None, **cells):
    cells = {"date": "2031-05-03", "site": "Old bend"} | cells
    line = SheetLine(2, tuple(cells.get(key, "") for key in KEYS))
    reading = Reading(today=TODAY, currency="EUR", day_first=day_first)
    return read_lines([line], HEADERS, COLUMNS, reading)


def test_a_full_line_is_read_in_stored_units():
    [trip], refused = read_one(
        end="2031-05-04", work="6,5", drive="1:40", km="88", volume="240", mass="0,31",
        coarse="1", medium="6", fine="0", fuel="14.20", people="Ann; Ben; Ann", note="good day",
    )  # fmt: skip
    assert refused == []
    assert (trip.work_minutes, trip.drive_minutes, trip.driven_m) == (390, 100, 88_000)
    assert (trip.volume_ml, trip.mass_ug) == (240_000, 310_000)
    assert (trip.coarse, trip.medium, trip.fine) == (1, 6, 0)
    assert trip.costs_minor == {"fuel": 1420}
    assert trip.people == ("Ann", "Ben")


def test_an_empty_cell_is_not_known():
    [trip], _ = read_one()
    assert trip.work_minutes is None
    assert trip.mass_ug is None
    assert trip.costs_minor == {}
    assert trip.has_run is False


@pytest.mark.parametrize(
    ("cells", "column", "reason"),
    [
        ({"date": ""}, "Day", "was expected"),
        ({"date": "03.05.2031"}, "Day", "in which order"),
        ({"date": "2031-02-30"}, "Day", "no day of the calendar"),
        ({"date": "2031-10-13"}, "Day", "outside"),
        ({"site": ""}, "Site", "name of the site"),
        ({"site": "x" * 300}, "Site", "at most 120"),
        ({"end": "2031-05-02"}, "Last day", "before the first day"),
        ({"work": "20", "drive": "5"}, "Hours at the creek", "24 hours"),
        ({"work": "-2"}, "Hours at the creek", "0 to 1440"),
        ({"mass": "1e309"}, "Gold weighed", "number"),
        ({"mass": "abc"}, "Gold weighed", "number"),
        ({"mass": "-1"}, "Gold weighed", "from 0"),
        ({"fine": "3"}, "Gravel washed", "colours need the gravel"),
        ({"fine": "2.5", "volume": "10"}, "Fine colours", "whole number"),
        ({"fuel": "12 USD"}, "Fuel cost", "EUR was expected"),
        ({"fuel": "1,234"}, "Fuel cost", "too many decimals"),
        ({"note": "=1+1"}, "Note", "formula"),
        ({"note": "EXAMPLE: x"}, "Note", "example line"),
    ],
)
def test_a_bad_cell_names_its_column_and_what_was_expected(cells, column, reason):
    good, [refused] = read_one(**cells)
    assert good == []
    assert refused.line == 2
    assert refused.column == column
    assert reason in refused.reason


@pytest.mark.parametrize(("day_first", "month"), [(True, 5), (False, 3)])
def test_the_order_of_day_and_month_is_what_was_said(day_first, month):
    [trip], _ = read_one(date="03/05/2031", day_first=day_first)
    assert trip.starts_on.month == month


def test_the_templates_own_headers_are_recognised():
    assert guess_columns(HEADERS) == COLUMNS


def test_headers_in_other_words_are_recognised():
    found = guess_columns(["When", "Creek", "grams", "Litres washed", "unrelated", "km driven"])
    assert found == {"date": 0, "site": 1, "mass": 2, "volume": 3, "km": 5}


def test_semicolons_marks_and_quoted_line_breaks_are_read():
    data = '\ufeffDay;Site;Note\r\n2031-05-03;Süd;"a\nb"\r\n\r\n2031-05-04;Ост;x\r\n'.encode()
    sheet = read_file(data)
    assert sheet.headers == ("Day", "Site", "Note")
    assert [line.cells[1] for line in sheet.lines] == ["Süd", "Ост"]
    assert [line.number for line in sheet.lines] == [3, 5]


def test_an_xlsx_gives_dates_and_numbers_as_text():
    from openpyxl import Workbook

    book = Workbook()
    book.active.append(["Day", "Site", "Gold"])
    book.active.append([dt.datetime(2031, 5, 3), "Old bend", 0.31])  # noqa: DTZ001 a cell has no zone
    out = io.BytesIO()
    book.save(out)
    assert read_file(out.getvalue()).lines[0].cells == ("2031-05-03", "Old bend", "0.31")


def packed_bomb() -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("xl/worksheets/sheet1.xml", b"0" * 70_000_000)
    return out.getvalue()


def packed_by_another_way() -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_LZMA) as packed:
        packed.writestr("xl/worksheets/sheet1.xml", b"<worksheet/>")
    return out.getvalue()


def overfilled(part: str, tag: bytes, count: int) -> bytes:
    """A spreadsheet that packs small and would be a gigabyte of objects."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr(part, b"<styleSheet>" + tag * count)
    return out.getvalue()


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "nothing in it"),
        (b"Day,Site\n", "no line below"),
        (b"Day,Site\n\x00,x\n", "zero bytes"),
        (b"Day\xff,Site\n2,3\n", "UTF-8"),
        (b"\xd0\xcf\x11\xe0rest", "password"),
        (b"PK\x03\x04broken", "damaged"),
        (b"x" * (MAX_BYTES + 1), "at most"),
        (packed_bomb(), "Unpacked"),
        (packed_by_another_way(), "packed in a way"),
        (overfilled("xl/style2.xml", b"<xf/>", 60_000), "xl/style2.xml has more than 50,000"),
        (overfilled("xl/odd.bin", b"<xf/>", 60_000), "more than 50,000 marks"),
        (overfilled("xl/sharedStrings.xml", b"<si><t>a</t></si>", 101_000), "more than 400,000"),
        (overfilled("xl/worksheets/b.xml", b"<c><v>1</v></c>", 400_000), "more than 1,220,000"),
        ((",".join(["h"] * 61) + "\nx\n").encode(), "60 columns"),
        (b"Day,Site\n" + b"2031-05-03,A\n" * 5001, "5,000 lines"),
        (b"a\n" * 2_400_000, "5,000 lines"),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_a_file_that_cant_be_read_says_why(data, words):
    with pytest.raises(SheetError, match=words):
        read_file(data)


def test_a_line_with_too_many_cells_is_refused_alone():
    sheet = read_file(b"Day,Site\n2031-05-03,A\n2031-05-04,B,C\n")
    assert [bool(line.problem) for line in sheet.lines] == [False, True]


@given(st.lists(st.text(max_size=30), min_size=20, max_size=20))
def test_any_cells_are_read_or_refused_and_no_line_is_lost(cells):
    line = SheetLine(7, tuple(cell.strip() for cell in cells))
    reading = Reading(today=TODAY, currency="EUR", day_first=True)
    good, refused = read_lines([line], HEADERS, COLUMNS, reading)
    assert len(good) + len(refused) == 1
