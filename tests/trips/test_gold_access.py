"""Who reaches the pages of weigh-ins and lots."""

import pytest
from django.urls import reverse

from tests import factories as make
from trips.models import GoldLot, WeighIn
from trips.services.derive import rebuild_trip

pytestmark = pytest.mark.django_db


@pytest.fixture
def party():
    return make.make_party()


@pytest.fixture
def weigh_in(party):
    trip = make.make_trip(party)
    row = make.make_weigh_in(trip, runs=[make.make_run(trip)])
    rebuild_trip(trip.pk)
    return row


def address(name, *args):
    return reverse(f"trips:{name}", args=args)


PAGES = {
    "weighin_detail": "weigh_in",
    "weighin_edit": "weigh_in",
    "weighin_delete": "weigh_in",
    "lot_create": "weigh_in",
    "lot_edit": "lot",
    "lot_delete": "lot",
    "weighin_create": "trip",
}


@pytest.mark.parametrize(("name", "kind"), PAGES.items())
@pytest.mark.parametrize("method", ["get", "post"])
def test_another_partys_gold_is_not_there(client, weigh_in, name, kind, method):
    lot = make.make_lot(weigh_in)
    keys = {"weigh_in": weigh_in.pk, "lot": lot.pk, "trip": weigh_in.trip_id}
    make.signed_in(client, make.make_party())
    assert getattr(client, method)(address(name, keys[kind])).status_code == 404
    assert GoldLot.objects.count() == WeighIn.objects.count() == 1


@pytest.mark.parametrize("role", ["reader", "hand"])
@pytest.mark.parametrize(("name", "kind"), PAGES.items())
def test_roles_reach_what_they_may(client, party, weigh_in, role, name, kind):
    lot = make.make_lot(weigh_in)
    keys = {"weigh_in": weigh_in.pk, "lot": lot.pk, "trip": weigh_in.trip_id}
    make.signed_in(client, party, role)
    is_open = name == "weighin_detail" or (role == "hand" and name.startswith("weighin"))
    assert client.get(address(name, keys[kind])).status_code == (200 if is_open else 403)
    if not is_open:
        assert client.post(address(name, keys[kind])).status_code == 403


def test_signed_out_people_are_sent_to_sign_in(client, weigh_in):
    for name in ("weighin_detail", "weighin_edit"):
        assert "sign-in" in client.get(address(name, weigh_in.pk)).headers["Location"]
