"""Answers that are more than a choice: hours of a day, big pieces of gold; and layers of packs."""

import datetime as dt

import pytest
from django.urls import reverse

from claims.packs import installed_packs
from claims.rules.loader import stack
from tests.factories import (
    make_gear,
    make_party,
    make_party_pack,
    make_person,
    make_site,
    make_trip,
    make_weigh_in,
    signed_in,
)
from tests.factories_rules import PACK_TEXT
from trips.models import TripAnswer
from trips.selectors.trip_page import trip_page

pytestmark = pytest.mark.django_db
DAY = dt.date(2031, 5, 14)
UNITS = {"mass": "g", "volume": "L", "distance": "km"}
MORE = """
[[rule]]
id = "quiet"
kind = "daily_hours"
text = "Nobody works between 20:00 and 08:00."
sources = ["s"]
effect = { type = "closed_hours", within = "20:00..08:00" }

[[rule]]
id = "early"
kind = "daily_hours"
text = "Before six the office is told."
sources = ["s"]
when = [{ fact = "hours", within = "00:00..06:00" }]
effect = { type = "notice", to = ["the hill office"] }

[[rule]]
id = "gold"
kind = "quantity_cap"
text = "At most 50 g of gold in 48 hours; nuggets of 10 g or more don't count."
sources = ["s"]
[rule.effect]
type = "amount_limit"
amount = "gold_mass"
period = { kind = "rolling", hours = 48 }
at_most = "50 g"
big_nuggets_free = "10 g"
"""


def hills(text=PACK_TEXT + MORE, **site):
    party = make_party()
    make_party_pack(party, text)
    place = make_site(party, name="Hill creek", rule_packs=["gravel-hills"], **site)
    trip = make_trip(party, place, starts_on=DAY, ends_on=DAY, people=[make_person(party, "Ada")])
    trip.gear.add(make_gear(party, name="Pan", kind="pan"))
    return party, place, trip


def line(party, trip, rule):
    page = trip_page(trip=trip, party=party, today=DAY, units=UNITS)
    lines = [each for site in page.checks for each in site.lines]
    return next((each for each in lines if each.key.endswith(f"/{rule}")), None)


def say(client, trip, site, key, **data):
    url = reverse("trips:trip_answer_edit", args=[trip.pk])
    return client.post(url, {"site": site.pk, "key": key, **data}, follow=True).content.decode()


def test_hours_of_work_are_asked_for_and_decide(client):
    party, site, trip = hills()
    signed_in(client, party)
    asked = line(party, trip, "quiet")
    assert (asked.outcome, asked.answers[0].entry) == ("do", "hours")
    body = client.get(reverse("trips:trip_detail", args=[trip.pk])).content.decode()
    assert '<input type="time" name="begins" required>' in body
    say(client, trip, site, "hours", begins="08:00", ends="20:00")
    assert TripAnswer.objects.get().value == "08:00-20:00"
    assert line(party, trip, "quiet").outcome == "know"
    assert line(party, trip, "early") is None
    body = say(client, trip, site, "hours", begins="07:59", ends="20:00")
    stopped = line(party, trip, "quiet")
    assert stopped.outcome == "stop"
    assert stopped.why.startswith("Work from 07:59 to 20:00")
    assert "From when to when will you work there?" in body
    say(client, trip, site, "hours", begins="05:59", ends="09:00")
    assert line(party, trip, "early").outcome == "do"
    say(client, trip, site, "hours", take_back="yes")
    assert line(party, trip, "quiet").outcome == "do"
    assert not TripAnswer.objects.exists()


@pytest.mark.parametrize(
    ("data", "message"),
    [
        ({"begins": "08:00", "ends": ""}, "Give both times as HH:MM"),
        ({"begins": "25:00", "ends": "26:00"}, "Give both times as HH:MM"),
        ({"begins": "08:00", "ends": "08:00"}, "The two times are the same"),
    ],
)
def test_hours_that_are_none_are_refused_in_words(client, data, message):
    party, site, trip = hills()
    signed_in(client, party)
    assert message in say(client, trip, site, "hours", **data)
    assert not TripAnswer.objects.exists()


def test_big_nuggets_are_asked_for_where_a_limit_leaves_them_out(client):
    party, site, trip = hills()
    signed_in(client, party)
    assert line(party, trip, "gold").answers == ()
    past = make_trip(party, site, starts_on=DAY - dt.timedelta(1), ends_on=DAY - dt.timedelta(1))
    make_weigh_in(past, gross_ug=61_000_000, tare_ug=0)
    over = line(party, trip, "gold")
    assert over.outcome == "stop"
    (question,) = over.answers
    assert question.question == "How many g of what counts here are single pieces of 10 g or more?"
    say(client, trip, site, question.key, value="10.999")
    assert line(party, trip, "gold").outcome == "stop"
    say(client, trip, site, question.key, value="11")
    within = line(party, trip, "gold")
    assert within.outcome == "do"
    assert "50 g so far without 11 g in big pieces" in within.text
    assert "Give a number of g" in say(client, trip, site, question.key, value="a few")


def test_a_weighing_too_small_for_a_big_nugget_counts_whatever_is_said(client):
    party, site, trip = hills()
    signed_in(client, party)
    past = make_trip(party, site, starts_on=DAY, ends_on=DAY)
    for _ in range(6):
        make_weigh_in(past, gross_ug=9_000_000, tare_ug=0)
    assert line(party, trip, "gold").answers == ()
    TripAnswer.objects.create(
        trip=trip, site=site, key="free:gravel-hills/gold", value="54 g", said_by="Ada",
        said_at=dt.datetime(2031, 5, 1, tzinfo=dt.UTC),
    )  # fmt: skip
    assert line(party, trip, "gold").outcome == "stop"


def test_a_state_pack_brings_the_federal_one_and_each_line_names_its_layer(client):
    party = make_party()
    site = make_site(party, rule_packs=["us-or"], land="public")
    trip = make_trip(party, site, starts_on=DAY, ends_on=DAY)
    trip.gear.add(make_gear(party, name="Pan", kind="pan"))
    layers = {
        each.key.partition("/")[0]: each.layer
        for checks in trip_page(trip=trip, party=party, today=DAY, units=UNITS).checks
        for each in checks.lines
        if each.key
    }
    assert layers["us-or"] == "Oregon, United States"
    assert layers["us-fed"] == "Federal land and claims, United States"
    signed_in(client, party)
    body = client.get(reverse("trips:trip_detail", args=[trip.pk])).content.decode()
    assert "Federal land and claims, United States. Source:" in body
    body = client.get(reverse("claims:site_rules_edit", args=[site.pk])).content.decode()
    assert "brings along Federal land and claims, United States" in body
    assert "Federal land and claims, United States</a> (comes along)" in body


def test_every_state_lies_within_the_federal_layer():
    packs = installed_packs()
    states = [name for name in packs if name.startswith("us-") and name != "us-fed"]
    assert len(states) >= 7
    for name in states:
        assert "us-fed" in {each.id for each in stack(packs, [name])}


def test_a_layer_that_went_missing_is_asked_about():
    party, _, trip = hills(
        PACK_TEXT.replace('code = "XX-GRA"', 'code = "XX-GRA"\nwithin = ["gone"]')
    )
    page = trip_page(trip=trip, party=party, today=DAY, units=UNITS)
    texts = [each.text for checks in page.checks for each in checks.lines]
    assert any("the rule pack “gone” isn't here any more" in text for text in texts)
