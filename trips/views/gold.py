"""Weigh-ins and lots: the list of all gold, one weigh-in, and their forms."""

from dataclasses import dataclass
from decimal import Decimal

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext

from claims.access import hand_page, keeper_page, reader_page
from claims.web import show
from claims.web.asof import as_of
from claims.web.basis import Basis, Input
from claims.web.export import TYPES, export_response
from claims.web.forms import form_options, units_of
from claims.web.tables import show_table
from claims.web.undoing import tell_deleted
from trips.access import own_lot, own_trip, own_weigh_in
from trips.calc.gold import Valuation, price_on
from trips.calc.holdings import Holdings, holdings, value_on_hand
from trips.forms.gold import LotForm, WeighInForm
from trips.models import GoldLot, MergedLot
from trips.selectors.files import files_of
from trips.selectors.gold import lots, merged_lots, weigh_ins, weighed_parts
from trips.selectors.prices import price_points
from trips.services.gold import (
    delete_lot,
    delete_weigh_in,
    left_ug,
    save_lot,
    save_weigh_in,
)
from trips.tables.gold import LotTable, WeighInTable
from trips.views.weighin_page import build, price_basis


@dataclass(frozen=True)
class GoldPage:
    """All gold of the party; tables are None where there is nothing to list."""

    weigh_ins: WeighInTable | None
    lots: LotTable | None
    holdings: Holdings
    value: Valuation
    value_basis: str
    currency: str
    merged: tuple[MergedLot, ...]
    may_merge: bool
    bases: tuple[Basis, ...]


def _on_hand_bases(party, held: Holdings, value: Valuation) -> tuple[Basis, ...]:
    """What the gold on hand is worth, from its mass and the price of the day."""
    where = reverse("claims:party_detail")
    return (
        Basis(
            gettext("Value on hand"),
            show.money(value.amount_minor, party.currency),
            gettext(
                "Mass × fineness × price × the part that is "
                "paid, weigh-in by weigh-in; a lot with a "
                "price of its own counts at that."
            ),
            (
                Input(
                    gettext("Raw gold on hand"),
                    show.quantity("mass", held.on_hand_ug, "g"),
                    gettext("weighed less sold and given away; the rows below"),
                ),
                Input(
                    gettext("Price"),
                    price_basis(value.price) if value.price else value.reason,
                    url=reverse("trips:price_list"),
                ),
                Input(
                    gettext("Fineness"),
                    f"{party.fineness}\u202f‰",
                    gettext("where a weigh-in has none"),
                    where,
                ),
                Input(
                    gettext("Part that is paid"),
                    f"{party.payable_ppt / 10:g}\u202f%",
                    gettext("Party"),
                    where,
                ),
            ),
            "value",
        ),
    )


@reader_page
def weighin_list(request):
    party = request.party
    if (fmt := request.GET.get("export")) in TYPES:
        return _export(party, fmt, request.GET.get("of"))
    day = as_of(request)
    parts = weighed_parts(party)
    price = price_on(price_points(party), day, party.currency)
    value = value_on_hand(
        parts,
        price=price,
        currency=party.currency,
        payable_ratio=Decimal(party.payable_ppt) / 1000,
    )
    units, held = units_of(request.user), holdings(parts)
    page = GoldPage(
        weigh_ins=show_table(
            request, WeighInTable(weigh_ins(party), party_fineness=party.fineness, units=units)
        )
        if parts
        else None,
        lots=show_table(request, LotTable(lots(party), units=units))
        if any(part.lots for part in parts)
        else None,
        holdings=held,
        value=value,
        value_basis=price_basis(value.price) if value.price else value.reason,
        currency=party.currency,
        merged=_merged(party) if any(part.lots for part in parts) else (),
        may_merge=sum(
            lot.state == GoldLot.State.ON_HAND and lot.own_value_minor is None
            for part in parts
            for lot in part.lots
        )
        > 1,
        bases=_on_hand_bases(party, held, value),
    )
    return render(request, "trips/weighin_list.html", {"page": page})


def _merged(party) -> tuple[MergedLot, ...]:
    words = dict(GoldLot.State.choices)
    found = merged_lots(party)
    for each in found:
        each.state_words = words.get(each.state, "empty")
    return tuple(found)


def _export(party, fmt, of):
    """All rows of one of the two lists: stored units, named in the headers."""
    if of == "lots":
        headers = (
            "weighed_on",
            "trip",
            "name",
            "mass_ug",
            "state",
            "moved_on",
            "to_whom",
            "proceeds_minor",
            "fee_minor",
            "own_value_minor",
            "currency",
            "note",
        )
        rows = (
            (
                lot.weigh_in.weighed_on,
                str(lot.weigh_in.trip),
                *(getattr(lot, name) for name in headers[2:]),
            )
            for lot in lots(party)
        )
        return export_response("lots", fmt, headers, rows)
    headers = (
        "weighed_on",
        "trip",
        "gross_ug",
        "tare_ug",
        "net_ug",
        "resolution_ug",
        "on_hand_ug",
        "sold_ug",
        "given_ug",
        "fineness_ppt",
        "note",
    )
    rows = (
        (
            row.weighed_on,
            str(row.trip),
            row.gross_ug,
            row.tare_ug,
            row.net_ug,
            row.resolution_ug,
            row.here_ug,
            row.sold_ug,
            row.given_ug,
            row.fineness,
            row.note,
        )
        for row in weigh_ins(party)
    )
    return export_response("weigh-ins", fmt, headers, rows)


