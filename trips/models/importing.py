"""A spreadsheet between its upload and its saving."""

from django.db import models
from django.utils import timezone
from django.utils.translation import gettext_lazy

from claims.models import Party, User
from trips.calc.words import say


class ImportBatch(models.Model):
    """The cells of an uploaded file, what was said about its columns, and what came of it.

    Kept in the database and not in the page, so that what is saved is what was looked at.
    """

    party = models.ForeignKey(Party, on_delete=models.CASCADE, related_name="import_batches")
    created_by = models.ForeignKey(User, null=True, on_delete=models.SET_NULL, related_name="+")
    created_at = models.DateTimeField(default=timezone.now, editable=False)
    name_shown = models.CharField(max_length=120, blank=True)
    headers = models.JSONField(default=list)
    lines = models.JSONField(default=list)
    choices = models.JSONField(default=dict)
    result = models.JSONField(default=dict)

    class Meta:
        ordering = ["-created_at"]
        verbose_name_plural = gettext_lazy("import batches")

    def __str__(self) -> str:
        return self.name_shown or say("Import {pk}", pk=self.pk)
