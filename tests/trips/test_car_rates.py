"""A car that goes by a published rate: each drive at its own day's rate, the fuel counted once."""

import datetime as dt
import random

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from tests import factories as make
from tests.trips.test_derive import stored
from trips.models import DerivedTripFigures, Trip, Vehicle
from trips.selectors.costing import legs_of
from trips.selectors.rates import driven_by_car
from trips.services.derive import rebuild_party, rebuild_trip
from trips.services.trips import delete_trip

pytestmark = pytest.mark.django_db
FUEL = 626  # 40 km of the made site: 3.48 L at 1.80


@pytest.fixture
def party():
    return make.make_party()


@pytest.fixture
def car(party):
    """Goes by a rate of 0.50 a km for 100 km of a year, then 0.20."""
    make.make_rate(party, name="Club", first_tier_upto=100, source="the club's letter of 2031")
    return make.make_vehicle(party, rate_name="Club", wear_milli_per_km=150)


def drive(car, day, *, party=None, metres=None, **more):
    """A wrapped-up trip of 40 km, or of `metres` on sealed road."""
    trip = make.make_trip(
        car.party,
        site=car.party.sites.first(),
        starts_on=day,
        ends_on=day,
        vehicle=car,
        state=Trip.State.WRAPPED_UP,
        driven_sealed_m=metres,
        **more,
    )
    trip.trip_sites.update(was_visited=True)
    rebuild_trip(trip.pk)
    return trip


def wear(trip) -> dict:
    lines = DerivedTripFigures.objects.get(trip=trip).cost_lines
    return next(line for line in lines if line["label"] == "Wear of the vehicle")


def test_the_rate_stands_for_wear_without_the_fuel_and_with_its_source(car):
    line = wear(drive(car, dt.date(2031, 5, 3)))
    assert line["amount_minor"] == 2000 - FUEL
    assert "40.0 km by the rate Club from 2031-01-01" in line["basis"]
    assert "EUR 20.00, less EUR 6.26 for the drive's fuel" in line["basis"]
    assert "Source: the club's letter of 2031" in line["basis"]
    figures = DerivedTripFigures.objects.get()
    assert figures.fuel_minor + figures.wear_minor == 2000


def test_earlier_drives_fill_the_first_tier_and_a_late_entry_charges_anew(car):
    days = [dt.date(2031, 5, day) for day in (3, 10, 17)]
    first, second, third = (drive(car, day) for day in days)
    amounts = [wear(trip)["amount_minor"] + FUEL for trip in (first, second, third)]
    assert amounts == [2000, 2000, 1000 + 400]
    early = drive(car, dt.date(2031, 4, 1), metres=60_000)
    assert wear(early)["amount_minor"] == 3000 - 864
    assert [wear(trip)["amount_minor"] + FUEL for trip in (first, second, third)] == [
        2000,
        800,
        800,
    ]
    as_kept = stored()
    rebuild_party(car.party)
    assert stored() == as_kept
    delete_trip(trip=early)
    assert wear(third)["amount_minor"] + FUEL == 1400


def test_kilometres_driven_otherwise_fill_the_first_tier(car):
    Vehicle.objects.update(rate_other_m=80_000)
    assert wear(drive(car, dt.date(2031, 5, 3)))["amount_minor"] + FUEL == 1000 + 400


@pytest.mark.parametrize(("starts", "second"), [("01-01", 10 * 50 + 30 * 10), ("", 40 * 50)])
def test_a_rate_that_changes_within_its_year(party, starts, second):
    """The tier goes on filling where both tables name the same beginning of the year."""
    half = {"name": "Split", "year_starts": starts, "first_tier_upto": 50}
    make.make_rate(party, **half, last_day=dt.date(2031, 6, 30), second_rate_milli=200)
    make.make_rate(party, **half, first_day=dt.date(2031, 7, 1), second_rate_milli=100)
    car = make.make_vehicle(party, rate_name="Split")
    drive(car, dt.date(2031, 6, 30))
    assert wear(drive(car, dt.date(2031, 7, 1)))["amount_minor"] + FUEL == second


def test_on_a_day_without_a_rate_the_own_figure_stands_or_it_is_unknown(car):
    late = wear(drive(car, dt.date(2032, 1, 1)))
    assert late["amount_minor"] == 600  # 40 km at 0.15
    assert "No Club rate for 2032-01-01" in late["basis"]
    assert "Own figure instead" in late["basis"]
    Vehicle.objects.update(wear_milli_per_km=None)
    rebuild_party(car.party)
    figures = DerivedTripFigures.objects.get()
    assert figures.wear_minor is None
    assert any("No Club rate for 2032-01-01" in reason for reason in figures.unknown)


@pytest.mark.parametrize(
    ("rate", "trip", "amount", "says"),
    [
        ({"holds_fuel": False}, {}, 2000, "it holds no fuel"),
        ({"rate_milli": 100}, {}, 0, "less EUR 6.26"),
        ({"currency": "NOK"}, {}, 600, "is in NOK"),
        ({"unit": "mi"}, {}, 1243 - FUEL, "24.9 mi"),
    ],
)
def test_kinds_of_rates(party, rate, trip, amount, says):
    make.make_rate(party, name="Any", **rate)
    line = wear(drive(make.make_vehicle(party, rate_name="Any"), dt.date(2031, 5, 3), **trip))
    assert line["amount_minor"] == amount
    assert says in line["basis"]


