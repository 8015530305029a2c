"""What a phone takes along: today's trips with their ground, kit, records and what is due.

Values that a phone may edit are strings in the person's units, as they would type them.
"""

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable

from django.db.models import Prefetch, Q
from django.urls import reverse

from claims.checklist import ChecklistRows, checklist_rows, is_open
from claims.models import Hole, KeptFile, Party, Site, Spot, User
from claims.web.fields import MinutesField, MoneyField, QuantityField
from trips.forms.records import BOXES
from trips.models import Cost, FieldEntry, FieldNote, FieldRecord, HoursBlock, Run, TestPan
from trips.models.field import Layer
from trips.models.trip import Trip, TripSite
from trips.selectors.checklist import Shared, shared_rows, trip_checklist
from trips.sync.rows import row_digest

AHEAD_DAYS, BACK_DAYS, MOST_TRIPS = 14, 3, 10
MOST_PHOTOS = 60
State = FieldRecord.State
UNIT_LABELS = {"L": "L", "us_gal": "US gal", "imp_gal": "imp gal"}


def bundle(*, party: Party, user: User, role: str, today: dt.date) -> dict[str, object]:
    """Everything as plain JSON values; the same queries for any number of trips and rows."""
    trips = _trips(party, today)
    spots = list(Spot.objects.filter(site__party=party, site__is_retired=False))
    rows = checklist_rows(party)
    shared = shared_rows(party, rows, [row.site for t in trips for row in t.trip_sites.all()])
    return {
        "party": {"id": party.pk, "name": party.name},
        "user": user.get_short_name() or user.username,
        "role": role,
        "currency": party.currency,
        "keeps_photo_place": party.keeps_photo_place,
        "volume_unit": UNIT_LABELS[user.volume_unit],
        "pan": pan_text(party, trips, user),
        "words": {name: getattr(party, f"{name}_words") for name in ("coarse", "medium", "fine")},
        "choices": {
            "layer": Layer.choices,
            "activity": HoursBlock.Activity.choices,
            "feature": Spot.Feature.choices,
            "what": Cost.Kind.choices,
            "role": KeptFile.Role.choices,
        },
        "trips": [_trip(trip, party, user, rows, shared, today) for trip in trips],
        "sites": [
            {"pk": str(site.pk), "name": site.name, **_degrees(site)}
            for site in Site.objects.filter(party=party, is_retired=False)
        ],
        "spots": [{"uuid": str(spot.uuid), **_spot_body(spot, party, user)} for spot in spots],
        "records": list(_records(party, user, trips, spots, rows.holes, today)),
        "looks": {
            str(key): reason
            for key, reason in FieldRecord.objects.filter(
                party=party, state__in=(State.LOOK, State.CONFLICT)
            ).values_list("uuid", "reason")[:1000]
        },
    }


def _trips(party: Party, today: dt.date) -> list[Trip]:
    near = Trip.objects.filter(party=party).exclude(state=Trip.State.CALLED_OFF)
    near = near.filter(
        starts_on__lte=today + dt.timedelta(days=AHEAD_DAYS),
        ends_on__gte=today - dt.timedelta(days=BACK_DAYS),
    ) | near.filter(state=Trip.State.UNDER_WAY)
    plan = Prefetch("trip_sites", TripSite.objects.select_related("site"))
    found = near.prefetch_related(plan, "people", "gear", "answers").order_by("starts_on", "pk")
    # The trip under way first, then the nearest.
    return sorted(
        found, key=lambda t: (t.state != Trip.State.UNDER_WAY, abs((t.starts_on - today).days))
    )[:MOST_TRIPS]


