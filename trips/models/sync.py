"""What phones send: each entry as it came, and what became of the record it tells of."""

from django.db import models
from django.utils import timezone
from django.utils.translation import gettext_lazy

from claims.models import Party, User
from trips.models.trip import Trip


class FieldEntry(models.Model):
    """One entry as it was made on a phone, never changed afterwards.

    A correction is another entry of the same record that names the ones it replaces; so is a
    removal. `body` holds strings as typed.
    """

    party = models.ForeignKey(Party, on_delete=models.CASCADE, related_name="+")
    uuid = models.UUIDField(editable=False)
    record = models.UUIDField(
        help_text=gettext_lazy("Id of the first entry of the record this tells of.")
    )
    kind = models.CharField(max_length=8)
    trip_uuid = models.UUIDField(null=True)
    replaces = models.JSONField(default=list)
    base = models.CharField(
        max_length=64, blank=True, help_text=gettext_lazy("Digest of the row corrected.")
    )
    is_removal = models.BooleanField(default=False)
    made_at = models.CharField(max_length=40, help_text=gettext_lazy("As the phone's clock said."))
    body = models.JSONField(default=dict)
    digest = models.CharField(max_length=64)
    device = models.CharField(max_length=64, blank=True)
    clock_ahead_s = models.BigIntegerField(
        null=True, help_text=gettext_lazy("How far the phone's clock was ahead when it sent this.")
    )
    sent_by = models.ForeignKey(User, null=True, on_delete=models.SET_NULL, related_name="+")
    received_at = models.DateTimeField(default=timezone.now, editable=False)

    class Meta:
        verbose_name_plural = "field entries"
        ordering = ["pk"]
        indexes = [models.Index(fields=["party", "record"], name="trips_entry_record")]
        constraints = [
            models.UniqueConstraint(fields=["party", "uuid"], name="trips_entry_uuid"),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.uuid}"


class FieldRecord(models.Model):
    """What the entries of one record came to. Worked out from them by `trips.sync.apply`."""

    class State(models.TextChoices):
        NEW = "new", gettext_lazy("not looked at yet")
        APPLIED = "applied", gettext_lazy("in the record")
        OPEN = "open", gettext_lazy("still running")
        WAITING = "waiting", gettext_lazy("waits for something not sent yet")
        LOOK = "look", gettext_lazy("needs a look")
        CONFLICT = "conflict", gettext_lazy("two versions")
        REMOVED = "removed", gettext_lazy("removed")

    party = models.ForeignKey(Party, on_delete=models.CASCADE, related_name="+")
    uuid = models.UUIDField(editable=False)
    kind = models.CharField(max_length=8, blank=True)
    trip = models.ForeignKey(
        Trip, null=True, on_delete=models.SET_NULL, related_name="field_records"
    )
    row_pk = models.BigIntegerField(null=True)
    made_at = models.CharField(max_length=40, blank=True)
    # A spot of a name that was there already stands for that row without owning it.
    owns_row = models.BooleanField(default=True)
    state = models.CharField(max_length=10, choices=State, default=State.NEW)
    reason = models.TextField(blank=True)
    about = models.CharField(
        max_length=20, blank=True, help_text=gettext_lazy("The part the reason is about.")
    )
    proposal = models.JSONField(
        default=dict, help_text=gettext_lazy("What would mend it, by part.")
    )
    needs = models.UUIDField(null=True, help_text=gettext_lazy("The spot it rests on."))
    head = models.UUIDField(null=True, help_text=gettext_lazy("The entry that the row shows."))
    row_digest = models.CharField(max_length=64, blank=True)

    class Meta:
        ordering = ["pk"]
        indexes = [
            models.Index(fields=["party", "state"], name="trips_record_state"),
            models.Index(fields=["party", "needs"], name="trips_record_needs"),
        ]
        constraints = [
            models.UniqueConstraint(fields=["party", "uuid"], name="trips_record_uuid"),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.uuid}: {self.get_state_display()}"
