"""Everything with a position, as shapes for the map and for map files. One query a kind."""

from django.db.models import Q

from claims.models import Hole, KeptFile, Party, Site, SiteShape, Spot
from claims.rules.outline import area_m2, geojson_rings
from claims.web import show
from trips.calc.geo_out import Shape
from trips.calc.words import Spoken, marked, say
from trips.models import Track, Trip, TripSite

LATEST_TRACKS = 10
KINDS = Spoken(
    {
        "site": marked("Site"),
        "outline": marked("Outline"),
        "spot": marked("Spot"),
        "hole": marked("Hole"),
        "photo": marked("Photo"),
        "track": marked("Track"),
        "waypoint": marked("Waypoint"),
    }
)


def site_shapes(site: Site) -> tuple[Shape, ...]:
    """A site with its outline, spots, holes, photos and the latest tracks of trips to it."""
    been = Q(was_visited=True) | Q(was_visited=None, rank=0)
    trips = TripSite.objects.filter(been, site=site).values("trip")
    latest = list(
        Track.objects.filter(trip__in=trips).order_by("-begins_at", "-pk")[:LATEST_TRACKS]
    )
    return (*_grounds([site]), *_tracks(latest))


def trip_shapes(trip: Trip) -> tuple[Shape, ...]:
    """The sites of a trip's plan with what is on them, and the trip's own tracks."""
    sites = [row.site for row in trip.trip_sites.select_related("site")]
    tracks = list(trip.tracks.all())
    return (*_grounds(sites), *_tracks(tracks))


def track_shapes(track: Track) -> tuple[Shape, ...]:
    """One track with its waypoints, and the sites of its trip."""
    sites = [row.site for row in track.trip.trip_sites.select_related("site")]
    waypoints = tuple(
        Shape("waypoint", name or say("Waypoint"), note, point=(lat, lon))
        for name, lat, lon, note in track.waypoints
    )
    return (*_grounds(sites), *_tracks([track]), *waypoints)


def party_shapes(party: Party) -> tuple[Shape, ...]:
    """Every site, spot, hole, photo with a place, and track of a record."""
    return (*_grounds(list(party.sites.all())), *_tracks(list(party.tracks.order_by("begins_at"))))


def _grounds(sites: list[Site]) -> list[Shape]:
    """Sites first, then outlines, spots, holes and photos, each in one query for all sites."""
    keys = [site.pk for site in sites]
    found = [_site(site) for site in sites if site.latitude_udeg is not None]
    for shape in SiteShape.objects.filter(site__in=keys).select_related("site"):
        if shape.outline:
            found.append(
                Shape(
                    "outline",
                    say("Outline of {site}", site=shape.site),
                    say("{outline:.2f} ha as drawn", outline=area_m2(shape.outline) / 10_000),
                    address=f"/sites/{shape.site_id}/",
                    areas=geojson_rings(shape.outline),
                )
            )
    placed = Spot.objects.filter(site__in=keys, latitude_udeg__isnull=False)
    for spot in placed.select_related("site"):
        found.append(
            Shape(
                "spot",
                spot.name,
                say(
                    "{get_feature_display} at {site}",
                    get_feature_display=spot.get_feature_display(),
                    site=spot.site,
                ),
                f"/spots/{spot.pk}/",
                (spot.latitude_udeg, spot.longitude_udeg),
            )
        )
    holes = Hole.objects.filter(site__in=keys, spot__latitude_udeg__isnull=False)
    for hole in holes.select_related("spot"):
        found.append(_hole(hole))
    # Without the party an "or" over two tables reads everybody's files.
    photos = KeptFile.objects.filter(
        Q(hole__site__in=keys) | Q(spot__site__in=keys),
        party__in={site.party_id for site in sites},
        latitude_udeg__isnull=False,
    )
    for photo in photos:
        where = (photo.latitude_udeg, photo.longitude_udeg)
        found.append(Shape("photo", str(photo), "", f"/files/{photo.pk}/", where))
    return found


def _site(site: Site) -> Shape:
    where = (site.latitude_udeg, site.longitude_udeg)
    return Shape("site", site.name, site.get_land_kind_display(), f"/sites/{site.pk}/", where)


def _hole(hole: Hole) -> Shape:
    state = (
        say("still open")
        if hole.filled_on is None
        else say("filled {filled_on}", filled_on=show.day(hole.filled_on))
    )
    return Shape(
        "hole",
        say("Hole of {opened_on}", opened_on=show.day(hole.opened_on)),
        say("{state}; drawn at its spot, {spot}", state=state, spot=hole.spot),
        f"/holes/{hole.pk}/",
        (hole.spot.latitude_udeg, hole.spot.longitude_udeg),
    )


def _tracks(tracks: list[Track]) -> list[Shape]:
    found = []
    for track in tracks:
        when = show.day(track.begins_at.date()) if track.begins_at else say("no times")
        detail = f"{when}, {show.quantity('distance', track.distance_m, 'km')}"
        if any(track.line):
            found.append(
                Shape("track", str(track), detail, f"/tracks/{track.pk}/", lines=track.line)
            )
    return found
