"""At the creek: the tables of a trip for page, card and phone."""

import datetime as dt

from django.conf import settings
from django.http import JsonResponse
from django.shortcuts import render

from claims.access import reader_page
from claims.cautions import WorkFacts, cautions
from claims.web.asof import as_of
from claims.web.export import file_response
from claims.web.forms import form_options, units_of
from reports.pages import creek, field_tables, hindsight, leave
from reports.pages import field_card as card_of
from reports.pages.compare import compare_page
from reports.pages.creek_form import TryForm
from reports.pages.creek_part import rows_of
from reports.selectors.creek import CreekFacts, creek_facts
from reports.selectors.sheet import trip_sheet
from trips.access import own_trip
from trips.models import Trip
from trips.selectors.trip_page import trip_page


def _facts(request, pk: int, *, with_runs: bool = False) -> CreekFacts:
    """The facts of an own trip."""
    trip = own_trip(request, pk)
    trip.party = request.party
    return creek_facts(request.party, trip, _day(request, trip), with_runs=with_runs)


def _day(request, trip: Trip) -> dt.date:
    """The day asked for; a trip that is over is valued at the price of its own day."""
    over = trip.state == Trip.State.WRAPPED_UP
    return min(as_of(request), trip.ends_on) if over else as_of(request)


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


@reader_page
def field_card(request, pk: int):
    from reports.pdf.field_card import card_pdf

    trip = own_trip(request, pk)
    asked = {
        "trip": trip,
        "party": request.party,
        "today": as_of(request),
        "units": units_of(request.user),
    }
    page = trip_page(**asked)
    facts = creek_facts(request.party, page.trip, _day(request, trip), **rows_of(page))
    card = card_of.field_card(facts, trip_sheet(**asked, page=page), request.party, page.steps)
    return file_response(f"field-card-{pk}", "pdf", card_pdf(card, settings.PAGE_SIZE))


@reader_page
def blank_card(request):
    from reports.pdf.field_card import card_pdf

    usual = tuple(line.text for line in cautions(WorkFacts()))
    card = card_of.blank_card(request.party, usual, as_of(request))
    return file_response("field-card-blank", "pdf", card_pdf(card, settings.PAGE_SIZE))


@reader_page
def compare(request):
    page = compare_page(request.party, request.GET, as_of(request))
    return render(request, "reports/compare.html", {"page": page})


@reader_page
def leave_page(request, pk: int):
    facts = _facts(request, pk, with_runs=True)
    page = leave.leave_page(facts, facts.trip.runs.all())
    return render(request, "reports/leave_page.html", {"page": page})


@reader_page
def hindsight_page(request, pk: int):
    facts = _facts(request, pk, with_runs=True)
    page = hindsight.hindsight_page(facts, facts.trip.runs.all())
    return render(request, "reports/hindsight.html", {"page": page})