def _trip(
    trip: Trip, party: Party, user: User, rows: ChecklistRows, shared: Shared, today: dt.date
) -> dict[str, object]:
    plan = list(trip.trip_sites.all())
    sites = [row.site for row in plan]
    people = list(trip.people.all())
    trip.party = party
    checks = trip_checklist(
        party,
        trip,
        rows,
        sites=plan,
        people=people,
        gear=trip.gear.all(),
        as_of=today,
        shared=shared,
    )
    lines = [line for site in checks.sites for line in site.lines if line.outcome != "know"]
    gear = [piece for piece in trip.gear.all() if piece.kind in BOXES]
    return {
        "pk": trip.pk,
        "uuid": str(trip.uuid),
        "name": str(trip),
        "state": trip.state,
        "starts_on": trip.starts_on.isoformat(),
        "ends_on": trip.ends_on.isoformat(),
        "back_by": trip.back_by.isoformat() if trip.back_by else "",
        "alarm": ", ".join(filter(None, (trip.alarm_name, trip.alarm_contact))),
        "sites": [str(site.pk) for site in sites],
        "map": reverse("trips:trip_map_file", args=[trip.pk, "geojson"]),
        "people": [[str(person.pk), person.name] for person in people],
        "me": next((str(person.pk) for person in people if person.user_id == user.pk), ""),
        "gear": [[str(piece.pk), piece.name] for piece in gear],
        "due": [
            {"outcome": line.outcome, "text": line.text, "why": line.why, "phase": line.phase}
            for line in lines
        ],
    }


def pan_text(party: Party, trips: Iterable[Trip], user: User) -> str:
    """The party's pan in the person's unit, as typed; empty when it isn't known."""
    pans = (piece.volume_ml for trip in trips for piece in trip.gear.all())
    volume_ml = party.pan_volume_ml or next(filter(None, pans), None)
    return "" if volume_ml is None else _typed("volume", user.volume_unit, volume_ml)


def _degrees(row: Site | Spot) -> dict[str, str]:
    if row.latitude_udeg is None:
        return {"lat": "", "lon": ""}
    return {"lat": f"{row.latitude_udeg / 1e6:.6f}", "lon": f"{row.longitude_udeg / 1e6:.6f}"}


def _records(party, user, trips, spots, holes, today):
    """Each record of these trips, and the open holes, as the phone would have sent it."""
    own = {trip.pk: str(trip.uuid) for trip in trips}
    found: list[tuple[str, object]] = []
    for kind, model, joins in (
        ("pan", TestPan, ("spot",)),
        ("run", Run, ("spot",)),
        ("hours", HoursBlock, ()),
        ("note", FieldNote, ("spot",)),
    ):
        rows = model.objects.filter(trip__in=own).select_related(*joins)
        found += [(kind, row) for row in rows]
    paid = Cost.objects.filter(trip__in=own, stage=Cost.Stage.PAID)
    found += [("cost", row) for row in paid]
    sites = {row.site_id for trip in trips for row in trip.trip_sites.all()}
    found += [("spot", spot) for spot in spots if spot.site_id in sites]
    since = today - dt.timedelta(days=BACK_DAYS)
    found += [
        ("hole", hole)
        for hole in holes
        if (hole.site_id in sites and is_open(hole, today))
        or (hole.filled_on is not None and hole.filled_on >= since)
    ]
    found += [("photo", photo) for photo in _photos(party, own, sites)]
    keys = [row.uuid for _, row in found]
    known = {r.uuid: r for r in FieldRecord.objects.filter(party=party, uuid__in=keys)}
    versions: dict[object, list[str]] = defaultdict(list)
    bodies: dict[object, dict] = {}
    entries = FieldEntry.objects.filter(party=party, record__in=keys)
    for record, key, body in entries.values_list("record", "uuid", "body"):
        versions[record].append(str(key))
        bodies[key] = body
    for kind, row in found:
        record, base = known.get(row.uuid), row_digest(kind, row)
        # As typed, with start, end and tubs, unless the desk has changed the row since.
        typed = record and record.row_digest == base and bodies.get(record.head)
        yield {
            "record": str(row.uuid),
            "kind": kind,
            "trip": own.get(_trip_of(row)),
            "at": record.made_at if record else "",
            "versions": versions[row.uuid],
            "base": base,
            "body": typed or BODIES[kind](row, party, user),
        }


