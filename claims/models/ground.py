"""Sites, the spots in them and the holes dug there."""

import uuid

from django.core.validators import MaxValueValidator, MinValueValidator, RegexValidator
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy

from claims.models.fact import Fact
from claims.models.party import Party
from claims.rules import words
from trips.calc import local
from trips.calc.words import say

month_day = RegexValidator(
    r"^(0[1-9]|1[0-2])-(0[1-9]|[12]\d|3[01])$",
    gettext_lazy("Write month and day as MM-DD, e.g. 11-01."),
    "mmdd",
)

# One thousandth of a degree's thousandth: integers keep a position equal to what was typed.
LATITUDE = [MinValueValidator(-90_000_000), MaxValueValidator(90_000_000)]
LONGITUDE = [MinValueValidator(-180_000_000), MaxValueValidator(180_000_000)]


class Site(Fact):
    """A claim, reach under a permit, public area or consented private land, with its way."""

    class LandKind(models.TextChoices):
        CLAIM = "claim", gettext_lazy("own claim")
        PERMITTED = "permitted", gettext_lazy("reach under a permit")
        PUBLIC = "public", gettext_lazy("public area")
        PRIVATE = "private", gettext_lazy("private land with consent")
        UNKNOWN = "unknown", gettext_lazy("not known yet")

    party = models.ForeignKey(Party, on_delete=models.CASCADE, related_name="sites")
    name = models.CharField(max_length=120)
    land_kind = models.CharField(max_length=12, choices=LandKind, default=LandKind.UNKNOWN)
    # For rule packs; empty is "not known", and what hangs on it asks.
    land = models.CharField(
        max_length=20,
        blank=True,
        choices=[(code, gettext_lazy(text)) for code, text in words.LAND_WORDS.source()],
    )
    mining_title = models.CharField(
        max_length=12,
        blank=True,
        choices=[(code, gettext_lazy(text)) for code, text in words.TITLE_WORDS.source()],
    )
    rule_packs = models.JSONField(default=list, blank=True)
    # Question's key → {"value", "by", "on"}: what holds for the site on every trip.
    rule_facts = models.JSONField(default=dict, blank=True)
    water_name = models.CharField(max_length=120, blank=True)
    jurisdiction = models.CharField(max_length=120, blank=True)
    time_zone = models.CharField(
        max_length=64, blank=True, help_text=gettext_lazy("Empty: the party's own.")
    )
    latitude_udeg = models.IntegerField(null=True, blank=True, validators=LATITUDE)
    longitude_udeg = models.IntegerField(null=True, blank=True, validators=LONGITUDE)
    # The access leg, one way from home. Null is "not known".
    sealed_m = models.PositiveIntegerField(null=True, blank=True)
    unsealed_m = models.PositiveIntegerField(null=True, blank=True)
    track_m = models.PositiveIntegerField(null=True, blank=True)
    drive_minutes = models.PositiveIntegerField(null=True, blank=True)
    walk_minutes = models.PositiveIntegerField(null=True, blank=True)
    # A closed window may wrap the year's end; both ends are closed days.
    closed_from = models.CharField(max_length=5, blank=True, validators=[month_day])
    closed_until = models.CharField(max_length=5, blank=True, validators=[month_day])
    closed_reason = models.CharField(max_length=200, blank=True)
    contact = models.CharField(max_length=200, blank=True)
    hazards = models.TextField(blank=True)
    notes = models.TextField(blank=True)
    is_retired = models.BooleanField(default=False)

    class Meta:
        ordering = ["name", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["party", "name"],
                name="claims_site_name",
                violation_error_message=gettext_lazy("There is a site of this name already."),
            ),
            models.CheckConstraint(
                condition=(Q(closed_from="") & Q(closed_until=""))
                | (~Q(closed_from="") & ~Q(closed_until="")),
                name="claims_site_closed_both",
                violation_error_message=gettext_lazy(
                    "Give both ends of the closed window, or neither."
                ),
            ),
            models.CheckConstraint(
                condition=Q(latitude_udeg__isnull=True, longitude_udeg__isnull=True)
                | Q(latitude_udeg__isnull=False, longitude_udeg__isnull=False),
                name="claims_site_position_both",
                violation_error_message=gettext_lazy(
                    "Give both latitude and longitude, or neither."
                ),
            ),
        ]

    def __str__(self) -> str:
        return self.name


class Spot(Fact):
    """A place within a site where gravel is tried."""

    party_way = "site__party"

    class Feature(models.TextChoices):
        INSIDE_BEND = "inside_bend", gettext_lazy("inside bend")
        BEHIND_BOULDER = "behind_boulder", gettext_lazy("behind a boulder")
        CREVICE = "crevice", gettext_lazy("crevice in bedrock")
        BAR_HEAD = "bar_head", gettext_lazy("head of a bar")
        BAR_TAIL = "bar_tail", gettext_lazy("tail of a bar")
        LOG_JAM = "log_jam", gettext_lazy("log jam")
        BENCH = "bench", gettext_lazy("bench above the water")
        CONFLUENCE = "confluence", gettext_lazy("where two streams meet")
        TAILINGS = "tailings", gettext_lazy("old tailings")
        OTHER = "other", gettext_lazy("other")

    site = models.ForeignKey(Site, on_delete=models.CASCADE, related_name="spots")
    uuid = models.UUIDField(default=uuid.uuid4, editable=False)
    name = models.CharField(max_length=120)
    feature = models.CharField(max_length=16, choices=Feature, default=Feature.OTHER)
    latitude_udeg = models.IntegerField(null=True, blank=True, validators=LATITUDE)
    longitude_udeg = models.IntegerField(null=True, blank=True, validators=LONGITUDE)
    notes = models.TextField(blank=True)

    class Meta:
        ordering = ["site__name", "name", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["site", "name"],
                name="claims_spot_name",
                violation_error_message=gettext_lazy(
                    "There is a spot of this name at the site already."
                ),
            ),
            models.UniqueConstraint(fields=["site", "uuid"], name="claims_spot_uuid"),
        ]

    def __str__(self) -> str:
        return self.name


class Hole(Fact):
    """Disturbed ground: its size, when it was opened and when it was filled."""

    party = models.ForeignKey(Party, on_delete=models.CASCADE, related_name="holes")
    uuid = models.UUIDField(default=uuid.uuid4, editable=False)
    site = models.ForeignKey(Site, on_delete=models.PROTECT, related_name="holes")
    spot = models.ForeignKey(
        Spot, null=True, blank=True, on_delete=models.SET_NULL, related_name="holes"
    )
    opened_on = models.DateField()
    filled_on = models.DateField(null=True, blank=True)
    length_mm = models.PositiveIntegerField(null=True, blank=True)
    width_mm = models.PositiveIntegerField(null=True, blank=True)
    depth_mm = models.PositiveIntegerField(null=True, blank=True)
    notes = models.TextField(blank=True)

    class Meta:
        ordering = ["-opened_on", "-pk"]
        constraints = [
            models.UniqueConstraint(fields=["party", "uuid"], name="claims_hole_uuid"),
            models.CheckConstraint(
                condition=Q(filled_on__isnull=True) | Q(filled_on__gte=F("opened_on")),
                name="claims_hole_filled_after",
                violation_error_message=gettext_lazy(
                    "A hole can't be filled before it was opened."
                ),
            ),
        ]

    def __str__(self) -> str:
        return say(
            "Hole at {spot}, {opened_on}",
            spot=self.spot or self.site,
            opened_on=local.day(self.opened_on),
        )
