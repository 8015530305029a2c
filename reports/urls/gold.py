"""Gold: the ledger, and the eye against the scale."""

from django.urls import path

from reports.views import gold

urlpatterns = [
    path("gold/ledger/", gold.ledger, name="gold_ledger"),
    path("gold/ledger/<str:fmt>/", gold.ledger_file, name="gold_ledger_file"),
    path("gold/eye/", gold.eye_and_scale, name="eye_and_scale"),
]
