"""At the creek: the tables of a trip for page, card and phone."""

from django.http import JsonResponse

from claims.access import reader_page
from claims.web.asof import as_of
from reports.pages import field_tables as tables_of
from reports.selectors.creek import creek_facts
from trips.access import own_trip


def _tables(request, pk: int):
    trip = own_trip(request, pk)
    trip.party = request.party
    return tables_of.trip_tables(creek_facts(request.party, trip, as_of(request)))


@reader_page
def field_tables(request, pk: int):
    """The stored tables of a trip for the phone; see `reports.pages.field_tables`."""
    return JsonResponse(tables_of.payload(_tables(request, pk)))
