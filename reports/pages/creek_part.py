"""What the tables say, on the trip's own page: verdicts so far and what sends one on."""

from dataclasses import dataclass
from typing import Any

from claims.web.asof import as_of
from reports.pages.creek import verdicts
from reports.pages.field_tables import SpotOnCard, trip_tables
from reports.selectors.creek import creek_facts
from trips.hooks import TripPart
from trips.models import Trip
from trips.selectors.trip_page import TripPage

OPEN = (Trip.State.PLANNED, Trip.State.UNDER_WAY)


@dataclass(frozen=True)
class Onward:
    """A planned site and what sends one from it to the next."""

    site: str
    words: str


@dataclass(frozen=True)
class CreekPart:
    """What the template shows; the lists are empty for a trip that is over."""

    trip_id: int
    is_open: bool
    verdicts: tuple[SpotOnCard, ...]
    onward: tuple[Onward, ...]


def rows_of(page: TripPage) -> dict[str, Any]:
    """What a trip's page has loaded of what the tables rest on, as `creek_facts` takes it."""
    return {
        "sites": [row.site for row in (page.first, *page.fallbacks) if row is not None],
        "gear": page.gear,
        "pans": page.pans,
        "hours": page.hours,
        "prices": page.prices,
    }


def creek_part(request, page: TripPage) -> TripPart | None:
    """Verdicts and triggers of an open trip; links to what the rules would have said after it."""
    if page.trip.state == Trip.State.CALLED_OFF:
        return None
    shown = CreekPart(page.trip.pk, page.trip.state in OPEN, (), ())
    rows = rows_of(page)
    if shown.is_open and rows["sites"]:
        facts = creek_facts(page.trip.party, page.trip, as_of(request), **rows)
        tables = trip_tables(facts)
        shown = CreekPart(
            page.trip.pk,
            True,
            verdicts(tables),
            tuple(
                Onward(each.place.site.name, each.leave_site)
                for each in tables.places
                if each.leave_site
            ),
        )
    return TripPart("reports/_creek_part.html", shown)
