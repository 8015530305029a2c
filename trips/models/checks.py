"""Answers to a trip's checklist, and its sign-offs."""

from django.db import models
from django.utils.translation import gettext_lazy

from claims.models import Site, User
from claims.models.fact import Fact
from trips.calc.words import say
from trips.models.trip import Trip


class TripAnswer(Fact):
    """What somebody said to a line of the checklist; `key` is the question's or the rule's."""

    party_way = "trip__party"

    trip = models.ForeignKey(Trip, on_delete=models.CASCADE, related_name="answers")
    site = models.ForeignKey(Site, on_delete=models.CASCADE, related_name="+")
    key = models.CharField(max_length=200)
    value = models.CharField(max_length=120)
    note = models.CharField(max_length=300, blank=True)
    said_by = models.CharField(max_length=160)
    said_at = models.DateTimeField()

    class Meta:
        ordering = ["trip_id", "site_id", "key"]
        constraints = [
            models.UniqueConstraint(
                fields=["trip", "site", "key"],
                name="trips_answer_once",
                violation_error_message=gettext_lazy("This line has an answer already."),
            )
        ]

    def __str__(self) -> str:
        return f"{self.key}: {self.value}"


class SignOff(models.Model):
    """A checklist as it stood when somebody put their name to it. It never changes afterwards."""

    trip = models.ForeignKey(Trip, on_delete=models.CASCADE, related_name="sign_offs")
    signer = models.CharField(max_length=160)
    signed_by = models.ForeignKey(User, null=True, on_delete=models.SET_NULL, related_name="+")
    signed_at = models.DateTimeField()
    snapshot = models.JSONField()
    sha256 = models.CharField(max_length=64)

    class Meta:
        ordering = ["-signed_at", "-pk"]

    def __str__(self) -> str:
        return say("Signed off by {signer}", signer=self.signer)

    def save(self, *args, **kwargs):
        """Store it once; what was signed isn't written again."""
        if not self._state.adding:
            raise TypeError("A sign-off never changes; sign the checklist off anew.")
        super().save(*args, **kwargs)
