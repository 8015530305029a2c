"""Recorded tracks of trips."""

import uuid

from django.db import models
from django.utils import timezone
from django.utils.translation import gettext_lazy

from claims.models import Party, User
from claims.models.fact import Fact
from trips.calc.words import say
from trips.models.trip import Trip


class Track(Fact):
    """A GPX file of a trip and what was worked out from it when it was read.

    The file itself stays under `stored`, so that the rest can be worked out anew.
    `pieces` are [kind, begin, end, metres, site id or null] with instants in seconds since 1970
    UTC as the file has them; `line` is a thinned line for maps, in millionths of a degree.
    """

    party = models.ForeignKey(Party, on_delete=models.CASCADE, related_name="tracks")
    uuid = models.UUIDField(default=uuid.uuid4, editable=False)
    trip = models.ForeignKey(Trip, on_delete=models.CASCADE, related_name="tracks")
    name_sent = models.CharField(
        max_length=120, blank=True, help_text=gettext_lazy("Never a path.")
    )
    title = models.CharField(max_length=120, blank=True)
    source_sha256 = models.CharField(max_length=64)
    size_bytes = models.PositiveIntegerField()
    stored = models.FileField(max_length=200, unique=True)
    point_count = models.PositiveIntegerField()
    distance_m = models.PositiveBigIntegerField()
    begins_at = models.DateTimeField(null=True, blank=True)
    ends_at = models.DateTimeField(null=True, blank=True)
    moving_seconds = models.PositiveIntegerField()
    stopped_seconds = models.PositiveIntegerField()
    clock_shift_minutes = models.IntegerField(
        default=0, help_text=gettext_lazy("To be added where the recorder's clock was off.")
    )
    pieces = models.JSONField(default=list)
    line = models.JSONField(default=list)
    waypoints = models.JSONField(default=list)
    remarks = models.JSONField(default=list)
    added_by = models.ForeignKey(
        User, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )
    added_at = models.DateTimeField(default=timezone.now, editable=False)

    class Meta:
        ordering = ["begins_at", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["party", "uuid"], name="trips_track_uuid"),
            models.UniqueConstraint(
                fields=["party", "source_sha256"],
                name="trips_track_once",
                violation_error_message=gettext_lazy("This file was read before."),
            ),
        ]

    def __str__(self) -> str:
        return self.title or self.name_sent or say("Track {pk}", pk=self.pk)
