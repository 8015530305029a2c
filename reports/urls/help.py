"""Help, which anybody may read."""

from django.urls import path

from reports.views import help as pages

urlpatterns = [
    path("help/", pages.help_index, name="help_index"),
    path("help/checked/", pages.checked, name="checked"),
    path("help/<slug:topic>/", pages.help_page, name="help_page"),
]
