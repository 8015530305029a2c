"""Rows for tests: plain functions with fixed, sensible values; name only what the test is about.

Amounts are in stored units (µg, ml, m, mm, minutes, minor units of money). Whatever a row needs
and isn't given is made; names are numbered within the party so that they never clash.
Nothing here rebuilds derived rows: call `trips.services.derive` where a test needs them.
"""

import datetime as dt
import io
import uuid

from claims.models import (
    ConditionMark,
    Duty,
    DutyDone,
    Hole,
    Invitation,
    Membership,
    Paper,
    PaperCondition,
    Party,
    Person,
    Site,
    Spot,
    User,
)
from tests.factories_jobs import make_job  # noqa: F401 offered from here as well
from tests.factories_rules import (  # noqa: F401 rows about rules, offered from here as well
    PACK_TEXT,
    make_answer,
    make_own_rule,
    make_party_pack,
    make_sign_off,
)
from trips.models import (
    Cost,
    DistanceRate,
    FieldEntry,
    FieldNote,
    FieldRecord,
    Flood,
    Gauge,
    Gear,
    GoldLot,
    HoursBlock,
    ImportBatch,
    MergedLot,
    Price,
    Run,
    TestPan,
    Trip,
    TripPerson,
    TripSite,
    Vehicle,
    WeighIn,
)
from trips.services import files
from trips.services.tracks import keep_track

DAY = dt.date(2031, 5, 3)  # a Saturday; the day that every dated row falls on
PASSWORD = "loose-gravel-31"


def make_party(**overrides) -> Party:
    values = {
        "name": f"Party {Party.objects.count() + 1}",
        "currency": "EUR",
        "time_zone": "UTC",
        "home_name": "Hollin Cross",
    }
    return Party.objects.create(**values | overrides)


def make_user(username: str = "", **overrides) -> User:
    name = username or f"user{User.objects.count() + 1}"
    return User.objects.create_user(username=name, password=PASSWORD, **overrides)


def make_member(party: Party, user: User | None = None, role: str = "keeper") -> Membership:
    return Membership.objects.create(party=party, user=user or make_user(), role=role)


def signed_in(client, party: Party, role: str = "keeper", user: User | None = None):
    """The same client, now signed in as a member of `party` with `role`."""
    member = make_member(party, user, role)
    client.force_login(member.user)
    return client


def make_invitation(party: Party, created_by: User, token_sha256: str = "", **overrides):
    values = {
        "role": "hand",
        "token_sha256": token_sha256 or f"{Invitation.objects.count() + 1:064d}",
        "expires_at": dt.datetime(2099, 1, 1, tzinfo=dt.UTC),
    }
    return Invitation.objects.create(party=party, created_by=created_by, **values | overrides)


def make_person(party: Party, name: str = "", **overrides) -> Person:
    name = name or f"Person {party.people.count() + 1}"
    return Person.objects.create(party=party, name=name, **overrides)


def make_site(party: Party, name: str = "", **overrides) -> Site:
    """A public reach 20 km away: 15 sealed, 4 unsealed, 1 track, 35 minutes' drive, 10 on foot."""
    values = {
        "land_kind": Site.LandKind.PUBLIC,
        "water_name": "Marl Beck",
        "sealed_m": 15_000,
        "unsealed_m": 4_000,
        "track_m": 1_000,
        "drive_minutes": 35,
        "walk_minutes": 10,
    }
    name = name or f"Site {party.sites.count() + 1}"
    return Site.objects.create(party=party, name=name, **values | overrides)


def make_spot(site: Site, name: str = "", **overrides) -> Spot:
    values = {"feature": Spot.Feature.INSIDE_BEND}
    name = name or f"Spot {site.spots.count() + 1}"
    return Spot.objects.create(site=site, name=name, **values | overrides)


