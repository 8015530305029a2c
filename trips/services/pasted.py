"""Store pasted rows: all of them or none, and a paste sent twice stores them once."""

import uuid
from collections.abc import Sequence

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext

from trips.forms.pasted import KINDS, Checked
from trips.models import Trip
from trips.services import derive
from trips.services.records import check_hours, store_cost, store_hours, store_washed


@transaction.atomic
def save_pasted(*, trip: Trip, key: str, rows: Sequence[Checked], seed: uuid.UUID) -> int:
    """Store rows that were found sound; returns how many, 0 if this paste is stored already.

    Args: seed: made with the page; every row's own id follows from it.

    Raises:
        ValidationError: with the line; nothing is stored then.
    """
    model = KINDS[key].model
    ids = {row.number: uuid.uuid5(seed, f"{key}|{row.number}") for row in rows}
    if model.objects.filter(party=trip.party, uuid__in=ids.values()).exists():
        return 0
    for row in rows:
        record = row.form.instance
        record.uuid = ids[row.number]
        try:
            if key in ("pan", "run"):
                store_washed(trip=trip, record=record, place=row.form.place, rebuild=False)
            elif key == "hours":
                store_hours(trip=trip, block=record)
            else:
                store_cost(trip=trip, cost=record)
        except ValidationError as problem:
            raise ValidationError(
                gettext("Line {number}: {messages}").format(
                    number=row.number, messages=" ".join(problem.messages)
                )
            ) from problem
    if key == "hours":
        check_hours(trip=trip)
    derive.rebuild_trip(trip.pk)
    return len(rows)
