"""Maps, as pages and as files."""

from django.urls import path

from trips.views import maps

urlpatterns = [
    path("map/", maps.party_map, name="party_map"),
    path("map/<str:fmt>/", maps.party_map_file, name="party_map_file"),
    path("sites/<int:pk>/map/", maps.site_map, name="site_map"),
    path("sites/<int:pk>/map/<str:fmt>/", maps.site_map_file, name="site_map_file"),
    path("trips/<int:pk>/map/", maps.trip_map, name="trip_map"),
    path("trips/<int:pk>/map/<str:fmt>/", maps.trip_map_file, name="trip_map_file"),
    path("tracks/<int:pk>/map/<str:fmt>/", maps.track_map_file, name="track_map_file"),
]