def make_paper(party: Party, sites=(), **overrides) -> Paper:
    """A permit for the whole of 2031 without a fee."""
    values = {
        "kind": Paper.Kind.PERMIT,
        "name": f"Permit {party.papers.count() + 1}",
        "issued_on": dt.date(2031, 1, 1),
        "expires_on": dt.date(2031, 12, 31),
        "currency": party.currency,
    }
    paper = Paper.objects.create(party=party, **values | overrides)
    paper.sites.set(sites)
    return paper


def make_condition(paper: Paper, text: str = "", **overrides) -> PaperCondition:
    place = paper.condition_lines.count() + 1
    values = {"position": place, "kind": PaperCondition.Kind.GEAR}
    text = text or f"Condition {place}"
    return PaperCondition.objects.create(paper=paper, text=text, **values | overrides)


def make_mark(condition: PaperCondition, **overrides) -> ConditionMark:
    """Kept on the usual day, by hand tools only."""
    values = {"day": DAY, "state": ConditionMark.State.KEPT, "how": "Hand tools only."}
    return ConditionMark.objects.create(condition=condition, **values | overrides)


def make_duty(party: Party, title: str = "", **overrides) -> Duty:
    """A report due once, on the last day of 2031."""
    values = {"kind": Duty.Kind.REPORT, "first_due": dt.date(2031, 12, 31)}
    title = title or f"Duty {party.duties.count() + 1}"
    return Duty.objects.create(party=party, title=title, **values | overrides)


def make_done(duty: Duty, **overrides) -> DutyDone:
    values = {"due_on": duty.first_due, "done_on": duty.first_due, "evidence": "Letter"}
    return DutyDone.objects.create(duty=duty, **values | overrides)


def make_hole(site: Site, **overrides) -> Hole:
    """An open hole of 1.0 × 0.8 × 0.5 m."""
    values = {"opened_on": DAY, "length_mm": 1000, "width_mm": 800, "depth_mm": 500}
    return Hole.objects.create(party=site.party, site=site, **values | overrides)


def make_vehicle(party: Party, name: str = "", **overrides) -> Vehicle:
    values = {
        "sealed_ml_per_100km": 8_000,
        "unsealed_ml_per_100km": 10_000,
        "track_ml_per_100km": 14_000,
        "wear_milli_per_km": 150,
        "wear_source": "own books",
    }
    name = name or f"Car {party.vehicles.count() + 1}"
    return Vehicle.objects.create(party=party, name=name, **values | overrides)


def make_gear(party: Party, name: str = "", **overrides) -> Gear:
    values = {"kind": Gear.Kind.SLUICE_STREAM}
    name = name or f"Box {party.gear.count() + 1}"
    return Gear.objects.create(party=party, name=name, **values | overrides)


def make_trip(party: Party, site: Site | None = None, *, fallbacks=(), people=(), **overrides):
    """A planned day trip to `site` (made if not given) with `fallbacks` in order."""
    values = {"starts_on": DAY, "fuel_price_milli_per_l": 1_800}
    values |= overrides
    values.setdefault("ends_on", values["starts_on"])
    trip = Trip.objects.create(party=party, **values)
    for rank, place in enumerate([site or make_site(party), *fallbacks]):
        TripSite.objects.create(trip=trip, site=place, rank=rank)
    for person in people:
        TripPerson.objects.create(trip=trip, person=person)
    return trip


def _first_site(trip: Trip) -> Site:
    return trip.trip_sites.select_related("site").order_by("rank")[0].site


def _spot_of(trip: Trip, spot: Spot | None) -> Spot:
    if spot is not None:
        return spot
    site = _first_site(trip)
    return site.spots.first() or make_spot(site)


def make_pan(trip: Trip, spot: Spot | None = None, **overrides) -> TestPan:
    """5 litres of gravel with 0 coarse, 1 medium and 4 fine colours."""
    values = {
        "day": trip.starts_on,
        "sequence": trip.pans.count() + 1,
        "layer": "gravel",
        "volume_ml": 5_000,
        "coarse": 0,
        "medium": 1,
        "fine": 4,
    }
    return TestPan.objects.create(
        party=trip.party, trip=trip, spot=_spot_of(trip, spot), **values | overrides
    )


