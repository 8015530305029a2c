"""Every page of the demo says that it is one, and no page of one's own record does."""

import datetime as dt

import pytest
from django.conf import settings as site_settings
from django.urls import reverse

from tests import factories as make
from tests.isolation.test_url_map import ADDRESSES, address, one_of_each, read_whole

pytestmark = pytest.mark.django_db
PAGES = sorted(ADDRESSES)


def demo_on(settings):
    settings.DEMO, settings.TOLD_FOR = True, dt.date(2031, 10, 12)


def test_every_page_of_the_demo_says_so(client, settings):
    demo_on(settings)
    rows = one_of_each("Ours")
    numbers = {kind: row.pk for kind, row in rows.items()}
    make.signed_in(client, rows["party"])
    seen = 0
    for name in PAGES:
        response = client.get(address(name, ADDRESSES[name], numbers))
        read_whole(response)
        is_page = not response.streaming and response.get("Content-Type", "").startswith(
            "text/html"
        )
        if is_page and response.content and response.status_code in (200, 403, 404, 405):
            seen += 1
            assert "Demo with an invented record" in response.content.decode(), name
    assert seen > 60


def test_so_do_the_pages_before_signing_in(client, settings):
    demo_on(settings)
    for name in ("login", "claims:sign_up", "trips:field_page"):
        assert "Demo with an invented record" in client.get(reverse(name)).content.decode(), name


def test_no_page_of_ones_own_record_does(client):
    assert not site_settings.DEMO
    party = make.make_party()
    assert "Demo with" not in client.get(reverse("login")).content.decode()
    make.signed_in(client, party)
    for name in ("reports:where_next", "trips:field_page", "trips:trip_list"):
        assert "Demo with" not in client.get(reverse(name)).content.decode(), name
