"""A trip with everything on it, for the tests of its pages."""

from tests import factories as make
from trips.models import Trip
from trips.services import derive


def full_trip(party, pans=3, runs=2):
    """A wrapped-up trip with everything on it."""
    people = [make.make_person(party), make.make_person(party)]
    site = make.make_site(party, latitude_udeg=46_000_000, longitude_udeg=8_000_000)
    car = make.make_vehicle(party)
    trip = make.make_trip(party, site, people=people, vehicle=car, planned_work_minutes=360)
    for _ in range(pans):
        make.make_pan(trip)
    washed = [make.make_run(trip) for _ in range(runs)]
    make.make_hours(trip, "drive", 70)
    make.make_hours(trip, "run", 240, site=site)
    make.make_cost(trip, paid_by=people[0])
    make.make_weigh_in(trip, runs=washed)
    make.make_price(party)
    trip.trip_sites.update(was_visited=True)
    Trip.objects.filter(pk=trip.pk).update(state="wrapped_up")
    derive.rebuild_trip(trip.pk)
    return trip
