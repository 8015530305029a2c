"""Addresses of the reports app, one list a room."""

from reports.urls import answers, creek, prints

app_name = "reports"
urlpatterns = [*answers.urlpatterns, *creek.urlpatterns, *prints.urlpatterns]
