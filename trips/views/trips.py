"""The list of trips, planning, and the page a trip lives on."""

from dataclasses import dataclass
from functools import partial

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db import transaction
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.http import require_POST

from claims.access import hand_page, reader_page
from claims.web.asof import as_of
from claims.web.export import TYPES, export_response
from claims.web.forms import form_options, units_of, whole_number
from claims.web.tables import show_table
from claims.web.undoing import tell_deleted
from trips.access import own_trip
from trips.calc.words import is_source, kept
from trips.forms.problems import tell
from trips.forms.trip_parts import CallOffForm, PlannedCostSet, TripFilterForm
from trips.forms.trips import TripPlanForm
from trips.hooks import onward_words, parts_for
from trips.models import Cost, Trip
from trips.selectors.files import files_of
from trips.selectors.snapshot import differences, snapshot
from trips.selectors.tracks import tracks_of
from trips.selectors.trip_page import trip_page
from trips.selectors.trip_rows import trip_rows, trip_years
from trips.services import trips as services
from trips.services.trip_duties import follow_plan
from trips.tables.trips import TripTable
from trips.views.trip_sections import pans_by_spot, trip_sections


@dataclass(frozen=True)
class TripListPage:
    """The list, or an empty state: of the whole record, or of what was asked for."""

    table: TripTable | None
    filters: TripFilterForm
    is_filtered: bool


@reader_page
def trip_list(request):
    party = request.party
    filters = TripFilterForm(request.GET or None, party=party, years=trip_years(party))
    asked = filters.cleaned_data if filters.is_bound and filters.is_valid() else {}
    asked = {name: value for name, value in asked.items() if value}
    rows = trip_rows(party, **asked)
    if (fmt := request.GET.get("export")) in TYPES:
        return _export(fmt, rows, party.currency)
    table = None
    if rows:
        table = TripTable(rows, currency=party.currency, units=units_of(request.user))
        show_table(request, table)
    page = TripListPage(table, filters, bool(asked))
    return render(request, "trips/trip_list.html", {"page": page})


def _export(fmt, rows, currency):
    headers = (
        "starts_on",
        "title",
        "sites",
        "state",
        "people",
        "mass_ug",
        "door_minutes",
        f"outlay_minor_{currency}",
        f"net_minor_{currency}",
    )
    cells = [
        (
            row.starts_on,
            row.title,
            row.sites,
            row.state,
            row.people,
            row.mass_ug,
            row.door_minutes,
            row.outlay_minor,
            row.net_minor,
        )
        for row in rows
    ]
    return export_response("trips", fmt, headers, cells)


@reader_page
def trip_detail(request, pk):
    trip = own_trip(request, pk)
    units = units_of(request.user)
    page = trip_page(trip=trip, party=request.party, today=as_of(request), units=units)
    shown = {
        "files": files_of(trip),
        "parts": parts_for(request, page),
        "tracks": tracks_of(trip),
        "changed_since": _changed_since(request, page),
    }
    context = {
        "page": page,
        "trip": page.trip,
        "sections": trip_sections(page, mass_unit=units["mass"], **shown),
        "pan_groups": pans_by_spot(page.pans),
        "stops": [(site, x) for site in page.checks for x in site.lines if x.outcome == "stop"],
        **shown,
    }
    return render(request, "trips/trip_detail.html", context)


def _changed_since(request, page):
    """What is otherwise than when the checklist was last signed off."""
    if page.checklist is None or not page.sign_offs:
        return ()
    if not is_source():
        # What was signed is kept in English and is compared with the same.
        with kept():
            page = trip_page(
                trip=page.trip,
                party=request.party,
                today=as_of(request),
                units=units_of(request.user),
            )
            now = snapshot(page)
    else:
        now = snapshot(page)
    return differences(page.sign_offs[0].snapshot, now)


@hand_page
def trip_create(request):
    if not request.party.sites.filter(is_retired=False).exists():
        return render(request, "trips/trip_no_site.html")
    site = whole_number(request.GET.get("site", ""))
    initial = {"site": site} if site else {}
    trip = Trip(party=request.party)
    return _plan(request, trip, gettext("Plan a trip"), initial=initial)


