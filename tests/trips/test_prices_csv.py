"""Tables of prices as text: what is read, what is refused and in which words."""

import csv
import datetime as dt
import io
import os
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trips.calc import price_csv
from trips.calc.price_csv import (
    PriceFileError,
    PriceLine,
    decode,
    plan_import,
    read_prices,
    read_sheet,
)

LATEST = dt.date(2031, 6, 15)
MONTHLY = "month,usd_per_troy_ounce\n2031-01,410.000\n2031-02,417.5\n"


def read(text, **overrides):
    sheet = read_sheet(text)
    options = {
        "date_column": 0,
        "price_column": 1,
        "decimal_mark": ".",
        "month_day": "last",
        "latest": LATEST,
    }
    return read_prices(sheet, **options | overrides)


def amounts(text, **overrides):
    return [(line.day.isoformat(), line.amount_micros) for line in read(text, **overrides).good]


def reasons(text, **overrides):
    return [(r.line, r.column, r.reason) for r in read(text, **overrides).refused]


def test_headers_give_unit_currency_and_columns():
    guess = read_sheet(MONTHLY).guess
    assert (guess.date_column, guess.price_column) == (0, 1)
    assert (guess.per_unit, guess.currency, guess.is_monthly) == ("ozt", "USD", True)


@pytest.mark.parametrize(
    ("header", "unit", "currency"),
    [
        ("day,EUR per gram", "g", "EUR"),
        ("day,price (€/g)", "g", "EUR"),
        ("day,gold_gbp_oz", "ozt", "GBP"),
        ("day,close", None, None),
        ("day,$ per ounce", "ozt", None),  # several currencies are written with this sign
    ],
)
def test_what_a_header_does_not_say_is_not_guessed(header, unit, currency):
    guess = read_sheet(f"{header}\n2031-01-02,100\n").guess
    assert (guess.per_unit, guess.currency) == (unit, currency)


def test_columns_are_found_in_any_order_and_beside_others():
    guess = read_sheet("nr;usd per oz;date\n1;410,5;2031-01-02\n2;411,5;2031-01-03\n").guess
    assert (guess.date_column, guess.price_column, guess.decimal_mark) == (2, 1, ",")


def test_a_price_of_four_digits_with_decimals_is_not_taken_for_a_month():
    guess = read_sheet("usd per oz,month\n4175.50,2031-01\n4175.1,2031-02\n").guess
    assert (guess.date_column, guess.price_column) == (1, 0)


def test_a_month_stands_on_its_last_day_or_on_its_first():
    text = "month,usd\n2028-02,1\n2031-12,2\n2031-04,3\n"
    late = {"latest": dt.date(2032, 1, 1)}
    assert [d for d, _ in amounts(text, **late)] == ["2028-02-29", "2031-04-30", "2031-12-31"]
    assert [d for d, _ in amounts(text, month_day="first", **late)] == [
        "2028-02-01",
        "2031-04-01",
        "2031-12-01",
    ]


def test_a_month_that_is_not_over_is_refused_on_its_last_day_but_not_on_its_first():
    text = "month,usd\n2031-06,4000\n"
    [(line, column, reason)] = reasons(text)
    assert (line, column) == (2, "month")
    assert "2031-06-30" in reason
    assert amounts(text, month_day="first") == [("2031-06-01", 4_000_000_000)]


@pytest.mark.parametrize(("day", "is_taken"), [("2031-06-15", True), ("2031-06-16", False)])
def test_both_sides_of_the_latest_day(day, is_taken):
    assert bool(amounts(f"day,usd\n{day},1\n")) is is_taken


@pytest.mark.parametrize(
    "text",
    [
        "day,price\n2031-01-02,1234.5\n",
        "\ufeffday,price\r\n2031-01-02,1234.5\r\n",
        "day;price\r2031-01-02;1234.5\r",
        "day\tprice\n\n \n2031/1/2\t 1 234.5 \n\n",
        'day,price\n2031-01-02,"1,234.50"\n',
        "day,price,\n2031-01-02 00:00:00,1234.5,\n",
        "day,price\n2031-01-02T00:00:00Z,١٢٣٤.٥\n",
    ],
)
def test_the_same_price_in_many_dresses(text):
    assert amounts(text) == [("2031-01-02", 1_234_500_000)]


