"""The kept belief: equal to a fresh one, old after a change, one query when it is there."""

import datetime as dt

import pytest
from django.core.management import call_command
from django.db import connection
from django.test.utils import CaptureQueriesContext

from reports.models import BeliefMark, DerivedBelief
from reports.selectors import belief as selector
from reports.selectors.belief import party_belief, party_ground
from reports.selectors.colour_mass import party_colour_mass
from reports.selectors.pace import pace_of
from tests import factories as f
from tests.reports.record import make_record
from trips.models import Flood, Gauge, HoursBlock, TestPan
from trips.selectors.floods import floods_by_site
from trips.services.gold import save_weigh_in
from trips.services.records import Place, delete_record, save_hours, save_pan

pytestmark = pytest.mark.django_db
LATE = dt.date(2031, 12, 31)


def fresh(party, as_of=LATE):
    samples = [sample for sample in selector.all_samples(party) if sample.day <= as_of]
    floods = floods_by_site(party, as_of)
    weighed = selector.evidence(party, as_of)
    return selector.ground_from(party, samples, floods, weighed, as_of).belief


def test_what_is_kept_is_what_a_fresh_fit_gives(party):
    make_record(party, sites=3, trips=4)
    first = party_belief(party, LATE)
    assert first == fresh(party)
    assert party_belief(party, LATE) == first
    assert DerivedBelief.objects.count() == 1


def test_kept_it_takes_one_query(party):
    make_record(party, sites=2, trips=2)
    party_belief(party, LATE)
    with CaptureQueriesContext(connection) as caught:
        party_belief(party, LATE)
    assert len(caught) == 1


def test_what_colours_weigh_is_read_with_the_belief_or_learned_without_it(party):
    make_record(party, sites=2, trips=3)
    before = selector.party_colours(party, LATE)
    assert not DerivedBelief.objects.exists()
    party_belief(party, LATE)
    with CaptureQueriesContext(connection) as caught:
        kept = selector.party_colours(party, LATE)
    assert len(caught) == 1
    assert kept == before == party_colour_mass(party, LATE)


def test_a_weigh_in_after_it_makes_what_colours_weigh_old(party):
    make_record(party)
    party_belief(party, LATE)
    before = selector.party_colours(party, LATE)
    trip = party.trips.get()
    save_weigh_in(
        trip=trip,
        weighed_on=trip.ends_on,
        gross_ug=9_000_000,
        tare_ug=0,
        resolution_ug=10_000,
        fineness=None,
        runs=(),
        pans=trip.pans.all(),
        note="",
    )
    after = selector.party_colours(party, LATE)
    assert after == party_colour_mass(party, LATE)
    assert after.weigh_ins == before.weigh_ins + 1


def test_a_new_pan_and_a_deleted_one_make_it_old(party):
    [site] = make_record(party)
    trip, spot = party.trips.get(), site.spots.get()
    before = party_belief(party, LATE)
    pan = TestPan(day=trip.starts_on, layer="gravel", volume_ml=8000, coarse=0, medium=0, fine=40)
    save_pan(trip=trip, pan=pan, place=Place(spot=spot))
    after = party_belief(party, LATE)
    assert after.spot(spot.pk).mean() > before.spot(spot.pk).mean()
    assert after == fresh(party)
    delete_record(record=pan)
    assert party_belief(party, LATE) == before


def test_a_cost_makes_no_new_fit(party, monkeypatch):
    make_record(party)
    party_belief(party, LATE)
    before = BeliefMark.objects.get().changes
    from trips.services.derive import rebuild_trip

    f.make_cost(party.trips.get(), "other", 100)
    rebuild_trip(party.trips.get().pk)
    assert BeliefMark.objects.get().changes > before

    def refuse(*_):
        raise AssertionError("fitted again although no sample changed")

    monkeypatch.setattr(selector, "learn", refuse)
    assert party_belief(party, LATE).seen_at(party.sites.get().pk).pans == 1


def test_a_look_back_sees_only_what_was_known_then(party):
    [site] = make_record(party, trips=3)
    counts = [
        party_belief(party, dt.date(2031, 5, day)).seen_at(site.pk).pans for day in (2, 3, 9, 10)
    ]
    assert counts == [0, 1, 1, 2]
    assert party_belief(party, LATE).seen_at(site.pk).pans == 3
    # From the second trip on to the third one row serves; each of the others has its own.
    assert DerivedBelief.objects.count() == 4
    party_belief(party, dt.date(2031, 5, 8))
    assert DerivedBelief.objects.count() == 4


def test_a_change_that_comes_while_fitting_leaves_no_old_belief(party, monkeypatch):
    make_record(party)
    right = selector.learn

    def learn_slowly(spots):
        selector.mark_changed(party.pk)
        return right(spots)

    monkeypatch.setattr(selector, "learn", learn_slowly)
    party_belief(party, LATE)
    assert DerivedBelief.objects.get().changes < BeliefMark.objects.get().changes
    with CaptureQueriesContext(connection) as caught:
        party_belief(party, LATE)
    assert len(caught) > 1