def make_run(trip: Trip, spot: Spot | None = None, **overrides) -> Run:
    """100 litres in an hour with 1 coarse, 8 medium and 40 fine colours."""
    values = {
        "day": trip.starts_on,
        "sequence": trip.runs.count() + 1,
        "layer": "gravel",
        "volume_ml": 100_000,
        "minutes": 60,
        "coarse": 1,
        "medium": 8,
        "fine": 40,
    }
    return Run.objects.create(
        party=trip.party, trip=trip, spot=_spot_of(trip, spot), **values | overrides
    )


def make_hours(trip: Trip, activity: str = "run", minutes: int = 60, **overrides) -> HoursBlock:
    values = {"day": trip.starts_on, "activity": activity, "minutes": minutes}
    return HoursBlock.objects.create(party=trip.party, trip=trip, **values | overrides)


def make_cost(trip: Trip, kind: str = "food", amount_minor: int = 1_200, **overrides) -> Cost:
    values = {"kind": kind, "amount_minor": amount_minor, "currency": trip.party.currency}
    return Cost.objects.create(party=trip.party, trip=trip, **values | overrides)


def make_field_record(trip: Trip, **overrides) -> FieldRecord:
    """A note from a phone that needs a look, with the one entry it rests on."""
    key = uuid.uuid4()
    shared = {"party": trip.party, "uuid": key, "kind": "note", "made_at": "2031-05-03T10:00:00Z"}
    FieldEntry.objects.create(
        **shared,
        record=key,
        trip_uuid=trip.uuid,
        body={"text": "", "day": "2031-05-03"},
        digest="0" * 64,
    )
    values = {"trip": trip, "state": "look", "reason": "The note is empty.", "about": "text"}
    return FieldRecord.objects.create(**shared | values | overrides)


def make_note(trip: Trip, text: str = "High water.", **overrides) -> FieldNote:
    values = {"day": trip.starts_on, "text": text}
    return FieldNote.objects.create(party=trip.party, trip=trip, **values | overrides)


def make_weigh_in(trip: Trip, *, runs=(), pans=(), **overrides) -> WeighIn:
    """1.250 g gross less 0.250 g tare on a scale that shows milligrams, over `runs` and `pans`."""
    values = {
        "weighed_on": trip.ends_on,
        "gross_ug": 1_250_000,
        "tare_ug": 250_000,
        "resolution_ug": 1_000,
    }
    weigh_in = WeighIn.objects.create(party=trip.party, trip=trip, **values | overrides)
    for record in (*runs, *pans):
        record.weigh_in = weigh_in
        record.save(update_fields=["weigh_in"])
    return weigh_in


def make_lot(weigh_in: WeighIn, **overrides) -> GoldLot:
    """Half a gram on hand."""
    values = {
        "name": f"Lot {weigh_in.lots.count() + 1}",
        "mass_ug": 500_000,
        "currency": weigh_in.party.currency,
    }
    return GoldLot.objects.create(party=weigh_in.party, weigh_in=weigh_in, **values | overrides)


def make_price(party: Party, day: dt.date = DAY, **overrides) -> Price:
    """3 110.34768 a troy ounce, which is 100 a gram."""
    values = {
        "day": day,
        "currency": party.currency,
        "amount_micros": 3_110_347_680,
        "per_unit": Price.PerUnit.TROY_OUNCE,
        "source": "made up for tests",
    }
    return Price.objects.create(party=party, **values | overrides)


def make_gauge(party: Party, sites=(), name: str = "", **overrides) -> Gauge:
    name = name or f"Gauge {party.gauges.count() + 1}"
    gauge = Gauge.objects.create(party=party, name=name, **overrides)
    gauge.sites.set(sites)
    return gauge


def make_flood(gauge: Gauge, day: dt.date = DAY, **overrides) -> Flood:
    """A flood that comes once in five years, by one's own word, unless a peak is given."""
    values = {} if "peak_milli" in overrides else {"own_return_tenths": 50}
    return Flood.objects.create(party=gauge.party, gauge=gauge, day=day, **values | overrides)


