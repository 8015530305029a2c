"""Sites and spots."""

from django.contrib import messages
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext

from claims.access import hand_page, own_site, own_spot, reader_page
from claims.forms.ground import FirstSiteForm, SiteForm, SpotForm
from claims.models import Site, Spot
from claims.selectors import hole_row, list_sites
from claims.services import ground
from claims.tables import SiteTable
from claims.views.party import form_page
from claims.web import show
from claims.web.asof import as_of
from claims.web.export import TYPES, export_response
from claims.web.forms import form_options, units_of
from claims.web.pages import FormPage
from claims.web.tables import show_table

HEADERS = (
    "site",
    "land",
    "water",
    "one_way_m",
    "drive_minutes",
    "walk_minutes",
    "closed",
    "papers_that_day",
    "no_longer_used",
)


@reader_page
def site_list(request):
    rows = list_sites(request.party, as_of(request))
    fmt = request.GET.get("export")
    if fmt in TYPES:
        return export_response("sites", fmt, HEADERS, [_bare(row) for row in rows])
    table = show_table(request, SiteTable(rows, units=units_of(request.user)))
    return render(request, "claims/site_list.html", {"table": table, "count": len(rows)})


def _bare(row):
    return (
        row.name,
        row.land_kind,
        row.water_name,
        row.distance_m,
        row.drive_minutes,
        row.walk_minutes,
        row.closed,
        row.papers,
        row.is_retired,
    )


@hand_page
def site_create(request):
    return _site_form(
        request, Site(party=request.party), gettext("Add a site"), reverse("claims:site_list")
    )


@hand_page
def first_site(request):
    """The fourth step of a new record: a place, its land and the way there; then the plan."""
    form = FirstSiteForm(
        request.POST or None, instance=Site(party=request.party), **form_options(request)
    )
    if request.method == "POST" and form.is_valid():
        site = ground.save_site(site=form.instance)
        messages.success(
            request,
            gettext("{site} is saved. Now the plan of a first trip there.").format(site=site),
        )
        return redirect(f"{reverse('trips:trip_create')}?site={site.pk}")
    page = FormPage(
        gettext("Your first site"),
        form,
        gettext("Save and plan a trip"),
        intro=gettext(
            "A place you go to, or would like to. Only its name is needed; position, closed "
            "window, dangers and whom to ask can be noted on its page."
        ),
        step=4,
        skip=reverse("reports:where_next"),
    )
    return form_page(request, page)


@hand_page
def site_edit(request, pk):
    site = own_site(request, pk)
    return _site_form(request, site, gettext("Change {site}").format(site=site), _address(site))


def _address(site: Site) -> str:
    return reverse("reports:site_page", args=[site.pk])


def _site_form(request, site, title, cancel):
    site.party = request.party
    form = SiteForm(request.POST or None, instance=site, **form_options(request))
    if request.method == "POST" and form.is_valid():
        ground.save_site(site=form.instance)
        messages.success(request, gettext("{site} is saved.").format(site=site))
        return redirect(_address(site))
    return form_page(request, FormPage(title, form, gettext("Save site"), cancel))


@hand_page
def spot_create(request, pk):
    site = own_site(request, pk)
    return _spot_form(request, Spot(site=site), gettext("Add a spot at {site}").format(site=site))


@reader_page
def spot_detail(request, pk):
    spot, day = own_spot(request, pk), as_of(request)
    holes = spot.holes.select_related("site", "spot").filter(opened_on__lte=day)
    context = {
        "spot": spot,
        "position": show.position(spot.latitude_udeg, spot.longitude_udeg),
        "holes": tuple(hole_row(hole, day) for hole in holes),
        "files": tuple(spot.files.all()),
    }
    return render(request, "claims/spot_detail.html", context)


@hand_page
def spot_edit(request, pk):
    spot = own_spot(request, pk)
    return _spot_form(request, spot, gettext("Change {spot}").format(spot=spot))


def _spot_form(request, spot, title):
    form = SpotForm(request.POST or None, instance=spot, **form_options(request))
    if request.method == "POST" and form.is_valid():
        ground.save_spot(spot=form.instance)
        messages.success(
            request, gettext("{spot} at {site} is saved.").format(spot=spot, site=spot.site)
        )
        return redirect(_address(spot.site))
    return form_page(request, FormPage(title, form, gettext("Save spot"), _address(spot.site)))