def test_overburden_and_called_off_trips_are_no_evidence(party):
    [site] = make_record(party)
    trip = party.trips.get()
    f.make_pan(trip, site.spots.get(), layer="overburden", fine=90)
    off = f.make_trip(party, site, state="called_off")
    f.make_pan(off, site.spots.get(), fine=90)
    assert party_belief(party, LATE).seen_at(site.pk).pans == 1


def test_another_party_is_not_seen(party):
    make_record(party)
    other = f.make_party()
    assert party_belief(other, LATE).spots == {}
    assert party_belief(party, LATE).spots != {}


def test_the_command_keeps_what_a_fresh_fit_gives(party, capsys):
    make_record(party, trips=2)
    call_command("rebuild")
    kept = DerivedBelief.objects.get()
    assert selector.from_plain(kept.content["belief"]) == fresh(party)
    assert kept.changes == BeliefMark.objects.get().changes
    with CaptureQueriesContext(connection) as caught:
        party_belief(party, LATE)
    assert len(caught) == 1


def test_a_flood_takes_from_what_lies_before_it_and_makes_the_belief_old(party):
    [site] = make_record(party, trips=2)
    spot = site.spots.get()
    before = party_belief(party, LATE)
    gauge = Gauge.objects.create(party=party, name="Weir")
    flood = Flood.objects.create(
        party=party, gauge=gauge, day=dt.date(2031, 5, 9), own_return_tenths=50
    )
    assert party_belief(party, LATE) == before  # it reaches no site yet
    gauge.sites.add(site)
    after = party_belief(party, LATE)
    # A quarter of the first day's pan and run is left, all of the second's.
    assert after.spots[spot.pk].litres < 0.7 * before.spots[spot.pk].litres
    assert after.spots[spot.pk].seen == before.spots[spot.pk].seen
    # Before the flood nothing is taken off, and the day before it is kept apart.
    assert party_belief(party, dt.date(2031, 5, 8)).spots[spot.pk].litres > (
        party_belief(party, dt.date(2031, 5, 9)).spots[spot.pk].litres
    )
    flood.delete()
    assert party_belief(party, LATE) == before


def test_a_weight_counts_from_the_day_of_weighing(party):
    [site] = make_record(party)
    party.trips.get().runs.update(coarse=None, medium=None, fine=None)
    weighing = party.weigh_ins.get()
    weighing.weighed_on = dt.date(2031, 5, 8)
    weighing.save()
    call_command("rebuild", verbosity=0)
    early = party_belief(party, dt.date(2031, 5, 7)).seen_at(site.pk)
    late = party_belief(party, dt.date(2031, 5, 8)).seen_at(site.pk)
    assert (early.runs, early.left_out) == (0, 1)
    assert (late.runs, late.weighed) == (1, 1)


def test_what_the_box_brought_moves_psi(party):
    make_record(party, trips=6)
    ground = party_ground(party, LATE)
    assert ground.psi.spots == 1
    assert ground.psi.log_sd < 0.4
    assert ground.weigh_ins == 6
    assert party_ground(f.make_party(), LATE).psi.median == 0.7


def test_colours_and_pace_are_kept_as_they_were_worked_out(party):
    make_record(party, trips=3)
    for trip in party.trips.all():
        f.make_pan(trip, trip.pans.first().spot)
        f.make_hours(trip, "test", 45)
    call_command("rebuild", verbosity=0)
    DerivedBelief.objects.all().delete()
    made = party_ground(party, LATE)
    assert party_ground(party, LATE) == made
    assert made.colours == party_colour_mass(party, LATE)
    assert made.pace == pace_of(party, LATE)
    # Two pans of 8 L and 45 minutes, one run of 230 minutes a trip; 0.2, 0.4 and 0.6 g.
    assert (made.pace.pans, made.pace.pan_minutes) == (6, 135)
    assert made.pace.season.trips == 3
    assert made.pace.season.mass_ug == 1_200_000


def test_hours_noted_change_the_pace_and_ask_for_no_new_fit(party, monkeypatch):
    make_record(party)
    trip = party.trips.get()
    before = party_ground(party, LATE)
    assert (before.pace.pans, before.pace.season.work_minutes) == (0, 230)

    def refuse(*_):
        raise AssertionError("fitted again although no sample changed")

    monkeypatch.setattr(selector, "learn", refuse)
    block = HoursBlock(day=trip.starts_on, activity="test", minutes=50)
    save_hours(trip=trip, block=block)
    after = party_ground(party, LATE)
    assert (after.pace.pans, after.pace.pan_minutes) == (1, 50)
    assert after.pace.season.work_minutes == 280
    assert after.belief == before.belief


def test_a_look_back_sees_the_pace_of_then(party):
    make_record(party, trips=2)
    first, second = party.trips.order_by("starts_on")
    f.make_hours(first, "test", 30)
    f.make_hours(second, "test", 60, day=second.starts_on)
    late = f.make_trip(party, first.trip_sites.get().site, starts_on=dt.date(2031, 5, 20))
    f.make_run(late, first.runs.get().spot, gear=None, layer="overburden", minutes=10)
    call_command("rebuild", verbosity=0)
    for day in (2, 3, 9, 10, 19, 20, 31):
        then = dt.date(2031, 5, day)
        assert party_ground(party, then).pace == pace_of(party, then)
        assert party_ground(party, then).colours == party_colour_mass(party, then)
