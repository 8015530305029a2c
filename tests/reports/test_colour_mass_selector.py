"""What the record's weigh-ins teach: the rows behind the masses."""

import datetime as dt

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from reports.selectors.colour_mass import evidence, party_colour_mass
from tests import factories as f
from trips.calc.counts import ClassCounts

pytestmark = pytest.mark.django_db
LATE = dt.date(2031, 12, 31)


def weighed_trip(party, mg=155, counts=(3, 25, 102), **overrides):
    trip = f.make_trip(party, state="wrapped_up")
    run = f.make_run(trip, coarse=counts[0], medium=counts[1], fine=counts[2])
    return f.make_weigh_in(trip, runs=[run], gross_ug=250_000 + mg * 1_000, **overrides)


def test_runs_and_pans_of_a_weigh_in_count_together(party):
    trip = f.make_trip(party, state="wrapped_up")
    run, pan = f.make_run(trip), f.make_pan(trip)
    f.make_weigh_in(trip, runs=[run], pans=[pan])
    found = evidence(party, LATE)
    assert found.rows[0].weighed.counts == ClassCounts(1, 9, 44)
    assert found.rows[0].weighed.litres == 105
    assert found.rows[0].weighed.net_ug == 1_000_000
    assert found.colours == (1, 9, 44)


def test_a_class_missing_in_one_run_is_missing_for_the_weigh_in(party):
    trip = f.make_trip(party, state="wrapped_up")
    runs = [f.make_run(trip), f.make_run(trip, medium=None)]
    f.make_weigh_in(trip, runs=runs)
    found = evidence(party, LATE)
    assert found.rows[0].weighed.counts == ClassCounts(2, None, 80)
    assert found.colours == (1, 8, 40)  # the mix takes what was counted in all classes
    assert party_colour_mass(party, LATE).weigh_ins == 0


def test_a_weigh_in_over_nothing_teaches_nothing(party):
    f.make_weigh_in(f.make_trip(party))
    learned = party_colour_mass(party, LATE)
    assert learned.weigh_ins == 0
    assert learned.mean_ug == (12_000, 2_500, 500)
    assert "starting values" in learned.words


def test_the_four_weigh_ins_of_the_table(party):
    """Own values, as for the pure sum."""
    for mg, counts in zip(
        (155, 190, 185, 88),
        ((3, 25, 102), (1, 40, 180), (5, 30, 90), (0, 22, 75)),
        strict=True,
    ):
        weighed_trip(party, mg, counts)
    learned = party_colour_mass(party, LATE)
    assert learned.mean_ug == pytest.approx((13_901.188, 2_402.738, 464.983), rel=2e-6)
    assert learned.weigh_ins == 4
    assert learned.words.startswith("Learned from 4 weigh-ins; own data: coarse ")
    counts = ClassCounts(3, 25, 102)
    mass = learned.equivalent_colours(counts) * learned.mean.mean_ug
    assert mass == pytest.approx(3 * 13_901.188 + 25 * 2_402.738 + 102 * 464.983, rel=1e-5)
    assert learned.equivalent_colours(ClassCounts()) is None


def test_later_weigh_ins_and_other_parties_are_not_seen(party):
    weighed_trip(party)
    weighed_trip(f.make_party(), 900)
    assert party_colour_mass(party, f.DAY).weigh_ins == 1
    assert party_colour_mass(party, f.DAY - dt.timedelta(days=1)).weigh_ins == 0


def test_the_party_s_own_masses_are_the_start(party):
    party.fine_mass_ug = 800
    learned = party_colour_mass(party, LATE)
    assert learned.mean_ug == pytest.approx((12_000, 2_500, 800))
    assert learned.sd_ug[2] == pytest.approx(400)


def test_five_queries_however_many(party):
    for _ in range(3):
        weighed_trip(party)
    with CaptureQueriesContext(connection) as caught:
        party_colour_mass(party, LATE)
    assert len(caught) == 5
