"""What the tests of the pages about people and ground share."""

import csv
import html
import io
import re

from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from openpyxl import load_workbook

LONG = "x" * 300
HUGE = "9" * 30
SCRIPTS = (
    "Şüßwasser‑Bach",
    "金の小川",
    "جدول الذهب",
    "Ручей Золотой",
    "सोना नाला",
    "🏞️ bend",
    "<b>bold</b>",
)
NO_NUMBERS = ("abc", "-1", HUGE, "1e3", "1,2,3", "--", "NaN", "Infinity", "\x00")


def url(name: str, *args) -> str:
    return reverse(f"claims:{name}", args=args)


def text_of(response) -> str:
    """What a person reads: no tags, single spaces."""
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", response.content.decode())).split())


def errors_of(response):
    assert response.status_code == 200, response.status_code
    return response.context["page"].form.errors


def assert_refused(response, field: str, typed: str = "") -> str:
    """The form came back with a message at `field` and with what was typed; the message."""
    errors = errors_of(response)
    assert field in errors, errors
    if typed:
        assert html.escape(typed) in response.content.decode()
    return " ".join(errors[field])


def queries_of(client, address: str) -> int:
    with CaptureQueriesContext(
        connection,
    ) as seen:
        assert client.get(address).status_code == 200
    return len(seen)


def assert_sorts(client, address: str) -> None:
    """Every column that can be sorted is, both ways, and shows all rows each time."""
    table = client.get(address).context["table"]
    names = [column.name for column in table.columns if column.orderable]
    assert names
    rows = len(table.rows)
    mark = "&" if "?" in address else "?"
    for name in names:
        for order in (name, f"-{name}"):
            response = client.get(f"{address}{mark}sort={order}")
            assert response.status_code == 200, order
            assert len(response.context["table"].rows) == rows, order


def csv_rows(response) -> list[list[str]]:
    assert response["Content-Type"] == "text/csv; charset=utf-8"
    return list(csv.reader(io.StringIO(response.content.decode("utf-8-sig"))))


def xlsx_rows(response) -> list[tuple]:
    sheet = load_workbook(io.BytesIO(response.content)).active
    return list(sheet.iter_rows(values_only=True))
