"""Add, change and delete what happened on a trip. One path for all four kinds of record."""

import uuid
from collections.abc import Callable
from dataclasses import dataclass
from urllib.parse import urlencode

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext, gettext_lazy

from claims.access import hand_page
from claims.web.forms import form_options, whole_number
from claims.web.undoing import tell_deleted
from trips.access import own_cost, own_hours, own_pan, own_run, own_trip
from trips.forms.problems import tell
from trips.forms.records import CostForm, HoursForm, PanForm, RunForm, TripOptions
from trips.models import Cost, HoursBlock, Run, TestPan
from trips.services import records

KEEP = ("day", "spot", "layer", "volume_ml", "gear", "activity", "person", "site")
NOT_FACTS = ("csrfmiddlewaretoken", "another")
# What "as the last one" takes along: where and how; never what was found, weighed or written.
LIKE = ("day", "spot", "layer", "depth_mm", "volume_ml", "gear", "activity", "minutes", "person")
LIKE += ("site", "kind", "amount_minor", "paid_by")


@dataclass(frozen=True)
class Kind:
    """How one kind of record is called and stored."""

    name: str
    word: str
    many: str
    model: type
    form: type
    save: Callable


def _save_pan(trip, form):
    return records.save_pan(trip=trip, pan=form.instance, place=form.place)


def _save_run(trip, form):
    return records.save_run(trip=trip, run=form.instance, place=form.place)


def _save_hours(trip, form):
    return records.save_hours(trip=trip, block=form.instance)


def _save_cost(trip, form):
    return records.save_cost(trip=trip, cost=form.instance)


PAN = Kind("pan", gettext_lazy("test pan"), gettext_lazy("Test pans"), TestPan, PanForm, _save_pan)
RUN = Kind("run", gettext_lazy("box run"), gettext_lazy("Box runs"), Run, RunForm, _save_run)
HOURS = Kind(
    "hours", gettext_lazy("hours"), gettext_lazy("Hours"), HoursBlock, HoursForm, _save_hours
)
COST = Kind("cost", gettext_lazy("cost"), gettext_lazy("Costs"), Cost, CostForm, _save_cost)


@hand_page
def pan_create(request, pk):
    return _create(request, own_trip(request, pk), PAN)


@hand_page
def pan_edit(request, pk):
    return _edit(request, own_pan(request, pk), PAN)


@hand_page
def pan_delete(request, pk):
    return _delete(request, own_pan(request, pk), PAN)


@hand_page
def run_create(request, pk):
    return _create(request, own_trip(request, pk), RUN)


@hand_page
def run_edit(request, pk):
    return _edit(request, own_run(request, pk), RUN)


@hand_page
def run_delete(request, pk):
    return _delete(request, own_run(request, pk), RUN)


@hand_page
def hours_create(request, pk):
    return _create(request, own_trip(request, pk), HOURS)


@hand_page
def hours_edit(request, pk):
    return _edit(request, own_hours(request, pk), HOURS)


@hand_page
def hours_delete(request, pk):
    return _delete(request, own_hours(request, pk), HOURS)


@hand_page
def cost_create(request, pk):
    return _create(request, own_trip(request, pk), COST)


@hand_page
def cost_edit(request, pk):
    return _edit(request, own_cost(request, pk), COST)


@hand_page
def cost_delete(request, pk):
    return _delete(request, own_cost(request, pk), COST)


def _create(request, trip, kind):
    instance = kind.model(trip=trip, party=request.party)
    if kind is COST:
        instance.currency = request.party.currency
    last = kind.model.objects.filter(trip=trip).order_by("-pk").first()
    initial = _kept(request)
    if last is not None and request.GET.get("like") == "last":
        same = [name for name in LIKE if hasattr(last, name)]
        if kind is RUN:  # every clean-up has its own
            same = [name for name in same if name not in ("volume_ml", "minutes")]
        initial = {name: getattr(last, name) for name in same} | initial
    page = {"can_repeat": last is not None and not request.GET}
    return _page(
        request, trip, kind, instance, gettext("Add {word}").format(word=kind.word), initial, page
    )


def _edit(request, record, kind):
    # The form would look the trip's party up again.
    record.trip.party = request.party
    return _page(
        request, record.trip, kind, record, gettext("Change {word}").format(word=kind.word)
    )


def _page(request, trip, kind, instance, heading, initial=None, page=None):
    trip.party = request.party
    form = kind.form(
        request.POST or None,
        instance=instance,
        initial=initial,
        options=TripOptions(trip),
        **form_options(request),
    )
    if request.method == "POST" and form.is_valid():
        if instance.pk is None and _sent_before(request, kind, instance):
            messages.success(request, gettext("That was saved already; nothing was added twice."))
            return redirect(f"{reverse('trips:trip_detail', args=[trip.pk])}#{kind.name}")
        try:
            kind.save(trip, form)
        except ValidationError as error:
            tell(form, error)
        else:
            messages.success(
                request, gettext("{capitalize} saved.").format(capitalize=kind.word.capitalize())
            )
            if "another" in request.POST:
                return redirect(_again(trip, kind, form))
            return redirect(f"{reverse('trips:trip_detail', args=[trip.pk])}#{kind.name}")
    context = {"form": form, "trip": trip, "heading": heading, "kind": kind, "record": instance}
    context |= {"once": request.POST.get("once") or uuid.uuid4()} | (page or {})
    return render(request, "trips/record_form.html", context)


def _sent_before(request, kind, instance) -> bool:
    """Whether this very form, unchanged, is stored already; else the new row gets its id from it.

    A form that was changed after going back is another fact. Of two posts at once the second
    meets the row of the first, because ids are unique in a party.
    """
    try:
        key = uuid.UUID(request.POST.get("once", ""))
    except ValueError:
        return False
    sent = sorted((name, value) for name, value in request.POST.items() if name not in NOT_FACTS)
    instance.uuid = uuid.uuid5(key, repr(sent))
    return kind.model.objects.filter(party=request.party, uuid=instance.uuid).exists()


def _delete(request, record, kind):
    trip_pk = record.trip_id
    if request.method != "POST":
        context = {"record": record, "trip": record.trip, "kind": kind}
        return render(request, "trips/record_delete.html", context)
    records.delete_record(record=record)
    tell_deleted(
        request, gettext("{capitalize} deleted.").format(capitalize=kind.word.capitalize())
    )
    return redirect(f"{reverse('trips:trip_detail', args=[trip_pk])}#{kind.name}")


def _again(trip, kind, form) -> str:
    """Address of the next empty form that keeps where and how much."""
    kept = {name: getattr(form.instance, f"{name}_id", None) for name in ("spot", "gear")}
    for name in ("day", "layer", "volume_ml", "activity"):
        if name in form.fields:
            kept[name] = getattr(form.instance, name, None)
    if kind is RUN:
        kept.pop("volume_ml")  # every clean-up has its own; a pan is always the same
    query = urlencode({name: value for name, value in kept.items() if value not in (None, "")})
    return f"{reverse(f'trips:{kind.name}_create', args=[trip.pk])}?{query}"


def _kept(request) -> dict:
    """First values named in the address; the form checks them like anything typed."""
    first = {name: request.GET[name] for name in KEEP if request.GET.get(name)}
    if "volume_ml" in first:
        first["volume_ml"] = whole_number(first["volume_ml"])
    return {name: value for name, value in first.items() if value is not None}
