"""Floods: gauges and the sites they reach, floods by hand or from a table of peaks."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.shortcuts import redirect, render
from django.template.defaultfilters import pluralize
from django.urls import reverse
from django.utils.translation import gettext

from claims.access import hand_page, reader_page
from claims.web import show
from claims.web.asof import as_of
from claims.web.forms import form_options
from claims.web.pages import FormPage
from claims.web.tables import PAGE_ROWS
from claims.web.undoing import tell_deleted
from trips.access import own_flood, own_gauge
from trips.forms.floods import FloodForm, GaugeForm, PeaksForm
from trips.models import Flood, Gauge
from trips.selectors.flood_pages import changes_if, flood_list, gauge_page
from trips.services import floods as services

SHOWN_LINES = 100


@reader_page
def flood_overview(request):
    page = flood_list(request.party, as_of(request))
    return render(request, "trips/flood_list.html", {"page": page})


@reader_page
def gauge_detail(request, pk):
    page = gauge_page(own_gauge(request, pk))
    shown = Paginator(page.rows, PAGE_ROWS).get_page(request.GET.get("page"))
    return render(request, "trips/gauge_detail.html", {"page": page, "shown": shown})


@hand_page
def gauge_create(request):
    return _gauge_form(
        request, Gauge(party=request.party), gettext("Add a gauge, stream or region")
    )


@hand_page
def gauge_edit(request, pk):
    gauge = own_gauge(request, pk)
    return _gauge_form(request, gauge, gettext("Change {gauge}").format(gauge=gauge))


def _gauge_form(request, gauge, heading):
    form = GaugeForm(request.POST or None, instance=gauge, **form_options(request))
    if request.method == "POST" and form.is_valid():
        try:
            saved = services.save_gauge(gauge=form.instance, sites=form.cleaned_data["sites"])
        except ValidationError as error:
            form.add_error(None, error)
        else:
            messages.success(request, gettext("{saved} is saved.").format(saved=saved))
            return redirect("trips:gauge_detail", pk=saved.pk)
    back = (
        reverse("trips:gauge_detail", args=[gauge.pk])
        if gauge.pk
        else reverse("trips:flood_overview")
    )
    page = FormPage(heading, form, gettext("Save"), back, "", gettext("Floods"))
    return render(request, "claims/form_page.html", {"page": page})


@hand_page
def gauge_delete(request, pk):
    gauge = own_gauge(request, pk)
    if request.method == "POST":
        services.delete_gauge(gauge=gauge)
        tell_deleted(request, gettext("{gauge} and its floods are deleted.").format(gauge=gauge))
        return redirect("trips:flood_overview")
    context = {
        "what": gettext("{gauge} with all its floods").format(gauge=gauge),
        "back": "trips:gauge_detail",
        "pk": pk,
    }
    return render(request, "trips/flood_delete.html", context)


@hand_page
def flood_create(request, pk):
    gauge = own_gauge(request, pk)
    gauge.party = request.party
    flood = Flood(party=request.party, gauge=gauge)
    return _flood_form(request, flood, gettext("Note a flood of {gauge}").format(gauge=gauge))


@hand_page
def flood_edit(request, pk):
    flood = own_flood(request, pk)
    flood.gauge.party = request.party
    return _flood_form(
        request, flood, gettext("Change the flood of {day}").format(day=show.day(flood.day))
    )


def _flood_form(request, flood, heading):
    """The effect is shown first; only what was shown can be saved."""
    day = as_of(request)
    form = FloodForm(request.POST or None, instance=flood, today=day, **form_options(request))
    effect, changes = None, ()
    if request.method == "POST" and form.is_valid():
        if request.POST.get("step") == "save" and form.cleaned_data["seen"] == form.signature:
            try:
                saved = services.save_flood(flood=form.instance)
            except ValidationError as error:
                form.add_error(None, error)
            else:
                messages.success(
                    request, gettext("The flood of {day} is saved.").format(day=show.day(saved.day))
                )
                return redirect("trips:gauge_detail", pk=saved.gauge_id)
        else:
            [effect], changes = changes_if(flood.gauge, [form.instance], day)
            form.data = form.data.copy()
            form.data["seen"] = form.signature
    context = {
        "form": form,
        "heading": heading,
        "flood": flood,
        "effect": effect,
        "changes": changes,
    }
    return render(request, "trips/flood_form.html", context)


@hand_page
def flood_delete(request, pk):
    flood = own_flood(request, pk)
    gauge_pk = flood.gauge_id
    if request.method == "POST":
        services.delete_flood(flood=flood)
        tell_deleted(
            request, gettext("The flood of {day} is deleted.").format(day=show.day(flood.day))
        )
        return redirect("trips:gauge_detail", pk=gauge_pk)
    what = gettext("the flood of {day} at {gauge}").format(
        day=show.day(flood.day), gauge=flood.gauge
    )
    context = {"what": what, "back": "trips:gauge_detail", "pk": gauge_pk}
    return render(request, "trips/flood_delete.html", context)


@hand_page
def flood_import(request, pk):
    """Two steps at one address: bring the table, look at what it gives, save."""
    gauge = own_gauge(request, pk)
    gauge.party = request.party
    day = as_of(request)
    form = PeaksForm(request.POST or None, request.FILES or None, today=day)
    if request.method != "POST" or not form.is_valid():
        return render(request, "trips/flood_import.html", {"form": form, "gauge": gauge})
    peaks = form.peaks
    if request.POST.get("step") == "save":
        data = form.cleaned_data
        done = services.import_peaks(gauge=gauge, peaks=peaks.good, source=data["source"])
        told = gettext("{new} peak{pluralize} added, {same} there").format(
            new=len(done.new), pluralize=pluralize(len(done.new)), same=len(done.same)
        )
        if done.differing:
            told += gettext(", {differing} differing and left as they were").format(
                differing=len(done.differing)
            )
        messages.success(request, f"{told}.")
        return redirect("trips:gauge_detail", pk=gauge.pk)
    plan = services.plan_peaks(gauge, peaks.good)
    new = [Flood(gauge=gauge, day=peak.day, peak_milli=peak.peak_milli) for peak in plan.new]
    effects, changes = changes_if(gauge, new, day)
    notable = [_effect_cells(e) for e in effects if e.return_years is not None and e.spot_ratio < 1]
    context = {
        "form": form,
        "gauge": gauge,
        "text": form.cleaned_data["text"],
        "source": form.cleaned_data["source"],
        "plan": plan,
        "peaks": peaks,
        "refused": [
            (str(r.line), r.column or gettext("the line"), r.reason)
            for r in peaks.refused[:SHOWN_LINES]
        ],
        "notable": notable[-SHOWN_LINES:],
        "changes": changes,
        "notable_headers": (
            gettext("Day"),
            gettext("Once in"),
            gettext("Spots keep"),
            gettext("Site keeps"),
        ),
        "refused_headers": (gettext("Line"), gettext("Column"), gettext("Why")),
    }
    return render(request, "trips/flood_preview.html", context)


def _effect_cells(effect) -> tuple[str, ...]:
    keeps = (f"{round(100 * ratio)}\u202f%" for ratio in (effect.spot_ratio, effect.site_ratio))
    return (
        show.day(effect.day),
        gettext("{return_years:.1f} years").format(return_years=effect.return_years),
        *keeps,
    )
