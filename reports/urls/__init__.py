"""Addresses of the reports app, one list a room."""

from reports.urls import answers, prints

app_name = "reports"
urlpatterns = [*answers.urlpatterns, *prints.urlpatterns]
