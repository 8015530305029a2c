"""What stands for a number in an address or a box may be anything: it never breaks a page."""

import pytest
from django.urls import reverse

from claims.web.forms import whole_number
from tests import factories as make

pytestmark = pytest.mark.django_db
# A digit to Python and no number; Arabic digits; more than Python reads; than a column holds.
ODD = ("²", "١٢", "9" * 5_000, "9" * 18, "-1", "1.5", "x", "")


def test_a_whole_number_is_read_and_nothing_else():
    assert whole_number("17") == 17
    assert [whole_number(text) for text in ODD] == [None, None, None, 10**18 - 1, *[None] * 4]


@pytest.mark.parametrize(
    ("page", "name", "expected"),
    [
        ("claims:rule_create", "site", 200),
        ("claims:hole_create", "site", 200),
        ("claims:duty_create", "paper", 200),
        ("claims:duty_create", "condition", 200),
        ("claims:duty_create", "renew", 200),
        ("trips:trip_create", "site", 200),
        ("reports:does_it_pay", "season", 200),
        ("trips:trip_list", "page", 200),
        ("trips:search", "page", 200),
    ],
)
def test_odd_numbers_in_an_address(client, page, name, expected):
    party = make.make_party()
    make.make_site(party)
    make.signed_in(client, party)
    said = [client.get(reverse(page), {name: text}).status_code for text in ODD]
    assert said == [expected] * len(ODD)


def test_odd_numbers_of_a_condition_are_no_condition(client):
    make.signed_in(client, make.make_party())
    address = reverse("claims:rule_create")
    said = [client.get(address, {"condition": text}).status_code for text in ODD if text]
    assert said == [404] * (len(ODD) - 1)


def test_odd_numbers_in_a_plan_are_refused_in_words(client):
    party = make.make_party()
    make.make_site(party)
    make.signed_in(client, party)
    for text in ODD:
        answer = client.post(reverse("trips:trip_create"), {"site": text, "starts_on": "x"})
        assert answer.status_code == 200
        assert b"Nothing has been saved" in answer.content


def test_odd_numbers_in_a_season_plan_are_left_out(client):
    party = make.make_party()
    make.make_site(party)
    make.signed_in(client, party)
    for text in ODD:
        fixed = {"pin": f"2031-05:{text}:2"}
        assert client.get(reverse("reports:season_plan"), fixed).status_code == 200
