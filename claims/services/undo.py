"""Take a deletion back: every row of it, and what it changed in other rows."""

import datetime as dt
import uuid

from django.core.exceptions import ValidationError
from django.core.files.storage import default_storage
from django.db import models, transaction
from django.utils.translation import gettext

from claims import hooks
from claims.models import Party
from claims.past import UNDO_DAYS, deleted_file_names, fact_models, file_columns
from trips.calc.words import say


@transaction.atomic
def bring_back(*, party: Party, key: uuid.UUID, now: dt.datetime) -> int:
    """Bring back what one change set deleted; returns how many rows.

    Rows come back under their old numbers, so that everything that names them fits again. Other
    rows that the same press of a button changed (a run that was taken off a weigh-in) get their
    old values where nobody has changed them since.

    Raises:
        ValidationError: too long ago, nothing left to bring back, or something in the way, such
            as a new row of the same name or gold that went into other lots meanwhile. Nothing is
            changed then.
    """
    before = hooks.find_troubles(party)
    gone: list[models.Model] = []
    changed = []
    for model in fact_models().values():
        past = model.history.filter(change_set=key, record_party_id=party.pk)
        past = past.filter(history_date__gte=now - dt.timedelta(days=UNDO_DAYS))
        for row in past.order_by("history_id"):
            if row.history_type == "-":
                gone.append(row)
            elif row.history_type == "~":
                changed.append(row)
    count = sum(_recreate(row) for row in gone)
    if not count:
        raise ValidationError(
            gettext(
                "There is nothing to bring back: it is back already, or it is more "
                "than {UNDO_DAYS} days ago."
            ).format(UNDO_DAYS=UNDO_DAYS)
        )
    for row in changed:
        _set_back(row)
    if wrong := sorted(hooks.find_troubles(party) - before):
        raise ValidationError([gettext("This can't come back."), *wrong])
    hooks.tell_party_changed(party)
    return count


def forget_old_files(now: dt.datetime) -> int:
    """Remove the bytes of files that were deleted too long ago to come back; returns how many."""
    names = [
        name
        for name in sorted(deleted_file_names(now, can_come_back=False))
        if default_storage.exists(name)
    ]
    for name in names:
        default_storage.delete(name)
    return len(names)


def _recreate(past) -> bool:
    row = past.instance
    model = type(row)
    if model._base_manager.filter(pk=row.pk).exists():
        return False
    for column in file_columns(model):
        file = getattr(row, column)
        if file and not file.storage.exists(file.name):
            raise ValidationError(
                gettext(
                    "“{called}” can't come back: its file isn't in the storage any more."
                ).format(called=past.called)
            )
    row.version = past.version + 1
    row._state.adding = True
    try:
        # It was a sound row when it was stored; only others may stand in its way now.
        row.clean()
        row.validate_unique()
        row.validate_constraints()
    except ValidationError as problem:
        raise ValidationError(
            gettext("{capitalize} “{row}” can't come back: {messages}").format(
                capitalize=model._meta.verbose_name.capitalize(),
                row=_called(row),
                messages=" ".join(problem.messages),
            )
        ) from problem
    row.save(force_insert=True)
    # The links to many rows were gone when the last state was written; the one before has them.
    before = past.prev_record
    for many in model._meta.many_to_many:
        if before is not None and hasattr(before, many.name):
            far = f"{many.m2m_reverse_field_name()}_id"
            there = many.related_model._base_manager
            kept = {getattr(link, far) for link in getattr(before, many.name).all()}
            getattr(row, many.name).set(there.filter(pk__in=kept))
    return True


def _called(row: models.Model) -> str:
    try:
        return str(row)
    except Exception:  # what it names itself after is gone
        return say("number {pk}", pk=row.pk)


def _set_back(past) -> None:
    before = past.prev_record
    model = type(past.instance)
    row = model._base_manager.select_for_update().filter(pk=past.id).first()
    if before is None or row is None:
        return
    for column in model._meta.concrete_fields:
        name = column.attname
        if name in {"id", "version"} or not hasattr(past, name):
            continue
        was, became = getattr(before, name), getattr(past, name)
        if was != became and getattr(row, name) == became:
            setattr(row, name, was)
    row.save()
