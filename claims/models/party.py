"""People who share one record, and what each may do with it."""

import datetime as dt

from django.contrib.auth.models import AbstractUser
from django.core.validators import MaxValueValidator, MinValueValidator, RegexValidator
from django.db import models
from django.db.models import Exists, OuterRef, Q
from django.utils import timezone
from django.utils.translation import gettext_lazy

from claims.models.fact import Fact, History
from trips.calc.words import say

currency_code = RegexValidator(
    r"^[A-Z]{3}$",
    gettext_lazy("Write the three capital letters of the currency, for example EUR."),
    "currency",
)


class User(AbstractUser):
    """A log-in, with the language, manner of numbers and units this person reads and writes in."""

    class MassUnit(models.TextChoices):
        GRAM = "g", gettext_lazy("grams (g)")
        PENNYWEIGHT = "dwt", gettext_lazy("pennyweight (dwt)")
        GRAIN = "grain", gettext_lazy("grains")
        TROY_OUNCE = "ozt", gettext_lazy("troy ounces (ozt)")

    class VolumeUnit(models.TextChoices):
        LITRE = "L", gettext_lazy("litres (L)")
        US_GALLON = "us_gal", gettext_lazy("US gallons")
        IMPERIAL_GALLON = "imp_gal", gettext_lazy("imperial gallons")

    class DistanceUnit(models.TextChoices):
        KILOMETRE = "km", gettext_lazy("kilometres (km)")
        MILE = "mi", gettext_lazy("miles (mi)")

    class DateStyle(models.TextChoices):
        REGION = "region", gettext_lazy("as the region writes them")
        WORDS = "words", gettext_lazy("with the month in letters")
        ISO = "iso", gettext_lazy("year-month-day (2031-05-03)")

    # Empty: what the browser asks for, and the program's own manner. Languages and regions come
    # and go with the site's catalogues, so no list of them is part of the table.
    language = models.CharField(max_length=16, blank=True)
    region = models.CharField(max_length=16, blank=True)
    date_style = models.CharField(max_length=8, choices=DateStyle, default=DateStyle.REGION)
    mass_unit = models.CharField(max_length=8, choices=MassUnit, default=MassUnit.GRAM)
    volume_unit = models.CharField(max_length=8, choices=VolumeUnit, default=VolumeUnit.LITRE)
    distance_unit = models.CharField(
        max_length=8, choices=DistanceUnit, default=DistanceUnit.KILOMETRE
    )

    def __str__(self) -> str:
        return self.get_full_name() or self.username


class Party(Fact):
    """One record and the defaults its sums start from."""

    party_way = "pk"

    name = models.CharField(max_length=120)
    currency = models.CharField(max_length=3, default="EUR", validators=[currency_code])
    time_zone = models.CharField(max_length=64, default="UTC")
    home_name = models.CharField(max_length=120, blank=True)
    hourly_figure_minor = models.BigIntegerField(
        null=True,
        blank=True,
        help_text=gettext_lazy("What an hour of this party's time should bring."),
    )
    fineness = models.PositiveSmallIntegerField(
        default=885, validators=[MinValueValidator(25), MaxValueValidator(1000)]
    )
    payable_ppt = models.PositiveSmallIntegerField(
        default=1000,
        validators=[MaxValueValidator(1000)],
        help_text=gettext_lazy(
            "Parts per thousand of the contained gold's value that a buyer pays."
        ),
    )
    pan_volume_ml = models.PositiveIntegerField(null=True, blank=True)
    fuel_price_milli_per_l = models.PositiveIntegerField(
        null=True,
        blank=True,
        help_text=gettext_lazy("Thousandths of a currency unit per litre of fuel."),
    )
    coarse_words = models.CharField(max_length=80, default="bigger than a match head")
    medium_words = models.CharField(max_length=80, default="match head down to a grain of sugar")
    fine_words = models.CharField(max_length=80, default="smaller than a grain of sugar")
    coarse_mass_ug = models.PositiveIntegerField(default=12_000)
    medium_mass_ug = models.PositiveIntegerField(default=2_500)
    fine_mass_ug = models.PositiveIntegerField(default=500)
    keeps_photo_place = models.BooleanField(
        default=False, help_text=gettext_lazy("Whether photos keep where and when they were taken.")
    )
    created_at = models.DateTimeField(default=timezone.now, editable=False)

    class Meta:
        verbose_name_plural = "parties"
        ordering = ["name", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(fineness__gte=25, fineness__lte=1000),
                name="claims_party_fineness",
                violation_error_message=gettext_lazy("Fineness is parts per thousand: 25 to 1000."),
            ),
            models.CheckConstraint(
                condition=Q(payable_ppt__lte=1000),
                name="claims_party_payable",
                violation_error_message=gettext_lazy("The payable share is at most 100 %."),
            ),
            models.CheckConstraint(
                condition=Q(hourly_figure_minor__isnull=True) | Q(hourly_figure_minor__gte=0),
                name="claims_party_hourly",
                violation_error_message=gettext_lazy("The hourly figure can't be negative."),
            ),
        ]

    def __str__(self) -> str:
        return self.name


