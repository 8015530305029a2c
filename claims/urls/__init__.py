"""Addresses of the claims app, one list a room."""

from claims.urls import duties, ground, jobs, people, rules

app_name = "claims"
urlpatterns = [
    *duties.urlpatterns,
    *people.urlpatterns,
    *ground.urlpatterns,
    *jobs.urlpatterns,
    *rules.urlpatterns,
]
