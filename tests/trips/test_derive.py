"""Derived rows equal what the facts give, and a rebuild changes nothing."""

import datetime as dt
from io import StringIO

import pytest
from django.core.management import call_command

from claims.models import Paper
from tests import factories as make
from trips.models import Cost, DerivedShare, DerivedTripFigures, HoursBlock, Trip
from trips.selectors.costing import elapsed_minutes, minutes_by_person, trips_for_costing
from trips.services.derive import rebuild_party, rebuild_trip

pytestmark = pytest.mark.django_db
DAY = dt.date(2031, 5, 3)


def stored() -> list[tuple]:
    figures = DerivedTripFigures.objects.order_by("trip_id").values_list(
        "trip_id",
        "mass_ug",
        "fine_ug",
        "fuel_minor",
        "outlay_minor",
        "wear_minor",
        "door_minutes",
        "person_minutes",
        "work_minutes",
        "washed_ml",
        "fee_parts",
        "unknown",
        "cost_lines",
        "worked",
    )
    shares = DerivedShare.objects.order_by("run_id", "pan_id").values_list(
        "run_id", "pan_id", "mass_ug", "sd_ug", "method", "flag"
    )
    return [*figures, *shares]


def wrapped_trip(party, site, day=DAY, **more):
    trip = make.make_trip(
        party=party, site=site, starts_on=day, ends_on=day, state=Trip.State.WRAPPED_UP, **more
    )
    trip.trip_sites.update(was_visited=True)
    return trip


def test_shares_add_up_to_the_weigh_in_and_figures_follow():
    party = make.make_party(fineness=900)
    site = make.make_site(party=party)
    trip = wrapped_trip(party, site)
    spot = make.make_spot(site=site)
    weigh_in = make.make_weigh_in(trip=trip, gross_ug=1_240_000, tare_ug=0, resolution_ug=10_000)
    for counts in ((1, 4, 12), (0, 2, 30), (None, None, None)):
        make.make_run(
            trip=trip,
            spot=spot,
            weigh_in=weigh_in,
            volume_ml=120_000,
            minutes=60,
            coarse=counts[0],
            medium=counts[1],
            fine=counts[2],
        )
    rebuild_trip(trip.pk)
    shares = list(DerivedShare.objects.values_list("mass_ug", flat=True))
    assert len(shares) == 3
    assert sum(shares) == 1_240_000
    assert all(mass % 10_000 == 0 for mass in shares)
    figures = DerivedTripFigures.objects.get(trip=trip)
    assert figures.mass_ug == 1_240_000
    assert figures.fine_ug == 1_116_000
    assert figures.washed_ml == 360_000


def test_nothing_weighed_is_unknown_but_all_zero_counts_are_zero():
    party = make.make_party()
    site = make.make_site(party=party)
    trip = wrapped_trip(party, site)
    spot = make.make_spot(site=site)
    pan = make.make_pan(trip=trip, spot=spot, coarse=0, medium=0, fine=None)
    rebuild_trip(trip.pk)
    assert DerivedTripFigures.objects.get(trip=trip).mass_ug is None
    pan.fine = 0
    pan.save()
    rebuild_trip(trip.pk)
    assert DerivedTripFigures.objects.get(trip=trip).mass_ug == 0


def test_hours_without_a_person_count_for_everybody():
    party = make.make_party()
    trip = wrapped_trip(party, make.make_site(party=party))
    anna, ben = (make.make_person(party=party, name=name) for name in ("Anna", "Ben"))
    for person in (anna, ben):
        trip.trip_people.create(person=person)
    for person, minutes in ((None, 60), (anna, 30)):
        make.make_hours(trip=trip, person=person, minutes=minutes, activity=HoursBlock.Activity.DIG)
    [loaded] = trips_for_costing(party, [trip.pk])
    assert elapsed_minutes(loaded) == 90
    assert sum(minutes_by_person(loaded).values()) == 150
    assert elapsed_minutes(loaded, {HoursBlock.Activity.DRIVE}) == 0


def test_a_fee_over_trips_is_shared_anew_when_a_trip_is_added():
    party = make.make_party(currency="EUR")
    site = make.make_site(party=party)
    paper = make.make_paper(
        party=party,
        fee_minor=1001,
        currency="EUR",
        fee_spread=Paper.FeeSpread.TRIPS,
        issued_on=dt.date(2031, 1, 1),
        expires_on=dt.date(2031, 12, 31),
    )
    paper.sites.add(site)
    first = wrapped_trip(party, site)
    rebuild_trip(first.pk)
    assert DerivedTripFigures.objects.get(trip=first).fee_parts == {str(paper.pk): 1001}
    second = wrapped_trip(party, site, day=dt.date(2031, 5, 10))
    rebuild_trip(second.pk)
    parts = DerivedTripFigures.objects.order_by("trip__starts_on").values_list(
        "fee_parts", flat=True
    )
    assert [part[str(paper.pk)] for part in parts] == [501, 500]


