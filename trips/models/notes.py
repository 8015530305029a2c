"""What somebody wrote down at the creek in words."""

import uuid

from django.db import models

from claims.models import Party, Spot
from claims.models.fact import Fact
from trips.models.trip import Trip


class FieldNote(Fact):
    """A few lines of one day, at a spot or anywhere."""

    party = models.ForeignKey(Party, on_delete=models.CASCADE, related_name="+")
    uuid = models.UUIDField(default=uuid.uuid4, editable=False)
    trip = models.ForeignKey(Trip, on_delete=models.CASCADE, related_name="field_notes")
    spot = models.ForeignKey(
        Spot, null=True, blank=True, on_delete=models.SET_NULL, related_name="field_notes"
    )
    day = models.DateField()
    text = models.TextField(max_length=4000)

    class Meta:
        ordering = ["day", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["party", "uuid"], name="trips_note_uuid"),
        ]

    def __str__(self) -> str:
        return self.text[:60]
