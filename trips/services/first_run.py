"""Write what a new record says first: a car with a fuel price, and gear from presets."""

from collections.abc import Iterable

from django.db import transaction

from claims.models import Party
from claims.services import parties
from trips.models import Gear, Vehicle
from trips.presets import Preset
from trips.services import derive


@transaction.atomic
def save_car(*, party: Party, car: Vehicle, fuel_price: int | None) -> Vehicle:
    """Store a car, and what fuel costs (thousandths of a unit of money a litre) if it is said."""
    car.full_clean()
    car.save()
    if fuel_price is not None and fuel_price != party.fuel_price_milli_per_l:
        # A row of its own: what the request shows of the party mustn't change under it.
        kept = Party.objects.get(pk=party.pk)
        kept.fuel_price_milli_per_l = fuel_price
        parties.change_party(party=kept)
    derive.rebuild_party(party)
    return car


@transaction.atomic
def add_gear(*, party: Party, presets: Iterable[Preset]) -> list[Gear]:
    """Store a piece of gear for each preset whose name isn't taken yet; returns the new ones."""
    known = set(party.gear.values_list("name", flat=True))
    added = []
    for preset in presets:
        if preset.values["name"] in known:
            continue
        piece = Gear(party=party, **preset.values)
        piece.full_clean()
        piece.save()
        added.append(piece)
    return added
