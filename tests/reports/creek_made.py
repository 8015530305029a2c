"""A planned trip with everything that a table needs: belief, price, box, hours, a second choice."""

import datetime as dt

from tests import factories as f
from tests.reports.record import make_record
from trips.models import Trip
from trips.services.derive import rebuild_trip

PLAN_DAY = dt.date(2031, 8, 2)
LATE = "as_of=2031-08-01"


def planned_trip(party, **overrides) -> Trip:
    """A trip to site 1 with site 2 as second choice, a box of 200 L an hour and 6 hours."""
    first, second = make_record(party, sites=2, trips=3)
    f.make_spot(first, "Deep crevice")
    box = f.make_gear(party, "Long box", feed_ml_per_h=200_000, fuel_ml_per_h=600, power="engine")
    values = {"starts_on": PLAN_DAY, "planned_work_minutes": 360} | overrides
    trip = f.make_trip(party, first, fallbacks=[second], **values)
    trip.gear.set([box])
    rebuild_trip(trip.pk)
    return trip
