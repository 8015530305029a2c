"""Published distance rates beside the party's own wear figure, and the party's own entries."""

from dataclasses import dataclass
from decimal import Decimal

from django.contrib import messages
from django.db import transaction
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext, gettext_lazy

from claims.access import keeper_page, reader_page
from claims.web import show
from claims.web.asof import as_of
from claims.web.forms import form_options
from claims.web.pages import FormPage
from claims.web.undoing import tell_deleted
from trips.access import own_rate
from trips.calc.kmrates import Charge, RateTable, charge
from trips.calc.wear import vehicle_wear_minor
from trips.calc.words import say
from trips.forms.rates import CompareForm, RateForm
from trips.models import DistanceRate, Vehicle
from trips.selectors.rates import driven_by_car, own_rates, published
from trips.services import derive


@dataclass(frozen=True)
class CarLine:
    """One car: what it drove, its own wear, and what the chosen rate would charge."""

    car: str
    distance: str
    unknown: int
    own_wear: str
    own_rate: str
    charged: str
    reason: str


@dataclass(frozen=True)
class RatesPage:
    cars: tuple[CarLine, ...]
    own: tuple[DistanceRate, ...]
    published_rows: tuple[tuple[str, ...], ...]
    chosen: bool
    headers = (
        gettext_lazy("Rate"),
        gettext_lazy("Days"),
        gettext_lazy("Tiers"),
        gettext_lazy("Source"),
    )


@reader_page
def rate_overview(request):
    party, day = request.party, as_of(request)
    tables = (*own_rates(party), *published())
    form = CompareForm(request.GET, tables=tables)
    chosen = form.cleaned_data.get("rate") if form.is_valid() else ""
    other_km = (form.cleaned_data.get("other_km") if form.is_valid() else None) or Decimal(0)
    wear = dict(Vehicle.objects.filter(party=party).values_list("name", "wear_milli_per_km"))
    driven = driven_by_car(party, day)
    page = RatesPage(
        cars=tuple(
            _line(request, car, drives, unknown, wear.get(car), tables, chosen, other_km)
            for car, (drives, unknown) in driven.items()
        ),
        own=tuple(DistanceRate.objects.filter(party=party)),
        published_rows=tuple(_row(table) for table in published()),
        chosen=bool(chosen),
    )
    return render(request, "trips/rate_overview.html", {"page": page, "form": form})


def _line(request, car, drives, unknown, wear_milli, tables, chosen, other_km) -> CarLine:
    party = request.party
    metres = sum(drive.distance_m for drive in drives)
    found: Charge | None = None
    if chosen.startswith("n "):
        found = charge(tables, chosen[2:], drives, other_km)
    elif chosen.startswith("t "):
        table = tables[int(chosen[2:])]
        found = charge(tables, table.name, drives, other_km, as_if=table)
    own = None
    if wear_milli is not None:
        own = sum(vehicle_wear_minor(d.distance_m, wear_milli, party.currency) for d in drives)
    amount = None if found is None else found.amount
    return CarLine(
        car=car,
        distance=show.quantity("distance", metres, request.user.distance_unit),
        unknown=unknown,
        own_wear=show.money(own, party.currency),
        own_rate=say(show.UNKNOWN)
        if wear_milli is None
        else gettext("{value:.3f}\u202f{currency} per km").format(
            value=wear_milli / 1000, currency=party.currency
        ),
        charged=say(show.UNKNOWN) if amount is None else f"{amount:,.2f}\u202f{found.currency}",
        reason="" if found is None else found.reason,
    )


def _row(table: RateTable) -> tuple[str, ...]:
    parts, below = [], None
    for tier in table.tiers:
        upto = (
            ""
            if tier.limit is None
            else gettext(" up to {limit:,} {unit}").format(limit=tier.limit, unit=table.unit)
        )
        after = (
            gettext(" beyond {below:,}").format(below=below)
            if below is not None and tier.limit is None
            else ""
        )
        parts.append(f"{tier.rate} {table.currency}{upto}{after}")
        below = tier.limit
    if table.tiers[-1].limit is not None:
        parts.append(gettext("nothing beyond"))
    days = gettext("{first_day} to {last_day}").format(
        first_day=show.day(table.first_day), last_day=show.day(table.last_day)
    )
    return (
        table.name,
        days,
        gettext("{parts} per {unit}").format(parts=", ".join(parts), unit=table.unit),
        table.source,
    )


@keeper_page
def rate_create(request):
    rate = DistanceRate(party=request.party, currency=request.party.currency)
    return _form(request, rate, gettext("Add a distance rate"))


@keeper_page
def rate_edit(request, pk):
    return _form(request, own_rate(request, pk), gettext("Change a distance rate"))


def _form(request, rate, heading):
    form = RateForm(request.POST or None, instance=rate, **form_options(request))
    if request.method == "POST" and form.is_valid():
        with transaction.atomic():
            saved = form.save()
            # Cars that go by the rate are charged anew.
            derive.rebuild_party(request.party)
        messages.success(request, gettext("{saved} is saved.").format(saved=saved))
        return redirect("trips:rate_overview")
    page = FormPage(
        heading,
        form,
        gettext("Save"),
        reverse("trips:rate_overview"),
        "",
        gettext("Distance rates"),
    )
    return render(request, "claims/form_page.html", {"page": page})


@keeper_page
def rate_delete(request, pk):
    rate = own_rate(request, pk)
    cars = tuple(Vehicle.objects.filter(party=request.party, rate_name=rate.name))
    if request.method == "POST":
        with transaction.atomic():
            rate.delete()
            derive.rebuild_party(request.party)
        tell_deleted(request, gettext("{rate} is deleted.").format(rate=rate))
        return redirect("trips:rate_overview")
    return render(request, "trips/rate_delete.html", {"rate": rate, "cars": cars})
