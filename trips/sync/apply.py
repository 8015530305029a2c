"""From stored entries to rows: each exactly once, in any order, after any number of retries.

What a record comes to is a function of the set of its entries (see `versions`) and of what it
rests on, never of the order in which they came. `FieldRecord` says how far it got and why not.
"""

import datetime as dt
import uuid
from collections import deque
from dataclasses import dataclass

from django.core.exceptions import NON_FIELD_ERRORS, ValidationError
from django.db import DataError, IntegrityError, transaction

from claims.models import Party
from claims.web import show
from trips.calc.words import marked, say
from trips.models import FieldEntry, FieldRecord, Trip
from trips.services import derive
from trips.services.records import check_day
from trips.sync import rows, settle
from trips.sync.bodies import NotSentYet
from trips.sync.versions import pick
from trips.sync.wire import sha256

State = FieldRecord.State
SHOWN_STATES = {State.APPLIED, State.OPEN, State.REMOVED, State.CONFLICT}
TWO_PHONES = marked(
    "This was changed in two places without knowing of each other. "
    "Both versions are kept: choose which one holds."
)
DESK = marked(
    "This was changed on the desk after the phone had last seen it. "
    "The record shows what the desk says; choose which to keep."
)
DESK_GONE = marked(
    "This was deleted on the desk before the phone's change came. It "
    "is still deleted; put it back, or leave it out."
)
NO_TRIP = marked("No trip was chosen for this. Choose the trip it belongs to.")
TRIP_GONE = marked(
    "The trip of this entry isn't in the record: it may have been "
    "deleted meanwhile. Nothing is lost: choose the trip it belongs to."
)


@dataclass(frozen=True)
class Version:
    """An entry as `versions.pick` wants it."""

    entry: FieldEntry

    @property
    def key(self) -> str:
        return str(self.entry.uuid)

    @property
    def replaced(self) -> list[str]:
        return self.entry.replaces

    @property
    def content(self) -> str:
        entry = self.entry
        return sha256([entry.is_removal, str(entry.trip_uuid), entry.body])


