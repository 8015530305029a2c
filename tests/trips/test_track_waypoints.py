"""Waypoints of a track become spots when somebody asks for it."""

import pytest
from django.test import override_settings

from claims.models import Spot
from tests import factories as make
from tests.claims.pages import text_of
from tests.trips.test_tracks import as_offered, day_out, send, url
from trips.models import HoursBlock, Track

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def media(tmp_path):
    with override_settings(MEDIA_ROOT=tmp_path):
        yield


@pytest.fixture
def site():
    return make.make_site(make.make_party())


@pytest.fixture
def trip(site):
    return make.make_trip(site.party, site)


@pytest.fixture
def keeper(client, site):
    return make.signed_in(client, site.party)


def test_waypoints_become_spots_on_request(keeper, trip, site):
    ways = ((46.15, 8.0, "split boulder"), (46.16, 8.0, "bar head"))
    send(keeper, trip, day_out(waypoints=ways))
    address = url("track_detail", Track.objects.get().pk)
    assert Spot.objects.count() == 0
    sent = as_offered(keeper.get(address))
    assert "spot_0" not in sent
    keeper.post(address, sent)
    assert Spot.objects.count() == 0
    sent |= {"spot_1": "on", "spot_name_1": "head of the bar"}
    for _ in range(2):
        keeper.post(address, sent)
    [spot] = Spot.objects.all()
    assert (spot.name, spot.site) == ("head of the bar", site)
    assert (spot.latitude_udeg, spot.longitude_udeg) == (46_160_000, 8_000_000)
    assert "Waypoint bar head: a spot already" in text_of(keeper.get(address))


def test_a_waypoint_named_as_a_spot_that_is_there_is_refused_whole(keeper, trip, site):
    make.make_spot(site, "split boulder")
    send(keeper, trip, day_out())
    address = url("track_detail", Track.objects.get().pk)
    sent = as_offered(keeper.get(address)) | {"spot_0": "on"}
    assert "Give the waypoint another name" in text_of(keeper.post(address, sent))
    assert HoursBlock.objects.count() == 0
