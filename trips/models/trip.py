"""A trip from plan to wrap-up."""

import datetime as dt
import uuid

from django.db import models
from django.db.models import F, Q
from django.utils import timezone
from django.utils.translation import gettext_lazy

from claims.models import Party, Person, Site
from claims.models.fact import Fact, History, Versioned
from claims.web import show
from trips.calc.words import say
from trips.models.kit import Gear, Vehicle


class Trip(Versioned):
    """One outing, door to door: planned, under way, wrapped up or called off."""

    class State(models.TextChoices):
        PLANNED = "planned", gettext_lazy("planned")
        UNDER_WAY = "under_way", gettext_lazy("under way")
        WRAPPED_UP = "wrapped_up", gettext_lazy("wrapped up")
        CALLED_OFF = "called_off", gettext_lazy("called off")

    party = models.ForeignKey(Party, on_delete=models.CASCADE, related_name="trips")
    uuid = models.UUIDField(default=uuid.uuid4, editable=False)
    name = models.CharField(max_length=120, blank=True)
    state = models.CharField(max_length=12, choices=State, default=State.PLANNED)
    starts_on = models.DateField()
    ends_on = models.DateField()
    vehicle = models.ForeignKey(
        Vehicle, null=True, blank=True, on_delete=models.SET_NULL, related_name="trips"
    )
    is_towing = models.BooleanField(default=False)
    gear = models.ManyToManyField(Gear, blank=True, related_name="trips")
    people = models.ManyToManyField(Person, through="TripPerson", related_name="trips")
    fuel_price_milli_per_l = models.PositiveIntegerField(null=True, blank=True)
    planned_work_minutes = models.PositiveIntegerField(
        null=True, blank=True, help_text=gettext_lazy("Minutes at the creek, planned.")
    )
    # What was driven in all. Null: twice the access leg of the sites visited.
    driven_sealed_m = models.PositiveIntegerField(null=True, blank=True)
    driven_unsealed_m = models.PositiveIntegerField(null=True, blank=True)
    driven_track_m = models.PositiveIntegerField(null=True, blank=True)
    engine_fuel_ml = models.PositiveIntegerField(
        null=True,
        blank=True,
        help_text=gettext_lazy("Null: from the runs' minutes and the gear's use."),
    )
    back_by = models.DateTimeField(null=True, blank=True)
    alarm_name = models.CharField(max_length=120, blank=True)
    alarm_contact = models.CharField(max_length=120, blank=True)
    alarm_at = models.DateTimeField(null=True, blank=True)
    plan_note = models.TextField(blank=True)
    story = models.TextField(blank=True)
    incidents = models.TextField(blank=True)
    called_off_reason = models.CharField(max_length=200, blank=True)
    created_at = models.DateTimeField(default=timezone.now, editable=False)
    history = History(m2m_fields=[gear])

    class Meta:
        ordering = ["-starts_on", "-pk"]
        indexes = [models.Index(fields=["party", "starts_on"], name="trips_trip_party_day")]
        constraints = [
            models.UniqueConstraint(fields=["party", "uuid"], name="trips_trip_uuid"),
            models.CheckConstraint(
                condition=Q(ends_on__gte=F("starts_on")),
                name="trips_trip_end_after_start",
                violation_error_message=gettext_lazy("A trip can't end before it starts."),
            ),
            models.CheckConstraint(
                condition=Q(back_by__isnull=True)
                | Q(alarm_at__isnull=True)
                | Q(alarm_at__gte=F("back_by")),
                name="trips_trip_alarm_after_back",
                violation_error_message=gettext_lazy(
                    "The alarm is raised after the time to be back."
                ),
            ),
        ]

    def __str__(self) -> str:
        return title_of(self.name, self.starts_on)


def title_of(name: str, day: dt.date) -> str:
    """A trip's own name, or its day."""
    return name or say("Trip of {day}", day=show.day(day))


class TripPerson(Fact):
    """Somebody on a trip; costs and gold are shared evenly over them."""

    party_way = "trip__party"

    trip = models.ForeignKey(Trip, on_delete=models.CASCADE, related_name="trip_people")
    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="trip_people")

    class Meta:
        ordering = ["person__name"]
        constraints = [
            models.UniqueConstraint(
                fields=["trip", "person"],
                name="trips_person_once",
                violation_error_message=gettext_lazy("This person is on the trip already."),
            )
        ]

    def __str__(self) -> str:
        return say("{person} on {trip}", person=self.person, trip=self.trip)


class TripSite(Fact):
    """A site of the plan in order: rank 0 is the first choice, the rest are fallbacks."""

    party_way = "trip__party"

    trip = models.ForeignKey(Trip, on_delete=models.CASCADE, related_name="trip_sites")
    site = models.ForeignKey(Site, on_delete=models.PROTECT, related_name="trip_sites")
    rank = models.PositiveSmallIntegerField(default=0)
    trigger = models.CharField(
        max_length=200, blank=True, help_text=gettext_lazy("What sends you there instead.")
    )
    was_visited = models.BooleanField(
        null=True, blank=True, help_text=gettext_lazy("Null: not said yet.")
    )

    class Meta:
        ordering = ["rank", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["trip", "site"],
                name="trips_site_once",
                violation_error_message=gettext_lazy("This site is in the plan already."),
            ),
            models.UniqueConstraint(
                fields=["trip", "rank"],
                name="trips_site_rank",
                violation_error_message=gettext_lazy("Two sites have the same place in the order."),
            ),
        ]

    def __str__(self) -> str:
        return (
            say("{site} (first choice)", site=self.site)
            if self.rank == 0
            else say("{site} (fallback {rank})", site=self.site, rank=self.rank)
        )
