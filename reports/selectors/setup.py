"""How far a new party's record is set up, and which car usually drives."""

from dataclasses import dataclass

from django.db.models import Exists, F, Max, OuterRef

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


def first_steps(
    party: Party, *, has_site: bool, has_price: bool, has_worked: bool = False
) -> FirstSteps:
    """Which first steps are done; one query.

    Args: has_worked: that a car, gear and a trip are on record is known already: no query then.
    """
    if has_worked:
        return FirstSteps(has_site, True, True, True, has_price)
    its = {"party": OuterRef("pk")}
    row = (
        Party.objects.filter(pk=party.pk)
        .annotate(
            has_car=Exists(Vehicle.objects.filter(**its)),
            has_gear=Exists(Gear.objects.filter(**its)),
            has_trip=Exists(Trip.objects.filter(**its)),
        )
        .values_list("has_car", "has_gear", "has_trip")
        .get()
    )
    car, gear, trip = row
    return FirstSteps(has_site, car, gear, trip, has_price)


def usual_car(party: Party) -> Thirst | None:
    """The latest trip's car if it is still used, else the first that is; one query."""
    cars = Vehicle.objects.filter(party=party, is_active=True)
    last = F("last").desc(nulls_last=True)
    car = cars.annotate(last=Max("trips__starts_on")).order_by(last, "name", "pk").first()
    if car is None:
        return None
    return Thirst(
        car.name, car.sealed_ml_per_100km, car.unsealed_ml_per_100km, car.track_ml_per_100km
    )


def latest_fuel_price(party: Party) -> int | None:
    """What fuel cost on the latest trip that says so, in thousandths a litre; one query."""
    return (
        Trip.objects.filter(party=party, fuel_price_milli_per_l__isnull=False)
        .order_by("-starts_on", "-pk")
        .values_list("fuel_price_milli_per_l", flat=True)
        .first()
    )
