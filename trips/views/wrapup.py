"""Wrap a trip up in one form: everything is stored, or nothing is and all stays as typed."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import redirect, render
from django.utils.translation import gettext

from claims.access import hand_page
from claims.web.asof import as_of
from claims.web.forms import form_options, units_of
from trips.access import own_trip
from trips.forms.problems import tell
from trips.forms.records import TripOptions
from trips.forms.wrapup import (
    RECORDS,
    CostRows,
    HoleRows,
    HoursRows,
    RunRows,
    WeighInPart,
    WrapUpForm,
)
from trips.models import Cost, HoursBlock, Trip, WeighIn
from trips.services.wrapup import WeighInProblem, WrapUp, wrap_up
from trips.views.wrapup_parts import WrapUpForms, wrap_up_parts

Activity = HoursBlock.Activity
OFFERED = (Activity.TEST, Activity.DIG, Activity.RUN, Activity.CLEAN_UP, Activity.FILL_IN)


@hand_page
def trip_wrap_up(request, pk):
    trip = own_trip(request, pk)
    trip.party = request.party
    if trip.state == Trip.State.CALLED_OFF:
        messages.error(
            request, gettext("This trip was called off. Reopen it before wrapping it up.")
        )
        return redirect("trips:trip_detail", trip.pk)
    # Asked before anything is tried: a refused attempt leaves its marks on the trip at hand.
    is_first = trip.state != Trip.State.WRAPPED_UP
    forms = _forms(request, trip, is_first)
    if request.method == "POST" and forms.are_valid():
        try:
            wrap_up(trip=trip, facts=_facts(forms))
        except WeighInProblem as error:
            tell(forms.weigh_in, error)
        except ValidationError as error:
            tell(forms.trip, error)
        else:
            messages.success(request, gettext("{trip} is wrapped up.").format(trip=trip))
            return redirect("trips:trip_detail", trip.pk)
    context = {
        "forms": forms,
        "parts": wrap_up_parts(forms, is_first, units_of(request.user), request.party.currency),
        "is_first": is_first,
        "trip": trip,
        "weigh_ins": forms.trip.options.held.weigh_ins.all(),
    }
    return render(request, "trips/wrap_up.html", context)


def _forms(request, trip, is_first: bool) -> WrapUpForms:
    data = request.POST or None
    common = form_options(request)
    options = TripOptions(trip, *RECORDS)
    held = options.held
    row = {"options": options, **common}
    today = as_of(request)
    trip_form = WrapUpForm(data, instance=trip, options=options, **common)
    hours_first = _hours_offered(held, trip_form) if is_first else []
    hours = HoursRows(
        data,
        instance=trip,
        prefix="hours",
        held=held.hours.all(),
        initial=hours_first,
        extra=len(hours_first) + 2,
        form_kwargs=row,
    )
    paid = [cost for cost in held.costs.all() if cost.stage == Cost.Stage.PAID]
    costs_first = _costs_offered(held) if is_first else []
    costs = CostRows(
        data,
        instance=trip,
        prefix="costs",
        held=paid,
        initial=costs_first,
        extra=len(costs_first) + 2,
        form_kwargs=row,
    )
    last = WeighIn.objects.filter(party=trip.party).order_by("-weighed_on", "-pk").first()
    return WrapUpForms(
        trip=trip_form,
        hours=hours,
        costs=costs,
        runs=RunRows(data, instance=trip, prefix="runs", held=held.runs.all(), form_kwargs=row),
        holes=HoleRows(data, prefix="holes", form_kwargs=row),
        weigh_in=WeighInPart(
            data,
            prefix="gold",
            trip=trip,
            today=max(today, trip.ends_on),
            resolution_ug=last.resolution_ug if last else 1_000,
            **common,
        ),
    )


def _hours_offered(trip, form) -> list[dict]:
    """Rows to start from: the way there and back by the plan, and empty ones for the work."""
    noted = {block.activity for block in trip.hours.all()}
    site = form.first_visited[0] if form.first_visited else None
    rows = []
    ways = (
        (Activity.DRIVE, site.drive_minutes if site else None),
        (Activity.WALK, site.walk_minutes if site else None),
    )
    for activity, one_way in ways:
        if activity not in noted:
            rows.append({"activity": activity, "minutes": 2 * one_way if one_way else None})
    for activity in OFFERED:
        if activity not in noted:
            rows.append({"activity": activity, "site": site.pk if site else None})
    return [{"day": trip.starts_on} | row for row in rows]


def _costs_offered(trip) -> list[dict]:
    """Planned costs, to be kept or corrected as paid; none once something is noted as paid."""
    rows = list(trip.costs.all())
    if any(row.stage == Cost.Stage.PAID for row in rows):
        return []
    return [{"kind": r.kind, "amount_minor": r.amount_minor, "note": r.note} for r in rows]


def _facts(forms: WrapUpForms) -> WrapUp:
    sets = (forms.hours, forms.costs, forms.runs)
    hours, costs, runs = (rows.save(commit=False) for rows in sets)
    kept = {id(run) for run in runs}
    places = {id(form.instance): form.place for form in forms.runs if id(form.instance) in kept}
    holes = [form for form in forms.holes if form.has_changed()]
    return WrapUp(
        visited=forms.trip.cleaned_data["went_to"],
        hours=tuple(hours),
        costs=tuple(costs),
        runs=tuple((run, places[id(run)]) for run in runs),
        dropped=tuple(row for rows in sets for row in rows.deleted_objects),
        holes=tuple(form.instance for form in holes),
        filled=tuple(forms.trip.cleaned_data.get("holes_filled") or ()),
        weigh_in=forms.weigh_in.facts,
    )
