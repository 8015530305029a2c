"""What facts that people type have in common: none is overwritten unseen, and their past stays.

A fact carries a version that goes up with every save. Whoever saves a row that was changed since
they read it is told so instead of wiping out what somebody else wrote. Every state of a fact is
kept with who wrote it and when; that is what the page of changes shows and what a deleted fact is
brought back from. `QuerySet.update` and `bulk_create` pass both by: services that need them use
`claims.services.changes`, and a test holds that nobody else does.
"""

from django.core.exceptions import ValidationError
from django.db import models, transaction
from simple_history.models import HistoricalRecords

from trips.calc.words import say


class ChangedMeanwhile(ValidationError):
    """Somebody saved the row after it was read; nothing of this save was stored."""

    def __init__(self, row: models.Model):
        super().__init__(
            say(
                "{capitalize} “{row}” was changed by somebody else in the "
                "meantime. Load the page again to see it as it is now.",
                capitalize=row._meta.verbose_name.capitalize(),
                row=row,
            ),
            code="changed_meanwhile",
        )


class PastState(models.Model):
    """What each kept state says besides the fact itself."""

    # One press of a button is one set: what was deleted together comes back together.
    change_set = models.UUIDField(null=True, db_index=True)
    record_party_id = models.BigIntegerField(null=True)
    # What the row called itself then: what it was named after may be gone by now.
    called = models.CharField(max_length=200, blank=True)

    class Meta:
        abstract = True


class History(HistoricalRecords):
    """The past of a kind of fact, found by party and day however much others wrote."""

    def __init__(self, **options):
        super().__init__(bases=[PastState], **options)

    def get_meta_options(self, model):
        by_day = models.Index(fields=["record_party_id", "history_date"])
        return {**super().get_meta_options(model), "indexes": [by_day]}


class Versioned(models.Model):
    """A row that knows whether it was changed since it was read."""

    # The way from a row to its party, for rows that don't name it themselves.
    party_way = "party"

    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        abstract = True

    def save(self, *args, update_fields=None, **kwargs):
        """Save unless the stored row is newer than the one that was read.

        A row in which nothing is different isn't written, so that its past holds changes only.

        Raises:
            ChangedMeanwhile: it is newer, or gone.
        """
        if self._state.adding:
            super().save(*args, update_fields=update_fields, **kwargs)
            return
        is_newer = False
        names = [field.attname for field in self._meta.concrete_fields]
        with transaction.atomic(savepoint=False):
            # The lock makes the second of two that save at once see what the first one wrote.
            rows = type(self)._base_manager.select_for_update()
            stored = rows.filter(pk=self.pk).values(*names).first()
            if stored is None or stored["version"] != self.version:
                is_newer = True
            elif any(getattr(self, name) != value for name, value in stored.items()):
                self.version += 1
                if update_fields is not None:
                    update_fields = {*update_fields, "version"}
                super().save(*args, update_fields=update_fields, **kwargs)
        if is_newer:
            raise ChangedMeanwhile(self)

    def record_party(self) -> int | None:
        """The number of the party that this row belongs to."""
        row, steps = self, self.party_way.split("__")
        for step in steps[:-1]:
            row = getattr(row, step)
        return getattr(row, f"{steps[-1]}_id") if steps[-1] != "pk" else row.pk


class Fact(Versioned):
    """Base of every model whose rows people type, correct and delete.

    A model with links to many rows names them in a `history` of its own and starts from
    `Versioned`, because the past of such links has to be asked for by name.
    """

    history = History(inherit=True)

    class Meta:
        abstract = True
