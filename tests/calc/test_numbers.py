from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trips.calc.errors import NotANumber
from trips.calc.numbers import MAX_LENGTH, parse_decimal


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("12", "12"),
        ("0,5", "0.5"),
        ("0.5", "0.5"),
        (".5", "0.5"),
        ("5.", "5"),
        ("1.234", "1.234"),
        ("1,234", "1.234"),
        ("1,234.5", "1234.5"),
        ("1.234,5", "1234.5"),
        ("1.234.567", "1234567"),
        ("1,234,567", "1234567"),
        ("1,234,567.89", "1234567.89"),
        ("1 234,5", "1234.5"),
        ("1\u00a0234\u00a0567", "1234567"),
        ("1\u202f234,5", "1234.5"),
        ("1'234.5", "1234.5"),
        ("1’234.5", "1234.5"),
        ("\u22125,25", "-5.25"),
        ("-5", "-5"),
        ("+5", "5"),
        ("٣٫٥", "3.5"),
        ("١٬٢٣٤٫٥", "1234.5"),
        ("१२.५", "12.5"),
        ("  7 \n", "7"),
        ("\u200e7,5\u200f", "7.5"),
    ],
)
def test_reads_what_people_type(text, expected):
    assert parse_decimal(text) == Decimal(expected)


@pytest.mark.parametrize(
    "text",
    [
        "",
        " ",
        "-",
        ".",
        ",",
        "abc",
        "12 g",
        "NaN",
        "inf",
        "-Infinity",
        "1e309",
        "1e3",
        "5-",
        "--5",
        "1.2.3",
        "1,23,456",
        "12 34",
        "1 2",
        "0.123.456",
        "1.234,567,8",
        "1,2.3,4",
        "1.5 000",
        "²",
        "0x10",
        "1_000",
        "1/2",
        "1.234 567,8",
        "(5)",
        "1\x002",
    ],
)
def test_refuses_what_is_not_one_plain_number_and_names_it(text):
    with pytest.raises(NotANumber) as refusal:
        parse_decimal(text)
    assert text in str(refusal.value)


def test_refuses_a_text_that_is_too_long():
    assert parse_decimal("1" * MAX_LENGTH) == Decimal("1" * MAX_LENGTH)
    with pytest.raises(NotANumber, match="too long"):
        parse_decimal("1" * (MAX_LENGTH + 1))


@given(st.decimals(-(10**12), 10**12, places=6), st.sampled_from([".", ","]))
def test_reads_back_what_was_written_with_either_mark(value, mark):
    assert parse_decimal(f"{value:f}".replace(".", mark)) == value


@given(
    st.decimals(-(10**12), 10**12, places=3), st.sampled_from([",.", ".,", " ,", "'.", "\u202f,"])
)
def test_reads_back_grouped_thousands(value, marks):
    grouped = f"{value:,f}".replace(",", "G").replace(".", "D")
    assert parse_decimal(grouped.replace("G", marks[0]).replace("D", marks[1])) == value


@given(st.text(max_size=50))
def test_any_text_gives_a_finite_number_or_a_refusal(text):
    try:
        value = parse_decimal(text)
    except NotANumber:
        return
    assert value.is_finite()


@pytest.mark.parametrize(
    ("text", "own_mark", "one", "other"),
    [
        ("1,234", ".", "1.234", "1234"),
        ("1.234", ",", "1,234", "1234"),
        ("-12,345", ".", "-12.345", "-12345"),
        ("123.456", ",", "123,456", "123456"),
        ("١٢٣,٤٥٦", ".", "123.456", "123456"),
    ],
)
def test_a_number_with_two_meanings_is_refused_and_both_are_named(text, own_mark, one, other):
    with pytest.raises(NotANumber) as caught:
        parse_decimal(text, own_mark)
    assert f"Write {one} or {other}." in str(caught.value)


@pytest.mark.parametrize("own_mark", [".", ","])
@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("0,885", "0.885"),
        ("0.885", "0.885"),
        ("1,5", "1.5"),
        ("1.5", "1.5"),
        ("1,23", "1.23"),
        ("1.2345", "1.2345"),
        ("1234,567", "1234.567"),
        ("1,234.5", "1234.5"),
        ("1.234,5", "1234.5"),
        ("1,234,567", "1234567"),
    ],
)
def test_both_marks_are_read_where_only_one_meaning_is_left(text, own_mark, expected):
    assert parse_decimal(text, own_mark) == Decimal(expected)


@pytest.mark.parametrize(("text", "own_mark"), [("1.234", "."), ("1,234", ",")])
def test_ones_own_mark_is_never_asked_about(text, own_mark):
    assert parse_decimal(text, own_mark) == Decimal("1.234")
