"""Work that no request waits for: what was asked, how far it is, and what came of it."""

import uuid

from django.db import models
from django.utils.translation import gettext_lazy

from claims.models.party import Party, User


class Job(models.Model):
    """One import, file or record that is made beside the pages, and its result for a few days.

    No fact: it is neither exported nor counted. The file of the result lies in the storage under
    `stored`, which is no file column on purpose: backups leave it out, because it can be made
    again from what they hold.
    """

    class State(models.TextChoices):
        WAITING = "waiting", gettext_lazy("waiting")
        RUNNING = "running", gettext_lazy("being worked on")
        DONE = "done", gettext_lazy("done")
        FAILED = "failed", gettext_lazy("not done")

    # Without a party it is its maker's alone: a record that is only being brought in.
    party = models.ForeignKey(Party, null=True, on_delete=models.CASCADE, related_name="jobs")
    uuid = models.UUIDField(default=uuid.uuid4, editable=False, unique=True)
    kind = models.CharField(max_length=20)
    title = models.CharField(max_length=160)
    asked = models.JSONField(default=dict)
    asked_by = models.ForeignKey(User, null=True, on_delete=models.SET_NULL, related_name="+")
    asked_at = models.DateTimeField()
    state = models.CharField(max_length=8, choices=State, default=State.WAITING)
    # Started anew, the number goes up, and what an earlier run still says no longer counts.
    attempt = models.PositiveIntegerField(default=1)
    heard_at = models.DateTimeField()
    finished_at = models.DateTimeField(null=True)
    step = models.CharField(max_length=160, blank=True)
    parts_done = models.PositiveIntegerField(null=True)
    parts_all = models.PositiveIntegerField(null=True)
    said = models.TextField(blank=True)
    leads_to = models.CharField(max_length=200, blank=True)
    stored = models.CharField(max_length=200, blank=True)
    file_name = models.CharField(max_length=120, blank=True)
    content_type = models.CharField(max_length=100, blank=True)
    size_bytes = models.PositiveBigIntegerField(null=True)

    class Meta:
        ordering = ["-asked_at", "-pk"]
        indexes = [models.Index(fields=["party", "-asked_at"], name="claims_job_latest")]
        verbose_name = "work in the background"
        verbose_name_plural = "work in the background"

    def __str__(self) -> str:
        return self.title

    @property
    def is_over(self) -> bool:
        return self.state in (self.State.DONE, self.State.FAILED)
