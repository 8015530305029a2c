"""Tracks: read once and kept, then taken over as hours, drive and spots as far as wanted."""

import datetime as dt
import hashlib
import uuid as uuids
from collections.abc import Iterable
from dataclasses import dataclass

from django.core.exceptions import ValidationError
from django.core.files.storage import default_storage
from django.db import IntegrityError, transaction
from django.utils.translation import gettext

from claims.models import Person, Site, SiteShape, Spot, User
from claims.services.files import clean_name, save_bytes, unwritten
from claims.services.ground import save_spot
from trips.calc.gpx_read import GpxError, GpxFile, read_gpx
from trips.calc.track_line import thinned
from trips.calc.tracks import RADIUS_M, Place, TrackSums, sum_up
from trips.calc.words import say
from trips.models import HoursBlock, Track, Trip
from trips.services import derive
from trips.services.records import check_hours, store_hours

LINE_POINTS = 1500


@dataclass(frozen=True)
class KeptTrack:
    """The row of a track, and whether it is new; the same file again is the one kept."""

    track: Track
    is_new: bool


@dataclass(frozen=True)
class TakenBlock:
    """A proposed block as somebody wants it noted; `key` is the same every time it is offered."""

    key: str
    day: dt.date
    activity: str
    minutes: int
    site: Site | None


@dataclass(frozen=True)
class Taken:
    """What is taken over from a track; `driven_m` is metres by sealed, unsealed road and track."""

    blocks: tuple[TakenBlock, ...] = ()
    person: Person | None = None
    driven_m: tuple[int, int, int] | None = None
    spots: tuple[tuple[int, Site, str], ...] = ()


def keep_track(
    *,
    trip: Trip,
    content: bytes,
    name: str,
    user: User | None,
    now: dt.datetime,
    uuid: uuids.UUID | None = None,
) -> KeptTrack:
    """Read a GPX file and keep it with its trip; a file read before is found again.

    Raises: ValidationError with a sentence that names the file.
    """
    source = hashlib.sha256(content).hexdigest()
    known = Track.objects.filter(party=trip.party_id, source_sha256=source)
    if (track := known.select_related("trip").first()) is not None:
        return KeptTrack(track, False)
    try:
        read = read_gpx(content)
    except GpxError as error:
        raise ValidationError(
            gettext("“{name}” is not taken. {error}").format(name=clean_name(name), error=error),
            "file",
        ) from error
    track = Track(
        party=trip.party,
        trip=trip,
        uuid=uuid or uuids.uuid4(),
        name_sent=clean_name(name),
        title=read.name,
        source_sha256=source,
        size_bytes=len(content),
        added_by=user,
        added_at=now,
    )
    _work_out(track, read)
    place = f"tracks/{trip.party_id}/{track.uuid}.gpx"
    try:
        stored = save_bytes(place, content)
    except OSError as error:
        raise ValidationError(
            gettext("“{name_sent}” is not taken. {error}").format(
                name_sent=track.name_sent, error=unwritten(error)
            ),
            "file",
        ) from error
    try:
        with transaction.atomic():
            track.stored = stored
            track.save(force_insert=True)
    except IntegrityError:
        default_storage.delete(stored)
        quicker = known.select_related("trip").first()
        if quicker is None:
            raise
        return KeptTrack(quicker, False)
    except BaseException:
        default_storage.delete(stored)
        raise
    return KeptTrack(track, True)


def work_out_anew(*, track: Track) -> Track:
    """Read the kept file again, with the trip's sites as they are now."""
    with default_storage.open(track.stored.name, "rb") as stored:
        _work_out(track, read_gpx(stored.read()))
    track.save()
    return track


def places_of(sites: Iterable[Site]) -> tuple[tuple[Site, Place], ...]:
    """Sites that have a position or an outline, as the sums take them."""
    sites = list(sites)
    shapes = {shape.site_id: shape for shape in SiteShape.objects.filter(site__in=sites)}
    found = []
    for site in sites:
        shape = shapes.get(site.pk)
        rings = tuple(
            tuple((lat / 1e6, lon / 1e6) for lat, lon in ring)
            for polygon in (shape.outline if shape else [])
            for ring in polygon
        )
        if site.latitude_udeg is not None:
            middle, radius = (site.latitude_udeg / 1e6, site.longitude_udeg / 1e6), RADIUS_M
            radius = shape.radius_m if shape else RADIUS_M
        elif rings:
            middle, radius = rings[0][0], 0
        else:
            continue
        found.append((site, Place(*middle, radius_m=radius, rings=rings)))
    return tuple(found)