class Membership(models.Model):
    """A log-in's place in a party. Keeper: all; hand: field records; reader: looks only.

    No fact of the record: its past is told, but nobody gets back in by undoing a removal.
    """

    class Role(models.TextChoices):
        KEEPER = "keeper", gettext_lazy("keeper")
        HAND = "hand", gettext_lazy("hand")
        READER = "reader", gettext_lazy("reader")

    party = models.ForeignKey(Party, on_delete=models.CASCADE, related_name="memberships")
    user = models.ForeignKey(User, on_delete=models.CASCADE, related_name="memberships")
    role = models.CharField(max_length=8, choices=Role, default=Role.KEEPER)
    joined_at = models.DateTimeField(default=timezone.now, editable=False)

    history = History()

    class Meta:
        ordering = ["party__name", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["party", "user"],
                name="claims_membership_once",
                violation_error_message=gettext_lazy("This person is in the party already."),
            )
        ]

    def __str__(self) -> str:
        return say("{user} in {party}", user=self.user, party=self.party)

    def record_party(self) -> int:
        """The number of the party whose page tells of it."""
        return self.party_id


class Person(Fact):
    """Somebody who comes along; needs no log-in."""

    class AgeGroup(models.TextChoices):
        ADULT = "adult", gettext_lazy("18 or older")
        CHILD = "child", gettext_lazy("younger than 18")

    party = models.ForeignKey(Party, on_delete=models.CASCADE, related_name="people")
    name = models.CharField(max_length=120)
    user = models.ForeignKey(
        User, null=True, blank=True, on_delete=models.SET_NULL, related_name="people"
    )
    phone = models.CharField(max_length=40, blank=True)
    # For rules about ages; empty is "not known".
    age_group = models.CharField(max_length=5, blank=True, choices=AgeGroup)
    birth_year = models.PositiveSmallIntegerField(null=True, blank=True)
    is_active = models.BooleanField(default=True)

    class Meta:
        verbose_name_plural = "people"
        ordering = ["name", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["party", "name"],
                name="claims_person_name",
                violation_error_message=gettext_lazy(
                    "There is somebody of this name in the party already."
                ),
            )
        ]

    def __str__(self) -> str:
        return self.name


class Invitations(models.QuerySet):
    """Invitations, and which of them still let somebody in."""

    def open(self, now: dt.datetime) -> "Invitations":
        """Unused, not run out, and made by somebody who is still a keeper of the party.

        Else whoever is about to be sent away could make themselves a way back beforehand.
        """
        keepers = Membership.objects.filter(role=Membership.Role.KEEPER)
        by_keeper = Exists(keepers.filter(party=OuterRef("party"), user=OuterRef("created_by")))
        return self.filter(by_keeper, used_at=None, expires_at__gt=now)


class Invitation(models.Model):
    """A link that lets one log-in join a party, once, for a limited time.

    Only the SHA-256 of the secret is stored, so a stolen database opens no door.
    """

    party = models.ForeignKey(Party, on_delete=models.CASCADE, related_name="invitations")
    role = models.CharField(max_length=8, choices=Membership.Role, default=Membership.Role.HAND)
    token_sha256 = models.CharField(max_length=64, unique=True)
    created_by = models.ForeignKey(User, on_delete=models.CASCADE, related_name="+")
    created_at = models.DateTimeField(default=timezone.now, editable=False)
    expires_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True, blank=True)
    used_by = models.ForeignKey(
        User, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )

    objects = Invitations.as_manager()

    class Meta:
        ordering = ["-created_at"]

    def __str__(self) -> str:
        return say("Invitation to {party} as {role}", party=self.party, role=self.role)
