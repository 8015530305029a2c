"""The answer at the top of Where next: where to go, where else, why, how sure."""

import datetime as dt

import pytest

from reports.decide.ranking import Ranked, Ranking
from reports.pages.where_answer import answer
from tests import factories as f
from tests.reports.asking import LATE, page, words
from tests.reports.record import make_record
from trips.services.derive import rebuild_party

pytestmark = pytest.mark.django_db


def closed(site):
    site.closed_from, site.closed_until, site.closed_reason = "11-01", "03-31", "Fish spawn."
    site.save()


def richer(party, site):
    trip = party.trips.filter(trip_sites__site=site).first()
    for _ in range(4):
        f.make_pan(trip, site.spots.get(), fine=60)
    rebuild_party(party)


def test_the_first_and_what_to_do_if_it_cannot_be_stand_before_the_figures(keeper, party):
    _, rich = make_record(party, sites=2, trips=4)
    richer(party, rich)
    found = page(keeper, f"/?{LATE}")
    assert found.answer.line == "Go to Reach 2; if it can't be, to Reach 1."
    assert found.answer.to == rich
    assert "of 2 with a chance of" in found.answer.why
    text = words(keeper.get(f"/?{LATE}"))
    assert text.index("Go to Reach 2; if it can") < text.index("How firm it is")
    assert f'href="/trips/plan/?site={rich.pk}"' in text


def test_a_site_that_is_stopped_that_day_is_neither_first_nor_fallback(keeper, party):
    _, rich = make_record(party, sites=2, trips=4)
    richer(party, rich)
    closed(rich)
    found = page(keeper, f"/?day=2031-11-01&{LATE}").answer
    assert found.line == "Go to Reach 1: nowhere else can be put in order."
    assert "Stopped that day: Reach 2." in found.notes
    day_before = page(keeper, f"/?day=2031-10-31&{LATE}").answer
    assert day_before.line.startswith("Go to Reach 2")


def test_where_everything_is_stopped_no_site_is_named(keeper, party):
    [site] = make_record(party, trips=3)
    closed(site)
    found = page(keeper, f"/?day=2031-11-01&{LATE}").answer
    assert found.line == "Nowhere on that day: what is noted stops every site."
    assert found.to is None


def test_a_record_without_a_site_says_that_nothing_is_known(keeper, party):
    found = page(keeper, "/").answer
    assert (found.line, found.to) == ("Nothing is known yet: note the first site.", None)


def test_what_is_missing_for_an_order_is_the_answer(keeper, party):
    make_record(party, price=False)
    found = page(keeper, f"/?{LATE}").answer
    assert found.line == "Nothing can be said yet."
    assert "No gold price has been entered yet." in found.why


def test_where_no_site_pays_the_line_says_so(keeper, party):
    make_record(party, sites=2, trips=3)
    party.sites.filter(name="Reach 1").update(sealed_m=90_000)
    party.prices.update(amount_micros=311_034_768)
    rebuild_party(party)
    found = page(keeper, f"/?{LATE}").answer
    assert found.line.startswith("If you go, go to ")
    assert found.line.endswith("Neither is expected to pay.")
    assert "look at the net per trip, too" in found.notes[-1]
    by_trip = page(keeper, f"/?order=trip&{LATE}").answer
    assert not [note for note in by_trip.notes if "per trip" in note]
    party.sites.filter(name="Reach 1").update(is_retired=True)
    only = page(keeper, f"/?{LATE}").answer.line
    assert only == "If you go, go to Reach 2; it isn't expected to pay."


def test_sites_alike_and_uncounted_gravel_are_said(keeper, party):
    for name in ("East", "West"):
        f.make_site(party, name)
    f.make_vehicle(party)
    f.make_price(party, dt.date(2030, 1, 1))
    party.fuel_price_milli_per_l = 1_800
    party.save()
    alike = page(keeper, f"/?{LATE}").answer
    assert alike.line.startswith("Nothing tells your sites apart yet")
    assert alike.why.endswith("None is expected to pay.")
    assert alike.to is None
    party.sites.filter(name="East").update(sealed_m=90_000)
    near = page(keeper, f"/?order=trip&{LATE}").answer
    assert "No gravel is counted yet" in near.why


def test_two_that_cannot_be_told_apart_are_both_named(keeper, party):
    make_record(party, sites=3, trips=4)
    cards = page(keeper, f"/?{LATE}").ranked
    chances = (0.41, 0.2, 0.39)
    rows = [Ranked(c.site.pk, 3.0, 1.0, 5.0, p, 1.0) for c, p in zip(cards, chances, strict=True)]
    told = answer(
        cards,
        (),
        Ranking(tuple(rows), 1.0),
        counted=True,
        teaches=cards[2].site.name,
        currency="EUR",
        per="trip",
    )
    first, third = cards[0].site.name, cards[2].site.name
    assert told.line == f"Go to {first} or {third}: which is better can't be told yet."
    assert f"For what a visit teaches, rather {third}." in told.notes
