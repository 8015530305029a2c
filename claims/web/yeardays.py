"""A day of every year: typed as people write it, kept as "MM-DD", shown in words."""

import calendar
import datetime as dt
import re
import unicodedata

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext

from claims.rules.terms import LEAP_YEAR, month_day
from trips.calc import local

STORED = re.compile(r"\d\d-\d\d")
TWO_NUMBERS = re.compile(r"(\d{1,2})\s*([-/.])\s*(\d{1,2})\s*\.?")
NUMBER = re.compile(r"\d+")
LEAST_LETTERS = 3  # of an English month: "sep", "sept", "september"


def read_year_day(text: str) -> str:
    """A day and month as "MM-DD": "15 April", "April 15", "15.4.", "04-15", "15/4".

    With a dash the month comes first, with points the day does, unless only the other way round
    there is such a day; with a stroke both are in use, so a day that can mean two is refused. Names
    of months are read in English and as the reader's region writes them.
    Raises: ValueError saying what was expected, or which two days it can mean.
    """
    plain = _plain_digits(text)
    numbers = TWO_NUMBERS.fullmatch(plain)
    if numbers:
        return _of_numbers(int(numbers[1]), numbers[2], int(numbers[3]), text)
    days = NUMBER.findall(plain)
    named = len(days) == 1 and len(days[0]) <= 2
    if named and (month := _month_named(plain, int(days[0]))):
        return month_day(f"{month}-{days[0]}")
    wrong = gettext("Expected a day and a month such as 15 April, 15.4. or 04-15, not “{text}”.")
    raise ValueError(wrong.format(text=text))


def year_day_words(stored: str) -> str:
    """A "MM-DD" as its box shows it: in words that are read back as the same day.

    What isn't a day of any year stays as it is.
    """
    month, day = (int(part) for part in stored.split("-"))
    if not _day(month, day):
        return stored
    words = local.month_and_day(month, day)
    try:
        return words if read_year_day(words) == stored else stored
    except ValueError:
        return stored


def _plain_digits(text: str) -> str:
    return "".join(
        str(unicodedata.decimal(each)) if unicodedata.decimal(each, None) is not None else each
        for each in text.strip()
    )


def _of_numbers(first: int, mark: str, second: int, text: str) -> str:
    month_first, day_first = _day(first, second), _day(second, first)
    if mark == "/" and month_first and day_first and month_first != day_first:
        raise ValueError(
            gettext("“{text}” can be {one} or {other}: write the month in letters.").format(
                text=text, one=year_day_words(day_first), other=year_day_words(month_first)
            )
        )
    found = (day_first or month_first) if mark == "." else (month_first or day_first)
    if found:
        return found
    # Neither way round: say what is wrong with the likelier one.
    month, day = (first, second) if second > 12 or mark == "-" else (second, first)
    return month_day(f"{month}-{day}")


def _day(month: int, day: int) -> str:
    if not 1 <= month <= 12 or not 1 <= day <= calendar.monthrange(LEAP_YEAR, month)[1]:
        return ""
    return f"{month:02d}-{day:02d}"


def _month_named(plain: str, day: int) -> int | None:
    """The month whose name stands beside the day, 1 to 12."""
    word = _letters(plain)
    if len(word) >= LEAST_LETTERS:
        for month in range(1, 13):
            if calendar.month_name[month].casefold().startswith(word):
                return month
    for month in range(1, 13) if word else ():
        last = calendar.monthrange(LEAP_YEAR, month)[1]
        at = dt.date(LEAP_YEAR, month, min(max(day, 1), last))
        if word in map(_letters, (local.month_and_day(month, at.day), local.day_of_month(at))):
            return month
    return None


def _letters(text: str) -> str:
    """Letters and their marks alone, in one case; "of", as in "15th of April", isn't counted."""
    kept = re.sub(r"(?<=\d)(st|nd|rd|th)\b|\bof\b", " ", text.casefold())
    return "".join(each for each in kept if unicodedata.category(each)[0] in "LM")


class MonthDayField(forms.CharField):
    """A day of every year, kept as "MM-DD"; a day that no year has is refused in words."""

    def __init__(self, **kwargs):
        kwargs.setdefault("max_length", 40)
        super().__init__(**kwargs)
        self.widget.attrs.update(autocomplete="off")

    def clean(self, value):
        text = super().clean(value)
        if not text:
            return ""
        try:
            return read_year_day(text)
        except ValueError as error:
            raise ValidationError(str(error), "month_day") from error

    def prepare_value(self, value):
        return year_day_words(value) if value and STORED.fullmatch(value) else value

    def has_changed(self, initial, data):
        try:
            return self.clean(data) != (initial or "")
        except ValidationError:
            return True
