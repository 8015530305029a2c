"""Pages of gauges and floods: by hand, from a table, and what they would change."""

import datetime as dt

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from tests import factories as f
from tests.reports.asking import queries, words
from trips.calc.peak_csv import read_peaks
from trips.calc.sheet_file import SheetError, read_file
from trips.models import Flood, Gauge

LATE = "?as_of=2031-12-31"


def peaks(text):
    return read_peaks(read_file(text.encode()), dt.date(2031, 12, 31))


def test_days_and_peaks_are_read_and_every_other_line_is_named():
    found = peaks(
        "site,peak_date,Peak flow (m3/s)\n"
        "x,2030-03-01,41.5\n"
        "x,2030-03-01,40\n"
        "x,2029-02-30,10\n"
        "x,,10\n"
        "x,2028-01-01,\n"
        "x,2027-01-01,0\n"
        "x,2026-01-01,many\n"
        "x,2099-01-01,5\n"
        "x,1400-01-01,5\n"
        "x,2025-01-01,5,6\n"
    )
    assert [(peak.day.isoformat(), peak.peak_milli) for peak in found.good] == [
        ("2030-03-01", 41_500)
    ]
    assert found.repeated == 1
    told = {each.line: each.reason for each in found.refused}
    assert set(told) == {4, 5, 6, 7, 8, 9, 10, 11}
    for line, part in (
        *((4, "not a day"), (5, "missing"), (6, "missing"), (7, "not above zero")),
        *((8, "number"), (9, "still to come"), (10, "before 1500"), (11, "more cells")),
    ):
        assert part in told[line]


@pytest.mark.parametrize(
    ("text", "part"),
    [("when,peak\n2030-01-01,1\n", "No column is named as a day"), ("date,wave\n1,1", "a peak")],
)
def test_a_table_without_the_columns_is_refused_with_its_headers(text, part):
    with pytest.raises(SheetError, match=part):
        peaks(text)


@pytest.fixture
def party():
    return f.make_party()


@pytest.fixture
def site(party):
    return f.make_site(party, "Bend")


@pytest.fixture
def hand(client, party):
    return f.signed_in(client, party, "hand")


def address(name, *args):
    return reverse(f"trips:{name}", args=args) + LATE


pytestmark = pytest.mark.django_db


def test_no_gauge_teaches_and_a_gauge_is_made(hand, party, site):
    assert "No gauge or stream yet" in words(hand.get(address("flood_overview")))
    hand.post(
        address("gauge_create"),
        {"name": "Marl Beck", "sites": [site.pk], "unit": "m3_s", "year_starts_month": "10"},
    )
    gauge = Gauge.objects.get()
    assert list(gauge.sites.all()) == [site]
    assert "No flood noted" in words(hand.get(address("gauge_detail", gauge.pk)))
    taken = {"name": "Marl Beck", "unit": "m", "year_starts_month": "13"}
    text = words(hand.post(address("gauge_create"), taken))
    assert "from 1 to 12" in text
    text = words(hand.post(address("gauge_create"), taken | {"year_starts_month": "1"}))
    assert "of this name already" in text


def test_sites_of_another_party_cannot_be_ticked(hand, party):
    theirs = f.make_site(f.make_party())
    data = {"name": "x", "sites": [theirs.pk], "unit": "m3_s", "year_starts_month": "1"}
    assert hand.post(address("gauge_create"), data).status_code == 200
    assert not Gauge.objects.exists()


def test_the_effect_is_shown_before_a_flood_is_saved(hand, party, site):
    trip = f.make_trip(party, site, state="wrapped_up")
    trip.trip_sites.update(was_visited=True)
    gauge = f.make_gauge(party, [site])
    data = {"day": "2031-06-01", "own_return_tenths": "5", "counts": "on"}
    place = address("flood_create", gauge.pk)
    # Saving without having looked shows the effect instead.
    first = hand.post(place, data | {"step": "save"})
    assert "100 → 25 %" in words(first)
    assert "100 → 75 %" in words(first)
    assert not Flood.objects.exists()
    seen = first.context["form"]["seen"].value()
    # Changed after looking: looked at once more.
    changed = data | {"own_return_tenths": "2", "step": "save", "seen": seen}
    assert "100 → 50 %" in words(hand.post(place, changed))
    assert not Flood.objects.exists()
    assert hand.post(place, data | {"step": "save", "seen": seen}).status_code == 302
    assert Flood.objects.get().own_return_tenths == 50
    text = words(hand.get(address("flood_overview")))
    assert "1 Jun 2031 (5.0 years)" in text


@pytest.mark.parametrize(
    ("changes", "part"),
    [
        ({"own_return_tenths": ""}, "Give the peak, or how often"),
        ({"day": "2099-01-01"}, "still to come"),
        ({"day": "soon"}, "valid date"),
        ({"own_return_tenths": "0.5"}, "Expected a number from 1"),
        ({"spot_keep_pct": "50"}, "Give both shares"),
        ({"spot_keep_pct": "60", "site_keep_pct": "50"}, "never keeps more"),
        ({"site_keep_pct": "101", "spot_keep_pct": "1"}, "from 0 to 100"),
        ({"peak_milli": "-4"}, "Expected a number"),
    ],
)
def test_a_wrong_flood_is_told_and_not_saved(hand, party, site, changes, part):
    gauge = f.make_gauge(party, [site])
    data = {"day": "2031-06-01", "own_return_tenths": "5", "counts": "on", "step": "look"}
    assert part in words(hand.post(address("flood_create", gauge.pk), data | changes))
    assert not Flood.objects.exists()


