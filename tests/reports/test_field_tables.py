"""The tables that page, card and phone share, from the record to the file."""

import json

import pytest
from django.urls import reverse

from reports.decide.creek import (
    NO_COST,
    NO_FALLBACK,
    NO_HOURS,
    NO_LITRES,
    NO_PRICE,
    NO_PRIOR,
    NO_SECOND,
    NO_TIME,
)
from tests import factories as f
from tests.reports.asking import queries
from tests.reports.creek_made import LATE, planned_trip
from trips.services.derive import rebuild_party, rebuild_trip

pytestmark = pytest.mark.django_db


def ask(client, trip, query=LATE):
    answer = client.get(reverse("reports:field_tables", args=[trip.pk]) + f"?{query}")
    assert answer.status_code == 200
    return json.loads(answer.content)


def words(tables):
    return " ".join(spot["words"] for spot in tables["spots"])


def test_every_spot_of_every_planned_site_has_its_table(keeper, party):
    trip = planned_trip(party)
    tables = ask(keeper, trip)
    assert set(tables) == {"version", "made_for", "spots", "new_spot", "new_spots", "leave"}
    assert {spot["name"] for spot in tables["spots"]} == {"Spot 1", "Deep crevice"}
    assert len(tables["spots"]) == 3
    assert [new["site"] for new in tables["new_spots"]] == [
        row.site_id for row in trip.trip_sites.order_by("rank")
    ]
    assert tables["new_spot"] == tables["new_spots"][0]
    for spot in tables["spots"]:
        assert spot["method"] == "stopping"
        assert set(spot["coarse_weight"]) == {"coarse", "medium", "fine"}
        assert [row["pans"] for row in spot["rows"]] == list(range(1, 13))
        for row in spot["rows"]:
            low = -1 if row["move_at_most"] is None else row["move_at_most"]
            assert row["dig_at_least"] is None or low < row["dig_at_least"]
    assert tables["leave"]["rate_ug_per_h"] > 0


@pytest.mark.parametrize(
    "change",
    ["price", "pan", "box", "hours", "fallback", "fuel", "weigh-in", "spot", "pan volume"],
)
def test_a_change_of_any_input_makes_a_new_version(keeper, party, change):
    trip = planned_trip(party)
    before = ask(keeper, trip)["version"]
    assert ask(keeper, trip)["version"] == before, "the same inputs give the same version"
    box = trip.gear.get()
    old = party.trips.filter(state="wrapped_up").first()
    match change:
        case "price":
            f.make_price(party, f.dt.date(2031, 7, 1), amount_micros=4_000_000_000)
        case "pan":
            pan = old.pans.get()
            pan.fine = 40
            pan.save()
            rebuild_trip(old.pk)
        case "box":
            box.feed_ml_per_h = 210_000
            box.save()
        case "hours":
            trip.planned_work_minutes = 300
            trip.save()
        case "fallback":
            trip.trip_sites.filter(rank=1).delete()
        case "fuel":
            trip.fuel_price_milli_per_l = 5_000
            trip.save()
        case "weigh-in":
            weigh_in = old.weigh_ins.get()
            weigh_in.gross_ug += 500_000
            weigh_in.save()
            rebuild_trip(old.pk)
        case "spot":
            trip.trip_sites.first().site.spots.filter(name="Deep crevice").update(name="Crevice")
        case "pan volume":
            party.pan_volume_ml = 4_000
            party.save()
    assert ask(keeper, trip)["version"] != before


def test_the_days_own_pans_are_not_in_the_belief_they_are_held_against(keeper, party):
    trip = planned_trip(party, state="under_way")
    spot = trip.trip_sites.first().site.spots.get(name="Spot 1")
    first = next(s for s in ask(keeper, trip, "as_of=2031-08-02")["spots"] if s["name"] == "Spot 1")
    f.make_pan(trip, spot, fine=30)
    again = next(s for s in ask(keeper, trip, "as_of=2031-08-02")["spots"] if s["name"] == "Spot 1")
    assert again["rows"] == first["rows"]


