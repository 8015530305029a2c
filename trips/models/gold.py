"""Weigh-ins, lots of gold and dated prices."""

import uuid

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext, gettext_lazy

from claims.models import Party
from claims.models.fact import Fact
from claims.web import show
from trips.calc import local
from trips.calc.words import say
from trips.models.trip import Trip


class WeighIn(Fact):
    """Gross minus tare on a scale of known resolution, over one trip's runs and pans."""

    party = models.ForeignKey(Party, on_delete=models.CASCADE, related_name="weigh_ins")
    uuid = models.UUIDField(default=uuid.uuid4, editable=False)
    trip = models.ForeignKey(Trip, on_delete=models.CASCADE, related_name="weigh_ins")
    weighed_on = models.DateField()
    gross_ug = models.PositiveBigIntegerField()
    tare_ug = models.PositiveBigIntegerField(default=0)
    resolution_ug = models.PositiveIntegerField(
        help_text=gettext_lazy("The smallest step the scale shows.")
    )
    fineness = models.PositiveSmallIntegerField(
        null=True, blank=True, validators=[MinValueValidator(25), MaxValueValidator(1000)]
    )
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["-weighed_on", "-pk"]
        constraints = [
            models.UniqueConstraint(fields=["party", "uuid"], name="trips_weighin_uuid"),
            models.CheckConstraint(
                condition=Q(gross_ug__gte=F("tare_ug")),
                name="trips_weighin_net",
                violation_error_message=gettext_lazy("The tare is heavier than the gross weight."),
            ),
            models.CheckConstraint(
                condition=Q(resolution_ug__gt=0),
                name="trips_weighin_resolution",
                violation_error_message=gettext_lazy("A scale's smallest step is more than zero."),
            ),
            models.CheckConstraint(
                condition=Q(fineness__isnull=True) | Q(fineness__gte=25, fineness__lte=1000),
                name="trips_weighin_fineness",
                violation_error_message=gettext_lazy("Fineness is parts per thousand: 25 to 1000."),
            ),
        ]

    def __str__(self) -> str:
        return say("Weigh-in of {weighed_on}", weighed_on=local.day(self.weighed_on))

    @property
    def net_ug(self) -> int:
        return self.gross_ug - self.tare_ug


class MergedLot(Fact):
    """Lots put together, of one or many weigh-ins, and sold or given as one.

    What it brought and cost stands here, once. Its lots keep their masses, and share state, day
    and person; `trips.services.lots` changes them together.
    """

    party = models.ForeignKey(Party, on_delete=models.CASCADE, related_name="merged_lots")
    uuid = models.UUIDField(default=uuid.uuid4, editable=False)
    name = models.CharField(max_length=120)
    proceeds_minor = models.BigIntegerField(null=True, blank=True)
    fee_minor = models.BigIntegerField(null=True, blank=True)
    currency = models.CharField(max_length=3)
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.UniqueConstraint(fields=["party", "uuid"], name="trips_merged_uuid"),
            models.CheckConstraint(
                condition=Q(proceeds_minor__isnull=True) | Q(proceeds_minor__gte=0),
                name="trips_merged_proceeds",
                violation_error_message=gettext_lazy("A sale can't bring less than nothing."),
            ),
            models.CheckConstraint(
                condition=Q(fee_minor__isnull=True) | Q(fee_minor__gte=0),
                name="trips_merged_fee",
                violation_error_message=gettext_lazy("A fee can't be negative."),
            ),
        ]

    def __str__(self) -> str:
        return self.name