def test_receipts_for_less_than_the_worked_out_fuel_take_off_no_more(car):
    trip = drive(car, dt.date(2031, 5, 3))
    make.make_cost(trip, kind="fuel", amount_minor=400)
    rebuild_trip(trip.pk)
    assert wear(trip)["amount_minor"] == 1600


def test_fuel_that_is_not_known_leaves_the_rest_unknown(car):
    Vehicle.objects.update(sealed_ml_per_100km=None)
    drive(car, dt.date(2031, 5, 3))
    figures = DerivedTripFigures.objects.get()
    assert figures.wear_minor is None
    assert any("the drive's fuel, which would be taken off" in why for why in figures.unknown)


def test_a_car_takes_a_rate_at_its_form_and_trips_follow(client, party):
    keeper = make.signed_in(client, party)
    make.make_rate(party, name="Club")
    make.make_rate(party, name="Abroad", currency="NOK")
    car = make.make_vehicle(party)
    trip = drive(car, dt.date(2031, 5, 3))
    assert wear(trip)["amount_minor"] == 600
    url = reverse("trips:vehicle_edit", args=[car.pk])
    page = keeper.get(url).content.decode()
    assert "counts once" in page
    assert '<option value="Club">' in page
    assert "Abroad" not in page
    data = {"name": car.name, "fuel": "petrol", "is_active": "on", "version": car.version}
    data |= {"sealed_ml_per_100km": "8", "unsealed_ml_per_100km": "10", "track_ml_per_100km": "14"}
    assert keeper.post(url, data | {"rate_name": "None such"}).status_code == 200
    keeper.post(url, data | {"rate_name": "Club", "rate_other_m": "2000 km"})
    assert wear(trip)["amount_minor"] == 800 - FUEL
    shown = keeper.get(reverse("trips:trip_detail", args=[trip.pk])).content.decode()
    assert "by the rate Club" in shown
    assert "made up for tests" in shown
    rate = party.distance_rates.get(name="Club")
    delete = reverse("trips:rate_delete", args=[rate.pk])
    assert car.name in keeper.get(delete).content.decode()
    keeper.post(delete)
    figures = DerivedTripFigures.objects.get()
    assert figures.wear_minor is None


@pytest.mark.parametrize("starts", ["13-01", "02-29", "4-6", "July"])
def test_a_beginning_of_the_year_that_is_no_day_is_told(client, party, starts):
    keeper = make.signed_in(client, party)
    data = {
        "name": "Club",
        "first_day": "2031-01-01",
        "last_day": "2031-12-31",
        "unit": "km",
        "currency": "EUR",
        "rate_milli": "0.4",
        "source": "letter",
        "year_starts": starts,
    }
    answer = keeper.post(reverse("trips:rate_create"), data)
    assert "such as 04-06" in answer.content.decode()
    assert not party.distance_rates.exists()


def test_more_trips_take_the_same_queries(client, car):
    keeper = make.signed_in(client, car.party)

    def count(trip) -> int:
        with CaptureQueriesContext(
            connection,
        ) as caught:
            keeper.get(reverse("trips:trip_detail", args=[trip.pk]))
        return len(caught)

    trip = drive(car, dt.date(2031, 5, 3))
    count(trip)
    one = count(trip)
    for day in range(4, 8):
        drive(car, dt.date(2031, 5, day))
    assert count(trip) == one


def test_drives_by_car_are_those_that_each_trip_costs(party):
    """Noted, or there and back to the farthest site visited; else counted as not known."""
    dice = random.Random(6)
    roads = ("sealed_m", "unsealed_m", "track_m")
    cars = [make.make_vehicle(party, name=name) for name in ("Van", "Truck")]
    sites = [
        make.make_site(party, **{road: dice.choice([None, 4_000, 25_000]) for road in roads})
        for _ in range(4)
    ]
    sites.append(make.make_site(party, **dict.fromkeys(roads)))
    expected = {}
    for number in range(40):
        noted = dice.random() < 0.3
        first, *others = dice.sample(sites, 3)
        trip = make.make_trip(
            party, first, fallbacks=others,
            vehicle=dice.choice([*cars, None]), starts_on=dt.date(2031, 5, 1 + number % 20),
            state=dice.choice(["wrapped_up", "wrapped_up", "under_way", "called_off"]),
            **{f"driven_{road}": dice.choice([None, 9_000]) for road in roads if noted},
        )  # fmt: skip
        for row in trip.trip_sites.all():
            trip.trip_sites.filter(pk=row.pk).update(was_visited=dice.random() < 0.6)
    for trip in Trip.objects.filter(state="wrapped_up", vehicle__isnull=False).order_by(
        "starts_on", "pk"
    ):
        known, lost = expected.setdefault(trip.vehicle.name, ([], []))
        legs = legs_of(trip)
        if legs is None:
            lost.append(trip)
        else:
            known.append((trip.starts_on, sum(leg.distance_m for leg in legs)))
    found = driven_by_car(party, dt.date(2031, 12, 31))
    assert {
        car: ([(each.day, each.distance_m) for each in drives], unknown)
        for car, (drives, unknown) in found.items()
    } == {car: (known, len(lost)) for car, (known, lost) in expected.items()}
    assert all(lost for _, lost in expected.values())
    early = driven_by_car(party, dt.date(2031, 5, 6))
    assert {each.day.day for drives, _ in early.values() for each in drives} <= set(range(1, 7))
