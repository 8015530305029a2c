"""Addresses of the claims app, one list a room."""

from claims.urls import ground, people, rules

app_name = "claims"
urlpatterns = [*people.urlpatterns, *ground.urlpatterns, *rules.urlpatterns]