def make_import_batch(party: Party, user: User, **overrides) -> ImportBatch:
    values = {
        "headers": ["Day", "Site"],
        "lines": [[2, ["2031-05-03", "Old bend"], ""]],
        "choices": {"columns": {"date": 0, "site": 1}},
    }
    return ImportBatch.objects.create(party=party, created_by=user, **values | overrides)


def picture_bytes(size=(64, 48), fmt="JPEG", colour=(120, 140, 90), **saved) -> bytes:
    """A picture of one colour as a file."""
    from PIL import Image

    out = io.BytesIO()
    Image.new("RGB", size, colour).save(out, fmt, **saved)
    return out.getvalue()


def make_file(owner, content: bytes = b"", **overrides):
    """A kept photo of `owner`, a paper, hole, spot, trip or weigh-in."""
    party = owner.site.party if isinstance(owner, Spot) else owner.party
    values = {"name": "IMG_1.jpg", "user": None, "now": dt.datetime(2031, 5, 3, 12, tzinfo=dt.UTC)}
    values |= overrides
    return files.keep(party=party, owner=owner, content=content or picture_bytes(), **values).file


def gpx_bytes(fixes=((46.5, 7.9, 0), (46.51, 7.9, 600)), waypoints=(), name="Morning") -> bytes:
    """A GPX 1.1 file; a fix is (latitude, longitude, seconds after 08:00 UTC on the day or None).

    A fix of None begins a new recording. A waypoint is (latitude, longitude, name).
    """
    start = dt.datetime.combine(DAY, dt.time(8), dt.UTC)
    parts = ['<?xml version="1.0" encoding="UTF-8"?>']
    parts.append('<gpx version="1.1" creator="t" xmlns="http://www.topografix.com/GPX/1/1">')
    for lat, lon, called in waypoints:
        parts.append(f'<wpt lat="{lat}" lon="{lon}"><name>{called}</name></wpt>')
    parts.append(f"<trk><name>{name}</name><trkseg>")
    for fix in fixes:
        if fix is None:
            parts.append("</trkseg><trkseg>")
            continue
        lat, lon, after = fix
        when = "" if after is None else f"{start + dt.timedelta(seconds=after):%Y-%m-%dT%H:%M:%SZ}"
        time = f"<time>{when}</time>" if when else ""
        parts.append(f'<trkpt lat="{lat}" lon="{lon}">{time}</trkpt>')
    parts.append("</trkseg></trk></gpx>")
    return "".join(parts).encode()


def make_track(trip: Trip, content: bytes = b"", **overrides):
    """A track of one kilometre north in ten minutes, in the morning of the day."""
    values = {"name": "day.gpx", "user": None, "now": dt.datetime(2031, 5, 3, 18, tzinfo=dt.UTC)}
    name = f"Track {trip.tracks.count() + 1} of {trip.pk}"
    content = content or gpx_bytes(name=name)
    return keep_track(trip=trip, content=content, **values | overrides).track


def make_merged(*lots: GoldLot, **overrides) -> MergedLot:
    """These lots put together, on hand."""
    party = lots[0].party
    values = {"name": f"Merged {party.merged_lots.count() + 1}", "currency": party.currency}
    merged = MergedLot.objects.create(party=party, **values | overrides)
    for lot in lots:
        lot.merged = merged
        lot.save(update_fields=["merged"])
    return merged


def make_rate(party: Party, **overrides) -> DistanceRate:
    """0.50 a km up to 1 000 km of a year, then 0.20, in 2031."""
    days = {"first_day": dt.date(2031, 1, 1), "last_day": dt.date(2031, 12, 31)}
    tiers = {"rate_milli": 500, "first_tier_upto": 1_000, "second_rate_milli": 200}
    said = {"currency": party.currency, "source": "made up for tests"}
    values = {"name": f"Rate {party.distance_rates.count() + 1}", **days, **tiers, **said}
    return DistanceRate.objects.create(party=party, **values | overrides)
