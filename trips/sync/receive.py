"""Take what a phone or a saved file holds, and answer for each entry. The one way in."""

from dataclasses import dataclass

from django.db import transaction

from claims.models import Party, User
from trips.calc.words import kept, marked, say
from trips.models import FieldEntry, FieldRecord
from trips.sync.apply import Applier
from trips.sync.wire import Batch, Entry, Refused

DIFFERS = marked(
    "Another entry with this id was stored before. That one stays as "
    "it is; save this one again as a new entry."
)
State = FieldRecord.State
ASKS = {State.LOOK, State.CONFLICT}


@dataclass(frozen=True)
class Answer:
    """What became of one entry.

    answer: "stored" now, "already" there, "differs" from what is stored under its id, "look" for
    stored but not (wholly) in the record, "refused" for not stored. Of these only "differs" and
    "refused" are still nowhere but on the phone.
    """

    id: str
    answer: str
    reason: str = ""
    about: str = ""


@kept()
@transaction.atomic
def receive(*, party: Party, user: User, batch: Batch) -> tuple[Answer, ...]:
    """Store a batch's new entries, apply them, and answer in the order sent."""
    # One batch of a party at a time: two phones may send the same moment.
    Party.objects.select_for_update().get(pk=party.pk)
    entries = [item for item in batch.items if isinstance(item, Entry)]
    stored = {
        row.uuid: row
        for row in FieldEntry.objects.filter(party=party, uuid__in=[e.id for e in entries])
    }
    first: list[str] = []
    fresh: list[Entry] = []
    for item in batch.items:
        if isinstance(item, Refused):
            first.append("refused")
        elif item.id not in stored:
            stored[item.id] = _store(party, user, batch, item)
            fresh.append(item)
            first.append("stored")
        else:
            first.append("already" if stored[item.id].digest == item.digest else "differs")
    applier = Applier(party)
    applier.apply(entry.record for entry in fresh)
    applier.finish()
    records = {
        record.uuid: record
        for record in FieldRecord.objects.filter(
            party=party, uuid__in={entry.record for entry in entries}
        )
    }
    return tuple(
        _answer(item, said, records) for item, said in zip(batch.items, first, strict=True)
    )


def _store(party: Party, user: User, batch: Batch, item: Entry) -> FieldEntry:
    return FieldEntry.objects.create(
        party=party,
        uuid=item.id,
        record=item.record,
        kind=item.kind,
        trip_uuid=item.trip,
        replaces=list(item.replaces),
        base=item.base,
        is_removal=item.removed,
        made_at=item.at,
        body=item.body,
        digest=item.digest,
        device=batch.device,
        clock_ahead_s=batch.clock_ahead_s,
        sent_by=user,
    )


def _answer(item: Entry | Refused, said: str, records) -> Answer:
    if isinstance(item, Refused):
        return Answer(item.id, "refused", item.reason)
    if said == "differs":
        return Answer(str(item.id), said, say(DIFFERS))
    record = records.get(item.record)
    if record is not None and record.state in ASKS:
        return Answer(str(item.id), "look", record.reason, record.about)
    return Answer(str(item.id), said, record.reason if record else "")
