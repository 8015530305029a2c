"""Records made at the creek. Each carries an id made where it was made, unique in the party."""

import uuid

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy

from claims.models import Party, Person, Site, Spot
from claims.models.fact import Fact
from trips.calc import local, money
from trips.calc.words import say
from trips.models.gold import WeighIn
from trips.models.kit import Gear
from trips.models.trip import Trip


class Layer(models.TextChoices):
    OVERBURDEN = "overburden", gettext_lazy("overburden")
    GRAVEL = "gravel", gettext_lazy("gravel")
    CLAY = "clay", gettext_lazy("clay")
    FALSE_BEDROCK = "false_bedrock", gettext_lazy("false bedrock")
    BEDROCK = "bedrock", gettext_lazy("bedrock")
    UNKNOWN = "unknown", gettext_lazy("not noted")


class HoursBlock(Fact):
    """Minutes of one activity on one day. No person: everybody on the trip did it."""

    class Activity(models.TextChoices):
        DRIVE = "drive", gettext_lazy("drive")
        WALK = "walk", gettext_lazy("walk")
        TEST = "test", gettext_lazy("test pans")
        STRIP = "strip", gettext_lazy("strip overburden")
        DIG = "dig", gettext_lazy("dig")
        RUN = "run", gettext_lazy("run the box")
        CLEAN_UP = "clean_up", gettext_lazy("clean up")
        FILL_IN = "fill_in", gettext_lazy("fill in")
        REST = "rest", gettext_lazy("rest")

    party = models.ForeignKey(Party, on_delete=models.CASCADE, related_name="+")
    uuid = models.UUIDField(default=uuid.uuid4, editable=False)
    trip = models.ForeignKey(Trip, on_delete=models.CASCADE, related_name="hours")
    site = models.ForeignKey(
        Site, null=True, blank=True, on_delete=models.PROTECT, related_name="hours"
    )
    person = models.ForeignKey(
        Person, null=True, blank=True, on_delete=models.PROTECT, related_name="hours"
    )
    day = models.DateField()
    activity = models.CharField(max_length=10, choices=Activity)
    minutes = models.PositiveIntegerField()
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["day", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["party", "uuid"], name="trips_hours_uuid"),
            models.CheckConstraint(
                condition=Q(minutes__gt=0, minutes__lte=1440),
                name="trips_hours_minutes",
                violation_error_message=gettext_lazy(
                    "A block of hours lasts between 1 minute and 24 hours."
                ),
            ),
        ]

    def __str__(self) -> str:
        return say(
            "{get_activity_display}, {minutes} min",
            get_activity_display=self.get_activity_display(),
            minutes=self.minutes,
        )


class TestPan(Fact):
    """One washed sample. A null count is "not counted"; zero colours is data."""

    __test__ = False  # pytest would take the name for a test class

    party = models.ForeignKey(Party, on_delete=models.CASCADE, related_name="+")
    uuid = models.UUIDField(default=uuid.uuid4, editable=False)
    trip = models.ForeignKey(Trip, on_delete=models.CASCADE, related_name="pans")
    spot = models.ForeignKey(Spot, on_delete=models.PROTECT, related_name="pans")
    weigh_in = models.ForeignKey(
        WeighIn, null=True, blank=True, on_delete=models.SET_NULL, related_name="pans"
    )
    day = models.DateField()
    sequence = models.PositiveIntegerField(
        default=0, help_text=gettext_lazy("Order within the trip.")
    )
    layer = models.CharField(max_length=14, choices=Layer, default=Layer.UNKNOWN)
    depth_mm = models.PositiveIntegerField(null=True, blank=True)
    volume_ml = models.PositiveIntegerField()
    coarse = models.PositiveIntegerField(null=True, blank=True)
    medium = models.PositiveIntegerField(null=True, blank=True)
    fine = models.PositiveIntegerField(null=True, blank=True)
    mass_ug = models.PositiveBigIntegerField(
        null=True, blank=True, help_text=gettext_lazy("If weighed alone.")
    )
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["day", "sequence", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["party", "uuid"], name="trips_pan_uuid"),
            models.CheckConstraint(
                condition=Q(volume_ml__gt=0, volume_ml__lte=100_000),
                name="trips_pan_volume",
                violation_error_message=gettext_lazy(
                    "A test pan holds more than 0 and at most 100 litres."
                ),
            ),
        ]

    def __str__(self) -> str:
        return say("Pan at {spot}, {day}", spot=self.spot, day=local.day(self.day))