@hand_page
def trip_edit(request, pk):
    trip = own_trip(request, pk)
    trip.party = request.party
    return _plan(request, trip, gettext("Change the plan: {trip}").format(trip=trip))


def _plan(request, trip, heading, initial=None):
    data = request.POST or None
    options = form_options(request)
    form = TripPlanForm(data, instance=trip, initial=initial, today=as_of(request), **options)
    if data is None and form.empty_triggers:
        form.offer_triggers(onward_words(trip, as_of(request)))
    costs = PlannedCostSet(
        data,
        instance=trip,
        prefix="costs",
        queryset=Cost.objects.filter(stage=Cost.Stage.PLANNED),
        form_kwargs=options,
    )
    if request.method == "POST" and all([form.is_valid(), costs.is_valid()]):
        try:
            _save_plan(request, form, costs)
        except ValidationError as error:
            tell(form, error)
        else:
            messages.success(request, gettext("The plan for {trip} is saved.").format(trip=trip))
            return redirect("trips:trip_detail", trip.pk)
    context = {"form": form, "costs": costs, "heading": heading, "trip": trip}
    return render(request, "trips/trip_form.html", context)


@transaction.atomic
def _save_plan(request, form, costs):
    rows = costs.save(commit=False)
    for row in rows:
        row.stage = Cost.Stage.PLANNED
    trip = form.instance
    services.save_plan(
        trip=trip,
        choices=form.choices_in_order,
        people=form.cleaned_data["people"],
        gear=form.cleaned_data["gear"],
        costs=rows,
        dropped_costs=costs.deleted_objects,
    )
    fresh = form.fresh_fallbacks
    words = onward_words(trip, as_of(request)) if fresh else {}
    filled = services.fill_triggers(trip=trip, words={k: v for k, v in words.items() if k in fresh})
    if filled:
        said = "; ".join(f"{row.site} {row.trigger}" for row in filled)
        messages.info(
            request,
            gettext(
                "What sends you on is filled in from the stopping table: {said}. It "
                "can be changed in the plan."
            ).format(said=said),
        )
    follow_plan(trip=trip, party=request.party, as_of=as_of(request), now=timezone.now())


@hand_page
@require_POST
def trip_start(request, pk):
    return _step(request, pk, services.start_trip, gettext("The trip is under way. Safe return."))


@hand_page
@require_POST
def trip_reopen(request, pk):
    again = partial(services.reopen_trip, as_of=as_of(request), now=timezone.now())
    return _step(request, pk, again, gettext("The trip is open again."))


def _step(request, pk, service, words):
    trip = own_trip(request, pk)
    try:
        service(trip=trip)
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    else:
        messages.success(request, words)
    return redirect("trips:trip_detail", trip.pk)


@hand_page
def trip_call_off(request, pk):
    trip = own_trip(request, pk)
    form = CallOffForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            services.call_off(trip=trip, reason=form.cleaned_data["reason"])
        except ValidationError as error:
            tell(form, error)
        else:
            messages.success(request, gettext("{trip} is called off.").format(trip=trip))
            return redirect("trips:trip_detail", trip.pk)
    return render(request, "trips/trip_call_off.html", {"form": form, "trip": trip})


@hand_page
def trip_delete(request, pk):
    trip = own_trip(request, pk)
    problem = ""
    if request.method == "POST":
        words = str(trip)
        try:
            services.delete_trip(trip=trip)
        except ValidationError as error:
            problem = " ".join(error.messages)
        else:
            tell_deleted(
                request, gettext("{words} is deleted with all its records.").format(words=words)
            )
            return redirect("trips:trip_list")
    counts = (
        (trip.pans.count(), gettext("test pans")),
        (trip.runs.count(), gettext("box runs")),
        (trip.hours.count(), gettext("blocks of hours")),
        (trip.costs.count(), "costs"),
        (trip.weigh_ins.count(), "weigh-ins"),
    )
    context = {"trip": trip, "problem": problem, "counts": counts}
    return render(request, "trips/trip_delete.html", context)
