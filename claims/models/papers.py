"""Authorities held: licence, permit, claim, consent."""

from django.db import models
from django.db.models import F, Q

from claims.models.ground import Site
from claims.models.party import Party


class Paper(models.Model):
    """An authority held, with its printed term. The paper's own text decides, not this row."""

    class Kind(models.TextChoices):
        LICENCE = "licence", "licence"
        PERMIT = "permit", "permit"
        CLAIM = "claim", "claim"
        CONSENT = "consent", "consent of an owner"

    class FeeSpread(models.TextChoices):
        TERM = "term", "over the days of its term"
        TRIPS = "trips", "over the trips made under it"
        NONE = "none", "not counted on trips"

    party = models.ForeignKey(Party, on_delete=models.CASCADE, related_name="papers")
    kind = models.CharField(max_length=8, choices=Kind)
    name = models.CharField(max_length=160)
    number = models.CharField(max_length=80, blank=True)
    holder = models.CharField(max_length=160, blank=True)
    issuer = models.CharField(max_length=160, blank=True)
    issued_on = models.DateField(null=True, blank=True)
    expires_on = models.DateField(
        null=True, blank=True, help_text="The last day printed on the paper. Empty: none printed."
    )
    renewal_lead_days = models.PositiveSmallIntegerField(default=60)
    conditions = models.TextField(blank=True)
    fee_minor = models.BigIntegerField(null=True, blank=True)
    currency = models.CharField(max_length=3, default="EUR")
    fee_spread = models.CharField(max_length=8, choices=FeeSpread, default=FeeSpread.TRIPS)
    sites = models.ManyToManyField(Site, blank=True, related_name="papers")
    notes = models.TextField(blank=True)

    class Meta:
        ordering = [F("expires_on").asc(nulls_last=True), "name", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(issued_on__isnull=True)
                | Q(expires_on__isnull=True)
                | Q(expires_on__gte=F("issued_on")),
                name="claims_paper_term",
                violation_error_message="A paper can't expire before it is issued.",
            ),
            models.CheckConstraint(
                condition=Q(fee_minor__isnull=True) | Q(fee_minor__gte=0),
                name="claims_paper_fee",
                violation_error_message="A fee can't be negative.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.name} {self.number}".strip()
