"""Addresses of the trips app, one list a room."""

from trips.urls import checks, field, floods, gold, importing, kit, maps, search, trip

app_name = "trips"
urlpatterns = [
    *trip.urlpatterns,
    *checks.urlpatterns,
    *field.urlpatterns,
    *kit.urlpatterns,
    *gold.urlpatterns,
    *floods.urlpatterns,
    *importing.urlpatterns,
    *maps.urlpatterns,
    *search.urlpatterns,
]
