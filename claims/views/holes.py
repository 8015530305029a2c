"""Holes: what is open, since when, and filling them."""

import datetime as dt

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext
from django.views.decorators.http import require_POST

from claims import agenda
from claims.access import hand_page, may, own_hole, reader_page
from claims.forms.ground import HoleForm
from claims.models import Hole, Membership
from claims.selectors import hole_row, list_holes
from claims.services import ground
from claims.tables import HoleTable
from claims.views.party import form_page
from claims.web import show
from claims.web.asof import as_of
from claims.web.export import TYPES, export_response
from claims.web.forms import form_options, units_of, whole_number
from claims.web.pages import FormPage
from claims.web.tables import show_table

HEADERS = ("site", "spot", "opened_on", "filled_on", "days_open", "box_volume_ml", "fill_by")


@reader_page
def hole_list(request):
    rows = list_holes(request.party, as_of(request))
    fmt = request.GET.get("export")
    if fmt in TYPES:
        bare = [
            (r.site, r.spot, r.opened_on, r.filled_on, r.age_days, r.volume_ml, r.due_on)
            for r in rows
        ]
        return export_response("holes", fmt, HEADERS, bare)
    table = HoleTable(
        rows, units=units_of(request.user), may_write=may(request, Membership.Role.HAND)
    )
    context = {
        "table": show_table(request, table),
        "count": len(rows),
        "open_count": sum(row.is_open for row in rows),
        "has_sites": bool(rows) or request.party.sites.exists(),
    }
    return render(request, "claims/hole_list.html", context)


@reader_page
def hole_detail(request, pk):
    hole = own_hole(request, pk)
    due = agenda.dues_of_holes(request.party, as_of(request)).get(hole.pk)
    context = {
        "hole": hole,
        "due": due,
        # Read for a day before it was opened, it is shown as on its first day.
        "row": hole_row(hole, max(as_of(request), hole.opened_on)),
        "files": tuple(hole.files.all()),
    }
    return render(request, "claims/hole_detail.html", context)


@hand_page
def hole_create(request):
    hole = Hole(party=request.party)
    site = request.party.sites.filter(pk=whole_number(request.GET.get("site", ""))).first()
    initial = {"site": site, "opened_on": as_of(request)}
    return _hole_form(request, hole, gettext("Note a hole"), initial)


@hand_page
def hole_edit(request, pk):
    hole = own_hole(request, pk)
    return _hole_form(
        request, hole, gettext("Change hole at {value}").format(value=hole.spot or hole.site), {}
    )


def _hole_form(request, hole, title, initial):
    hole.party = request.party
    form = HoleForm(request.POST or None, instance=hole, initial=initial, **form_options(request))
    if request.method == "POST" and form.is_valid():
        ground.save_hole(hole=form.instance)
        messages.success(request, gettext("The hole at {site} is saved.").format(site=hole.site))
        return redirect("claims:hole_list")
    return form_page(
        request, FormPage(title, form, gettext("Save hole"), reverse("claims:hole_list"))
    )


@hand_page
@require_POST
def hole_fill(request, pk):
    hole = own_hole(request, pk)
    typed = request.POST.get("filled_on", "")[:40]
    try:
        filled_on = dt.date.fromisoformat(typed) if typed else as_of(request)
    except ValueError:
        messages.error(
            request,
            gettext("Not saved: expected a day as 2031-05-09, not {typed}.").format(typed=typed),
        )
        return redirect("claims:hole_list")
    try:
        ground.fill_hole(hole=hole, filled_on=filled_on)
    except ValidationError as error:
        messages.error(
            request, gettext("Not saved: {messages}").format(messages=" ".join(error.messages))
        )
    else:
        messages.success(
            request,
            gettext("The hole at {site} is filled, {filled_on}.").format(
                site=hole.site, filled_on=show.day(filled_on)
            ),
        )
    return redirect("claims:hole_list")
