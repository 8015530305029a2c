"""Ground disturbed and restored over a period."""

from django import forms
from django.core.exceptions import ValidationError
from django.shortcuts import render
from django.utils.translation import gettext, gettext_lazy

from claims.access import reader_page
from claims.restored import HEADERS, ground_bases, restored
from claims.web.asof import as_of
from claims.web.export import TYPES, export_response
from claims.web.forms import LedgerForm
from trips.calc.words import marked

EXPECTED = {"invalid": marked("Expected a date such as 2031-05-03.")}


class PeriodForm(LedgerForm, forms.Form):
    first = forms.DateField(label=gettext_lazy("From"), error_messages=EXPECTED)
    last = forms.DateField(label=gettext_lazy("To"), error_messages=EXPECTED)

    def clean(self):
        found = super().clean()
        first, last = found.get("first"), found.get("last")
        if first and last and last < first:
            self.add_error(
                "last",
                ValidationError(
                    gettext(
                        "To: the period ends before it starts; expected {first} or later."
                    ).format(first=first),
                    "order",
                ),
            )
        return found


@reader_page
def ground_page(request):
    """Without a period asked for, the year so far."""
    day = as_of(request)
    data = request.GET.copy()
    if "first" not in data and "last" not in data:
        data["first"], data["last"] = day.replace(month=1, day=1).isoformat(), day.isoformat()
    form = PeriodForm(data)
    rows, bases = (), ()
    if form.is_valid():
        first, last = form.cleaned_data["first"], form.cleaned_data["last"]
        # What is noted for later than the day that the page is told for isn't known on it.
        last = min(last, max(first, day))
        rows = restored(request.party, first, last)
        fmt = request.GET.get("export")
        if fmt in TYPES:
            return export_response("ground", fmt, HEADERS, [row.bare for row in rows])
        bases = ground_bases(request.party, first, last)
    context = {
        "form": form,
        "bases": bases,
        "rows": [row.words for row in rows],
        "headers": (
            gettext("Site"),
            gettext("Open before"),
            gettext("Opened"),
            gettext("Filled in"),
            gettext("Still open at the end"),
            gettext("Not fully measured"),
        ),
        "asked": data.urlencode(),
        "shown": form.is_valid(),
    }
    return render(request, "claims/ground_page.html", context)
