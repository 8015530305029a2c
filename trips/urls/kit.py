"""Cars and gear."""

from django.urls import path

from trips.views import first_run, kit, rates

urlpatterns = [
    path("kit/", kit.kit_list, name="kit_list"),
    path("kit/cars/new/", kit.vehicle_create, name="vehicle_create"),
    path("kit/cars/<int:pk>/edit/", kit.vehicle_edit, name="vehicle_edit"),
    path("kit/gear/new/", kit.gear_create, name="gear_create"),
    path("kit/gear/<int:pk>/edit/", kit.gear_edit, name="gear_edit"),
    path("first-steps/car/", first_run.first_car, name="first_car"),
    path("first-steps/gear/", first_run.first_gear, name="first_gear"),
    path("kit/rates/", rates.rate_overview, name="rate_overview"),
    path("kit/rates/new/", rates.rate_create, name="rate_create"),
    path("kit/rates/<int:pk>/edit/", rates.rate_edit, name="rate_edit"),
    path("kit/rates/<int:pk>/delete/", rates.rate_delete, name="rate_delete"),
]
