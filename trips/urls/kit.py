"""Cars and gear."""

from django.urls import path

from trips.views import kit

urlpatterns = [
    path("kit/", kit.kit_list, name="kit_list"),
    path("kit/cars/new/", kit.vehicle_create, name="vehicle_create"),
    path("kit/cars/<int:pk>/edit/", kit.vehicle_edit, name="vehicle_edit"),
    path("kit/gear/new/", kit.gear_create, name="gear_create"),
    path("kit/gear/<int:pk>/edit/", kit.gear_edit, name="gear_edit"),
]
