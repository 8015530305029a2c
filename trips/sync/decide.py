"""What a person settles under "Needs a look". Every decision is an entry, so phones hear of it."""

import datetime as dt
import uuid

from django.db import transaction

from claims.models import Party, User
from trips.calc.words import kept
from trips.models import FieldEntry, FieldRecord, Trip
from trips.sync import rows
from trips.sync.apply import Applier, Version
from trips.sync.versions import pick
from trips.sync.wire import sha256

DESK = "desk"


def entries_of(record: FieldRecord) -> list[FieldEntry]:
    """All entries of a record, oldest first."""
    found = FieldEntry.objects.filter(party=record.party, record=record.uuid)
    return list(found.select_related("sent_by"))


def newest(record: FieldRecord) -> FieldEntry:
    """The entry that the record shows, or would show if nothing were wrong with it."""
    return pick([Version(entry) for entry in entries_of(record)]).shown.entry


def heads(record: FieldRecord) -> list[FieldEntry]:
    """The versions that contradict each other; none when there is only one."""
    return [v.entry for v in pick([Version(entry) for entry in entries_of(record)]).rivals]


@kept()
@transaction.atomic
def mend(
    *,
    record: FieldRecord,
    user: User,
    now: dt.datetime,
    body: dict[str, str | None],
    trip: Trip | None,
) -> FieldRecord:
    """Store a corrected version and apply it; the record says whether that went well."""
    return _decided(record, user, now, body=body, trip_uuid=trip.uuid if trip else None)


@kept()
@transaction.atomic
def choose(*, record: FieldRecord, entry: FieldEntry, user: User, now: dt.datetime) -> FieldRecord:
    """Let one of the versions hold, also over what the desk says."""
    return _decided(
        record, user, now, body=entry.body, trip_uuid=entry.trip_uuid, removal=entry.is_removal
    )


@kept()
@transaction.atomic
def leave_out(*, record: FieldRecord, user: User, now: dt.datetime) -> FieldRecord:
    """Take it out of the record; what was sent stays stored."""
    entry = newest(record)
    return _decided(record, user, now, body=entry.body, trip_uuid=entry.trip_uuid, removal=True)


@kept()
@transaction.atomic
def keep_desk(*, record: FieldRecord) -> FieldRecord:
    """Let what the desk says hold: the row stays as it is, or stays deleted."""
    record = _locked(record)
    row = rows.own_row(record.party, record.kind, record.uuid)
    record.head = newest(record).uuid
    record.row_pk = row.pk if row else None
    record.row_digest = rows.row_digest(record.kind, row) if row else ""
    record.state = FieldRecord.State.APPLIED if row else FieldRecord.State.REMOVED
    record.reason, record.about, record.proposal = "", "", {}
    record.save()
    return record


@kept()
@transaction.atomic
def try_again(*, record: FieldRecord) -> FieldRecord:
    """Apply it once more, after something it rests on was put right."""
    applier = Applier(_party(record))
    if record.trip_id:
        applier.trips.add(record.trip_id)
    applier.apply([record.uuid], again=True)
    applier.finish()
    record.refresh_from_db()
    return record


def _decided(record, user, now, *, body, trip_uuid, removal=False) -> FieldRecord:
    record = _locked(record)
    party = _party(record)
    before = entries_of(record)
    row = rows.own_row(party, record.kind, record.uuid)
    base = rows.row_digest(record.kind, row) if row and record.owns_row else ""
    if row is None:
        # Deleted on the desk: the person deciding has been told so.
        record.row_digest = ""
        record.save(update_fields=["row_digest"])
    key = uuid.uuid4()
    FieldEntry.objects.create(
        party=party,
        uuid=key,
        record=record.uuid,
        kind=record.kind,
        trip_uuid=trip_uuid,
        replaces=[str(entry.uuid) for entry in before],
        base=base,
        is_removal=removal,
        made_at=now.isoformat(),
        body=body,
        digest=sha256([str(key), body]),
        device=DESK,
        sent_by=user,
    )
    return try_again(record=record)


def _locked(record: FieldRecord) -> FieldRecord:
    _party(record)
    return FieldRecord.objects.select_related("party").select_for_update(of=("self",)).get(
        pk=record.pk
    )  # fmt: skip


def _party(record: FieldRecord) -> Party:
    return Party.objects.select_for_update().get(pk=record.party_id)
