"""The trip sheet as page and PDF: what somebody at home and the party at the creek need."""

import datetime as dt
import io
import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from pypdf import PdfReader

from claims.lines import Bundle, CheckLine
from reports.pdf.trip_sheet import _bundled
from reports.selectors.sheet import trip_sheet
from tests.factories import (
    DAY,
    make_cost,
    make_gear,
    make_hole,
    make_paper,
    make_party,
    make_party_pack,
    make_person,
    make_price,
    make_site,
    make_trip,
    make_vehicle,
    signed_in,
)
from tests.factories_rules import PACK_TEXT

pytestmark = pytest.mark.django_db
UNITS = {"mass": "g", "volume": "L", "distance": "km"}


def planned(**overrides):
    """A plan with everything noted: 20 km out to the first choice, food for 12.00."""
    party = make_party(name="Marl party", fineness=900, payable_ppt=1000)
    first = make_site(
        party, "Upper reach", latitude_udeg=46_000_000, longitude_udeg=8_000_000, hazards="Cold"
    )
    fallback = make_site(party, "Lower reach")
    make_paper(
        party,
        [first],
        name="Reach permit",
        number="RP-7",
        holder="Ada Vayle",
        conditions="Fill every hole.",
    )
    make_price(party)
    values = {
        "name": "First weekend",
        "vehicle": make_vehicle(party, "Old van", wear_milli_per_km=0),
        "planned_work_minutes": 240,
        "back_by": dt.datetime(2031, 5, 3, 18, 0, tzinfo=dt.UTC),
        "alarm_at": dt.datetime(2031, 5, 3, 20, 0, tzinfo=dt.UTC),
        "alarm_name": "Jo Marl",
        "alarm_contact": "000 0123",
    }
    people = [make_person(party, "Ada Vayle", phone="000 0101"), make_person(party, "Bo")]
    trip = make_trip(party, first, fallbacks=[fallback], people=people, **values | overrides)
    trip.trip_sites.filter(rank=1).update(trigger="the water is up")
    trip.gear.add(make_gear(party, "Long box"))
    make_cost(trip, stage="planned")
    return party, trip


def bare():
    """A plan with nothing but a day."""
    party = make_party()
    trip = make_trip(party, fuel_price_milli_per_l=None)
    trip.trip_sites.all().delete()
    return party, trip


def get(client, trip, page=False, as_of="2031-05-01"):
    name = "reports:trip_sheet_page" if page else "reports:trip_sheet"
    return client.get(reverse(name, args=[trip.pk]), {"as_of": as_of})


def pdf_text(response):
    pages = PdfReader(io.BytesIO(response.content)).pages
    return "".join(page.extract_text() for page in pages), len(pages)


def plain(text):
    return re.sub(r"\s+", "", text)


# The drive: 2 × (15 km × 8 L + 4 km × 10 L + 1 km × 14 L) per 100 km = 3.48 L at 1.80 = 6.26;
# with 12.00 of food 18.26. At 100 a gram fine, 900 ‰: 18.26 / 90 = 0.2029 g, rounded up to the µg.
FIGURES = ("6.26 EUR", "18.26 EUR", "0.203 g")
SAID = (
    "First weekend",
    "Saturday 3 May 2031",
    "Upper reach",
    "Lower reach",
    "the water is up",
    "20.0 km one way, 35 min drive, 10 min walk",
    "Ada Vayle (000 0101), Bo",
    "Old van",
    "Long box",
    "Jo Marl",
    "000 0123",
    "3 May, 18:00",
    "3 May, 20:00",
    "Reach permit RP-7",
    "Last day 31 Dec 2031",
    "Fill every hole.",
    "Dangers noted at Upper reach: Cold",
    "3 110.3477 EUR a troy ounce on 3 May 2031, made up for tests",
    "Never heat gold that may carry mercury.",
    "common practice, no source",
    *FIGURES,
)


def test_pdf_and_page_say_the_same_things(client):
    party, trip = planned()
    signed_in(client, party, "reader")
    text, pages = pdf_text(get(client, trip, as_of="2031-05-03"))
    page = get(client, trip, page=True, as_of="2031-05-03").content.decode()
    pdf, shown = plain(text), plain(re.sub(r"<[^>]+>", "", page))
    for said in SAID:
        if said.startswith("3 110"):
            said = said.removeprefix("3 110.3477")
        assert plain(said) in pdf, said
        assert plain(said) in shown, said
    assert plain("as of 3 May 2031") in pdf
    assert pages <= 2
    assert "☐" in text


def test_daylight_is_told_in_the_sites_zone(client):
    """Near 46° N, 8° E on 3 May the sun is up for over 14 hours (from memory of almanacs)."""
    party, trip = planned()
    sheet = trip_sheet(trip=trip, party=party, today=DAY, units=UNITS)
    value, note = next(
        (value, note) for label, value, note in sheet.key_figures if label.startswith("Daylight")
    )
    assert re.fullmatch(r"\d\d:\d\d–\d\d:\d\d", value)
    assert "UTC" in note
    assert note.startswith("14")


def test_every_unknown_says_why(client):
    party, trip = bare()
    signed_in(client, party)
    page = get(client, trip, page=True).content.decode()
    text, _ = pdf_text(get(client, trip))
    for said in (
        "Where to: unknown, no site is chosen.",
        "unknown: nobody is named yet",
        "unknown: no number is noted",
        "The time at the creek isn&#x27;t planned yet.",
        "No gold price has been entered yet.",
        "No paper that still runs is noted for these sites: ask what is needed.",
    ):
        assert said in page, said
        assert plain(said.replace("&#x27;", "'")) in plain(text), said
    assert "0.000" not in page


