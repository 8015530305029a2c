"""Answers to checklists and their sign-offs."""

from django.urls import path

from trips.views import checks

urlpatterns = [
    path("trips/<int:pk>/checklist/answer/", checks.trip_answer_edit, name="trip_answer_edit"),
    path(
        "trips/<int:pk>/checklist/sign-off/", checks.trip_signoff_create, name="trip_signoff_create"
    ),
    path("sign-offs/<int:pk>/", checks.signoff_detail, name="signoff_detail"),
]
