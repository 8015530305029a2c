"""A party and somebody signed in who keeps its record."""

import pytest

from tests import factories as f


@pytest.fixture
def party():
    return f.make_party()


@pytest.fixture
def keeper(client, party):
    return f.signed_in(client, party)
