"""What the renewal record says of conditions, duties, ground and photos, in every form of it."""

import csv
import datetime as dt
import io

import pytest
from django.core.files.storage import default_storage
from django.urls import reverse
from openpyxl import load_workbook
from PIL import Image
from pypdf import PdfReader

from claims.models import Hole
from claims.rules.repeats import plain_repeat
from claims.services import files
from tests.factories import (
    make_condition,
    make_done,
    make_duty,
    make_hole,
    make_mark,
    make_paper,
    make_party,
    make_site,
    signed_in,
)

pytestmark = pytest.mark.django_db
PERIOD = {"first": "2031-01-01", "last": "2031-09-30", "as_of": "2031-10-01"}


def d(text: str) -> dt.date:
    return dt.date.fromisoformat(text)


@pytest.fixture
def paper(db):
    party = make_party(name="Marl party")
    return make_paper(party, [make_site(party, "Upper reach")], name="Reach permit")


def ask(client, paper, fmt="", **query):
    name = "reports:renewal_record_file" if fmt else "reports:renewal_record"
    return client.get(reverse(name, args=[paper.pk, fmt] if fmt else [paper.pk]), PERIOD | query)


def rows_of(client, paper, title) -> list[list[str]]:
    """The rows under one title of the CSV."""
    lines = list(csv.reader(io.StringIO(ask(client, paper, "csv").content.decode("utf-8-sig"))))
    at = lines.index([title]) + 2
    return lines[at : lines.index([], at) if [] in lines[at:] else len(lines)]


def photo(hole, role, colour, size=(1600, 1200)):
    out = io.BytesIO()
    Image.new("RGB", size, colour).save(out, "JPEG")
    now = dt.datetime(2031, 5, 3, tzinfo=dt.UTC)
    return files.keep_photo(
        party=hole.party, owner=hole, content=out.getvalue(), name="a.jpg", user=None, now=now,
        role=role, caption="upstream",
    ).file  # fmt: skip


@pytest.mark.parametrize(
    ("day", "told"),
    [("2030-12-31", False), ("2031-01-01", True), ("2031-09-30", True), ("2031-10-01", False)],
)
def test_a_mark_counts_on_the_days_of_the_period_only(client, paper, day, told):
    condition = make_condition(paper, "Hand tools only")
    make_mark(condition, day=d(day), how="Looked after", evidence="Photo 4", said_by="Ada")
    signed_in(client, paper.party)
    [row] = rows_of(client, paper, "Conditions, and how each was kept")
    assert row[:2] == ["1", "Hand tools only"]
    assert ("Looked after (Ada)" in row[2]) is told
    assert (row[3] == "Photo 4") is told
    page = ask(client, paper).content.decode()
    assert ("Nobody has said how condition no. 1 was kept" in page) is not told


def test_a_condition_shows_the_duty_that_was_done_for_it(client, paper):
    condition = make_condition(paper, "Report each year")
    rule = plain_repeat("yearly", d("2030-03-31"), d("2032-03-31"))
    duty = make_duty(
        paper.party, "Report", paper=paper, condition=condition, first_due=d("2030-03-31"),
        repeat=rule,
    )  # fmt: skip
    make_done(duty, due_on=d("2031-03-31"), done_on=d("2031-04-02"), evidence="Receipt 12")
    make_duty(paper.party, "Fee", paper=paper, first_due=d("2031-09-30"))
    signed_in(client, paper.party)
    [row] = rows_of(client, paper, "Conditions, and how each was kept")
    assert "due 31 Mar 2031: done 2 Apr 2031, 2 days after it" in row[2]
    assert row[3] == "Receipt 12"
    assert rows_of(client, paper, "Duties that fell due") == [
        ["2031-03-31", "Report", "done 2 Apr 2031, 2 days after it", "Receipt 12"],
        ["2031-09-30", "Fee", "not noted as done", ""],
    ]
    assert (
        "1 due day is not noted as done: Fee (30 Sep 2031)." in ask(client, paper).content.decode()
    )


def test_ground_disturbed_and_restored_balances_and_names_what_is_unmeasured(client, paper):
    site = paper.sites.get()
    make_hole(site, opened_on=d("2030-12-30"), filled_on=d("2031-01-02"))
    make_hole(site, filled_on=d("2031-05-04"))
    make_hole(site, depth_mm=None)
    signed_in(client, paper.party)
    rows = rows_of(client, paper, "Ground disturbed and restored")
    assert [row[1:] for row in rows] == [
        ["1", "0.80", "0.40", "0"],
        ["2", "1.60", "0.40", "1"],
        ["2", "1.60", "0.80", "0"],
        ["1", "0.80", "", "1"],
    ]
    assert "2 holes filled have no photo after filling." in ask(client, paper).content.decode()


def test_photos_stand_in_the_pdf_before_and_after_and_nothing_of_their_tags(client, paper):
    hole = make_hole(paper.sites.get(), filled_on=d("2031-05-04"))
    photo(hole, "before", (200, 10, 10))
    photo(hole, "before", (10, 10, 200))
    photo(hole, "after", (10, 200, 10), (900, 1600))
    signed_in(client, paper.party)
    content = ask(client, paper, "pdf").content
    reader = PdfReader(io.BytesIO(content))
    images = [image.image for page in reader.pages for image in page.images]
    assert len(images) == 2
    assert [max(image.size) for image in images] == [900, 900]
    first = images[0].convert("RGB").getpixel((5, 5))
    assert first[0] > 150 > first[2]
    text = " ".join("".join(page.extract_text() for page in reader.pages).split())
    assert "Photos of the holes" in text
    assert "1 more photo is kept with the holes and not printed here." in text
    assert content == ask(client, paper, "pdf").content
    assert rows_of(client, paper, "Photos of holes")[0][1].endswith("before, upstream")


def test_a_photo_that_is_gone_from_the_storage_is_named_and_stops_nothing(client, paper):
    kept = photo(make_hole(paper.sites.get()), "before", (1, 2, 3))
    default_storage.delete(kept.stored.name)
    signed_in(client, paper.party)
    reader = PdfReader(io.BytesIO(ask(client, paper, "pdf").content))
    text = " ".join(page.extract_text() for page in reader.pages)
    assert "missing from the storage" in text


def test_a_hole_of_another_period_brings_no_photo(client, paper):
    old = make_hole(paper.sites.get(), opened_on=d("2030-05-01"), filled_on=d("2030-12-31"))
    photo(old, "after", (1, 2, 3))
    signed_in(client, paper.party)
    book = load_workbook(io.BytesIO(ask(client, paper, "xlsx").content))
    assert book["Photos of holes"]["A2"].value == "No photo of these holes is kept."
    assert Hole.objects.count() == 1


def test_a_counted_end_says_how_it_was_counted(client, paper):
    paper.expires_on, paper.term_convention = None, "year_end"
    paper.save()
    signed_in(client, paper.party)
    page = ask(client, paper).content.decode()
    assert "1 Jan 2031 to 31 Dec 2031 (to the end of the year of issue" in page


def test_work_due_is_shown_beside_what_the_record_holds(client, paper):
    make_duty(
        paper.party, "Work", paper=paper, kind="work", measure="hours", work_amount=600,
        first_due=d("2031-09-30"), work_from=d("2031-01-01"),
    )  # fmt: skip
    signed_in(client, paper.party)
    [row] = rows_of(client, paper, "Duties that fell due")
    assert row[3].replace("\u202f", " ") == "0 min in the record, 10 h due"
