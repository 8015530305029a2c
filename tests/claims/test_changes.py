"""Nothing is overwritten unseen, every change is told, and what was deleted comes back."""

import datetime as dt
from zoneinfo import ZoneInfo

import pytest
from django.core.exceptions import ValidationError
from django.db import connection
from django.urls import reverse
from django.utils import timezone

from claims.models import Paper, Site
from claims.models.fact import ChangedMeanwhile
from claims.past import deleted_sets, fact_models, states
from claims.services.undo import bring_back
from tests import factories as make
from tests.claims.pages import text_of
from trips.models import Cost, Run, TestPan, Trip, TripSite, WeighIn

pytestmark = pytest.mark.django_db


def boxes(response):
    """What the page's form would send back untouched."""
    form = response.context["form"] if "form" in response.context else response.context["page"].form
    sent = {}
    for bound in form:
        value = bound.value()
        if value is not None and value is not False:
            sent[bound.html_name] = value
    return sent


@pytest.fixture
def party():
    return make.make_party(name="Marl party")


@pytest.fixture
def cost(party):
    trip = make.make_trip(party=party)
    return make.make_cost(trip, amount_minor=1200, note="petrol")


def test_a_row_that_was_saved_since_it_was_read_is_not_overwritten(cost):
    first, second = Cost.objects.get(pk=cost.pk), Cost.objects.get(pk=cost.pk)
    first.note = "diesel"
    first.save()
    second.note = "fuel"
    with pytest.raises(ChangedMeanwhile, match="changed by somebody else"):
        second.save()
    assert Cost.objects.get(pk=cost.pk).note == "diesel"


def test_a_row_that_was_deleted_since_it_was_read_does_not_come_back_by_saving(cost):
    read = Cost.objects.get(pk=cost.pk)
    cost.delete()
    read.note = "fuel"
    with pytest.raises(ChangedMeanwhile):
        read.save()
    assert not Cost.objects.exists()


def test_saving_what_is_stored_already_leaves_no_trace(cost):
    before = cost.history.count()
    Cost.objects.get(pk=cost.pk).save()
    assert cost.history.count() == before
    assert Cost.objects.get(pk=cost.pk).version == cost.version


def test_the_second_of_two_editors_is_shown_both_versions_and_chooses(client, party, cost):
    make.signed_in(client, party)
    address = reverse("trips:cost_edit", args=[cost.pk])
    sent = boxes(client.get(address))
    other = make.make_member(party, role="hand").user
    mine = Cost.objects.get(pk=cost.pk)
    mine.note = "diesel"
    mine.save()
    state = mine.history.first()
    state.history_user = other
    state.save()
    refused = client.post(address, {**sent, "note": "two cans of petrol"})
    said = text_of(refused)
    assert f"{other} saved this while you were writing" in said
    assert "Note: “diesel” is stored, you wrote “two cans of petrol”" in said
    assert Cost.objects.get(pk=cost.pk).note == "diesel"
    # What was typed stays, and saving once more keeps it.
    again = boxes(refused)
    assert again["note"] == "two cans of petrol"
    assert client.post(address, again).status_code == 302
    assert Cost.objects.get(pk=cost.pk).note == "two cans of petrol"


def test_a_save_in_the_last_instant_gets_a_page_of_its_own(client, party, monkeypatch):
    make.signed_in(client, party)
    site = make.make_site(party=party)
    address = reverse("claims:site_edit", args=[site.pk])
    sent = boxes(client.get(address))

    def too_late(*args, **kwargs):
        raise ChangedMeanwhile(site)

    monkeypatch.setattr(Site, "save", too_late)
    response = client.post(address, {**sent, "name": "Another name"})
    assert response.status_code == 409
    assert "Nothing of yours was saved" in text_of(response)


def test_every_save_is_told_with_who_and_what(client, party, cost):
    make.signed_in(client, party)
    user = party.memberships.get().user
    address = reverse("trips:cost_edit", args=[cost.pk])
    client.post(address, {**boxes(client.get(address)), "amount_minor": "15.50"})
    page = client.get(reverse("claims:changes", args=["cost", cost.pk]))
    told = text_of(page)
    assert "Changes of food, 15.50 EUR" in told
    assert f"changed by {user}" in told
    assert "Amount: 12.00 EUR → 15.50 EUR" in told


