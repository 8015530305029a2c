"""Put lots together, part them, and move what was put together."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext

from claims.access import keeper_page
from claims.web import show
from claims.web.asof import as_of
from claims.web.forms import form_options, units_of
from claims.web.pages import FormPage
from claims.web.undoing import tell_deleted
from trips.access import own_lot, own_merged
from trips.forms.lots import MergedForm, MergeForm, SplitForm
from trips.selectors.gold import loose_lots, lots_in
from trips.services.lots import merge_lots, save_merged, split_lot, split_merged, take_apart


@keeper_page
def merged_create(request):
    form = MergeForm(
        request.POST or None, lots=loose_lots(request.party), units=units_of(request.user)
    )
    if request.method == "POST" and form.is_valid():
        try:
            saved = merge_lots(party=request.party, **form.cleaned_data)
        except ValidationError as error:
            form.add_error(None, error)
        else:
            messages.success(
                request, gettext("The lots are together as “{saved}”.").format(saved=saved)
            )
            return redirect("trips:merged_edit", pk=saved.pk)
    page = FormPage(
        gettext("Merge lots"),
        form,
        gettext("Put together"),
        reverse("trips:weighin_list"),
        gettext(
            "Lots that are kept, sold or given as one. Each keeps its mass and where it came from. "
            "A lot with its own price counts as one piece and isn't offered here."
        ),
        gettext("Gold"),
    )
    return render(request, "claims/form_page.html", {"page": page})


@keeper_page
def merged_edit(request, pk):
    merged = own_merged(request, pk)
    lots = lots_in(merged)
    options = form_options(request) | {"currency": merged.currency}
    form = MergedForm(
        request.POST or None,
        instance=merged,
        today=as_of(request),
        first=lots[0] if lots else None,
        **options,
    )
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data
        try:
            save_merged(
                merged=form.instance,
                state=data["state"],
                moved_on=data["moved_on"],
                to_whom=data["to_whom"],
            )
        except ValidationError as error:
            form.add_error(None, error)
        else:
            messages.success(
                request, gettext("The merged lot “{merged}” is saved.").format(merged=merged)
            )
            return redirect("trips:weighin_list")
    context = {
        "form": form,
        "merged": merged,
        "lots": lots,
        "whole": sum(lot.mass_ug for lot in lots),
        "on_hand": all(lot.state == "on_hand" for lot in lots),
    }
    return render(request, "trips/merged_form.html", context)


@keeper_page
def merged_delete(request, pk):
    """Take a merged lot apart; its lots stand alone again."""
    merged = own_merged(request, pk)
    problem = ""
    if request.method == "POST":
        try:
            take_apart(merged=merged)
        except ValidationError as error:
            problem = " ".join(error.messages)
        else:
            tell_deleted(
                request,
                gettext("“{merged}” is taken apart; its lots stand alone again.").format(
                    merged=merged
                ),
            )
            return redirect("trips:weighin_list")
    context = {"merged": merged, "problem": problem}
    return render(request, "trips/merged_delete.html", context)


@keeper_page
def merged_split_start(request, pk):
    merged = own_merged(request, pk)
    whole = sum(lot.mass_ug for lot in lots_in(merged))
    return _split(request, merged, whole, split_merged, "merged", ("trips:merged_edit", merged.pk))


@keeper_page
def lot_split_start(request, pk):
    lot = own_lot(request, pk)
    back = ("trips:weighin_detail", lot.weigh_in_id)
    return _split(request, lot, lot.mass_ug, split_lot, "lot", back)


def _split(request, whole, mass_ug, act, key, back):
    words = show.quantity("mass", mass_ug, request.user.mass_unit)
    form = SplitForm(request.POST or None, whole=words, **form_options(request))
    address = reverse(back[0], args=[back[1]])
    if request.method == "POST" and form.is_valid():
        try:
            act(**{key: whole}, **form.cleaned_data)
        except ValidationError as error:
            form.add_error(None, error)
        else:
            messages.success(
                request, gettext("“{whole}” is split; nothing was lost.").format(whole=whole)
            )
            return redirect(address)
    page = FormPage(
        gettext("Split {whole}").format(whole=whole),
        form,
        gettext("Split"),
        address,
        "",
        str(whole),
    )
    return render(request, "claims/form_page.html", {"page": page})