class Applier:
    """Applies records of one party; call inside a transaction, and `finish` at the end."""

    def __init__(self, party: Party):
        self.party = party
        self.trips: set[int] = set()
        self.queue: deque[uuid.UUID] = deque()
        self.forced: set[uuid.UUID] = set()

    def apply(self, keys, *, again: bool = False) -> None:
        """Apply these records and whatever waited for them.

        Args: again: also those whose newest entry was applied before or refused.
        """
        self.queue.extend(dict.fromkeys(keys))
        self.forced |= set(self.queue) if again else set()
        while self.queue:
            key = self.queue.popleft()
            forced = key in self.forced
            self.forced.discard(key)
            self._record(key, forced)

    def finish(self) -> None:
        """Order, day sums and derived rows of every trip that was touched."""
        for trip in Trip.objects.filter(party=self.party, pk__in=self.trips):
            settle.renumber(trip)
            settle.flag_full_days(trip)
            derive.rebuild_trip(trip.pk)

    def _record(self, key: uuid.UUID, forced: bool) -> None:
        entries = list(FieldEntry.objects.filter(party=self.party, record=key))
        if entries:
            self._settle(key, entries, forced)

    def _settle(self, key: uuid.UUID, entries: list[FieldEntry], forced: bool) -> None:
        record, _ = FieldRecord.objects.select_for_update().get_or_create(
            party=self.party, uuid=key
        )
        record.party = self.party
        picked = pick([Version(entry) for entry in entries])
        target = picked.shown.entry
        root = next((entry for entry in entries if entry.uuid == key), target)
        record.made_at = root.made_at
        if len({entry.kind for entry in entries}) > 1:
            record.kind = record.kind or root.kind
            self._stuck(record, say("These entries are of different kinds of record."), "")
            return
        record.kind = target.kind
        due = forced or record.head != target.uuid or record.state not in SHOWN_STATES
        if due and not self._to(record, target):
            return
        if picked.rivals:
            self._stuck(record, say(TWO_PHONES), "", State.CONFLICT)
            return
        if record.state == State.CONFLICT:
            record.state = State.APPLIED if record.row_pk else State.OPEN
            record.state = State.REMOVED if target.is_removal else record.state
        record.reason, record.about, record.proposal = "", "", {}
        record.save()

    def _to(self, record: FieldRecord, target: FieldEntry) -> bool:
        """Bring the row to an entry; False (and saved, with the reason) when that can't be."""
        record.needs = _uuid(target.body.get("spot")) if record.kind != "spot" else None
        try:
            with transaction.atomic():
                self._change(record, target)
        except NotSentYet as waits:
            record.needs = waits.needs
            self._stuck(record, str(waits), "spot", State.WAITING)
            return False
        except _Desk as found:
            self._stuck(record, str(found), "desk", State.CONFLICT)
            return False
        except ValidationError as problem:
            self._refused(record, target, problem)
            return False
        except (DataError, IntegrityError, OverflowError):
            self._stuck(record, say("The database refused what this says. Please check it."), "")
            return False
        return True

    def _change(self, record: FieldRecord, target: FieldEntry) -> None:
        trip = own_trip(self.party, target.trip_uuid)
        if trip is None and record.kind in rows.OF_A_TRIP and not target.is_removal:
            raise ValidationError({"trip": say(TRIP_GONE if target.trip_uuid else NO_TRIP)})
        row = self._row(record, target)
        if row is not None and getattr(row, "trip_id", None):
            self.trips.add(row.trip_id)
        before = record.row_pk
        if target.is_removal:
            rows.remove(record, row)
            record.row_pk, record.row_digest, record.state = None, "", State.REMOVED
        else:
            written = rows.write(record, row, trip, target.body)
            record.state = State.OPEN if written is None else State.APPLIED
            record.row_pk = written.pk if written else None
            record.row_digest = rows.row_digest(record.kind, written) if written else ""
        if trip is not None and record.kind in rows.OF_A_TRIP:
            self.trips.add(trip.pk)
        record.trip, record.head = trip, target.uuid
        if record.kind == "hole":
            self._wake(needs=record.uuid)
        elif record.kind == "spot":
            self._wake(needs=record.uuid)
            if before and before != record.row_pk:
                self._move_along(record.uuid)
        elif record.needs:
            # A removal of its spot may have waited for this to go away.
            self._wake(uuid=record.needs, kind="spot", state=State.LOOK)

    def _row(self, record: FieldRecord, target: FieldEntry):
        """The row there is. Raises: _Desk when the desk changed or deleted it meanwhile."""
        if record.kind not in rows.MODELS:
            raise ValidationError(say("This kind of entry isn't known here."))
        if not record.owns_row:
            return None
        row = rows.own_row(self.party, record.kind, record.uuid)
        ours = record.row_digest if record.head else ""
        if row is None:
            if (ours or target.base) and not target.is_removal and not self._removed(record):
                raise _Desk(say(DESK_GONE))
            return None
        # Either nobody touched the row since it was written here, or the phone saw what it says.
        if rows.row_digest(record.kind, row) not in {ours, target.base}:
            raise _Desk(say(DESK))
        return row

    def _removed(self, record: FieldRecord) -> bool:
        """Whether an entry took the row away, which a later one may take back."""
        head = FieldEntry.objects.filter(party=self.party, uuid=record.head)
        return head.filter(is_removal=True).exists()

    def _wake(self, **which) -> None:
        waiting = FieldRecord.objects.filter(party=self.party, **which)
        stuck = waiting.filter(state__in=(State.WAITING, State.LOOK))
        self.queue.extend(stuck.values_list("uuid", flat=True))

    def _move_along(self, spot: uuid.UUID) -> None:
        """Pans and runs follow their spot when it gets a row of its own."""
        there = FieldRecord.objects.filter(party=self.party, needs=spot)
        keys = list(there.filter(state__in=SHOWN_STATES).values_list("uuid", flat=True))
        self.forced |= set(keys)
        self.queue.extend(keys)

    def _stuck(self, record, reason: str, about: str, state: str = State.LOOK) -> None:
        record.state, record.reason, record.about = state, reason, about
        record.save()

    def _refused(self, record, target: FieldEntry, problem: ValidationError) -> None:
        record.proposal = {}
        if hasattr(problem, "error_dict"):
            parts = problem.message_dict
            about = next(iter(parts))
            reason = " ".join(parts[about])
        else:
            about, reason = NON_FIELD_ERRORS, " ".join(problem.messages)
        if about == "day" and (found := self._day_by_right_clock(target)):
            record.proposal = {"day": found[0]}
            reason = f"{reason} {found[1]}"
        about = "" if about == NON_FIELD_ERRORS else about
        self._stuck(record, reason, about[:20])

    def _day_by_right_clock(self, target: FieldEntry) -> tuple[str, str] | None:
        """The day that a phone with a wrong clock meant, if that lies in the trip."""
        ahead = target.clock_ahead_s
        trip = own_trip(self.party, target.trip_uuid)
        if trip is None or ahead is None or abs(ahead) < settle.CLOCK_IS_OFF_S:
            return None
        try:
            said = dt.date.fromisoformat(target.body.get("day") or "")
            meant = said - dt.timedelta(days=round(ahead / 86_400))
            check_day(trip, meant)
        except (ValueError, OverflowError, ValidationError):
            return None
        words = say(
            "{ahead} It probably means {meant}.",
            ahead=settle.clock_words(ahead),
            meant=show.day(meant),
        )
        return meant.isoformat(), words


def own_trip(party: Party, key: uuid.UUID | None) -> Trip | None:
    """The party's trip of this id, if there is one."""
    trips = Trip.objects.select_related("party").filter(party=party, uuid=key)
    return trips.first() if key else None


class _Desk(Exception):
    """The row was changed on the desk since the phone saw it."""


def _uuid(text: str | None) -> uuid.UUID | None:
    try:
        return uuid.UUID(text) if text else None
    except ValueError:
        return None
