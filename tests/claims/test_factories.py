"""The rows that every test builds on pass the same checks as rows that people type."""

import datetime as dt

import pytest

from claims.models import Paper
from tests import factories as make


@pytest.mark.django_db
def test_every_factory_makes_a_row_that_passes_its_own_checks():
    party = make.make_party()
    member = make.make_member(party)
    site = make.make_site(party)
    other = make.make_site(party)
    trip = make.make_trip(
        party, site, fallbacks=[other], people=[make.make_person(party), make.make_person(party)]
    )
    run, pan = make.make_run(trip), make.make_pan(trip)
    weigh_in = make.make_weigh_in(trip, runs=[run], pans=[pan])
    rows = [
        party,
        member,
        site,
        trip,
        run,
        pan,
        weigh_in,
        make.make_invitation(party, member.user),
        make.make_paper(party, [site]),
        make.make_hole(site),
        make.make_vehicle(party),
        make.make_gear(party),
        make.make_hours(trip),
        make.make_cost(trip),
        make.make_lot(weigh_in),
        make.make_price(party),
    ]
    for row in rows:
        row.full_clean()
    assert [s.site for s in trip.trip_sites.all()] == [site, other]
    assert weigh_in.net_ug == 1_000_000
    assert run.spot == pan.spot
    assert Paper.objects.get().sites.get() == site


@pytest.mark.django_db
def test_a_trip_ends_on_its_first_day_unless_told():
    trip = make.make_trip(make.make_party(), starts_on=dt.date(2032, 2, 29))
    assert trip.ends_on == dt.date(2032, 2, 29)


@pytest.mark.django_db
def test_signing_in_gives_the_client_a_member_of_the_role(client):
    party = make.make_party()
    assert make.signed_in(client, party, "reader") is client
    assert party.memberships.get().role == "reader"
