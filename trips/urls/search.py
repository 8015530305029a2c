"""One search over the party's record."""

from django.urls import path

from trips.views import search

urlpatterns = [path("search/", search.search_record, name="search")]
