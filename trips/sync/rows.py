"""Write the row that a version of a record describes. One writer a kind; no sums here.

Every writer runs inside the caller's transaction and raises ValidationError keyed by part.
"""

import uuid

from django.core.exceptions import ValidationError
from django.db.models import ProtectedError

from claims.models import Hole, KeptFile, Party, Spot
from claims.services import files
from claims.services.ground import save_hole, save_spot
from trips.calc.words import marked, say
from trips.models import (
    Cost,
    FieldNote,
    FieldRecord,
    HoursBlock,
    Run,
    TestPan,
    Trip,
    TripFile,
)
from trips.services import records
from trips.sync import bodies
from trips.sync.bodies import Known, NotSentYet
from trips.sync.wire import sha256

MODELS = {
    "pan": TestPan,
    "run": Run,
    "hours": HoursBlock,
    "cost": Cost,
    "hole": Hole,
    "spot": Spot,
    "note": FieldNote,
    "photo": KeptFile,
}
PHOTO_GONE = marked(
    "This photo isn't in the record: it was deleted. Bring it back on "
    "the desk and try again, or leave this change out."
)
PHOTO_TRIP = marked("The trip of this photo isn't in the record (any more). Choose what it shows.")
OF_A_TRIP = {"pan", "run", "hours", "cost", "note"}
# What a row says to people. A change of these on the desk is a change; others are bookkeeping.
WASHED = ("layer", "volume_ml", "coarse", "medium", "fine", "note")
SHOWN = {
    "pan": ("trip_id", "spot_id", "day", "depth_mm", "mass_ug", *WASHED),
    "run": ("trip_id", "spot_id", "day", "gear_id", "minutes", "began_at", "ended_at", *WASHED),
    "hours": ("trip_id", "site_id", "person_id", "day", "activity", "minutes", "note"),
    "cost": ("trip_id", "kind", "amount_minor", "paid_by_id", "note"),
    "hole": ("site_id", "spot_id", "opened_on", "filled_on", "length_mm", "width_mm", "depth_mm",
             "notes"),
    "spot": ("site_id", "name", "feature", "latitude_udeg", "longitude_udeg", "notes"),
    "note": ("trip_id", "spot_id", "day", "text"),
    "photo": ("target", "hole_id", "spot_id", "caption", "role"),
}  # fmt: skip


# Columns that came after phones had got digests: they count where something is noted in them.
SINCE = {"began_at", "ended_at"}


def row_digest(kind: str, row) -> str:
    """Hash of what a row says; equal rows give equal hashes on every machine."""
    values = {name: getattr(row, name) for name in SHOWN[kind]}
    values = {name: v for name, v in values.items() if v is not None or name not in SINCE}
    return sha256({name: None if v is None else str(v) for name, v in values.items()})


def own_row(party: Party, kind: str, key: uuid.UUID):
    """The party's row of this kind that carries the record's id."""
    rows = MODELS[kind].objects
    if kind == "photo":  # papers and what hangs on them aren't the field's
        rows = rows.filter(kind=KeptFile.Kind.PHOTO).exclude(target=KeptFile.Target.PAPER)
    found = rows.filter(site__party=party) if kind == "spot" else rows.filter(party=party)
    return found.filter(uuid=key).first()


def spot_of(party: Party, text: str) -> Spot:
    """The spot that phones know by an id, also when it stands for one that was there before.

    Raises: NotSentYet while no phone has sent it; ValidationError for something that isn't an id.
    """
    try:
        key = uuid.UUID(text)
    except ValueError:
        raise ValidationError(
            {"spot": say("“{text}” isn't the id of a spot.", text=text[:40])}
        ) from None
    record = FieldRecord.objects.filter(party=party, uuid=key, kind="spot").first()
    spots = Spot.objects.select_related("site").filter(site__party=party)
    found = spots.filter(pk=record.row_pk).first() if record and record.row_pk else None
    found = found or spots.filter(uuid=key).first()
    if found is None:
        raise NotSentYet(key)
    return found


