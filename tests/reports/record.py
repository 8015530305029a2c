"""A small wrapped-up record in the database, with known sums and its derived rows rebuilt."""

import datetime as dt

from tests import factories as f
from trips.services.derive import rebuild_party


def make_record(party, *, sites=1, trips=1, first=f.DAY, names="Reach", price=True):
    """Sites with `trips` wrapped-up day trips each, a week apart, and the sites made.

    Trip n to site s brings n × s × 0.2 g of raw gold, which is 17.70 a piece. It costs 6.26 of
    fuel and 12.00 of food, and takes 70 minutes of driving and 230 at the creek: 5 hours.
    """
    car = party.vehicles.first() or f.make_vehicle(party)
    box = party.gear.first() or f.make_gear(party, price_minor=30_000, life_minutes=30_000)
    if price and not party.prices.exists():
        f.make_price(party, dt.date(2030, 1, 1))
    made = []
    for number in range(1, sites + 1):
        site = f.make_site(party, f"{names} {number}")
        spot = f.make_spot(site)
        for n in range(1, trips + 1):
            day = first + dt.timedelta(days=7 * (n - 1))
            trip = f.make_trip(party, site, starts_on=day, vehicle=car, state="wrapped_up")
            trip.trip_sites.update(was_visited=True)
            f.make_pan(trip, spot)
            box_run = f.make_run(trip, spot, gear=box)
            f.make_hours(trip, "drive", 70)
            f.make_hours(trip, "run", 230, site=site)
            f.make_cost(trip)
            f.make_weigh_in(
                trip, runs=[box_run], gross_ug=250_000 + 200_000 * n * number, tare_ug=250_000
            )
        made.append(site)
    rebuild_party(party)
    return made
