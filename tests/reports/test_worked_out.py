"""Under figures: how they were computed, with links that lead to the facts."""

import re

import pytest
from django.urls import reverse

from tests import factories as f
from tests.reports.asking import LATE, queries
from tests.reports.record import make_record
from trips.services.derive import rebuild_party

pytestmark = pytest.mark.django_db
FOLD = re.compile(r'<details class="worked.*?</details>', re.DOTALL)


def folds(client, address):
    """The text of every fold on a page."""
    answer = client.get(address)
    assert answer.status_code == 200, address
    return FOLD.findall(answer.content.decode())


def assert_links_lead(client, parts):
    """Every link in the folds opens, for somebody of the party."""
    links = {link.split("#")[0] for part in parts for link in re.findall(r'href="(/[^"]*)"', part)}
    assert links
    for link in links:
        assert client.get(link).status_code == 200, link


def test_returns_name_every_trip_that_went_in(keeper, party):
    [site] = make_record(party)
    for address in (f"/pay/?{LATE}", f"/sites/{site.pk}/?{LATE}"):
        parts = folds(keeper, address)
        text = "".join(parts)
        assert "Net per door-to-door hour" in text
        known = party.trips.filter(state="wrapped_up")
        linked = [t for t in known if reverse("trips:trip_detail", args=[t.pk]) in text]
        assert linked
        assert_links_lead(keeper, parts)


def test_where_next_says_it_for_every_ranked_site(keeper, party):
    make_record(party)
    parts = folds(keeper, f"/?{LATE}")
    for part in parts:
        assert "Chance of being the best" in part
        assert "Litres washed" in part
    answer = keeper.get(f"/?{LATE}").content.decode()
    assert len(parts) == answer.count('class="lead"')


def test_a_trip_leads_to_its_weigh_ins_and_costs(keeper, party):
    make_record(party)
    trip = party.trips.get()
    weigh_in = trip.weigh_ins.get()
    parts = folds(keeper, reverse("trips:trip_detail", args=[trip.pk]))
    assert reverse("trips:weighin_detail", args=[weigh_in.pk]) in "".join(parts)
    assert len(parts) >= 3
    assert_links_lead(keeper, parts)


def test_shares_of_a_weigh_in_name_each_run(keeper, party):
    trip = f.make_trip(party, state="wrapped_up")
    spot = f.make_spot(trip.trip_sites.get().site)
    weigh_in = f.make_weigh_in(trip, runs=[f.make_run(trip, spot), f.make_run(trip, spot)])
    rebuild_party(party)
    [part] = folds(keeper, reverse("trips:weighin_detail", args=[weigh_in.pk]))
    assert part.count("#run") == 2
    assert_links_lead(keeper, [part])


def test_ground_leads_to_each_hole_and_unmeasured_ones_are_unknown(keeper, party):
    site = f.make_site(party)
    hole = f.make_hole(site=site, length_mm=1200, width_mm=800, depth_mm=None)
    day = hole.opened_on.isoformat()
    address = f"{reverse('claims:ground_page')}?first={day}&last={day}&as_of={day}"
    [part] = folds(keeper, address)
    assert reverse("claims:hole_detail", args=[hole.pk]) in part
    assert "1.2 × 0.8 × unknown m" in part


def test_without_anything_to_compute_there_is_no_fold(keeper, party):
    assert folds(keeper, "/") == []
    assert folds(keeper, "/pay/") == []


def test_folds_of_more_trips_cost_no_more_queries(keeper, party):
    make_record(party)
    few = queries(keeper, f"/pay/?{LATE}")
    make_record(party, names="Other", trips=2)
    assert queries(keeper, f"/pay/?{LATE}") == few
