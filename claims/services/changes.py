"""Who changed what: marks every kept state, also of rows that are written many at once."""

import uuid
from collections.abc import Iterable

from django.core.exceptions import ObjectDoesNotExist
from django.db import models
from simple_history.models import HistoricalRecords
from simple_history.utils import bulk_create_with_history, bulk_update_with_history

from claims.models import Party
from trips.calc.words import kept

BATCH = 500


def change_set() -> uuid.UUID | None:
    """One id for everything that the request at hand changes; None outside a request."""
    request = getattr(HistoricalRecords.context, "request", None)
    if request is None:
        return None
    if not hasattr(request, "change_set"):
        request.change_set = uuid.uuid4()
    return request.change_set


def mark(sender, *, instance, history_instance, **kwargs):
    """Give a kept state its party and the set it belongs to; runs before it is stored."""
    history_instance.record_party_id = instance.record_party()
    history_instance.change_set = change_set()
    history_instance.called = _called(instance)


def _called(row: models.Model) -> str:
    try:
        with kept():
            return str(row)[:200]
    except ObjectDoesNotExist:  # deleted along with what it is named after
        return ""


def create_many(model: type[models.Model], rows: Iterable[models.Model], *, party: Party):
    """Store many new facts of a party at once, each with its first state."""
    if rows := list(rows):
        bulk_create_with_history(rows, model, batch_size=BATCH, **_marks(party))


def update_many(
    model: type[models.Model], rows: Iterable[models.Model], *, party: Party, names: list[str]
):
    """Store changed facts of a party at once, each with its state; the caller holds their locks.

    Raise `version` on each row before.
    """
    if rows := list(rows):
        fields = [*names, "version"]
        bulk_update_with_history(rows, model, fields, batch_size=BATCH, **_marks(party))


def _marks(party: Party) -> dict[str, object]:
    user = getattr(getattr(HistoricalRecords.context, "request", None), "user", None)
    return {
        "default_user": user if user is not None and user.is_authenticated else None,
        "custom_historical_attrs": {"record_party_id": party.pk, "change_set": change_set()},
    }


def update_each(rows: models.QuerySet, **values):
    """Set the same values on every row of a query, each with its state kept."""
    for row in rows.select_for_update():
        for name, value in values.items():
            setattr(row, name, value)
        row.save()
