"""What pages ask for together is what asking for each alone would give."""

import datetime as dt

import pytest

from reports.figures.ranking import Thirst
from reports.selectors import export
from reports.selectors.belief import grounds, party_ground
from reports.selectors.setup import Setup, setup_of
from tests import factories as make
from tests.reports.record import make_record

pytestmark = pytest.mark.django_db
DAY = dt.date(2031, 5, 3)


def thirst(car):
    return Thirst(
        *(car.name, car.sealed_ml_per_100km, car.unsealed_ml_per_100km, car.track_ml_per_100km)
    )


def test_a_party_without_anything_has_nothing_to_go_with(django_assert_num_queries):
    party = make.make_party()
    with django_assert_num_queries(1):
        assert setup_of(party) == Setup(None, None, False, False, False)


def test_the_latest_trips_car_is_the_usual_one_while_it_is_used(django_assert_num_queries):
    party = make.make_party()
    old, new, _ = (make.make_vehicle(party, name=name) for name in ("Old", "New", "A shed find"))
    make.make_trip(party, starts_on=DAY, ends_on=DAY, vehicle=old, fuel_price_milli_per_l=1_500)
    later = DAY + dt.timedelta(days=7)
    make.make_trip(party, starts_on=later, ends_on=later, vehicle=new, fuel_price_milli_per_l=None)
    make.make_gear(party)
    make.make_vehicle(make.make_party(), name="Theirs")
    with django_assert_num_queries(1):
        assert setup_of(party) == Setup(thirst(new), 1_500, True, True, True)
    new.is_active = False
    new.save()
    assert setup_of(party).car == thirst(old)
    party.fuel_price_milli_per_l = 1_700
    assert setup_of(party).fuel_price_milli_per_l == 1_700


def test_beliefs_of_two_days_come_with_one_question(django_assert_num_queries):
    party = make.make_party()
    make_record(party, sites=2, trips=3)
    late, early = dt.date(2031, 12, 31), DAY + dt.timedelta(days=1)
    alone = party_ground(party, late), party_ground(party, early)
    with django_assert_num_queries(1):
        assert grounds(party, late, early) == alone
    assert alone[0] != alone[1]


def test_every_table_of_the_exports_is_counted_as_it_is_written(django_assert_num_queries):
    party = make.make_party()
    make_record(party, sites=2, trips=3)
    make_record(make.make_party(), trips=2)
    with django_assert_num_queries(1):
        counts = export.counts_of(party)
    assert counts == tuple(len(list(export.rows_of(table, party))) for table in export.TABLES)
    assert sum(counts) > 20
    assert 0 in counts
