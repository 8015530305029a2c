"""The field card on paper: one sheet, the page's numbers, nothing promised about the law."""

import io
import re

import pytest
from django.urls import reverse
from pypdf import PdfReader

from reports.pages.field_card import CARD_LIMIT, FILL_IN
from tests import factories as f
from tests.reports.asking import page
from tests.reports.creek_made import LATE, PLAN_DAY, planned_trip
from trips.hooks import onward_words
from trips.services.derive import rebuild_trip
from trips.services.trips import fill_triggers

pytestmark = pytest.mark.django_db


def read(answer):
    assert answer.status_code == 200
    assert answer["Content-Type"] == "application/pdf"
    pages = PdfReader(io.BytesIO(answer.content)).pages
    return pages, " ".join(" ".join(each.extract_text() for each in pages).split())


def card_of(client, trip, query=LATE):
    return read(client.get(reverse("reports:field_card", args=[trip.pk]) + f"?{query}"))


def test_the_card_prints_the_numbers_of_the_page(keeper, party):
    trip = planned_trip(party)
    pages, text = card_of(keeper, trip)
    assert len(pages) == 2
    shown = page(keeper, reverse("reports:creek_page", args=[trip.pk]) + f"?{LATE}")
    assert shown.version in text
    tables = [table for place in shown.places for table in place.tables]
    assert 4 <= len(tables) <= 6
    for table in tables:
        name = table.card.name
        if table.card.site != shown.places[0].site:
            name = f"{table.card.site}: {name}"
        start = text.index(name + " " + table.first)
        assert len(table.rows) >= 6
        for row in table.rows[:8]:
            words = f"{row.pans} {row.litres} {row.signs[0]} {row.signs[1]}"
            found = text.find(words, start)
            assert found >= 0, (name, words, text[start : start + 300])
            start = found
    assert shown.weights.split(",")[0] in text


def test_the_card_names_places_times_alarm_duties_and_cautions(keeper, party):
    trip = planned_trip(
        party,
        alarm_name="Ada Vayle",
        alarm_contact="000 0199",
        back_by=f.dt.datetime(2031, 8, 2, 18, 30, tzinfo=f.dt.UTC),
        alarm_at=f.dt.datetime(2031, 8, 2, 20, 30, tzinfo=f.dt.UTC),
    )
    first, second = [row.site for row in trip.trip_sites.order_by("rank")]
    f.make_hole(first)
    _, text = card_of(keeper, trip)
    for words in (
        first.name, second.name, "Ada Vayle", "000 0199", "18:30", "20:30", FILL_IN,
        "Clean-ups", "Coarse", "mg a litre", "Leave a hole when", "Never heat gold",
    ):  # fmt: skip
        assert words in text, words
    assert CARD_LIMIT in text
    assert "open hole" in text.lower()


def test_own_words_for_the_fallback_stand_beside_the_tables(keeper, party):
    trip = planned_trip(party)
    row = trip.trip_sites.get(rank=1)
    row.trigger = "the gate is locked"
    row.save()
    _, text = card_of(keeper, trip)
    assert "the gate is locked" in text
    shown = page(keeper, reverse("reports:creek_page", args=[trip.pk]) + f"?{LATE}")
    assert shown.places[0].leave_site in text


def test_words_taken_from_the_table_are_printed_once(keeper, party):
    trip = planned_trip(party)
    words = onward_words(trip, PLAN_DAY)
    assert fill_triggers(trip=trip, words=words) == [trip.trip_sites.get(rank=1)]
    _, text = card_of(keeper, trip)
    assert "Go there, by the table" in text
    assert "as you wrote" not in text


def test_no_card_says_that_anything_is_allowed(keeper, party):
    for _, text in (card_of(keeper, planned_trip(party)), read(keeper.get(BLANK))):
        assert not re.search(r"\b(legal|allowed|permitted to|OK)\b", text)


BLANK = reverse("reports:blank_card")


def test_a_blank_card_has_the_boxes_and_the_cautions_and_no_figure(client, party):
    f.signed_in(client, party, "reader")
    pages, text = read(client.get(BLANK))
    assert len(pages) == 2
    for words in ("Who raises the alarm", "Fallback", "Pans", "Clean-ups", "Never heat gold"):
        assert words in text
    assert "version" not in text
    assert party.fine_words in text


def test_more_spots_than_fit_are_named_and_long_words_stay_on_two_sides(keeper, party):
    trip = planned_trip(party)
    site = trip.trip_sites.first().site
    for number in range(9):
        f.make_spot(site, f"A spot of a name so long that it takes a whole line, {number}")
    site.name = "Reach " + "very " * 20 + "long"
    site.save()
    pages, text = card_of(keeper, trip)
    assert len(pages) == 2
    said = text[text.index("Not on this card:") :]
    assert ", 8 (Pan first)" in said
    assert "Spot 1 (Dig:" in said


def test_spots_that_may_be_dug_at_come_before_those_not_to_be_begun_at(keeper, party):
    """Six tables fit; the fallback's best spot isn't pushed off by poor ones of the first site."""
    trip = planned_trip(party)
    first, second = [row.site for row in trip.trip_sites.order_by("rank")]
    old = party.trips.filter(state="wrapped_up").first()
    for number in range(5):
        poor = f.make_spot(first, f"Poor {number}")
        for _ in range(6):
            f.make_pan(old, poor, coarse=0, medium=0, fine=0)
    rebuild_trip(old.pk)
    shown = page(keeper, reverse("reports:creek_page", args=[trip.pk]) + f"?{LATE}")
    first_words = {
        table.card.name: table.table.first for place in shown.places for table in place.tables
    }
    assert first_words["Poor 0"] == "move"
    pages, text = card_of(keeper, trip)
    assert len(pages) == 2
    told, left_out = text.split("Not on this card:")
    assert f"{second}: " in told
    assert "Poor 4 (Don't start here)" in left_out


def test_the_same_card_is_the_same_file(keeper, party):
    trip = planned_trip(party)
    address = reverse("reports:field_card", args=[trip.pk]) + f"?{LATE}"
    assert keeper.get(address).content == keeper.get(address).content


def test_every_face_is_embedded_and_type_is_large(keeper, party):
    trip = planned_trip(party)
    pages, _ = card_of(keeper, trip)
    sizes = []

    def note(text, _cm, _tm, font, size):
        if text.strip():
            assert "Helvetica" not in str(font["/BaseFont"])
            sizes.append(size)

    for each in pages:
        each.extract_text(visitor_text=note)
    small = [size for size in sizes if size < 9]
    assert len(small) <= 2, "only the line with the version, on either side"
    assert max(sizes) >= 14


def test_letters_that_the_face_lacks_are_named_on_the_card(keeper, party):
    trip = planned_trip(party)
    f.make_spot(trip.trip_sites.first().site, "𐐷")
    _, text = card_of(keeper, trip)
    assert "U+10437" in text
    assert "Not set as typed" in text


def test_a_trip_without_site_or_hours_still_has_a_card(keeper, party):
    trip = planned_trip(party, planned_work_minutes=None)
    trip.trip_sites.all().delete()
    pages, text = card_of(keeper, trip)
    assert len(pages) == 2
    assert "First choice unknown" in text
    trip = planned_trip_without_price(party)
    _, text = card_of(keeper, trip)
    assert "unknown: no gold price" in text


def planned_trip_without_price(party):
    party.prices.all().delete()
    trip = party.trips.filter(state="planned").first()
    f.TripSite.objects.create(trip=trip, site=party.sites.first(), rank=0)
    return trip