def test_a_change_is_said_with_the_units_of_its_values(party):
    car = make.make_vehicle(party)
    car.wear_milli_per_km, car.sealed_ml_per_100km = 250, 8_000
    car.save()
    car.wear_milli_per_km = 310
    car.save()
    (wear,) = states(type(car), car.pk, party)[0].differences
    assert (wear.label, wear.before, wear.after) == ("Wear", "0.25 EUR per km", "0.31 EUR per km")


def test_a_deleted_row_keeps_its_past(client, party, cost):
    make.signed_in(client, party)
    client.post(reverse("trips:cost_delete", args=[cost.pk]))
    told = text_of(client.get(reverse("claims:changes", args=["cost", cost.pk])))
    assert "deleted by" in told
    assert "written by" in told


@pytest.mark.parametrize("kind", ["cost", "user", "membership", "nothing"])
def test_the_past_of_another_partys_row_does_not_exist(client, cost, kind):
    make.signed_in(client, make.make_party(name="Others"))
    response = client.get(reverse("claims:changes", args=[kind, cost.pk]))
    assert response.status_code == 404


def whole_trip(party):
    site = make.make_site(party=party)
    trip = make.make_trip(party=party, site=site)
    spot = make.make_spot(site=site)
    gear = make.make_gear(party)
    trip.gear.add(gear)
    pan, run = make.make_pan(trip=trip, spot=spot), make.make_run(trip=trip, spot=spot)
    make.make_hours(trip)
    make.make_cost(trip)
    return trip, pan, run


def rows_of(model):
    return list(model.objects.order_by("pk").values())


def facts_now():
    """Every column of every fact but the version, which rises."""
    return {
        kind: [{k: v for k, v in row.items() if k != "version"} for row in rows_of(model)]
        for kind, model in fact_models().items()
    }


def test_a_deleted_trip_comes_back_whole(client, party):
    make.signed_in(client, party)
    trip, _, _ = whole_trip(party)
    before = facts_now()
    gear = set(trip.gear.values_list("pk", flat=True))
    client.post(reverse("trips:trip_delete", args=[trip.pk]))
    assert not Trip.objects.exists()
    assert not TestPan.objects.exists()
    page = client.get(reverse("claims:deleted_list"))
    assert "Bring back" in text_of(page)
    (one, _) = page.context["sets"][0]
    said = client.post(reverse("claims:deleted_bring_back", args=[one.key]), follow=True)
    assert "back:" in text_of(said)
    assert facts_now() == before
    assert set(Trip.objects.get().gear.values_list("pk", flat=True)) == gear
    assert TripSite.objects.filter(trip=trip).exists()
    assert client.get(reverse("claims:deleted_list")).context["sets"] == []
    # Its figures are worked out again.
    assert client.get(reverse("trips:trip_detail", args=[trip.pk])).status_code == 200
    assert Trip.objects.get().derived_figures


def test_what_lay_on_the_scale_lies_on_it_again(client, party):
    make.signed_in(client, party)
    trip, pan, run = whole_trip(party)
    weigh_in = make.make_weigh_in(trip=trip)
    for row in (pan, run):
        row.weigh_in = weigh_in
        row.save()
    client.post(reverse("trips:weighin_delete", args=[weigh_in.pk]))
    assert Run.objects.get().weigh_in_id is None
    (one,) = deleted_sets(party, timezone.now())
    bring_back(party=party, key=one.key, now=timezone.now())
    assert Run.objects.get().weigh_in_id == weigh_in.pk
    assert TestPan.objects.get().weigh_in_id == weigh_in.pk
    assert WeighIn.objects.get().net_ug == weigh_in.net_ug


def test_a_row_in_the_way_is_named_and_nothing_comes_back(client, party):
    make.signed_in(client, party)
    price = make.make_price(party)
    client.post(reverse("trips:price_delete", args=[price.pk]))
    make.make_price(party)
    (one,) = deleted_sets(party, timezone.now())
    with pytest.raises(ValidationError, match=r"can't come back: There is a price for this day"):
        bring_back(party=party, key=one.key, now=timezone.now())
    response = client.post(reverse("claims:deleted_bring_back", args=[one.key]), follow=True)
    assert "can't come back" in text_of(response)


