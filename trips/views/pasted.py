"""Rows from a spreadsheet, pasted: looked at line by line, then stored all together."""

import uuid

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext

from claims.access import hand_page
from claims.web.forms import form_options
from trips.access import own_trip
from trips.forms.pasted import KINDS, PasteForm, check_rows
from trips.forms.records import TripOptions
from trips.services.pasted import save_pasted


@hand_page
def trip_paste(request, pk):
    """First the rows with what is wrong in each; saved only when none has a problem."""
    trip = own_trip(request, pk)
    trip.party = request.party
    options = form_options(request)
    first = request.GET.get("kind", "")
    form = PasteForm(
        request.POST or None, initial={"kind": first if first in KINDS else "pan"}, **options
    )
    rows = []
    if request.method == "POST" and form.is_valid():
        key, text = form.cleaned_data["kind"], form.cleaned_data["text"]
        rows = check_rows(key, text, options=TripOptions(trip), form_options=options)
        if not rows:
            form.add_error("text", gettext("There is no row below the heading."))
        elif request.POST.get("do") == "save" and not any(row.problems for row in rows):
            try:
                count = save_pasted(trip=trip, key=key, rows=rows, seed=_seed(request))
            except ValidationError as problem:
                form.add_error("text", problem.messages)
            else:
                words = (
                    gettext("{count} {many} saved.").format(count=count, many=KINDS[key].many)
                    if count
                    else gettext("That was saved already.")
                )
                messages.success(request, words)
                return redirect(f"{reverse('trips:trip_detail', args=[trip.pk])}#{key}")
    context = {
        "trip": trip,
        "form": form,
        "kinds": KINDS.values(),
        "rows": rows,
        "columns": tuple(KINDS[form.cleaned_data["kind"]].columns) if rows else (),
        "wrong": sum(bool(row.problems) for row in rows),
        "seed": _seed(request),
    }
    return render(request, "trips/paste.html", context)


def _seed(request) -> uuid.UUID:
    try:
        return uuid.UUID(request.POST.get("seed", ""))
    except ValueError:
        return uuid.uuid4()