def test_decimal_commas_come_with_semicolons():
    text = "day;price\n2031-01-02;1.234,50\n2031-01-03;51,234\n2031-01-04;1 000\n"
    assert [micros for _, micros in amounts(text, decimal_mark=",")] == [
        1_234_500_000,
        51_234_000,
        1_000_000_000,
    ]


def test_a_lone_comma_before_three_digits_is_never_a_decimal_mark_when_the_mark_is_a_point():
    assert amounts('day,price\n2031-01-02,"1,234"\n') == [("2031-01-02", 1_234_000_000)]


@pytest.mark.parametrize(
    ("row", "column", "words"),
    [
        ("2031-01-02,0", "usd", "more than zero"),
        ("2031-01-02,-4", "usd", "more than zero"),
        ("2031-01-02,", "usd", "missing"),
        (",400", "day", "missing"),
        ("2031-13-01,400", "day", "not a date"),
        ("2031-02-29,400", "day", "not a date"),
        ("3.5.2031,400", "day", "not a date"),
        ("05/03/2031,400", "day", "not a date"),
        ("2031-01-02 14:30:00,400", "day", "not a date"),
        ("0031-01-02,400", "day", "before 1800"),
        ("2032-01-02,400", "day", "still to come"),
        ("9999-12,400", "day", "still to come"),
        ("2031-01-02,1e309", "usd", "number"),
        ("2031-01-02,NaN", "usd", "number"),
        ("2031-01-02,n/a", "usd", "number"),
        ("2031-01-02,$400", "usd", "number"),
        ('2031-01-02,"12,34"', "usd", "groups of three"),
        ("2031-01-02,1.2.3", "usd", "marks"),
        ('2031-01-02,"1.234,5"', "usd", "marks"),
        ("2031-01-02,99999999999", "usd", "more than 1,000,000,000"),
        ("2031-01-02,0.0000001", "usd", "millionth"),
        ("2031-01-02,=1+1", "usd", "number"),
        ("2031-01-02", "", "1 column where the header has 2"),
        ("2031-01-02,400,50", "", "decimal commas"),
        ('2031-01-02,"400', "", "quotation mark"),
        ("2031-01-02," + "4" * 3000, "", "characters"),
    ],
)
def test_a_bad_line_is_refused_by_number_column_and_reason_and_the_others_are_kept(
    row, column, words
):
    text = f"day,usd\n2031-01-01,399\n\n{row}\n2031-01-05,401\n"
    [(line, named, reason)] = reasons(text)
    assert (line, named) == (4, column)
    assert words in reason
    assert [day for day, _ in amounts(text)] == ["2031-01-01", "2031-01-05"]


def test_the_same_day_and_price_twice_counts_once():
    found = read("day,usd\n2031-01-02,400\n2031-01-02,400.0\n")
    assert (len(found.good), found.repeated, found.refused) == (1, 1, ())


def test_two_prices_for_one_day_are_both_refused_and_name_each_other():
    found = reasons("day,usd\n2031-01-02,400\n2031-01-03,1\n2031-01-02,410\n")
    assert [line for line, _, _ in found] == [2, 4]
    assert all("lines 2, 4" in reason for _, _, reason in found)


def test_more_than_six_decimals_are_rounded_and_said():
    [line] = read("day,usd\n2031-01-02,131.1234565\n").good
    assert (line.amount_micros, line.is_rounded) == (131_123_456, True)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "nothing in it"),
        (" \n\n", "nothing in it"),
        ("2031-01,410.000\n2031-02,417\n", "names of the columns"),
        ("month,usd\n", "no line with a price"),
        ("price\n400\n", "Only one column"),
        ("day,usd\n2031-01-01,\x001\n", "not a text file"),
        ("day," * 60 + "\n1\n", "columns"),
        ("x," * 5000 + "\n1\n", "characters"),
        ('day,"usd\n2031-01-01,4\n', "quotation mark"),
        ("day,usd\n" + "2031-01-01,4\n" * 20_000, "20,001 lines"),
        ("day,usd\n" + "x" * price_csv.MAX_BYTES, "too long"),
    ],
)
def test_a_text_that_is_no_table_is_refused_with_words(text, words):
    with pytest.raises(PriceFileError, match=words):
        read_sheet(text)


