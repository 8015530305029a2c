"""Addresses of the reports app, one list a room."""

from reports.urls import answers, creek, gold, prints

app_name = "reports"
urlpatterns = [
    *answers.urlpatterns,
    *creek.urlpatterns,
    *gold.urlpatterns,
    *prints.urlpatterns,
]
