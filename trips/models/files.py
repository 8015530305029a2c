"""Which trip or weigh-in a kept file belongs to."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy

from claims.models import KeptFile
from claims.models.fact import Fact
from trips.calc.words import say
from trips.models.gold import WeighIn
from trips.models.trip import Trip


class TripFile(Fact):
    """The tie from a kept file to the trip or the weigh-in it shows; exactly one of them."""

    party_way = "file__party"

    file = models.OneToOneField(KeptFile, on_delete=models.CASCADE, related_name="trip_file")
    trip = models.ForeignKey(
        Trip, null=True, blank=True, on_delete=models.CASCADE, related_name="trip_files"
    )
    weigh_in = models.ForeignKey(
        WeighIn, null=True, blank=True, on_delete=models.CASCADE, related_name="trip_files"
    )

    class Meta:
        ordering = ["file__added_at", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(trip__isnull=True, weigh_in__isnull=False)
                | Q(trip__isnull=False, weigh_in__isnull=True),
                name="trips_file_target",
                violation_error_message=gettext_lazy("A file belongs to a trip or to a weigh-in."),
            )
        ]

    def __str__(self) -> str:
        return say("{file} of {trip}", file=self.file, trip=self.trip or self.weigh_in)