def write(record: FieldRecord, row, trip: Trip | None, body: bodies.Body):
    """Store what the body says; gives the row, or None for something still running."""
    known = Known(record.party, trip, lambda text: spot_of(record.party, text))
    values = bodies.read(record.kind, body, known)
    if record.kind == "photo":
        return _write_photo(record, row, trip, values)
    if record.kind == "spot":
        return _write_spot(record, row, values)
    if record.kind == "hours" and values["minutes"] is None:
        if row is not None:
            row.delete()
        return None
    spot = values.pop("spot", None)
    model = MODELS[record.kind]
    row = row or model(party=record.party, uuid=record.uuid)
    for name, value in values.items():
        setattr(row, name, value)
    return WRITERS[record.kind](record, row, trip, spot)


def remove(record: FieldRecord, row) -> None:
    """Delete the row. Raises: ValidationError while other records rest on it."""
    if row is None or not record.owns_row:
        return
    if record.kind == "photo":
        files.delete_file(file=row)
        return
    try:
        row.delete()
    except ProtectedError:
        raise ValidationError(
            {
                "name": say(
                    "There are test pans or box runs at this spot. Move or remove those first."
                )
            }
        ) from None


def _write_washed(record, row, trip, spot):
    return records.store_washed(
        trip=trip, record=row, place=records.Place(spot=spot), rebuild=False
    )


def _write_hours(record, row, trip, spot):
    return records.store_hours(trip=trip, block=row)


def _write_cost(record, row, trip, spot):
    row.currency = record.party.currency
    return records.store_cost(trip=trip, cost=row)


def _write_hole(record, row, trip, spot):
    row.spot = spot
    return save_hole(hole=row)


def _write_note(record, row, trip, spot):
    records.check_open(trip)
    records.check_day(trip, row.day)
    row.trip, row.spot = trip, spot
    row.full_clean()
    row.save()
    return row


def _write_photo(record: FieldRecord, row, trip: Trip | None, values) -> KeptFile:
    """Caption, moment and what a kept photo shows; its picture came by a way of its own."""
    if row is None:
        raise ValidationError(say(PHOTO_GONE))
    owner = values.pop("owner")
    place = {Spot: "spot", Hole: "hole"}.get(type(owner), "work")
    if place == "work" and trip is None:
        raise ValidationError({"trip": say(PHOTO_TRIP)})
    for name, value in values.items():
        setattr(row, name, value)
    row.target = place
    row.spot, row.hole = (owner if place == name else None for name in ("spot", "hole"))
    row.full_clean()
    row.save()
    tie = TripFile.objects.filter(file=row).first()
    if place != "work":
        if tie is not None:
            tie.delete()  # the photo stays: it isn't the trip's any more
    elif tie is None:
        TripFile.objects.create(file=row, trip=trip)
    elif (tie.trip_id, tie.weigh_in_id) != (trip.pk, None):
        tie.trip, tie.weigh_in = trip, None
        tie.save()
    return row


def _write_spot(record: FieldRecord, row, values) -> Spot:
    """A spot of a name that is there already stands for that spot: people name what they see.

    Of two phones' spots the smaller id owns the row, so that the order of arrival doesn't matter.
    """
    row = row if record.owns_row else None
    twin = Spot.objects.filter(site=values["site"], name__iexact=values["name"])
    twin = twin.exclude(pk=row.pk).first() if row else twin.first()
    if twin is not None:
        owner = FieldRecord.objects.filter(
            party=record.party, kind="spot", row_pk=twin.pk, owns_row=True
        ).first()
        if row is not None:
            raise ValidationError(
                {"name": say("There is a spot “{name}” at {site} already. Choose another name, "
"or move the pans there.",
name=twin.name,
site=twin.site)}
            )  # fmt: skip
        if owner is None or owner.uuid < record.uuid:
            record.owns_row = False
            return twin
        owner.owns_row = False
        owner.save(update_fields=["owns_row"])
        row = twin
    spot = row or Spot()
    spot.uuid, record.owns_row = record.uuid, True
    for name, value in values.items():
        setattr(spot, name, value)
    return save_spot(spot=spot)


WRITERS = {
    "pan": _write_washed,
    "run": _write_washed,
    "hours": _write_hours,
    "cost": _write_cost,
    "hole": _write_hole,
    "note": _write_note,
}