class Run(Fact):
    """What was fed through a box between two clean-ups; the clean-up's colours belong to it."""

    party = models.ForeignKey(Party, on_delete=models.CASCADE, related_name="+")
    uuid = models.UUIDField(default=uuid.uuid4, editable=False)
    trip = models.ForeignKey(Trip, on_delete=models.CASCADE, related_name="runs")
    spot = models.ForeignKey(Spot, on_delete=models.PROTECT, related_name="runs")
    gear = models.ForeignKey(
        Gear, null=True, blank=True, on_delete=models.SET_NULL, related_name="runs"
    )
    weigh_in = models.ForeignKey(
        WeighIn, null=True, blank=True, on_delete=models.SET_NULL, related_name="runs"
    )
    day = models.DateField()
    sequence = models.PositiveIntegerField(
        default=0, help_text=gettext_lazy("Order within the trip.")
    )
    layer = models.CharField(max_length=14, choices=Layer, default=Layer.UNKNOWN)
    began_at = models.DateTimeField(null=True, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)
    minutes = models.PositiveIntegerField(
        null=True, blank=True, help_text=gettext_lazy("Time it ran: typed, or from start to end.")
    )
    volume_ml = models.PositiveBigIntegerField(
        null=True, blank=True, help_text=gettext_lazy("Loose, as fed to the box.")
    )
    coarse = models.PositiveIntegerField(null=True, blank=True)
    medium = models.PositiveIntegerField(null=True, blank=True)
    fine = models.PositiveIntegerField(null=True, blank=True)
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["day", "sequence", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["party", "uuid"], name="trips_run_uuid"),
            models.CheckConstraint(
                condition=Q(minutes__isnull=True) | Q(minutes__gt=0, minutes__lte=1440),
                name="trips_run_minutes",
                violation_error_message=gettext_lazy("A run lasts between 1 minute and 24 hours."),
            ),
            models.CheckConstraint(
                condition=Q(began_at__isnull=True)
                | Q(ended_at__isnull=True)
                | Q(ended_at__gte=F("began_at")),
                name="trips_run_began_ended",
                violation_error_message=gettext_lazy("A run ends after it began."),
            ),
            models.CheckConstraint(
                condition=Q(volume_ml__isnull=True) | Q(volume_ml__gt=0, volume_ml__lte=50_000_000),
                name="trips_run_volume",
                violation_error_message=gettext_lazy(
                    "A run feeds more than 0 and at most 50 000 litres."
                ),
            ),
        ]

    def __str__(self) -> str:
        return say("Run at {spot}, {day}", spot=self.spot, day=local.day(self.day))

    def span_minutes(self) -> int | None:
        """Whole minutes from start to end, at least one; None while either isn't noted."""
        if self.began_at is None or self.ended_at is None:
            return None
        # Started and stopped within the minute still was something.
        return max(1, round((self.ended_at - self.began_at).total_seconds() / 60))


class Cost(Fact):
    """Money for a trip: planned, or paid. Only paid ones count once it is wrapped up."""

    class Kind(models.TextChoices):
        FUEL = "fuel", gettext_lazy("fuel")
        CONSUMABLES = "consumables", gettext_lazy("consumables")
        FEE = "fee", gettext_lazy("fee")
        FOOD = "food", gettext_lazy("food")
        CAMP = "camp", gettext_lazy("camp")
        HIRE = "hire", gettext_lazy("hired gear")
        OTHER = "other", gettext_lazy("other")

    class Stage(models.TextChoices):
        PLANNED = "planned", gettext_lazy("planned")
        PAID = "paid", gettext_lazy("paid")

    party = models.ForeignKey(Party, on_delete=models.CASCADE, related_name="+")
    uuid = models.UUIDField(default=uuid.uuid4, editable=False)
    trip = models.ForeignKey(Trip, on_delete=models.CASCADE, related_name="costs")
    stage = models.CharField(max_length=8, choices=Stage, default=Stage.PAID)
    kind = models.CharField(max_length=12, choices=Kind)
    amount_minor = models.BigIntegerField()
    currency = models.CharField(max_length=3)
    paid_by = models.ForeignKey(
        Person, null=True, blank=True, on_delete=models.PROTECT, related_name="costs"
    )
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["kind", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["party", "uuid"], name="trips_cost_uuid"),
            models.CheckConstraint(
                condition=Q(amount_minor__gte=0),
                name="trips_cost_amount",
                violation_error_message=gettext_lazy("A cost can't be negative."),
            ),
        ]

    def __str__(self) -> str:
        amount = money.from_minor(self.amount_minor, self.currency)
        return f"{self.get_kind_display()}, {local.money(amount, self.currency)}"