class GoldLot(Fact):
    """Part of a weigh-in with a fate of its own: kept, sold or given away.

    In a merged lot, `proceeds_minor` and `fee_minor` are empty here: the merged lot holds them.
    """

    class State(models.TextChoices):
        ON_HAND = "on_hand", gettext_lazy("on hand")
        SOLD = "sold", gettext_lazy("sold")
        GIVEN = "given", gettext_lazy("given")

    party = models.ForeignKey(Party, on_delete=models.CASCADE, related_name="lots")
    uuid = models.UUIDField(default=uuid.uuid4, editable=False)
    weigh_in = models.ForeignKey(WeighIn, on_delete=models.PROTECT, related_name="lots")
    merged = models.ForeignKey(
        MergedLot, null=True, blank=True, on_delete=models.PROTECT, related_name="lots"
    )
    name = models.CharField(max_length=120)
    mass_ug = models.PositiveBigIntegerField()
    state = models.CharField(max_length=8, choices=State, default=State.ON_HAND)
    moved_on = models.DateField(null=True, blank=True)
    to_whom = models.CharField(max_length=120, blank=True)
    proceeds_minor = models.BigIntegerField(null=True, blank=True)
    fee_minor = models.BigIntegerField(null=True, blank=True)
    own_value_minor = models.BigIntegerField(
        null=True,
        blank=True,
        help_text=gettext_lazy("A specimen's own price, instead of metal value."),
    )
    currency = models.CharField(max_length=3)
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["-weigh_in__weighed_on", "-pk"]
        indexes = [
            # Few lots are merged; see the same of pans in `derived.py`.
            models.Index(
                fields=["merged"], condition=Q(merged__isnull=False), name="trips_lot_of_merged"
            ),
        ]
        constraints = [
            models.UniqueConstraint(fields=["party", "uuid"], name="trips_lot_uuid"),
            models.CheckConstraint(
                condition=Q(mass_ug__gt=0),
                name="trips_lot_mass",
                violation_error_message=gettext_lazy("A lot weighs more than nothing."),
            ),
            models.CheckConstraint(
                condition=Q(state="on_hand") | Q(moved_on__isnull=False),
                name="trips_lot_moved",
                violation_error_message=gettext_lazy("Say on which day it was sold or given."),
            ),
        ]

    def __str__(self) -> str:
        return self.name

    def clean(self):
        """Refuse more gold than the weigh-in has, whichever way the lot comes (back)."""
        if self.weigh_in_id is None or self.mass_ug is None:
            return
        others = type(self).objects.filter(weigh_in_id=self.weigh_in_id).exclude(pk=self.pk)
        taken = others.aggregate(total=models.Sum("mass_ug"))["total"] or 0
        left = self.weigh_in.net_ug - taken
        if self.mass_ug > left:
            words = say(
                "{left} left outside lots, not {mass_ug}.",
                left=show.grams(left),
                mass_ug=show.grams(self.mass_ug),
            )
            raise ValidationError(
                {"mass_ug": gettext("The weigh-in has {words}").format(words=words)}
            )


class Price(Fact):
    """The price of fine gold on a day in one currency, exactly as its source states it."""

    class PerUnit(models.TextChoices):
        TROY_OUNCE = "ozt", gettext_lazy("troy ounce")
        GRAM = "g", gettext_lazy("gram")

    party = models.ForeignKey(Party, on_delete=models.CASCADE, related_name="prices")
    day = models.DateField()
    currency = models.CharField(max_length=3)
    amount_micros = models.BigIntegerField(help_text=gettext_lazy("Millionths of a currency unit."))
    per_unit = models.CharField(max_length=3, choices=PerUnit, default=PerUnit.TROY_OUNCE)
    source = models.CharField(max_length=160)

    class Meta:
        ordering = ["-day", "currency"]
        constraints = [
            models.UniqueConstraint(
                fields=["party", "currency", "day"],
                name="trips_price_once",
                violation_error_message=gettext_lazy(
                    "There is a price for this day and currency already."
                ),
            ),
            models.CheckConstraint(
                condition=Q(amount_micros__gt=0),
                name="trips_price_positive",
                violation_error_message=gettext_lazy("A price is more than zero."),
            ),
        ]

    def __str__(self) -> str:
        return say("{currency} price of {day}", currency=self.currency, day=local.day(self.day))
