"""Trips and what happened on them."""

from django.urls import path

from trips.views import files, pasted, records, tracks, trips, wrapup

urlpatterns = [
    path("trips/", trips.trip_list, name="trip_list"),
    path("trips/plan/", trips.trip_create, name="trip_create"),
    path("trips/<int:pk>/", trips.trip_detail, name="trip_detail"),
    path("trips/<int:pk>/edit/", trips.trip_edit, name="trip_edit"),
    path("trips/<int:pk>/start/", trips.trip_start, name="trip_start"),
    path("trips/<int:pk>/call-off/", trips.trip_call_off, name="trip_call_off"),
    path("trips/<int:pk>/reopen/", trips.trip_reopen, name="trip_reopen"),
    path("trips/<int:pk>/delete/", trips.trip_delete, name="trip_delete"),
    path("trips/<int:pk>/wrap-up/", wrapup.trip_wrap_up, name="trip_wrap_up"),
    path("trips/<int:pk>/files/new/", files.trip_files_create, name="trip_files_create"),
    path("trips/<int:pk>/tracks/new/", tracks.track_create, name="track_create"),
    path("tracks/<int:pk>/", tracks.track_detail, name="track_detail"),
    path("tracks/<int:pk>/clock/", tracks.track_clock, name="track_clock"),
    path("tracks/<int:pk>/anew/", tracks.track_anew, name="track_anew"),
    path("tracks/<int:pk>/file/", tracks.track_file, name="track_file"),
    path("tracks/<int:pk>/delete/", tracks.track_delete, name="track_delete"),
    path("trips/<int:pk>/paste/", pasted.trip_paste, name="trip_paste"),
    path("trips/<int:pk>/pans/new/", records.pan_create, name="pan_create"),
    path("pans/<int:pk>/edit/", records.pan_edit, name="pan_edit"),
    path("pans/<int:pk>/delete/", records.pan_delete, name="pan_delete"),
    path("trips/<int:pk>/runs/new/", records.run_create, name="run_create"),
    path("runs/<int:pk>/edit/", records.run_edit, name="run_edit"),
    path("runs/<int:pk>/delete/", records.run_delete, name="run_delete"),
    path("trips/<int:pk>/hours/new/", records.hours_create, name="hours_create"),
    path("hours/<int:pk>/edit/", records.hours_edit, name="hours_edit"),
    path("hours/<int:pk>/delete/", records.hours_delete, name="hours_delete"),
    path("trips/<int:pk>/costs/new/", records.cost_create, name="cost_create"),
    path("costs/<int:pk>/edit/", records.cost_edit, name="cost_edit"),
    path("costs/<int:pk>/delete/", records.cost_delete, name="cost_delete"),
]
