"""Cars and gear: two lists on one page, and their forms."""

from dataclasses import dataclass

from django.contrib import messages
from django.db import transaction
from django.shortcuts import redirect, render
from django.utils.translation import gettext

from claims.access import keeper_page, reader_page
from claims.web.export import TYPES, export_response
from claims.web.forms import form_options, units_of
from claims.web.tables import show_table
from trips.access import own_gear, own_vehicle
from trips.forms.kit import GearForm, VehicleForm
from trips.models import Gear, Vehicle
from trips.presets import CARS, GEAR
from trips.services import derive
from trips.tables.kit import GearTable, VehicleTable

CAR_COLUMNS = (
    *("name", "fuel", "sealed_ml_per_100km", "unsealed_ml_per_100km", "track_ml_per_100km"),
    *("towing_pct", "wear_milli_per_km", "wear_source", "rate_name", "rate_other_m", "is_active"),
)
GEAR_COLUMNS = (
    *("name", "kind", "power", "hp_hundredths", "volume_ml", "fuel_ml_per_h", "feed_ml_per_h"),
    *("price_minor", "residual_minor", "life_minutes", "is_active"),
)
# Columns whose header in a file isn't their own name.
HEADERS = {
    "is_active": "in_use",
    "wear_milli_per_km": "wear_milli_{currency}_per_km",
    "price_minor": "price_minor_{currency}",
    "residual_minor": "residual_minor_{currency}",
}


@dataclass(frozen=True)
class KitPage:
    cars: VehicleTable | None
    gear: GearTable | None


@reader_page
def kit_list(request):
    cars = Vehicle.objects.filter(party=request.party)
    gear = Gear.objects.filter(party=request.party)
    if (fmt := request.GET.get("export")) in TYPES:
        return _export(request, fmt, cars, gear)
    options = {"currency": request.party.currency, "units": units_of(request.user)}
    page = KitPage(
        cars=show_table(request, VehicleTable(cars, **options)) if cars.exists() else None,
        gear=show_table(request, GearTable(gear, **options)) if gear.exists() else None,
    )
    return render(request, "trips/kit_list.html", {"page": page})


def _export(request, fmt, cars, gear):
    """The file of one of the two lists: all rows, stored units named in the headers."""
    of_cars = request.GET.get("of") == "cars"
    columns, rows = (CAR_COLUMNS, cars) if of_cars else (GEAR_COLUMNS, gear)
    headers = [
        HEADERS.get(column, column).format(currency=request.party.currency) for column in columns
    ]
    return export_response("cars" if of_cars else "gear", fmt, headers, rows.values_list(*columns))


@keeper_page
def vehicle_create(request):
    return _edit(
        request, VehicleForm, Vehicle(party=request.party), gettext("Add a car"), presets=CARS
    )


@keeper_page
def vehicle_edit(request, pk):
    car = own_vehicle(request, pk)
    return _edit(request, VehicleForm, car, gettext("Change {car}").format(car=car))


@keeper_page
def gear_create(request):
    return _edit(request, GearForm, Gear(party=request.party), gettext("Add gear"), presets=GEAR)


@keeper_page
def gear_edit(request, pk):
    gear = own_gear(request, pk)
    return _edit(request, GearForm, gear, gettext("Change {gear}").format(gear=gear))


def _edit(request, form_class, instance, heading, *, presets=None):
    chosen = (presets or {}).get(request.GET.get("preset", ""))
    form = form_class(
        request.POST or None,
        instance=instance,
        initial=chosen.values if chosen else {},
        **form_options(request),
    )
    if request.method == "POST" and form.is_valid():
        with transaction.atomic():
            saved = form.save()
            # Consumption and wear reach into every trip's cost.
            derive.rebuild_party(request.party)
        messages.success(request, gettext("{saved} is saved.").format(saved=saved))
        return redirect("trips:kit_list")
    offered = [(key, preset.words) for key, preset in (presets or {}).items()]
    context = {"form": form, "heading": heading, "presets": offered, "chosen": chosen}
    return render(request, "trips/kit_form.html", context)
