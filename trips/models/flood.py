"""Floods: which waters reach which sites, and how high they ran."""

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy

from claims.models import Party, Site
from claims.models.fact import Fact, History, Versioned
from trips.calc import local
from trips.calc.words import say


class Gauge(Versioned):
    """A gauge, stream or region whose floods work over the same sites."""

    class Unit(models.TextChoices):
        M3_S = "m3_s", "m³/s"
        FT3_S = "ft3_s", "ft³/s"
        METRE = "m", gettext_lazy("m of stage")
        FOOT = "ft", gettext_lazy("ft of stage")

    party = models.ForeignKey(Party, on_delete=models.CASCADE, related_name="gauges")
    name = models.CharField(max_length=120)
    sites = models.ManyToManyField(Site, blank=True, related_name="gauges")
    unit = models.CharField(max_length=6, choices=Unit, default=Unit.M3_S)
    year_starts_month = models.PositiveSmallIntegerField(
        default=1,
        validators=[MinValueValidator(1), MaxValueValidator(12)],
        help_text=gettext_lazy("First month of the water year."),
    )
    note = models.CharField(max_length=200, blank=True)
    history = History(m2m_fields=[sites])

    class Meta:
        ordering = ["name", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["party", "name"],
                name="trips_gauge_name",
                violation_error_message=gettext_lazy(
                    "There is a gauge or stream of this name already."
                ),
            ),
            models.CheckConstraint(
                condition=Q(year_starts_month__gte=1, year_starts_month__lte=12),
                name="trips_gauge_month",
                violation_error_message=gettext_lazy("A month is a number from 1 to 12."),
            ),
        ]

    def __str__(self) -> str:
        return self.name


class Flood(Fact):
    """The peak of one flood. Its return period follows from the gauge's peaks, or is one's own."""

    party = models.ForeignKey(Party, on_delete=models.CASCADE, related_name="floods")
    gauge = models.ForeignKey(Gauge, on_delete=models.CASCADE, related_name="floods")
    day = models.DateField()
    peak_milli = models.PositiveBigIntegerField(
        null=True, blank=True, help_text=gettext_lazy("Thousandths of the gauge's unit.")
    )
    # Own judgement, instead of what the peaks or the usual classes would say.
    own_return_tenths = models.PositiveIntegerField(
        null=True,
        blank=True,
        help_text=gettext_lazy("Tenths of a year between floods of this size."),
    )
    spot_keep_pct = models.PositiveSmallIntegerField(null=True, blank=True)
    site_keep_pct = models.PositiveSmallIntegerField(null=True, blank=True)
    counts = models.BooleanField(default=True)
    source = models.CharField(max_length=160, blank=True)
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["-day", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["gauge", "day"],
                name="trips_flood_once",
                violation_error_message=gettext_lazy("There is a flood of this day there already."),
            ),
            models.CheckConstraint(
                condition=Q(own_return_tenths__isnull=True)
                | Q(own_return_tenths__gte=10, own_return_tenths__lte=100_000),
                name="trips_flood_return",
                violation_error_message=gettext_lazy("A flood comes once in 1 to 10 000 years."),
            ),
            models.CheckConstraint(
                condition=(Q(spot_keep_pct__isnull=True) & Q(site_keep_pct__isnull=True))
                | Q(
                    spot_keep_pct__isnull=False,
                    site_keep_pct__isnull=False,
                    spot_keep_pct__lte=F("site_keep_pct"),
                    site_keep_pct__lte=100,
                ),
                name="trips_flood_keep",
                violation_error_message=gettext_lazy(
                    "Give both shares or none: from 0 to 100 per cent, and the "
                    "spot never keeps more than its site."
                ),
            ),
        ]

    def __str__(self) -> str:
        return say("Flood of {day}", day=local.day(self.day))