def _work_out(track: Track, read: GpxFile) -> None:
    rows = track.trip.trip_sites.select_related("site")
    known = places_of(row.site for row in rows)
    sums = sum_up(read.segments, [place for _, place in known])
    track.point_count, track.distance_m = sums.points, sums.distance_m
    track.begins_at, track.ends_at = _instant(sums.begins), _instant(sums.ends)
    track.moving_seconds, track.stopped_seconds = sums.moving_s, sums.stopped_s
    track.pieces = [
        [p.kind, p.begins, p.ends, p.distance_m, None if p.place is None else known[p.place][0].pk]
        for p in sums.pieces
    ]
    track.line = thinned(read.segments, LINE_POINTS)
    track.waypoints = [[w.name, w.latitude_udeg, w.longitude_udeg, w.note] for w in read.waypoints]
    track.remarks = [*read.left_out, *sums.remarks, *_no_place(sums, known)]


def _no_place(sums: TrackSums, known) -> list[str]:
    if known or not sums.pieces:
        return []
    return [
        say(
            "None of the trip's sites has a position, so time on site can't be "
            "told from walks and rests. Give the site a position and work the "
            "track out anew."
        )
    ]


def _instant(seconds: int | None) -> dt.datetime | None:
    return None if seconds is None else dt.datetime.fromtimestamp(seconds, dt.UTC)


@transaction.atomic
def move_clock(*, track: Track, minutes: int) -> Track:
    """Correct the recorder's clock by so many minutes in all."""
    track.clock_shift_minutes = minutes
    track.save(update_fields=["clock_shift_minutes"])
    return track


@transaction.atomic
def take_over(*, track: Track, taken: Taken) -> tuple[int, int]:
    """Note hours, the drive and spots from a track, all or nothing; (hours, spots) made.

    What was taken over before is found by its key and isn't noted twice.
    Raises: ValidationError, as for hours noted by hand.
    """
    trip = track.trip
    keys = {key_uuid(track, block.key): block for block in taken.blocks}
    here = set(HoursBlock.objects.filter(party=trip.party, uuid__in=keys).values_list("uuid"))
    made = 0
    for number, block in keys.items():
        if (number,) in here:
            continue
        row = HoursBlock(
            uuid=number,
            day=block.day,
            activity=block.activity,
            minutes=block.minutes,
            site=block.site,
            person=taken.person,
            note=say("From track {track}", track=track)[:200],
        )
        store_hours(trip=trip, block=row)
        made += 1
    check_hours(trip=trip)
    if taken.driven_m is not None:
        trip.driven_sealed_m, trip.driven_unsealed_m, trip.driven_track_m = taken.driven_m
        trip.full_clean()
        trip.save(update_fields=["driven_sealed_m", "driven_unsealed_m", "driven_track_m"])
    spots = sum(_make_spot(track, *wanted) for wanted in taken.spots)
    derive.rebuild_trip(trip.pk)
    return made, spots


def key_uuid(track: Track, key: str) -> uuids.UUID:
    """The id of what is made from a part of a track: the same part gives the same id."""
    return uuids.uuid5(track.uuid, key)


def _make_spot(track: Track, number: int, site: Site, name: str) -> bool:
    if site.party_id != track.party_id:
        raise ValidationError(gettext("{site} isn't in this record.").format(site=site))
    _, lat, lon, note = track.waypoints[number]
    wanted = key_uuid(track, f"spot {number}")
    if Spot.objects.filter(site__party=track.party_id, uuid=wanted).exists():
        return False
    spot = Spot(
        site=site, uuid=wanted, name=name, latitude_udeg=lat, longitude_udeg=lon, notes=note
    )
    if site.spots.filter(name=name).exists():
        raise ValidationError(
            gettext(
                "There is a spot “{name}” at {site} already. Give the waypoint another name."
            ).format(name=name, site=site)
        )
    save_spot(spot=spot)
    return True
