"""Rows worked out from facts. Never edited: `trips.services.derive` rebuilds them.

They carry the version of the sum, so that a changed formula shows which rows are old.
"""

from django.db import models
from django.db.models import Q

from trips.models.field import Run, TestPan
from trips.models.gold import WeighIn
from trips.models.trip import Trip


class DerivedShare(models.Model):
    """A run's or pan's share of a weigh-in, in micrograms, whole steps of the scale."""

    weigh_in = models.ForeignKey(WeighIn, on_delete=models.CASCADE, related_name="derived_shares")
    run = models.OneToOneField(
        Run, null=True, on_delete=models.CASCADE, related_name="derived_share"
    )
    pan = models.OneToOneField(
        TestPan, null=True, on_delete=models.CASCADE, related_name="derived_share"
    )
    mass_ug = models.PositiveBigIntegerField()
    sd_ug = models.PositiveBigIntegerField(null=True)
    method = models.CharField(max_length=40)
    flag = models.CharField(max_length=200, blank=True)
    sum_version = models.PositiveSmallIntegerField()

    class Meta:
        ordering = ["pk"]
        indexes = [
            # Few pans are weighed: counting the empty ones, SQLite takes the plain index for a
            # bad one and reads the whole table for the pans of one trip.
            models.Index(fields=["pan"], condition=Q(pan__isnull=False), name="trips_share_of_pan"),
        ]

    def __str__(self) -> str:
        return f"{self.mass_ug} µg"


class DerivedTripFigures(models.Model):
    """A trip's totals. Null is unknown, with the reasons in `unknown`.

    Value isn't kept here: it depends on the day one asks for and is worked out
    from `fine_ug` and the dated price.
    """

    trip = models.OneToOneField(Trip, on_delete=models.CASCADE, related_name="derived_figures")
    mass_ug = models.PositiveBigIntegerField(null=True)
    fine_ug = models.PositiveBigIntegerField(null=True)
    fuel_minor = models.BigIntegerField(null=True)
    outlay_minor = models.BigIntegerField(null=True)
    wear_minor = models.BigIntegerField(null=True)
    currency = models.CharField(max_length=3)
    door_minutes = models.PositiveIntegerField(null=True)
    person_minutes = models.PositiveIntegerField(null=True)
    work_minutes = models.PositiveIntegerField(null=True)
    washed_ml = models.PositiveBigIntegerField(null=True)
    # Which paper fees this trip carries, by paper id: shows when a neighbour's share moves.
    fee_parts = models.JSONField(default=dict)
    # What the drive fills of a published rate's year: car, day and metres, if it has such a rate.
    rate_use = models.JSONField(default=dict)
    unknown = models.JSONField(default=list)
    # Every line of the cost, as its page shows them; null in rows made before they were kept.
    cost_lines = models.JSONField(null=True, default=None)
    # Where its hours, gold and gear were (`trips.selectors.worked`); null in rows made before.
    worked = models.JSONField(null=True, default=None)
    sum_version = models.PositiveSmallIntegerField()

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"Figures of {self.trip_id}"
