"""Sheets, records and files."""

from django.urls import path

from reports.views import prints

urlpatterns = [
    path("trips/<int:pk>/sheet.pdf", prints.trip_sheet, name="trip_sheet"),
    path("trips/<int:pk>/sheet/", prints.trip_sheet_page, name="trip_sheet_page"),
    path("papers/<int:pk>/record/", prints.renewal_record, name="renewal_record"),
    path(
        "papers/<int:pk>/record/<str:fmt>/", prints.renewal_record_file, name="renewal_record_file"
    ),
    path("exports/", prints.export_list, name="export_list"),
    path("exports/<str:table>/<str:fmt>/", prints.export_table, name="export_table"),
]
