"""How far a new party's record is set up, and which car usually drives."""

from dataclasses import dataclass

from django.db.models import Exists, F, Max, OuterRef, Subquery

from claims.joined import JsonRow
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


@dataclass(frozen=True)
class Setup:
    """What a party has to go with; `car` is the one that usually drives, if any is still used."""

    car: Thirst | None
    fuel_price_milli_per_l: int | None
    has_car: bool
    has_gear: bool
    has_trip: bool

    def steps(self, *, has_site: bool, has_price: bool) -> FirstSteps:
        """Which first steps are done."""
        return FirstSteps(has_site, self.has_car, self.has_gear, self.has_trip, has_price)


def setup_of(party: Party) -> Setup:
    """What a party has to go with; one query.

    The usual car is the latest trip's if it is still used, else the first that is. Fuel costs what
    the party says, else what it cost on the latest trip that says so.
    """
    its = {"party": OuterRef("pk")}
    cars = Vehicle.objects.filter(**its, is_active=True).annotate(last=Max("trips__starts_on"))
    usual = cars.order_by(F("last").desc(nulls_last=True), "name", "pk").values("pk")[:1]
    fuel = Trip.objects.filter(**its, fuel_price_milli_per_l__isnull=False)
    thirst = Vehicle.objects.filter(pk=OuterRef("usual")).values(
        row=JsonRow("name", "sealed_ml_per_100km", "unsealed_ml_per_100km", "track_ml_per_100km")
    )
    car, fuel_price, *has = (
        Party.objects.filter(pk=party.pk)
        .annotate(usual=Subquery(usual))
        .values_list(
            Subquery(thirst),
            Subquery(fuel.order_by("-starts_on", "-pk").values("fuel_price_milli_per_l")[:1]),
            Exists(Vehicle.objects.filter(**its)),
            Exists(Gear.objects.filter(**its)),
            Exists(Trip.objects.filter(**its)),
        )
        .get()
    )
    return Setup(Thirst(*car) if car else None, party.fuel_price_milli_per_l or fuel_price, *has)
