"""Right after a deletion its message offers to take it back."""

import re

import pytest
from django.urls import reverse

from claims.models import Membership
from tests import factories as make
from tests.isolation.test_url_map import ADDRESSES, address, kind_of, one_of_each
from trips.models import Cost, GoldLot, MergedLot

pytestmark = pytest.mark.django_db
DELETES = sorted(name for name in ADDRESSES if name.endswith("_delete"))
BUTTON = re.compile(r'action="(/deleted/[0-9a-f-]{36}/back/)"')


def press_undo(client, page):
    """What pressing "Undo" sends; fails where the page has no such button."""
    html = page.content.decode()
    action = BUTTON.search(html)
    assert action, "no button that takes it back"
    there = re.search(r'name="next" value="([^"]*)"', html)[1]
    return client.post(action[1], {"next": there}, follow=True)


def test_every_deletion_can_be_undone_from_its_message(client):
    rows = one_of_each("Ours")
    numbers = {kind: row.pk for kind, row in rows.items()}
    make.signed_in(client, rows["party"])
    # Gold that went into lots holds its weigh-in, so that comes last, without lots. The trip was
    # signed off and can't be deleted; another one below can.
    last = "trips:weighin_delete"
    for name in (*(n for n in DELETES if n not in (last, "trips:trip_delete")), last):
        if name == last:
            GoldLot.objects.all().delete()
            MergedLot.objects.all().delete()
        row = rows[kind_of(name)]
        asked = client.get(address(name, ADDRESSES[name], numbers)).content.decode()
        assert "can't be brought back" not in asked, name
        page = client.post(address(name, ADDRESSES[name], numbers), follow=True)
        assert not type(row).objects.filter(pk=row.pk).exists(), f"{name} deleted nothing"
        back = press_undo(client, page)
        assert type(row).objects.filter(pk=row.pk).exists(), f"{name} didn't come back"
        # One lands where one was.
        assert back.redirect_chain[-1][0] == page.request["PATH_INFO"], name


def test_a_deleted_trip_can_be_undone_with_its_records(client):
    trip = make.make_trip(make.make_party())
    make.make_cost(trip)
    make.signed_in(client, trip.party)
    page = client.post(reverse("trips:trip_delete", args=[trip.pk]), follow=True)
    assert not Cost.objects.exists()
    press_undo(client, page)
    assert Cost.objects.get().trip_id == trip.pk


def test_the_way_back_never_leads_to_another_site(client):
    rows = one_of_each("Ours")
    make.signed_in(client, rows["party"])
    page = client.post(reverse("trips:cost_delete", args=[rows["cost"].pk]), follow=True)
    action = BUTTON.search(page.content.decode())[1]
    answer = client.post(action, {"next": "https://elsewhere.example/"})
    assert answer.url == reverse("claims:deleted_list")


def test_a_hand_undoes_what_it_deleted(client):
    rows = one_of_each("Ours")
    make.signed_in(client, rows["party"], Membership.Role.HAND)
    page = client.post(reverse("trips:pan_delete", args=[rows["pan"].pk]), follow=True)
    press_undo(client, page)
    assert type(rows["pan"]).objects.filter(pk=rows["pan"].pk).exists()


def test_a_plain_message_has_no_button(client):
    rows = one_of_each("Ours")
    make.signed_in(client, rows["party"])
    sent = {"kind": "food", "amount_minor": "5"}
    page = client.post(reverse("trips:cost_create", args=[rows["trip"].pk]), sent, follow=True)
    assert [str(m) for m in page.context["messages"]] == ["Cost saved."]
    assert not BUTTON.search(page.content.decode())
