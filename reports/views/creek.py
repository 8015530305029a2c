"""At the creek: the tables of a trip for page, card and phone."""

from django.http import JsonResponse
from django.shortcuts import render

from claims.access import reader_page
from claims.web.asof import as_of
from claims.web.forms import form_options
from reports.pages import creek, field_tables
from reports.pages.creek_form import TryForm
from reports.selectors.creek import CreekFacts, creek_facts
from trips.access import own_trip


def _facts(request, pk: int) -> CreekFacts:
    trip = own_trip(request, pk)
    trip.party = request.party
    return creek_facts(request.party, trip, as_of(request))


@reader_page
def field_tables_file(request, pk: int):
    """The tables of a trip for the phone; `reports.pages.field_tables` describes the shape."""
    return JsonResponse(field_tables.payload(field_tables.trip_tables(_facts(request, pk))))


@reader_page
def creek_page(request, pk: int):
    facts = _facts(request, pk)
    form = TryForm(request.GET, **form_options(request))
    page = creek.creek_page(facts, form)
    return render(request, "reports/creek_page.html", {"page": page, "form": form})
