"""What a track's page offers: blocks of hours, the drive, waypoints."""

import datetime as dt
from dataclasses import dataclass

from claims.models import Site, Spot
from claims.web import show
from claims.web.asof import zone
from trips.calc.track_hours import Block, blocks, by_road, driven_m, is_one_way
from trips.calc.tracks import DRIVE, SITE, STOP, WALK, Piece
from trips.calc.words import Spoken, marked, say
from trips.models import HoursBlock, Track, Trip
from trips.services.tracks import key_uuid

Activity = HoursBlock.Activity
ACTIVITY = {DRIVE: Activity.DRIVE, WALK: Activity.WALK, STOP: Activity.REST, SITE: ""}
WORDS = Spoken(
    {
        DRIVE: marked("Drive"),
        WALK: marked("Walk"),
        STOP: marked("Stops"),
        SITE: marked("On site"),
    }
)


@dataclass(frozen=True)
class Offer:
    """A block that could be noted. `noted_minutes`: the same noted already by other means."""

    key: str
    block: Block
    site: Site | None
    activity: str
    title: str
    is_taken: bool
    is_outside: bool
    noted_minutes: int

    @property
    def slug(self) -> str:
        """Names the block's boxes in the form, whatever else is offered meanwhile."""
        return self.key.removeprefix("hours ").replace(" ", "-")


@dataclass(frozen=True)
class WaypointOffer:
    """A named position that could become a spot."""

    number: int
    name: str
    position: str
    note: str
    is_taken: bool


@dataclass(frozen=True)
class TrackPage:
    """What templates/trips/track_detail.html shows."""

    track: Track
    trip: Trip
    zone_name: str
    begins: str
    ends: str
    moving_minutes: int
    stopped_minutes: int
    offers: tuple[Offer, ...]
    sites: tuple[Site, ...]
    driven_m: int
    is_one_way: bool
    by_road_m: tuple[int, int, int]
    waypoints: tuple[WaypointOffer, ...]
    days_off: int

    @property
    def open_offers(self) -> tuple[Offer, ...]:
        return tuple(o for o in self.offers if not o.is_taken and not o.is_outside)


def track_page(track: Track) -> TrackPage:
    """The track's sums and what of it isn't in the record yet."""
    trip = track.trip
    rows = list(trip.trip_sites.select_related("site"))
    sites = {row.site_id: row.site for row in rows}
    zone_name = next((row.site.time_zone for row in rows if row.site.time_zone), "")
    zone_name = zone_name or trip.party.time_zone
    here = zone(zone_name)
    shift_s = track.clock_shift_minutes * 60
    places = list(sites)
    pieces = [
        Piece(kind, begins, ends, metres, places.index(pk) if pk in sites else None)
        for kind, begins, ends, metres, pk in track.pieces
    ]
    found = blocks(pieces, here, shift_s)
    hours = list(trip.hours.all())
    driven = driven_m(pieces)
    first = rows[0].site if rows else None
    legs = (first.sealed_m, first.unsealed_m, first.track_m) if first else (None, None, None)
    one_way = is_one_way(driven, *legs)
    return TrackPage(
        track=track,
        trip=trip,
        zone_name=zone_name,
        begins=_clock(track.begins_at, shift_s, here),
        ends=_clock(track.ends_at, shift_s, here),
        moving_minutes=round(track.moving_seconds / 60),
        stopped_minutes=round(track.stopped_seconds / 60),
        offers=tuple(_offer(track, trip, block, places, sites, hours) for block in found),
        sites=tuple(sites.values()),
        driven_m=driven,
        is_one_way=one_way,
        by_road_m=by_road(2 * driven if one_way else driven, *legs),
        waypoints=_waypoints(track),
        days_off=_days_off(found, trip),
    )


def tracks_of(trip: Trip) -> tuple[Track, ...]:
    """A trip's tracks for a list, without their lines; one query."""
    return tuple(trip.tracks.defer("line", "pieces", "waypoints"))


def _offer(track, trip, block: Block, places, sites, hours) -> Offer:
    site_pk = places[block.place] if block.place is not None else None
    activity = ACTIVITY[block.kind]
    key = f"hours {block.day} {block.kind} {site_pk or ''}"
    number = key_uuid(track, key)
    others = [h for h in hours if h.day == block.day and h.uuid != number]
    if activity:
        noted = sum(h.minutes for h in others if h.activity == activity)
    else:
        away = {Activity.DRIVE, Activity.WALK, Activity.REST}
        noted = sum(h.minutes for h in others if h.activity not in away)
    site = sites.get(site_pk)
    span = say("{begins:%H:%M} to {ends:%H:%M}", begins=block.begins, ends=block.ends)
    title = WORDS[block.kind] if site is None else f"{WORDS[block.kind]}, {site}"
    return Offer(
        key=key,
        block=block,
        site=site,
        activity=activity,
        title=f"{title}: {show.day(block.day)}, {span}",
        is_taken=any(h.uuid == number for h in hours),
        is_outside=not trip.starts_on <= block.day <= trip.ends_on,
        noted_minutes=noted,
    )


def _waypoints(track: Track) -> tuple[WaypointOffer, ...]:
    numbers = {key_uuid(track, f"spot {n}"): n for n in range(len(track.waypoints))}
    made = Spot.objects.filter(site__party=track.party_id, uuid__in=numbers) if numbers else []
    taken = {numbers[spot.uuid] for spot in made}
    return tuple(
        WaypointOffer(n, name, show.position(lat, lon), note, n in taken)
        for n, (name, lat, lon, note) in enumerate(track.waypoints)
    )


def _days_off(found: tuple[Block, ...], trip: Trip) -> int:
    """Days by which to move a track that lies wholly outside its trip; 0 if it doesn't."""
    if not found or any(trip.starts_on <= block.day <= trip.ends_on for block in found):
        return 0
    return (trip.starts_on - min(block.day for block in found)).days


def _clock(instant: dt.datetime | None, shift_s: int, here: dt.tzinfo) -> str:
    if instant is None:
        return ""
    face = (instant + dt.timedelta(seconds=shift_s)).astimezone(here)
    return f"{show.day(face.date())}, {face:%H:%M}"
