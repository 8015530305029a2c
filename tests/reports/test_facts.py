"""What the answers take from the record: where a trip's gold and hours were."""

import datetime as dt

import pytest

from claims.services.ground import save_spot
from reports.selectors.facts import cost_lines, gear_names, kept_lines, trip_facts, trip_years
from tests import factories as f
from trips.models import DerivedTripFigures
from trips.services.derive import rebuild_party

pytestmark = pytest.mark.django_db


@pytest.fixture
def trip(party):
    """Wrapped up, to two sites that were both visited."""
    trip = f.make_trip(
        party, f.make_site(party, "A"), fallbacks=[f.make_site(party, "B")], state="wrapped_up"
    )
    trip.trip_sites.update(was_visited=True)
    return trip


def spot(trip, name):
    return f.make_spot(trip.party.sites.get(name=name))


def parts(trip):
    rebuild_party(trip.party)
    [facts] = trip_facts(trip.party, f.DAY)
    names = dict(trip.party.sites.values_list("pk", "name"))
    return {names[part.site_id]: part for part in facts.parts}


def test_a_visit_without_any_record_is_a_part_without_gold(trip):
    told = parts(trip)
    assert {name: (part.minutes, part.mass_ug) for name, part in told.items()} == {
        "A": (0, None),
        "B": (0, None),
    }


def test_a_weighed_run_and_a_pan_weighed_alone_are_each_where_they_were(trip):
    run = f.make_run(trip, spot(trip, "A"))
    f.make_weigh_in(trip, runs=[run])
    f.make_pan(trip, spot(trip, "B"), mass_ug=4_000)
    assert {name: part.mass_ug for name, part in parts(trip).items()} == {
        "A": 1_000_000,
        "B": 4_000,
    }


def test_a_pan_in_a_weigh_in_counts_by_its_share_alone(trip):
    pan = f.make_pan(trip, spot(trip, "A"), mass_ug=4_000)
    f.make_weigh_in(trip, pans=[pan])
    assert parts(trip)["A"].mass_ug == 1_000_000


@pytest.mark.parametrize(
    ("colours", "unweighed"),
    [
        ({"coarse": 0, "medium": 0, "fine": 0}, 0),
        ({"coarse": 0, "medium": 0, "fine": 1}, 1),
        ({"coarse": 0, "medium": 0, "fine": None}, 1),
        ({"coarse": None, "medium": None, "fine": None}, 1),
    ],
)
def test_a_run_in_no_weigh_in_is_noted_unless_it_surely_held_nothing(trip, colours, unweighed):
    f.make_run(trip, spot(trip, "A"), **colours)
    assert parts(trip)["A"].unweighed == unweighed


def test_a_weighed_run_is_not_noted(trip):
    f.make_weigh_in(trip, runs=[f.make_run(trip, spot(trip, "A"))])
    assert parts(trip)["A"].unweighed == 0


def test_minutes_are_of_the_ground_and_of_everybody(trip):
    for name in ("Ada", "Bo"):
        trip.trip_people.create(person=f.make_person(trip.party, name))
    a, b = (trip.party.sites.get(name=name) for name in "AB")
    f.make_hours(trip, "drive", 100, site=a)
    f.make_hours(trip, "walk", 20, site=a)
    f.make_hours(trip, "dig", 30, site=a)
    f.make_hours(trip, "test", 15, site=b, person=trip.party.people.get(name="Ada"))
    assert {name: part.minutes for name, part in parts(trip).items()} == {"A": 60, "B": 15}


def test_a_site_with_a_run_is_a_part_though_nobody_said_it_was_visited(trip):
    trip.trip_sites.update(was_visited=None)
    f.make_run(trip, spot(trip, "B"))
    assert list(parts(trip)) == ["B"]


def test_lots_with_their_own_price_are_known_with_the_pure_gold_in_them(trip):
    weigh_in = f.make_weigh_in(trip, fineness=900)
    f.make_lot(weigh_in, mass_ug=200_000, own_value_minor=5_000)
    f.make_lot(weigh_in, mass_ug=100_000, own_value_minor=2_500, state="sold", moved_on=f.DAY)
    f.make_lot(weigh_in, mass_ug=300_000)
    rebuild_party(trip.party)
    [facts] = trip_facts(trip.party, f.DAY)
    assert (facts.own.value_minor, facts.own.fine_ug) == (7_500, 270_000)
    trip.party.currency = "USD"
    [facts] = trip_facts(trip.party, f.DAY)
    assert facts.own.value_minor is None
    assert "EUR" in facts.own.reason


def test_gear_and_litres_of_each_run_are_known(trip):
    box = f.make_gear(trip.party, "Long box")
    for minutes in (30, 45):
        f.make_run(trip, spot(trip, "A"), gear=box, minutes=minutes)
    f.make_run(trip, spot(trip, "A"), minutes=None, volume_ml=None)
    f.make_pan(trip, spot(trip, "B"))
    told = parts(trip)
    assert told["A"].washed_ml is None  # one run's litres are missing
    assert told["B"].washed_ml == 5_000
    [facts] = trip_facts(trip.party, f.DAY)
    gear = {part.gear_id: (part.minutes, part.washed_ml) for part in facts.gear}
    assert gear == {box.pk: (75, 200_000), None: (None, None)}
    assert gear_names(trip.party) == {box.pk: ("Long box", "sluice, stream-fed")}


