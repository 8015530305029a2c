"""A party with a trip under way, as a phone would find it."""

import pytest

from tests import factories as make


@pytest.fixture
def party(db):
    return make.make_party(pan_volume_ml=5_500)


@pytest.fixture
def user(party):
    return make.make_member(party).user


@pytest.fixture
def trip(party):
    return make.make_trip(party, state="under_way")


@pytest.fixture
def site(trip):
    return trip.trip_sites.get().site


@pytest.fixture
def bend(site):
    return make.make_spot(site, "Bend")
