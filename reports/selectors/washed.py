"""What went through boxes at a paper's sites, by trip: the facts under a record's volume."""

import datetime as dt
from dataclasses import dataclass

from django.db.models import Count, Sum

from claims.models import Paper
from reports.figures.facts import trip_name
from trips.models import Run, Trip


@dataclass(frozen=True)
class WashedTrip:
    """A trip's runs at the sites; `volume_ml` of those that have one, None if none has."""

    trip_id: int
    name: str
    runs: int
    with_volume: int
    volume_ml: int | None


def washed_by_trip(paper: Paper, first: dt.date, last: dt.date) -> tuple[WashedTrip, ...]:
    """Wrapped-up trips whole in the period, as the record counts them; one query."""
    rows = (
        Run.objects.filter(
            spot__site__in=paper.sites.all(),
            trip__state=Trip.State.WRAPPED_UP,
            trip__starts_on__gte=first,
            trip__ends_on__lte=last,
        )
        .order_by("trip__starts_on", "trip_id")
        .values_list("trip_id", "trip__name", "trip__starts_on")
        .annotate(Count("pk"), Count("volume_ml"), Sum("volume_ml"))
    )
    return tuple(
        WashedTrip(pk, trip_name(name, day), runs, told, volume)
        for pk, name, day, runs, told, volume in rows
    )