def test_kept_cost_lines_are_those_of_the_trips_pages(trip):
    f.make_cost(trip, "food", 1_200)
    f.make_cost(trip, "hire", 3_000)
    rebuild_party(trip.party)
    facts = trip_facts(trip.party, f.DAY)
    lines = kept_lines(trip.party, facts)
    kept = cost_lines(trip.party, facts, lines)
    assert lines == {trip.pk: kept}
    [food] = kept_lines(trip.party, facts, kinds=("food",))[trip.pk]
    assert (food.kind, food.amount_minor) == ("food", 1_200)
    assert {line.label: line.amount_minor for line in kept if line.amount_minor} == {
        "food": 1_200,
        "hired gear": 3_000,
    }
    DerivedTripFigures.objects.update(cost_lines=None)  # rows made before lines were kept
    lines = kept_lines(trip.party, facts)
    assert lines == {trip.pk: None}
    worked_out = cost_lines(trip.party, facts, lines)
    assert [line[:3] for line in worked_out] == [line[:3] for line in kept]


def test_a_season_takes_the_trips_that_ended_in_its_year(trip, django_assert_num_queries):
    over_new_year = f.make_trip(
        trip.party,
        starts_on=dt.date(f.DAY.year, 12, 31),
        ends_on=dt.date(f.DAY.year + 1, 1, 1),
        state="wrapped_up",
    )
    f.make_trip(trip.party, starts_on=dt.date(f.DAY.year + 3, 5, 1), state="planned")
    rebuild_party(trip.party)
    until = dt.date(f.DAY.year + 4, 1, 1)
    with django_assert_num_queries(1):
        assert trip_years(trip.party, until) == (f.DAY.year, f.DAY.year + 1)
    assert trip_years(trip.party, f.DAY) == (f.DAY.year,)
    with django_assert_num_queries(2):
        [found] = trip_facts(trip.party, until, f.DAY.year + 1)
    assert found.trip_id == over_new_year.pk
    [found] = trip_facts(trip.party, until, f.DAY.year)
    assert found.trip_id == trip.pk
    assert trip_facts(trip.party, f.DAY, f.DAY.year + 1) == ()


def test_cost_lines_are_read_of_the_days_asked_for_alone(trip, django_assert_num_queries):
    f.make_cost(trip, "food", 1_200)
    later = f.make_trip(trip.party, starts_on=f.DAY + dt.timedelta(days=400), state="wrapped_up")
    rebuild_party(trip.party)
    both = trip_facts(trip.party, later.ends_on)
    with django_assert_num_queries(1):
        assert set(kept_lines(trip.party, both[1:])) == {later.pk}
    with django_assert_num_queries(1):
        assert set(kept_lines(trip.party, both)) == {trip.pk, later.pk}
    assert kept_lines(trip.party, ()) == {}


def test_figures_from_before_the_places_were_kept_say_the_same(trip, django_assert_num_queries):
    box = f.make_gear(trip.party, "Long box")
    run = f.make_run(trip, spot(trip, "A"), gear=box, minutes=30)
    f.make_weigh_in(trip, runs=[run])
    f.make_pan(trip, spot(trip, "B"), mass_ug=4_000)
    f.make_hours(trip, "dig", 30, site=trip.party.sites.get(name="A"))
    rebuild_party(trip.party)
    with django_assert_num_queries(2):
        kept = trip_facts(trip.party, f.DAY)
    assert kept[0].parts
    assert kept[0].gear
    DerivedTripFigures.objects.update(worked=None)
    assert trip_facts(trip.party, f.DAY) == kept


def test_what_was_washed_goes_along_when_its_spot_proves_to_be_at_another_site(trip):
    bar = spot(trip, "A")
    f.make_weigh_in(trip, runs=[f.make_run(trip, bar)])
    assert parts(trip)["A"].mass_ug == 1_000_000
    bar.site = trip.party.sites.get(name="B")
    save_spot(spot=bar)
    [facts] = trip_facts(trip.party, f.DAY)
    assert {part.site_id: part.mass_ug for part in facts.parts} == {
        trip.party.sites.get(name="A").pk: None,
        bar.site_id: 1_000_000,
    }


def test_a_new_name_of_gear_shows_without_working_out_anew(trip):
    box = f.make_gear(trip.party, "Long box")
    f.make_run(trip, spot(trip, "A"), gear=box)
    rebuild_party(trip.party)
    type(box).objects.filter(pk=box.pk).update(name="Short box")
    [facts] = trip_facts(trip.party, f.DAY)
    assert [gear_names(trip.party)[part.gear_id][0] for part in facts.gear] == ["Short box"]
