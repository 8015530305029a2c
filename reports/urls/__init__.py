"""Addresses of the reports app, one list a room."""

from reports.urls import answers, creek, gold, help, prints

app_name = "reports"
urlpatterns = [
    *answers.urlpatterns,
    *creek.urlpatterns,
    *gold.urlpatterns,
    *help.urlpatterns,
    *prints.urlpatterns,
]
