"""On which visit was a hole dug? Registered in `claims.hooks`."""

import datetime as dt
from collections.abc import Sequence

from claims.models import Hole, Party
from trips.models import Trip, TripSite


def visit_ends(party: Party, holes: Sequence[Hole]) -> dict[int, dt.date]:
    """The last day of the trip on which each hole was dug, where one is known; one query."""
    days = [hole.opened_on for hole in holes]
    rows = (
        TripSite.objects.filter(
            trip__party=party,
            trip__starts_on__lte=max(days),
            trip__ends_on__gte=min(days),
            site__in={hole.site_id for hole in holes},
        )
        .exclude(trip__state=Trip.State.CALLED_OFF)
        .exclude(was_visited=False)
    )
    visits = list(rows.values_list("site_id", "trip__starts_on", "trip__ends_on"))
    found = {}
    for hole in holes:
        ends = [
            last
            for site_id, first, last in visits
            if site_id == hole.site_id and first <= hole.opened_on <= last
        ]
        if ends:
            found[hole.pk] = min(ends)
    return found