def test_one_flood_a_day(hand, party):
    gauge = f.make_gauge(party)
    f.make_flood(gauge)
    data = {"day": "2031-05-03", "own_return_tenths": "5"}
    text = words(hand.post(address("flood_create", gauge.pk), data))
    assert "a flood of this day there already" in text


CSV = "date,peak\n2027-03-01,90\n2028-03-01,40\n2029-03-01,60\n2030-03-01,50\nx,1\n"


def test_a_table_of_peaks_is_looked_at_then_saved_once(hand, party, site):
    gauge = f.make_gauge(party, [site])
    place = address("flood_import", gauge.pk)
    shown = hand.post(place, {"text": CSV, "source": "own gauge", "step": "look"})
    text = words(shown)
    assert "5.0 years" in text
    assert "“x” is not a day" in text
    assert not Flood.objects.exists()
    again = {"text": shown.context["text"], "source": "own gauge", "step": "save"}
    hand.post(place, again)
    hand.post(place, again)
    assert Flood.objects.count() == 4
    assert set(Flood.objects.values_list("source", flat=True)) == {"own gauge"}
    page = hand.get(address("gauge_detail", gauge.pk)).context["page"]
    assert [round(row.effect.return_years, 1) for row in page.rows] == [1.7, 2.5, 1.2, 5.0]


def test_a_file_of_peaks_and_ten_years_of_them(hand, party):
    gauge = f.make_gauge(party)
    lines = "".join(f"{2010 + n}-03-01,{50 + 7 * n % 40}\n" for n in range(12))
    upload = SimpleUploadedFile("p.csv", f"date,flow\n{lines}".encode())
    place = address("flood_import", gauge.pk)
    shown = hand.post(place, {"file": upload, "source": "s", "step": "look"})
    hand.post(place, {"text": shown.context["text"], "source": "s", "step": "save"})
    text = words(hand.get(address("gauge_detail", gauge.pk)))
    assert "Log-Pearson III over 12 years" in text
    assert "How rare which size is" in text


@pytest.mark.parametrize(
    ("data", "part"),
    [
        ({"source": "s"}, "one of the two"),
        ({"text": "a,b\n1,2", "source": "s"}, "No column is named"),
        ({"text": "date,peak", "source": "s"}, "no line below"),
        ({"text": CSV}, "required"),
    ],
)
def test_a_wrong_table_is_told_and_kept(hand, party, data, part):
    gauge = f.make_gauge(party)
    answer = hand.post(address("flood_import", gauge.pk), data | {"step": "look"})
    assert part in words(answer)
    assert not Flood.objects.exists()


def test_changing_and_deleting(hand, party, site):
    gauge = f.make_gauge(party, [site])
    flood = f.make_flood(gauge)
    place = address("flood_edit", flood.pk)
    data = {"day": "2031-05-03", "own_return_tenths": "2", "counts": "on"}
    form = hand.get(place).context["form"]
    if "version" in form.fields:
        data["version"] = form["version"].value()
    shown = hand.post(place, data | {"step": "look"})
    seen = shown.context["form"]["seen"].value()
    assert hand.post(place, data | {"step": "save", "seen": seen}).status_code == 302
    flood.refresh_from_db()
    assert flood.own_return_tenths == 20
    assert "had not happened" in words(hand.get(address("flood_delete", flood.pk)))
    hand.post(address("flood_delete", flood.pk))
    assert not Flood.objects.exists()
    hand.post(address("gauge_delete", gauge.pk))
    assert not Gauge.objects.exists()


def test_the_same_queries_for_more_floods_and_25_a_page(hand, party, site):
    gauge = f.make_gauge(party, [site])
    f.make_flood(gauge)
    pages = [address("flood_overview"), address("gauge_detail", gauge.pk)]
    hand.get(pages[0])
    before = [queries(hand, page) for page in pages]
    for number in range(30):
        f.make_flood(gauge, f.DAY - dt.timedelta(days=number + 1))
    f.make_flood(f.make_gauge(party, [f.make_site(party)]))
    assert [queries(hand, page) for page in pages] == before
    assert len(hand.get(pages[1]).context["shown"].object_list) == 25


def test_a_reader_looks_and_changes_nothing(client, party, site):
    reader = f.signed_in(client, party, "reader")
    gauge = f.make_gauge(party, [site])
    flood = f.make_flood(gauge)
    assert reader.get(address("gauge_detail", gauge.pk)).status_code == 200
    for name, key in (("flood_create", gauge.pk), ("flood_edit", flood.pk)):
        assert reader.post(address(name, key)).status_code == 403