def test_twenty_thousand_lines_are_read():
    first = dt.date(1970, 1, 1)
    days = "".join(f"{first + dt.timedelta(days=n)},400\n" for n in range(19_999))
    assert len(read("day,usd\n" + days).good) == 19_999


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
def test_files_in_the_usual_encodings_are_read(encoding):
    assert amounts(decode("day,preis_€\n2031-01-02,4\n".encode(encoding)))


@pytest.mark.parametrize(
    ("data", "words"),
    [
        ("day,preis_€\n".encode("cp1252"), "not in UTF-8"),
        (b"PK\x03\x04rest", "spreadsheet"),
        (b"\xd0\xcf\x11\xe0rest", "spreadsheet"),
        (b"\xff\xfe\x00", "not in UTF-8"),
        (b"x" * (price_csv.MAX_BYTES + 1), "at most"),
    ],
)
def test_files_in_other_encodings_are_refused_with_words(data, words):
    with pytest.raises(PriceFileError, match=words):
        decode(data)


def test_plan_tells_new_same_and_differing_apart():
    lines = [PriceLine(n, dt.date(2031, 1, n), 100) for n in (1, 2, 3, 4)]
    stored = {
        dt.date(2031, 1, 2): (100, "ozt"),
        dt.date(2031, 1, 3): (101, "ozt"),
        dt.date(2031, 1, 4): (100, "g"),
    }
    plan = plan_import(lines, "ozt", stored)
    assert [line.line for line in plan.new] == [1]
    assert [line.line for line in plan.same] == [2]
    assert [each.line.line for each in plan.differing] == [3, 4]


PRICES = st.decimals(Decimal("0.01"), Decimal(10**6), places=2)
DAYS = st.dates(dt.date(1900, 1, 1), LATEST)


@given(st.dictionaries(DAYS, PRICES, min_size=1, max_size=20), st.sampled_from(",;\t"))
def test_what_was_written_is_read_back(prices, delimiter):
    out = io.StringIO()
    writer = csv.writer(out, delimiter=delimiter)
    writer.writerows([("day", "usd"), *prices.items()])
    found = read(out.getvalue())
    assert {line.day: Decimal(line.amount_micros) / 10**6 for line in found.good} == prices
    assert not found.refused


@given(st.text(max_size=300))
def test_any_text_is_read_or_refused_in_words_and_no_line_is_lost(tail):
    text = f"day,usd\n2031-01-02,400\n{tail}"
    try:
        sheet = read_sheet(text)
    except PriceFileError:
        return
    found = read(text)
    used = len(found.good) + len(found.refused) + found.repeated
    assert used == len(sheet.rows) + len(sheet.refused)
    assert all(line.amount_micros > 0 for line in found.good)


@pytest.mark.outside("A series of monthly gold prices, 438 months from 1990-01 (file seen)")
def test_the_real_monthly_file_is_read_whole():
    folder = os.environ.get("REAL_DATA_DIR")
    if not folder:
        pytest.skip("REAL_DATA_DIR is not set: the real price file is not part of the repository")
    text = decode((Path(folder) / "gold-price-monthly-usd.csv").read_bytes())
    sheet = read_sheet(text)
    assert (sheet.guess.per_unit, sheet.guess.currency) == ("ozt", "USD")
    found = read(text, latest=dt.date(2026, 7, 1))
    assert (len(found.good), found.refused, found.repeated) == (438, (), 0)
    first, last = found.good[0], found.good[-1]
    assert (first.day, first.amount_micros) == (dt.date(1990, 1, 31), 410_000_000)
    assert (last.day, last.amount_micros) == (dt.date(2026, 6, 30), 4_228_000_000)