def test_an_unknown_fallback_trigger_is_said():
    party, trip = planned()
    trip.trip_sites.update(trigger="")
    sheet = trip_sheet(trip=trip, party=party, today=DAY, units=UNITS)
    assert [place.trigger for place in sheet.places] == [
        "",
        "unknown: what sends you there isn't noted",
    ]


def test_a_closed_site_is_a_stop_on_the_sheet(client):
    party, trip = planned()
    party.sites.filter(name="Upper reach").update(closed_from="05-01", closed_until="05-31")
    signed_in(client, party)
    text, _ = pdf_text(get(client, trip))
    assert "■Stop" in plain(text)
    assert plain("Upper reach is closed on 3 May 2031.") in plain(text)


def test_a_paper_that_ran_out_is_not_one_to_carry():
    party, trip = planned()
    last = {"expires_on": DAY - dt.timedelta(days=1)}
    party.papers.update(**last)
    sheet = trip_sheet(trip=trip, party=party, today=DAY, units=UNITS)
    assert sheet.papers == ()
    assert sheet.papers_over == 1
    said = [line.text for _, lines in sheet.checks for line in lines if line.outcome == "stop"]
    assert said == ["Reach permit RP-7 doesn't cover the day: ran out 1 day ago."]
    party.papers.update(expires_on=DAY)
    sheet = trip_sheet(trip=trip, party=party, today=DAY, units=UNITS)
    assert [paper.title for paper in sheet.papers] == ["Reach permit RP-7"]


def test_what_was_said_of_one_site_is_not_said_again_of_the_next():
    party, trip = planned()
    make_hole(make_site(party, "Elsewhere"))
    sheet = trip_sheet(trip=trip, party=party, today=DAY, units=UNITS)
    texts = [line.text for _, lines in sheet.checks for line in lines]
    assert texts.count("1 open hole at other sites.") == 1
    assert len(texts) == len(set(texts))


def test_a_trip_that_is_over_has_no_checklist(client):
    party, trip = planned(state="wrapped_up")
    signed_in(client, party)
    assert "No checklist: this trip is wrapped up." in get(client, trip, page=True).content.decode()


def test_the_same_sheet_gives_the_same_bytes(client):
    party, trip = planned()
    signed_in(client, party)
    assert get(client, trip).content == get(client, trip).content


def test_markup_in_names_is_text_and_what_no_face_has_is_owned_up_to(client):
    party, trip = planned(name="<b>Up & down</b> Река", alarm_name="𐐷")
    signed_in(client, party)
    page = get(client, trip, page=True).content.decode()
    assert "&lt;b&gt;Up &amp; down&lt;/b&gt; Река" in page
    assert "The PDF can't show everything as typed" in page
    text, _ = pdf_text(get(client, trip))
    assert plain("<b>Up & down</b> Река") in plain(text)
    assert "[U+10437]" in plain(text)


def test_another_partys_trip_is_not_there(client):
    _, trip = planned()
    signed_in(client, make_party())
    assert get(client, trip).status_code == 404
    assert get(client, trip, page=True).status_code == 404


def test_twice_the_rows_cost_the_same_queries():
    def queries(count):
        party, trip = planned()
        for number in range(count):
            site = make_site(party)
            make_paper(party, [site])
            make_hole(site)
            trip.trip_sites.create(site=site, rank=10 + number)
            trip.trip_people.create(person=make_person(party))
            trip.gear.add(make_gear(party))
            make_cost(trip)
        with CaptureQueriesContext(connection) as seen:
            trip_sheet(trip=trip, party=party, today=DAY, units=UNITS)
        return len(seen)

    assert queries(2) == queries(4)


def test_lines_of_rules_say_what_would_change_them_and_where_they_stand(client):
    party, trip = planned()
    term = """
[[rule]]
id = "term"
kind = "authority_term"
text = "A hill pass runs for one year."
sources = ["s"]
effect = { type = "term", paper = "pass", years = [1] }
"""
    make_party_pack(party, PACK_TEXT + term)
    for row in trip.trip_sites.select_related("site"):
        row.site.rule_packs = ["gravel-hills"]
        row.site.rule_facts = {"area:gravel-hills/core": {"value": "no"}}
        row.site.save()
    trip.gear.add(make_gear(party, "Box", kind="sluice_pumped", power="engine"))
    paper = party.papers.get()
    paper.rule_code = "gravel-hills/pass"
    paper.save()
    signed_in(client, party)
    text, pages = pdf_text(get(client, trip))
    text = plain(text)
    assert text.count(plain("What would change it: Leave the engine at home.")) == 1
    # Both sites have the rule; it is printed once.
    known = "A hill pass runs for one year."
    assert text.count(plain(known)) == 1
    source = re.escape(plain("(Hill text; 2030-01-01)"))
    assert re.search(re.escape(plain(known)) + ".{0,90}?" + source, text)
    assert pages <= 3


def test_a_question_that_several_rules_hang_on_is_printed_once():
    ask = "Whose is it? The answer decides on this rule: {}"
    lines = tuple(
        CheckLine("ask", ask.format(text), "w", "s", "c", 1, rule_text=text)
        for text in ("First.", "Second.")
    )
    said = _bundled(Bundle(lines))
    assert said.startswith("Whose is it? It decides on 2 rules.")
    assert said.count("Whose is it?") == 1
    assert "· First. " in said
    assert "· Second. " in said
