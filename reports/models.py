"""Rows worked out from many trips. Never edited: `reports.selectors.belief` rebuilds them."""

import datetime as dt

from django.db import models

from claims.models import Party
from trips.calc.words import say


class BeliefMark(models.Model):
    """Counts the changes of a party's facts, so that an older belief shows as old."""

    party = models.OneToOneField(Party, on_delete=models.CASCADE, related_name="belief_mark")
    changes = models.PositiveBigIntegerField(default=0)

    def __str__(self) -> str:
        return say("{changes} changes", changes=self.changes)


class DerivedBelief(models.Model):
    """What the samples up to a day say about a party's ground; holds for `first_day` ≤ day.

    No sample and no flood lies after `first_day` and before `next_day` (null: none later), so one
    row serves every day between. `digest` is of the samples: an unrelated change needs no new fit.
    """

    party = models.ForeignKey(Party, on_delete=models.CASCADE, related_name="derived_beliefs")
    changes = models.PositiveBigIntegerField()
    first_day = models.DateField()
    next_day = models.DateField(null=True)
    digest = models.CharField(max_length=64)
    content = models.JSONField()
    sum_version = models.PositiveSmallIntegerField()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["party", "first_day"], name="reports_belief_once")
        ]

    def __str__(self) -> str:
        return say(
            "Belief of {party_id} from {first_day}",
            party_id=self.party_id,
            first_day=self.first_day,
        )

    def holds(self, day: dt.date) -> bool:
        """Whether this is what was believed on a day."""
        return self.first_day <= day and (self.next_day is None or day < self.next_day)
