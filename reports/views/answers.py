"""Where next? Does it pay? And the page of a site."""

from collections.abc import Callable

from django.conf import settings
from django.http import Http404
from django.shortcuts import render
from django.urls import reverse

from claims.access import own_site, reader_page
from claims.web.asof import as_of
from claims.web.export import export_response, file_response
from claims.web.forms import units_of
from claims.web.tables import show_table
from reports.figures.outlook import PANS
from reports.pages import does_it_pay as pay
from reports.pages.asked import AskForm, ScoutingForm, SeasonForm, SeasonPlanForm, WhereForm
from reports.pages.pay_ladder import LadderForm
from reports.pages.pay_ladder import pay_ladder as ladder
from reports.pages.scouting import DEFAULT_LATER, scouting_page
from reports.pages.season_plan import season_plan as plan_of_season
from reports.pages.site import site_page as page_of_site
from reports.pages.where_next import LATER_TRIPS
from reports.pages.where_next import where_next as where
from reports.selectors.facts import trip_facts, trip_years
from reports.tables import SiteTripsTable, report_table, site_trip_rows
from reports.views.site_sections import site_sections

FORMATS = ("csv", "xlsx", "pdf")
# What the page has room for; the files hold every column.
LADDER_COLUMNS = (
    *("group", "known", "per_hour", "past_fuel", "past_outlay"),
    *("next_fuel", "next_outlay", "next_wear", "even_mass", "even_price"),
)


@reader_page
def where_next(request):
    day = as_of(request)
    form = WhereForm(request, day, later=LATER_TRIPS)
    page = where(
        request.party,
        as_of=day,
        day=form.chosen("day"),
        basis=form.basis,
        per=form.per,
        creek_hours=form.creek_hours,
        later=form.chosen("later"),
    )
    return render(request, "reports/where_next.html", {"page": page, "form": form})


@reader_page
def scouting(request):
    day = as_of(request)
    form = ScoutingForm(request, day, pans=PANS, later=DEFAULT_LATER)
    page = scouting_page(
        request.party,
        as_of=day,
        day=form.chosen("day"),
        pans=form.chosen("pans"),
        later=form.chosen("later"),
    )
    return render(request, "reports/scouting.html", {"page": page, "form": form})


@reader_page
def season_plan(request):
    day = as_of(request)
    form = SeasonPlanForm(request, day)
    page = plan_of_season(
        request.party,
        as_of=day,
        last=form.chosen("until"),
        per_month=form.chosen("free"),
        keep_pct=form.chosen("keep"),
        pins=form.pins,
    )
    return render(request, "reports/season_plan.html", {"page": page, "form": form})


@reader_page
def does_it_pay(request):
    day = as_of(request)
    years = trip_years(request.party, day)
    form = SeasonForm(request, years, max(years, default=None))
    trips = trip_facts(request.party, day, form.year)
    sites = pay.all_sites(request.party)
    page, report = pay.does_it_pay(
        request.party, sites, trips, form, as_of=day, mass_unit=request.user.mass_unit
    )
    if fmt := _export(request):
        return export_response(report.report_id, fmt, report.headers, report.file_rows)
    short = report.only("site", "trips", "known", "net", "hours", "per_hour", "low", "high")
    table = show_table(request, report_table(short, link=_site_link(sites)))
    return render(request, "reports/does_it_pay.html", {"page": page, "form": form, "table": table})


def _asked_returns(request):
    """The form, the party's sites, and the report by site that the address asks for."""
    day = as_of(request)
    sites = pay.all_sites(request.party)
    trips = trip_facts(request.party, day)
    form = SeasonForm(request, pay.season_years(trips), None)
    unit = request.user.mass_unit
    return (
        form,
        sites,
        pay.returns_report(request.party, sites, trips, form, as_of=day, mass_unit=unit),
    )


@reader_page
def site_returns(request):
    form, sites, report = _asked_returns(request)
    if fmt := _export(request):
        return export_response(report.report_id, fmt, report.headers, report.file_rows)
    table = show_table(request, report_table(report, link=_site_link(sites)))
    return render(
        request,
        "reports/site_returns.html",
        {"report": report, "form": form, "table": table},
    )


@reader_page
def site_returns_file(request, fmt: str):
    if fmt not in FORMATS:
        raise Http404(f"There is no file of kind {fmt}.")
    _, _, report = _asked_returns(request)
    if fmt == "pdf":
        from reports.pdf.table_report import build

        return file_response(report.report_id, fmt, build(report, settings.PAGE_SIZE))
    return export_response(report.report_id, fmt, report.headers, report.file_rows)


def _asked_ladder(request):
    """The form, the page and the report of the pay ladder that the address asks for."""
    day = as_of(request)
    sites = pay.all_sites(request.party)
    trips = trip_facts(request.party, day)
    form = LadderForm(request, pay.season_years(trips), None)
    unit = request.user.mass_unit
    page, report = ladder(request.party, sites, trips, form, as_of=day, mass_unit=unit)
    return form, sites, page, report


@reader_page
def pay_ladder(request):
    form, sites, page, report = _asked_ladder(request)
    link = _site_link(sites) if form.group_by == "site" else None
    short = report.only(*LADDER_COLUMNS)
    table = show_table(request, report_table(short, link=link)) if report.rows else None
    context = {"page": page, "report": report, "form": form, "table": table}
    return render(request, "reports/pay_ladder.html", context)


@reader_page
def pay_ladder_file(request, fmt: str):
    if fmt not in FORMATS:
        raise Http404(f"There is no file of kind {fmt}.")
    _, _, page, report = _asked_ladder(request)
    if fmt == "pdf":
        from reports.pdf.table_report import build

        made = build(report, settings.PAGE_SIZE, page.figure)
        return file_response(report.report_id, fmt, made)
    return export_response(report.report_id, fmt, report.headers, report.file_rows)


@reader_page
def site_page(request, pk: int):
    site = own_site(request, pk)
    form = AskForm(request)
    page = page_of_site(request.party, site, as_of=as_of(request), basis=form.basis)
    if fmt := _export(request):
        return export_response("site-trips", fmt, *site_trip_rows(page, request.user.mass_unit))
    table = SiteTripsTable(page.trips, currency=page.currency, units=units_of(request.user))
    return render(
        request,
        "reports/site_page.html",
        {
            "page": page,
            "form": form,
            "table": show_table(request, table),
            "sections": site_sections(page, request.GET),
        },
    )


def _export(request) -> str:
    """The kind of file asked for; anything else is taken for none."""
    asked = request.GET.get("export", "")
    return asked if asked in ("csv", "xlsx") else ""


def _site_link(sites: pay.Sites) -> Callable[[str], str | None]:
    """What gives the address of a site's page for its name, which is unique in the party."""
    ids = {name: pk for pk, name, _ in sites}

    def link(name: str) -> str | None:
        return reverse("reports:site_page", args=[ids[name]]) if name in ids else None

    return link
