"""Past trips from a spreadsheet."""

from django.urls import path

from trips.views import importing, moving

urlpatterns = [
    path("exports/whole-record.zip", moving.whole_record, name="whole_record"),
    path("bring-in/", moving.bring_record_in, name="bring_record_in"),
    path("import/", importing.import_start, name="import_start"),
    path("import/template/<str:fmt>/", importing.import_template, name="import_template"),
    path("import/<int:pk>/columns/", importing.import_match, name="import_match"),
    path("import/<int:pk>/look/", importing.import_preview, name="import_preview"),
    path("import/<int:pk>/done/", importing.import_done, name="import_done"),
    path("import/<int:pk>/refused/<str:fmt>/", importing.import_refused, name="import_refused"),
]
