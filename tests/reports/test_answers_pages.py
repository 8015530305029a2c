"""The answers together: names as typed, who may see, and how many queries."""

import pytest

from tests import factories as f
from tests.reports.asking import LATE, page, queries, words
from tests.reports.record import make_record

pytestmark = pytest.mark.django_db


def test_long_names_and_markup_in_names_are_shown_as_text(keeper, party):
    [site] = make_record(party)
    site.name = "<b>" + "x" * 110
    site.save()
    for address in (f"/?{LATE}", f"/pay/?{LATE}", f"/pay/sites/?{LATE}", f"/sites/{site.pk}/"):
        text = keeper.get(address).content.decode()
        assert "<b>x" not in text
        assert "&lt;b&gt;x" in text


def test_another_partys_site_is_not_there(keeper):
    site = f.make_site(f.make_party())
    assert keeper.get(f"/sites/{site.pk}/").status_code == 404


def test_another_partys_record_shows_on_no_page(keeper, party):
    make_record(f.make_party(), sites=2, trips=3, names="Theirs")
    make_record(party, trips=2)
    own = party.sites.get()
    for address in ("/", "/pay/?season=all", "/pay/sites/", f"/sites/{own.pk}/"):
        mark = "&" if "?" in address else "?"
        assert "Theirs" not in words(keeper.get(f"{address}{mark}{LATE}"))
    assert page(keeper, f"/?{LATE}").trips == 2
    assert page(keeper, f"/pay/?season=all&{LATE}").result.minutes == 600


@pytest.mark.parametrize("address", ["/", "/pay/", "/pay/sites/", "/pay/sites/csv/", "/sites/1/"])
def test_signed_out_goes_to_the_sign_in_page(client, address):
    answer = client.get(address)
    assert answer.status_code == 302
    assert answer["Location"].startswith("/sign-in/")


@pytest.mark.parametrize("role", ["reader", "hand"])
def test_every_role_reads_the_answers(client, party, role):
    make_record(party)
    member = f.signed_in(client, party, role)
    for address in ("/", "/pay/", "/pay/sites/", f"/sites/{party.sites.get().pk}/"):
        assert member.get(f"{address}?{LATE}").status_code == 200


def test_twice_the_record_asks_no_more_queries(keeper, party):
    [site, *_] = make_record(party, sites=2, trips=3)
    f.make_paper(party, [site])
    f.make_hole(site)
    addresses = [
        f"{path}?{LATE}&season=all" for path in ("/", "/pay/", "/pay/sites/", f"/sites/{site.pk}/")
    ]
    addresses += [f"/pay/sites/{fmt}/?{LATE}&season=all" for fmt in ("csv", "xlsx", "pdf")]
    for address in (addresses[0], addresses[3]):
        keeper.get(address)  # keeps the belief
    once = [queries(keeper, address) for address in addresses]
    make_record(party, sites=4, trips=6, names="More")
    f.make_paper(party, list(party.sites.all()))
    f.make_hole(site)
    for trip in party.trips.filter(trip_sites__site=site):
        f.make_pan(trip, site.spots.first())
    for address in (addresses[0], addresses[3]):
        keeper.get(address)  # keeps it anew
    twice = [queries(keeper, address) for address in addresses]
    # One less where no spot is the best of its site, so that none is named.
    assert all(later <= first for later, first in zip(twice, once, strict=True)), (twice, once)