@reader_page
def weighin_detail(request, pk):
    weigh_in = own_weigh_in(request, pk)
    page = build(weigh_in, request.party, units_of(request.user), as_of(request))
    context = {"page": page, "files": files_of(weigh_in)}
    return render(request, "trips/weighin_detail.html", context)


@hand_page
def weighin_create(request, pk):
    trip = own_trip(request, pk)
    # The party of the request is the trip's; setting it spares a query for its defaults.
    trip.party = request.party
    return _weigh_in_form(request, trip, None, gettext("Weigh in"), trip)


@hand_page
def weighin_edit(request, pk):
    weigh_in = own_weigh_in(request, pk)
    weigh_in.trip.party = request.party
    return _weigh_in_form(
        request,
        weigh_in.trip,
        weigh_in,
        gettext("Change the {weigh_in}").format(weigh_in=_name(weigh_in)),
        None,
    )


def _name(weigh_in) -> str:
    return gettext("weigh-in of {weighed_on}").format(weighed_on=show.day(weigh_in.weighed_on))


def _weigh_in_form(request, trip, weigh_in, heading, back_to_trip):
    form = WeighInForm(
        request.POST or None,
        trip=trip,
        instance=weigh_in,
        today=as_of(request),
        **form_options(request),
    )
    if request.method == "POST" and form.is_valid():
        try:
            saved = save_weigh_in(trip=trip, instance=weigh_in, **form.facts())
        except ValidationError as error:
            form.add_error(None, error)
        else:
            net = show.quantity("mass", saved.net_ug, request.user.mass_unit)
            messages.success(
                request,
                gettext("The {saved} is saved: {net} net.").format(saved=_name(saved), net=net),
            )
            return redirect("trips:weighin_detail", pk=saved.pk)
    context = {
        "form": form,
        "heading": heading,
        "trip": trip,
        "weigh_in": None if back_to_trip else weigh_in,
    }
    return render(request, "trips/weighin_form.html", context)


@hand_page
def weighin_delete(request, pk):
    weigh_in = own_weigh_in(request, pk)
    trip_pk, name, problem = weigh_in.trip_id, _name(weigh_in), ""
    if request.method == "POST":
        try:
            delete_weigh_in(weigh_in=weigh_in)
        except ValidationError as error:
            problem = error.messages[0]
        else:
            tell_deleted(
                request,
                gettext("The {name} is deleted. Its runs count as not weighed.").format(name=name),
            )
            return redirect("trips:trip_detail", pk=trip_pk)
    context = {"weigh_in": weigh_in, "name": name, "problem": problem}
    return render(request, "trips/weighin_delete.html", context)


@keeper_page
def lot_create(request, pk):
    weigh_in = own_weigh_in(request, pk)
    lot = GoldLot(party=request.party, weigh_in=weigh_in, currency=request.party.currency)
    return _lot_form(request, lot, gettext("Make a lot"))


@keeper_page
def lot_edit(request, pk):
    lot = own_lot(request, pk)
    return _lot_form(request, lot, gettext("Change {lot}").format(lot=lot))


def _lot_form(request, lot, heading):
    left = left_ug(lot.weigh_in, apart_from=lot)
    # A lot keeps the currency it was written in, even if the party's has changed since.
    options = form_options(request) | {"currency": lot.currency}
    form = LotForm(
        request.POST or None,
        instance=lot,
        left=show.quantity("mass", left, request.user.mass_unit),
        today=as_of(request),
        **options,
    )
    if request.method == "POST" and form.is_valid():
        try:
            saved = save_lot(lot=form.instance)
        except ValidationError as error:
            form.add_error(None, error)
        else:
            messages.success(request, gettext("The lot “{saved}” is saved.").format(saved=saved))
            return redirect("trips:weighin_detail", pk=saved.weigh_in_id)
    context = {"form": form, "heading": heading, "weigh_in": lot.weigh_in, "lot": lot}
    return render(request, "trips/lot_form.html", context)


@keeper_page
def lot_delete(request, pk):
    lot = own_lot(request, pk)
    if request.method == "POST":
        weigh_in_pk, name = lot.weigh_in_id, str(lot)
        try:
            delete_lot(lot=lot)
        except ValidationError as error:
            messages.error(request, " ".join(error.messages))
            return redirect("trips:weighin_detail", pk=weigh_in_pk)
        tell_deleted(
            request,
            gettext("The lot “{name}” is deleted; its gold counts as on hand.").format(name=name),
        )
        return redirect("trips:weighin_detail", pk=weigh_in_pk)
    return render(request, "trips/lot_delete.html", {"lot": lot})