def _photos(party: Party, trips, sites) -> list[KeptFile]:
    """The newest photos of these trips and of what is at their sites."""
    found = KeptFile.objects.filter(party=party, kind=KeptFile.Kind.PHOTO).filter(
        Q(trip_file__trip__in=trips) | Q(spot__site__in=sites) | Q(hole__site__in=sites)
    )
    found = found.select_related("spot", "hole", "trip_file").order_by("-added_at", "-pk")
    return list(found[:MOST_PHOTOS])


def _trip_of(row) -> int | None:
    if isinstance(row, KeptFile):
        return row.trip_file.trip_id if row.target == KeptFile.Target.WORK else None
    return getattr(row, "trip_id", None)


def _typed(kind: str, unit: str, base: int | None) -> str | None:
    return None if base is None else QuantityField(kind=kind, unit=unit, high=0).show(base)


def _volume(base: int | None, user: User) -> str | None:
    text = _typed("volume", user.volume_unit, base)
    return None if text is None else f"{text} {UNIT_LABELS[user.volume_unit]}"


def _length(base: int | None, unit: str) -> str | None:
    text = _typed("length", unit, base)
    return None if text is None else f"{text} {unit}"


def _number(value: int | None) -> str | None:
    return None if value is None else str(value)


def _colours(row) -> dict[str, str | None]:
    return {name: _number(getattr(row, name)) for name in ("coarse", "medium", "fine")}


def _pan_body(row, party, user):
    return {
        "spot": str(row.spot.uuid),
        "day": row.day.isoformat(),
        "layer": row.layer,
        "depth": _length(row.depth_mm, "cm"),
        "volume": _volume(row.volume_ml, user),
        **_colours(row),
        "mass": None if row.mass_ug is None else f"{_typed('mass', 'mg', row.mass_ug)} mg",
        "note": row.note,
    }


def _run_body(row, party, user):
    span = row.span_minutes()
    return {
        "spot": str(row.spot.uuid),
        "day": row.day.isoformat(),
        "layer": row.layer,
        "gear": _number(row.gear_id),
        "started_at": row.began_at.isoformat() if row.began_at else None,
        "ended_at": row.ended_at.isoformat() if row.ended_at else None,
        "minutes": None if row.minutes in (None, span) else MinutesField().show(row.minutes),
        "volume": _volume(row.volume_ml, user),
        **_colours(row),
        "note": row.note,
    }


def _hours_body(row, party, user):
    return {
        "activity": row.activity,
        "day": row.day.isoformat(),
        "minutes": MinutesField().show(row.minutes),
        "person": _number(row.person_id),
        "site": _number(row.site_id),
        "note": row.note,
    }


def _cost_body(row, party, user):
    return {
        "what": row.kind,
        "amount": MoneyField(currency=row.currency).show(row.amount_minor),
        "paid_by": _number(row.paid_by_id),
        "note": row.note,
    }


def _hole_body(row: Hole, party, user):
    return {
        "site": str(row.site_id),
        "spot": str(row.spot.uuid) if row.spot_id else None,
        "opened_on": row.opened_on.isoformat(),
        "filled_on": row.filled_on.isoformat() if row.filled_on else None,
        "length": _length(row.length_mm, "m"),
        "width": _length(row.width_mm, "m"),
        "depth": _length(row.depth_mm, "m"),
        "note": row.notes,
    }


def _note_body(row, party, user):
    return {
        "spot": str(row.spot.uuid) if row.spot_id else None,
        "day": row.day.isoformat(),
        "text": row.text,
    }


def _photo_body(row: KeptFile, party, user):
    shown = row.spot or row.hole
    return {
        "caption": row.caption,
        "role": row.role,
        "of": f"{row.target} {shown.uuid}" if shown else "trip",
    }


def _spot_body(row: Spot, party, user):
    return {
        "site": str(row.site_id),
        "name": row.name,
        "feature": row.feature,
        "note": row.notes,
        **_degrees(row),
    }


BODIES = {
    "spot": _spot_body,
    "pan": _pan_body,
    "run": _run_body,
    "hours": _hours_body,
    "cost": _cost_body,
    "hole": _hole_body,
    "note": _note_body,
    "photo": _photo_body,
}
