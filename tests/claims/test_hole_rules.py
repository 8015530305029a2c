"""Rules of a site set by when its holes are to be filled, beside the papers' conditions."""

import datetime as dt

import pytest
from django.urls import reverse

from claims.agenda import agenda, dues_of_holes, ledger
from claims.hole_rules import fill_rule
from claims.models import PaperCondition
from claims.rules.due import DutyDue
from claims.rules.ground import fill_due
from tests import factories as make
from tests.claims.pages import queries_of, text_of, url
from tests.factories_rules import PACK_TEXT, make_own_rule, make_party_pack

pytestmark = pytest.mark.django_db
DAY = dt.date(2031, 5, 14)
LATER = dt.date(2031, 5, 16)


@pytest.fixture
def site(db):
    party = make.make_party()
    make_party_pack(party)
    return make.make_site(party, "Hill creek", rule_packs=["gravel-hills"])


def hole_at(site, **more):
    return make.make_hole(site, opened_on=DAY, **more)


def due_of(hole):
    return dues_of_holes(hole.party, LATER).get(hole.pk)


def test_a_rule_of_the_sites_pack_sets_the_day_with_its_source(client, site):
    hole = hole_at(site)
    due = due_of(hole)
    assert (due.day, due.words, due.source) == (DAY, "the same day", "Hill text")
    [item] = [row for row in agenda(ledger(site.party, LATER)) if row.kind == "filling in"]
    assert (item.day, item.state) == (DAY, "late")
    client = make.signed_in(client, site.party)
    shown = text_of(client.get(url("hole_list"), {"as_of": LATER.isoformat()}))
    assert "the same day: Hill text" in shown


def test_without_a_rule_no_day_is_made_up(site):
    plain = make.make_site(site.party, "Plain creek")
    assert due_of(hole_at(plain)) is None


def test_a_rule_that_hangs_on_unknown_gear_sets_no_day(site):
    fill = 'text = "Holes are filled on the same day."\nsources = ["s"]\n'
    pack = site.party.packs.get()
    pack.text = PACK_TEXT.replace(fill, fill + 'when = [{ fact = "gear", power = ["engine"] }]\n')
    assert pack.text != PACK_TEXT
    pack.save()
    assert due_of(hole_at(site)) is None


def test_before_leaving_is_the_last_day_of_the_visit(site):
    plain = make.make_site(site.party, "Plain creek")
    make_own_rule(site.party, site=plain, shape="fill", due="before_leaving")
    make.make_trip(site.party, plain, starts_on=DAY, ends_on=DAY + dt.timedelta(days=1))
    due = due_of(hole_at(plain))
    assert (due.day, due.words) == (DAY + dt.timedelta(days=1), "before leaving")
    assert "the owner" in due.source


def test_of_paper_and_rule_the_earlier_day_counts(site):
    paper = make.make_paper(site.party, [site], expires_on=dt.date(2031, 12, 31))
    line = PaperCondition.objects.create(
        paper=paper, kind="fill_in", text="Fill within a week.", fill_due="within", fill_span="P7D"
    )
    hole = hole_at(site)
    assert due_of(hole).source == "Hill text"
    site.rule_packs = []
    site.save()
    hole.refresh_from_db()
    assert due_of(hole).source == str(line.paper)


def duty(**changes):
    values = {"key": "p/r", "pack_id": "p", "rule_id": "r", "kind": "rehab_duty", "text": "Fill."}
    return DutyDue(**values | {"due_on": None, "about_holes": True, "source": "Law"} | changes)


@pytest.mark.parametrize(
    ("given", "day"),
    [
        ({"point": "same_day"}, dt.date(2031, 5, 14)),
        ({"point": "before_leaving"}, dt.date(2031, 5, 15)),
        ({"point": "after_end", "days": 14}, dt.date(2031, 5, 29)),
        ({"point": "on_date", "month_day": "10-31"}, dt.date(2031, 10, 31)),
    ],
)
def test_each_due_point_gives_its_day(given, day):
    rule = fill_rule(duty(**given))
    assert fill_due(DAY, dt.date(2031, 5, 15), [rule]).day == day


@pytest.mark.parametrize("point", ["continuous", "before_next_hole", "at_once"])
def test_what_names_no_day_gives_none(point):
    assert fill_rule(duty(point=point)) is None


def test_twice_the_holes_cost_the_same_queries(client, site):
    client = make.signed_in(client, site.party)
    for _ in range(2):
        hole_at(site)
    first = queries_of(client, url("hole_list"))
    for _ in range(2):
        hole_at(site)
    assert queries_of(client, url("hole_list")) == first


def test_the_trips_page_names_the_day_and_the_rule_of_every_hole_there(client, site):
    hole_at(site)
    trip = make.make_trip(site.party, site, starts_on=LATER, ends_on=LATER)
    client = make.signed_in(client, site.party)
    shown = text_of(client.get(reverse("trips:trip_detail", args=[trip.pk])))
    assert "to be filled the same day: 14 May 2031 (Hill text)" in shown
    assert "the same day, 14 May 2031: that day is past" in shown
    assert "Holes are filled on the same day. on the same day, 16 May 2031" in shown


def test_the_renewal_record_names_the_day_and_how_late_a_hole_was_filled(client, site):
    paper = make.make_paper(site.party, [site], issued_on=dt.date(2031, 1, 1))
    hole_at(site, filled_on=LATER)
    client = make.signed_in(client, site.party)
    asked = {"from": "2031-01-01", "to": "2031-12-31", "as_of": "2031-12-31"}
    shown = text_of(client.get(reverse("reports:renewal_record", args=[paper.pk]), asked))
    assert "filled, 2 days late" in shown
    assert "Fill the same day: Hill text." in shown
    assert "1 hole was filled after the day for it." in shown
    assert "still open past" not in shown
    hole_at(site)
    shown = text_of(client.get(reverse("reports:renewal_record", args=[paper.pk]), asked))
    assert "1 hole is still open past the day for filling. 1 hole was filled after" in shown
