"""Maps of a site, a trip and the whole record: as a page with its list, and as files."""

from dataclasses import dataclass

from django.http import Http404
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext
from django.views.decorators.http import require_GET

from claims.access import own_site, reader_page
from claims.web import show
from claims.web.export import file_response
from claims.web.tables import show_table
from trips.access import own_track, own_trip
from trips.calc.geo_out import Shape, geojson, gpx
from trips.selectors import maps
from trips.tables.maps import MapTable

WRITERS = {"geojson": geojson, "gpx": gpx}


@dataclass(frozen=True)
class MapPage:
    """A large map with everything on it as a list. `source` is the address of its shapes."""

    title: str
    back: str
    back_words: str
    source: str
    gpx: str
    count: int
    edit: str = ""


@dataclass(frozen=True)
class MapRow:
    """One thing of the map in the list beside it."""

    name: str
    kind: str
    detail: str
    where: str
    address: str


@reader_page
@require_GET
def site_map(request, pk):
    site = own_site(request, pk)
    return _page(
        request,
        maps.site_shapes(site),
        title=gettext("Map of {site}").format(site=site),
        back=reverse("reports:site_page", args=[pk]),
        back_words=site.name,
        names=("site_map_file", pk),
        edit=reverse("claims:site_shape", args=[pk]),
    )


@reader_page
@require_GET
def trip_map(request, pk):
    trip = own_trip(request, pk)
    return _page(
        request,
        maps.trip_shapes(trip),
        title=gettext("Map of {trip}").format(trip=trip),
        back=reverse("trips:trip_detail", args=[pk]),
        back_words=str(trip),
        names=("trip_map_file", pk),
    )


@reader_page
@require_GET
def party_map(request):
    return _page(
        request,
        maps.party_shapes(request.party),
        title=gettext("Map of everything"),
        back=reverse("claims:site_list"),
        back_words=gettext("Sites"),
        names=("party_map_file", None),
    )


def _page(request, shapes, *, title, back, back_words, names, edit=""):
    name, pk = names
    address = {
        fmt: reverse(f"trips:{name}", args=[fmt] if pk is None else [pk, fmt]) for fmt in WRITERS
    }
    rows = [
        MapRow(each.name, maps.KINDS[each.kind], each.detail, _where(each), each.address)
        for each in shapes
    ]
    page = MapPage(title, back, back_words, address["geojson"], address["gpx"], len(rows), edit)
    table = show_table(request, MapTable(rows))
    return render(request, "trips/map_page.html", {"page": page, "table": table})


def _where(shape: Shape) -> str:
    return show.position(*shape.point) if shape.point else ""


@reader_page
@require_GET
def site_map_file(request, pk, fmt):
    return _file(f"site-{pk}", fmt, maps.site_shapes(own_site(request, pk)))


@reader_page
@require_GET
def trip_map_file(request, pk, fmt):
    return _file(f"trip-{pk}", fmt, maps.trip_shapes(own_trip(request, pk)))


@reader_page
@require_GET
def track_map_file(request, pk, fmt):
    return _file(f"track-{pk}", fmt, maps.track_shapes(own_track(request, pk)))


@reader_page
@require_GET
def party_map_file(request, fmt):
    return _file("map", fmt, maps.party_shapes(request.party))


def _file(name: str, fmt: str, shapes):
    if fmt not in WRITERS:
        raise Http404
    response = file_response(name, fmt, WRITERS[fmt](shapes).encode())
    response.headers["Cache-Control"] = "private, no-store"
    return response
