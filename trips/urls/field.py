"""The field page and what it talks to."""

from django.urls import path

from trips.views import field, from_field

urlpatterns = [
    path("field/", field.field_page, name="field_page"),
    path("field/sw.js", field.field_worker, name="field_worker"),
    path("field/texts/<str:language>.js", field.field_texts, name="field_texts"),
    path("field/manifest.webmanifest", field.field_manifest, name="field_manifest"),
    path("field/hello", field.field_hello, name="field_hello"),
    path("field/bundle", field.field_bundle, name="field_bundle"),
    path("field/sync", field.field_sync, name="field_sync"),
    path("field/photo", field.field_photo, name="field_photo"),
    path("from-the-field/", from_field.field_import, name="field_import"),
    path("from-the-field/look/", from_field.field_look, name="field_look"),
    path("from-the-field/look/<int:pk>/", from_field.field_record_edit, name="field_record_edit"),
    path("trips/<int:pk>/transfer/", from_field.trip_transfer, name="trip_transfer"),
]
