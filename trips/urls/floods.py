"""Addresses of gauges and floods."""

from django.urls import path

from trips.views import floods

urlpatterns = [
    path("floods/", floods.flood_overview, name="flood_overview"),
    path("floods/gauges/new/", floods.gauge_create, name="gauge_create"),
    path("floods/gauges/<int:pk>/", floods.gauge_detail, name="gauge_detail"),
    path("floods/gauges/<int:pk>/edit/", floods.gauge_edit, name="gauge_edit"),
    path("floods/gauges/<int:pk>/delete/", floods.gauge_delete, name="gauge_delete"),
    path("floods/gauges/<int:pk>/new/", floods.flood_create, name="flood_create"),
    path("floods/gauges/<int:pk>/peaks/", floods.flood_import, name="flood_import"),
    path("floods/<int:pk>/edit/", floods.flood_edit, name="flood_edit"),
    path("floods/<int:pk>/delete/", floods.flood_delete, name="flood_delete"),
]