@pytest.mark.parametrize(
    ("day", "inside"),
    [
        (dt.date(2030, 12, 31), False),
        (dt.date(2031, 1, 1), True),
        (dt.date(2031, 12, 31), True),
        (dt.date(2032, 1, 1), False),
    ],
)
def test_a_fee_counts_from_the_first_to_the_last_day_of_its_term(day, inside):
    party = make.make_party(currency="EUR")
    site = make.make_site(party=party)
    paper = make.make_paper(
        party=party,
        fee_minor=1000,
        currency="EUR",
        fee_spread=Paper.FeeSpread.TRIPS,
        issued_on=dt.date(2031, 1, 1),
        expires_on=dt.date(2031, 12, 31),
    )
    paper.sites.add(site)
    trip = wrapped_trip(party, site, day=day)
    rebuild_trip(trip.pk)
    parts = DerivedTripFigures.objects.get(trip=trip).fee_parts
    assert parts == ({str(paper.pk): 1000} if inside else {})


def test_planned_costs_count_only_until_the_trip_is_wrapped_up():
    party = make.make_party(currency="EUR")
    site = make.make_site(party=party)
    trip = make.make_trip(party=party, site=site, starts_on=DAY, ends_on=DAY)
    make.make_cost(trip=trip, stage=Cost.Stage.PLANNED, kind="fuel", amount_minor=4000)
    rebuild_trip(trip.pk)
    assert DerivedTripFigures.objects.get(trip=trip).fuel_minor == 4000
    make.make_cost(trip=trip, stage=Cost.Stage.PAID, kind="fuel", amount_minor=3500)
    trip.state = Trip.State.WRAPPED_UP
    trip.save()
    trip.trip_sites.update(was_visited=True)
    rebuild_trip(trip.pk)
    assert DerivedTripFigures.objects.get(trip=trip).fuel_minor == 3500


def test_rebuilding_the_party_gives_what_single_rebuilds_stored():
    party = make.make_party(currency="EUR")
    site = make.make_site(party=party)
    paper = make.make_paper(
        party=party,
        fee_minor=999,
        currency="EUR",
        fee_spread=Paper.FeeSpread.TRIPS,
        issued_on=None,
        expires_on=None,
    )
    paper.sites.add(site)
    for number in range(4):
        trip = wrapped_trip(party, site, day=DAY + dt.timedelta(days=number))
        spot = make.make_spot(site=site, name=f"Spot {number}")
        weigh_in = make.make_weigh_in(
            trip=trip, gross_ug=300_000 + number * 10_000, tare_ug=0, resolution_ug=10_000
        )
        make.make_run(trip=trip, spot=spot, weigh_in=weigh_in, coarse=1, medium=2, fine=number)
        make.make_run(trip=trip, spot=spot, weigh_in=weigh_in, coarse=0, medium=3, fine=7)
        make.make_hours(trip=trip, minutes=120 + number)
        rebuild_trip(trip.pk)
    before = stored()
    assert len(before) == 4 + 8
    rebuild_party(party)
    # The rows are new ones with the same contents.
    assert stored() == before


def test_pans_weighed_alone_are_the_whole_gold_only_without_a_box():
    party = make.make_party(fineness=1000)
    site = make.make_site(party=party)
    trip = wrapped_trip(party, site)
    spot = make.make_spot(site=site)
    make.make_pan(trip=trip, spot=spot, mass_ug=3_000)
    rebuild_trip(trip.pk)
    assert DerivedTripFigures.objects.get(trip=trip).mass_ug == 3_000
    make.make_run(trip=trip, spot=spot, coarse=0, medium=4, fine=9)
    rebuild_trip(trip.pk)
    assert DerivedTripFigures.objects.get(trip=trip).mass_ug is None


def test_a_run_left_out_of_the_weighing_is_named():
    party = make.make_party()
    site = make.make_site(party=party)
    trip = wrapped_trip(party, site)
    spot = make.make_spot(site=site)
    weigh_in = make.make_weigh_in(trip=trip, gross_ug=500_000, tare_ug=0, resolution_ug=10_000)
    make.make_run(trip=trip, spot=spot, weigh_in=weigh_in)
    rebuild_trip(trip.pk)
    assert "not weighed" not in " ".join(DerivedTripFigures.objects.get(trip=trip).unknown)
    make.make_run(trip=trip, spot=spot)
    rebuild_trip(trip.pk)
    figures = DerivedTripFigures.objects.get(trip=trip)
    assert figures.mass_ug == 500_000
    assert "1 of 2 runs not weighed: the gold is at least this." in figures.unknown


def test_after_an_update_only_records_with_old_sums_are_rebuilt():
    """What an older version kept is worked out anew, and nothing else is touched."""
    trips = []
    for name in ("Ebb and Sons", "Flint club"):
        party = make.make_party(name=name)
        trip = wrapped_trip(party, make.make_site(party=party))
        rebuild_trip(trip.pk)
        trips.append(trip)
    fresh = stored()
    DerivedTripFigures.objects.filter(trip=trips[1]).update(sum_version=1, worked=None)

    said = StringIO()
    call_command("rebuild", old=True, stdout=said)
    assert said.getvalue() == "Rebuilt: Flint club\n"
    assert stored() == fresh

    said = StringIO()
    call_command("rebuild", old=True, stdout=said)
    assert said.getvalue() == ""
