"""At the creek: tables, verdicts, comparing, leaving, hindsight."""

from django.urls import path

from reports.views import creek

urlpatterns = [
    path("trips/<int:pk>/creek/", creek.creek_page, name="creek_page"),
    path("trips/<int:pk>/field-tables.json", creek.field_tables_file, name="field_tables"),
]
