"""The field page and what it talks to."""

from django.urls import path

from trips.views import field

urlpatterns = [
    path("field/", field.field_page, name="field_page"),
    path("field/sw.js", field.field_worker, name="field_worker"),
    path("field/manifest.webmanifest", field.field_manifest, name="field_manifest"),
    path("field/hello", field.field_hello, name="field_hello"),
    path("field/bundle", field.field_bundle, name="field_bundle"),
    path("field/sync", field.field_sync, name="field_sync"),
]
