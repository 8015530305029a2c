"""The two lists of the page of gold."""

import pytest

from tests import factories as make

pytestmark = pytest.mark.django_db


def test_two_lists_on_one_page_stay_short_and_page_each_at_its_own_place(client):
    party = make.make_party()
    keeper = make.signed_in(client, party)
    for _ in range(11):
        make.make_lot(make.make_weigh_in(make.make_trip(party)))
    page = keeper.get("/gold/")
    shown = page.context["page"]
    assert [len(shown.weigh_ins.page), len(shown.lots.page)] == [
        10,
        10,
    ]
    text = page.content.decode()
    assert 'href="?w-page=2#weigh-ins"' in text
    assert 'href="?l-page=2#lots"' in text