def test_no_price_gives_the_card_and_says_so(keeper, party):
    trip = planned_trip(party)
    party.prices.all().delete()
    tables = ask(keeper, trip)
    assert {spot["method"] for spot in tables["spots"]} == {"card"}
    assert NO_PRICE in words(tables)
    assert all(spot["rows"] for spot in tables["spots"])


def test_no_litres_an_hour_gives_the_card_and_says_so(keeper, party):
    trip = planned_trip(party)
    trip.gear.clear()
    party.gear.update(feed_ml_per_h=None)
    assert ask(keeper, trip)["spots"][0]["method"] == "stopping", "past runs say it"
    from trips.models import Run

    Run.objects.update(minutes=None)
    rebuild_party(party)
    tables = ask(keeper, trip)
    assert {spot["method"] for spot in tables["spots"]} == {"card"}
    assert NO_LITRES in words(tables)


def test_no_counted_pan_gives_the_card_with_a_priced_break_even(keeper, party):
    site = f.make_site(party)
    f.make_spot(site)
    f.make_price(party, f.dt.date(2030, 1, 1))
    trip = f.make_trip(party, site, planned_work_minutes=300)
    trip.gear.set([f.make_gear(party, feed_ml_per_h=200_000, fuel_ml_per_h=900, power="engine")])
    tables = ask(keeper, trip, "as_of=2031-05-01")
    [spot] = tables["spots"]
    assert spot["method"] == "card"
    f.make_pan(f.make_trip(party, site), coarse=None, medium=None, fine=None)
    [again] = ask(keeper, trip, "as_of=2031-05-01")["spots"]
    assert again["method"] == "card", "a pan that wasn't counted is no prior either"
    assert NO_PRIOR in spot["words"]
    assert tables["leave"]["rate_ug_per_h"] is None
    assert "No wrapped-up trip" in tables["leave"]["words"]


def test_no_second_choice_and_no_hours_have_their_sentences(keeper, party):
    trip = planned_trip(party, planned_work_minutes=None)
    trip.trip_sites.filter(rank=1).delete()
    said = words(ask(keeper, trip))
    assert NO_HOURS in said
    assert NO_SECOND.split("{", maxsplit=1)[0] in said
    assert NO_FALLBACK not in said, "another spot of the site is somewhere to go"


def test_no_time_left_leaves_the_table_empty(keeper, party):
    trip = planned_trip(party, planned_work_minutes=0)
    tables = ask(keeper, trip)
    assert {spot["method"] for spot in tables["spots"]} == {"none"}
    assert {spot["first"] for spot in tables["spots"]} == {"home"}
    assert NO_TIME in words(tables)


def test_too_little_time_for_a_pan_leaves_the_belief_to_decide(keeper, party):
    trip = planned_trip(party, planned_work_minutes=9)
    tables = ask(keeper, trip)
    assert {spot["method"] for spot in tables["spots"]} == {"none"}
    assert {spot["first"] for spot in tables["spots"]} == {"dig"}
    assert "too short for a pan. By what was believed before: dig." in words(tables)


def test_an_unknown_running_cost_is_said(keeper, party):
    trip = planned_trip(party)
    trip.gear.update(fuel_ml_per_h=None)
    assert NO_COST in words(ask(keeper, trip))


def test_queries_do_not_grow_with_spots_and_pans(keeper, party):
    trip = planned_trip(party)
    address = reverse("reports:field_tables", args=[trip.pk]) + f"?{LATE}"
    keeper.get(address)
    before = queries(keeper, address)
    site = trip.trip_sites.first().site
    for _ in range(6):
        f.make_spot(site)
    old = party.trips.filter(state="wrapped_up").first()
    for spot in site.spots.all():
        f.make_pan(old, spot)
    keeper.get(address)
    assert queries(keeper, address) == before


def test_a_trip_without_a_site_has_an_empty_file(keeper, party):
    trip = planned_trip(party)
    trip.trip_sites.all().delete()
    tables = ask(keeper, trip)
    assert (tables["spots"], tables["new_spot"], tables["leave"]["site"]) == ([], None, None)
