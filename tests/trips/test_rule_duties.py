"""Duties that rules leave after a trip: made by the sign-off, following the plan."""

import datetime as dt

import pytest
from django.urls import reverse

from claims.models import Duty, DutyDone
from tests.factories import (
    make_gear,
    make_paper,
    make_party,
    make_party_pack,
    make_person,
    make_site,
    make_trip,
    signed_in,
)
from tests.factories_rules import PACK_TEXT
from trips.services.trip_duties import follow_plan
from trips.services.trips import call_off, reopen_trip

pytestmark = pytest.mark.django_db
NOW = dt.datetime(2031, 5, 3, tzinfo=dt.UTC)
REPORT = """
[[rule]]
id = "report"
kind = "report_due"
text = "What was moved is reported to the hill office."
sources = ["s"]
when = [{ fact = "gear", class = ["sluice_pumped"] }]
effect = { type = "duty", due = "after_end", days = 20 }

[[rule]]
id = "leave"
kind = "report_due"
text = "A year's list is sent in."
sources = ["s"]
effect = { type = "duty", due = "on_date", on = "02-15" }

[[rule]]
id = "back"
kind = "report_due"
text = "The pass is sent back."
sources = ["s"]
effect = { type = "duty", due = "after_paper_end", days = 10, paper = "pass" }
"""


@pytest.fixture
def trip(db):
    party = make_party()
    make_party_pack(party, PACK_TEXT + REPORT)
    site = make_site(party, name="Hill creek", rule_packs=["gravel-hills"])
    make_paper(
        party, [site], kind="permit", name="Hill pass", rule_code="gravel-hills/pass",
        issued_on=dt.date(2031, 1, 1), expires_on=dt.date(2031, 12, 31),
    )  # fmt: skip
    day = dt.date(2031, 5, 14)
    trip = make_trip(party, site, starts_on=day, ends_on=day, people=[make_person(party, "Ada")])
    trip.gear.add(make_gear(party, name="Box", kind="sluice_pumped", power="engine"))
    return trip


def sign(client, trip):
    signed_in(client, trip.party)
    answer = client.post(reverse("trips:trip_signoff_create", args=[trip.pk]))
    assert answer.status_code == 302


def kept():
    return {duty.title.split()[-1]: duty for duty in Duty.objects.all()}


def days():
    return {name: duty.first_due.isoformat() for name, duty in kept().items()}


def follow(trip):
    follow_plan(trip=trip, party=trip.party, as_of=dt.date(2031, 5, 1), now=NOW)


def test_a_sign_off_makes_duties_once_and_their_pages_show_them(client, trip):
    sign(client, trip)
    assert days() == {"office.": "2031-06-03", "in.": "2032-02-15", "back.": "2032-01-10"}
    sign(client, trip)
    assert Duty.objects.count() == 3
    assert kept()["back."].paper == trip.party.papers.get()
    listed = client.get(reverse("claims:duty_list")).content.decode()
    assert "What was moved is reported" in listed
    month = client.get(reverse("claims:month_page"), {"month": "2031-06"}).content.decode()
    assert "What was moved is reported" in month


def test_filling_holes_is_no_stored_duty_because_no_hole_may_be_dug(client, trip):
    sign(client, trip)
    assert not Duty.objects.filter(kind="fill_in").exists()


def test_before_a_sign_off_a_plan_makes_none(trip):
    follow(trip)
    assert not Duty.objects.exists()


def test_duties_follow_the_plan_and_go_when_the_rule_no_longer_speaks(client, trip):
    sign(client, trip)
    trip.starts_on = trip.ends_on = dt.date(2031, 5, 20)
    trip.save()
    follow(trip)
    assert days()["office."] == "2031-06-09"
    trip.gear.clear()
    trip.gear.add(make_gear(trip.party, name="Pan", kind="pan"))
    follow(trip)
    assert set(days()) == {"in.", "back."}


def test_what_is_settled_or_edited_by_hand_stays_as_it_is(client, trip):
    sign(client, trip)
    report, back = kept()["office."], kept()["back."]
    DutyDone.objects.create(duty=report, due_on=report.first_due, done_on=dt.date(2031, 5, 20))
    back.first_due = dt.date(2032, 1, 2)
    back.save()
    trip.starts_on = trip.ends_on = dt.date(2031, 5, 20)
    trip.save()
    follow(trip)
    assert (days()["office."], days()["back."]) == ("2031-06-03", "2032-01-02")
    call_off(trip=trip, reason="Snow.")
    assert set(days()) == {"office.", "back.", "in."}


def test_a_trip_that_is_called_off_leaves_only_what_is_due_every_year(client, trip):
    sign(client, trip)
    call_off(trip=trip, reason="Snow.")
    assert set(days()) == {"in."}


def test_a_trip_that_is_opened_again_has_its_duties_again_at_once(client, trip):
    sign(client, trip)
    before = days()
    call_off(trip=trip, reason="Snow.")
    reopen_trip(trip=trip, as_of=dt.date(2031, 5, 1), now=NOW)
    assert days() == before
    call_off(trip=trip, reason="Snow.")
    signed_in(client, trip.party)
    client.post(reverse("trips:trip_reopen", args=[trip.pk]))
    assert days() == before
