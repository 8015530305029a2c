"""How far a new party's record is set up, and which car usually drives."""

from dataclasses import dataclass

from claims.models import Party
from reports.figures.ranking import Thirst
from trips.models import Gear, Trip, Vehicle


@dataclass(frozen=True)
class FirstSteps:
    """What a new party has done of what the answers rest on."""

    site: bool
    car: bool
    gear: bool
    trip: bool
    price: bool

    @property
    def done(self) -> bool:
        """Whether nothing is left to set up."""
        return self.site and self.car and self.gear and self.trip and self.price


def first_steps(party: Party, *, has_site: bool, has_price: bool) -> FirstSteps:
    """Which first steps are done; three queries."""
    return FirstSteps(
        site=has_site,
        car=Vehicle.objects.filter(party=party).exists(),
        gear=Gear.objects.filter(party=party).exists(),
        trip=Trip.objects.filter(party=party).exists(),
        price=has_price,
    )


def usual_car(party: Party) -> Thirst | None:
    """The latest trip's car if it is still used, else the first that is; two queries."""
    cars = {car.pk: car for car in Vehicle.objects.filter(party=party, is_active=True)}
    last = (
        Trip.objects.filter(party=party, vehicle__is_active=True)
        .order_by("-starts_on", "-pk")
        .values_list("vehicle_id", flat=True)
        .first()
    )
    car = cars.get(last) or next(iter(cars.values()), None)
    if car is None:
        return None
    return Thirst(
        car.name, car.sealed_ml_per_100km, car.unsealed_ml_per_100km, car.track_ml_per_100km
    )