@pytest.mark.parametrize(("days", "offered"), [(0, 1), (30, 1), (31, 0)])
def test_a_month_is_a_month(client, party, cost, days, offered):
    make.signed_in(client, party)
    client.post(reverse("trips:cost_delete", args=[cost.pk]))
    (one,) = deleted_sets(party, timezone.now())
    later = one.at + dt.timedelta(days=days)
    assert len(deleted_sets(party, later)) == offered
    # The same moment on a clock far from the database's.
    elsewhere = later.astimezone(ZoneInfo("Pacific/Kiritimati"))
    assert len(deleted_sets(party, elsewhere)) == offered
    if not offered:
        with pytest.raises(ValidationError, match="more than 30 days"):
            bring_back(party=party, key=one.key, now=later)


def test_a_hand_brings_back_what_they_deleted_and_a_reader_nothing(client, party, cost):
    other = make.make_cost(cost.trip)
    make.signed_in(client, party, "keeper")
    client.post(reverse("trips:cost_delete", args=[other.pk]))
    make.signed_in(client, party, "hand")
    client.post(reverse("trips:cost_delete", args=[cost.pk]))
    offered = client.get(reverse("claims:deleted_list")).context["sets"]
    (by_keeper,) = [one for one, may in offered if not may]
    (own,) = [one for one, may in offered if may]
    address = reverse("claims:deleted_bring_back", args=[by_keeper.key])
    assert client.post(address).status_code == 403
    make.signed_in(client, party, "reader")
    address = reverse("claims:deleted_bring_back", args=[own.key])
    assert client.post(address).status_code == 403
    assert not Cost.objects.exists()


def test_another_partys_deletions_are_not_offered(client, party, cost):
    make.signed_in(client, party)
    client.post(reverse("trips:cost_delete", args=[cost.pk]))
    (one,) = deleted_sets(party, timezone.now())
    others = make.make_party(name="Others")
    make.signed_in(client, others)
    assert client.get(reverse("claims:deleted_list")).context["sets"] == []
    address = reverse("claims:deleted_bring_back", args=[one.key])
    assert client.post(address).status_code == 404
    with pytest.raises(ValidationError, match="nothing to bring back"):
        bring_back(party=others, key=one.key, now=timezone.now())


def test_the_list_costs_the_same_for_many(client, party, django_assert_max_num_queries):
    make.signed_in(client, party)
    trip = make.make_trip(party=party)
    costs = [make.make_cost(trip) for _ in range(12)]
    for cost in costs[:6]:
        client.post(reverse("trips:cost_delete", args=[cost.pk]))

    def queries():
        from django.test.utils import CaptureQueriesContext

        with CaptureQueriesContext(
            connection,
        ) as asked:
            client.get(reverse("claims:deleted_list"))
        return len(asked)

    few = queries()
    for cost in costs[6:]:
        client.post(reverse("trips:cost_delete", args=[cost.pk]))
    assert queries() == few


def test_a_paper_comes_back_with_its_sites(client, party):
    make.signed_in(client, party)
    site = make.make_site(party=party)
    paper = make.make_paper(party)
    paper.sites.set([site])
    pk = paper.pk
    # Papers have no button for it; a request deletes one all the same.
    from simple_history.models import HistoricalRecords

    class Request:
        user = party.memberships.first().user

    HistoricalRecords.context.request = Request()
    try:
        Paper.objects.get(pk=pk).delete()
    finally:
        del HistoricalRecords.context.request
    (one,) = deleted_sets(party, timezone.now())
    bring_back(party=party, key=one.key, now=timezone.now())
    assert list(Paper.objects.get(pk=pk).sites.all()) == [site]


def test_links_come_after_what_they_link():
    order = list(fact_models())
    assert order.index("party") < order.index("site") < order.index("spot") < order.index("testpan")
    assert order.index("trip") < order.index("weighin") < order.index("run")


def test_a_row_of_many_states_shows_the_latest(party, cost):
    for number in range(60):
        cost.note = f"note {number}"
        cost.save()
    told = states(Cost, cost.pk, party)
    assert len(told) == 50
    assert told[0].differences[0].after == "note 59"


def test_the_past_of_a_party_is_found_by_its_day_however_much_others_wrote():
    """What was deleted in the last month would else be looked for in all that a party ever wrote,
    or in what everybody wrote in that month."""
    without = {
        word
        for word, model in fact_models().items()
        if ["record_party_id", "history_date"]
        not in [index.fields for index in model.history.model._meta.indexes]
    }
    assert without == set()
