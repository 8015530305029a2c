"""The frozen report: cells as people read them, and a choice of columns."""

import datetime as dt
from decimal import Decimal

import pytest

from reports.figures.report import Column, Report, cell_text

REPORT = Report(
    report_id="x",
    title="X",
    as_of=dt.date(2031, 5, 3),
    party_name="P",
    currency="EUR",
    filters=(),
    columns=(Column("a", "A"), Column("b", "B", "g", "right"), Column("c", "C")),
    rows=(("one", Decimal("1.50"), None), ("two", None, 3)),
    totals=("all", Decimal("1.50"), 3),
)


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (None, "unknown"),
        (0, "0"),
        (Decimal("-1234.50"), "\u22121\u202f234.50"),
        (dt.date(2031, 5, 3), "3 May 2031"),
        (True, "yes"),
        ("-5 is text", "-5 is text"),
    ],
)
def test_a_cell_reads_as_people_write_it(value, text):
    assert cell_text(value) == text


def test_headers_carry_units_and_files_carry_bare_values_with_totals():
    assert REPORT.headers == ("A", "B (g)", "C")
    assert REPORT.file_rows[-1] == ("all", Decimal("1.50"), 3)
    assert REPORT.text_rows[1] == ("two", "unknown", "3")


def test_fewer_columns_keep_their_cells():
    short = REPORT.only("a", "c")
    assert short.headers == ("A", "C")
    assert short.rows == (("one", None), ("two", 3))
    assert short.totals == ("all", 3)


def test_people_see_a_range_in_the_digits_it_knows_and_files_every_digit():
    row = ("one", Decimal("1.21"), Decimal("2.50"), Decimal("3.92"))
    ranged = Report(
        report_id="x",
        title="X",
        as_of=dt.date(2031, 5, 3),
        party_name="P",
        currency="EUR",
        filters=(),
        columns=tuple(Column(key, key) for key in ("name", "low", "best", "high")),
        rows=(row, ("two", None, Decimal("4.56"), None)),
        totals=row,
        ranged=("low", "best", "high"),
    )
    assert ranged.text_rows[0] == ranged.text_totals == ("one", "1.2", "2.5", "3.9")
    assert ranged.text_rows[1] == ("two", "unknown", "4.56", "unknown")
    assert ranged.file_rows == (row, ranged.rows[1], row)
    assert ranged.only("best").text_rows == (("2.5",), ("4.56",))
