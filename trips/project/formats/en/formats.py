"""Dates that nobody can misread; other languages keep their own."""

DATE_FORMAT = "j M Y"
SHORT_DATE_FORMAT = "Y-m-d"
DATETIME_FORMAT = "j M Y, H:i"
SHORT_DATETIME_FORMAT = "Y-m-d H:i"
TIME_FORMAT = "H:i"
MONTH_DAY_FORMAT = "j M"
YEAR_MONTH_FORMAT = "M Y"
FIRST_DAY_OF_WEEK = 1
DATE_INPUT_FORMATS = ["%Y-%m-%d", "%d.%m.%Y"]
DATETIME_INPUT_FORMATS = ["%Y-%m-%dT%H:%M", "%Y-%m-%d %H:%M"]
