"""Wrap a trip up: hours, money, runs, holes and gold stored whole, or not at all."""

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext

from claims.models import Hole, Site
from trips.models import Cost, HoursBlock, Run, Trip
from trips.services import derive
from trips.services.gold import save_weigh_in
from trips.services.records import (
    Place,
    check_hours,
    check_open,
    store_cost,
    store_hours,
    store_washed,
)
from trips.services.trips import visit


@dataclass(frozen=True)
class WeighInFacts:
    """One weigh-in over all runs that aren't weighed yet, and the pans if so said."""

    weighed_on: dt.date
    gross_ug: int
    tare_ug: int
    resolution_ug: int
    fineness: int | None
    with_pans: bool


@dataclass(frozen=True)
class WrapUp:
    """What happened; rows are new or changed, `dropped` rows are deleted."""

    visited: tuple[Site, ...]
    hours: tuple[HoursBlock, ...] = ()
    costs: tuple[Cost, ...] = ()
    runs: tuple[tuple[Run, Place], ...] = ()
    dropped: tuple[HoursBlock | Cost | Run, ...] = ()
    holes: tuple[Hole, ...] = ()
    filled: tuple[Hole, ...] = ()
    weigh_in: WeighInFacts | None = None


class WeighInProblem(ValidationError):
    """The weigh-in was refused; keys are its fields."""


@transaction.atomic
def wrap_up(*, trip: Trip, facts: WrapUp) -> Trip:
    """Store everything of `facts` and the trip's own fields; the trip is then wrapped up.

    Raises: ValidationError for anything that doesn't hold (WeighInProblem for the weigh-in);
        then nothing is stored.
    """
    check_open(trip)
    for row in facts.dropped:
        row.delete()
    _store_visits(trip, facts.visited)
    for block in facts.hours:
        store_hours(trip=trip, block=block)
    check_hours(trip=trip)
    for cost in facts.costs:
        cost.stage = Cost.Stage.PAID
        store_cost(trip=trip, cost=cost)
    for run, place in facts.runs:
        store_washed(trip=trip, record=run, place=place, rebuild=False)
    _store_holes(trip, facts.holes, facts.filled)
    _check_drive(trip)
    trip.state = Trip.State.WRAPPED_UP
    trip.full_clean()
    trip.save()
    if facts.weigh_in is not None:
        _weigh(trip, facts.weigh_in)
    derive.rebuild_trip(trip.pk)
    return trip


def _store_visits(trip: Trip, visited: Iterable[Site]) -> None:
    """Sites said to be visited, and those where gravel was washed whatever was said."""
    for site in visited:
        visit(trip=trip, site=site)
    there = {site.pk for site in visited}
    there |= set(trip.pans.values_list("spot__site_id", flat=True))
    there |= set(trip.runs.values_list("spot__site_id", flat=True))
    for row in trip.trip_sites.all():
        row.was_visited = row.site_id in there
        row.save(update_fields=["was_visited"])


def _check_drive(trip: Trip) -> None:
    driven = (trip.driven_sealed_m, trip.driven_unsealed_m, trip.driven_track_m)
    if not trip.trip_sites.filter(was_visited=True).exists() and not any(driven):
        raise ValidationError(
            {
                "visited": gettext(
                    "Tick where you were. If you turned back on the way, say how far you "
                    "drove; if you never left, call the trip off instead."
                )
            }
        )


def _store_holes(trip: Trip, opened: Iterable[Hole], filled: Iterable[Hole]) -> None:
    for hole in opened:
        hole.party, hole.opened_on = trip.party, hole.opened_on or trip.ends_on
        if hole.site.party_id != trip.party_id:
            raise ValidationError(gettext("This hole's site isn't in this record."))
        hole.full_clean()
        hole.save()
        visit(trip=trip, site=hole.site)
    for hole in filled:
        if hole.party_id != trip.party_id:
            raise ValidationError(gettext("This hole isn't in this record."))
        hole.filled_on = trip.ends_on
        hole.full_clean()
        hole.save(update_fields=["filled_on"])


def _weigh(trip: Trip, facts: WeighInFacts) -> None:
    try:
        save_weigh_in(
            trip=trip,
            weighed_on=facts.weighed_on,
            gross_ug=facts.gross_ug,
            tare_ug=facts.tare_ug,
            resolution_ug=facts.resolution_ug,
            fineness=facts.fineness,
            runs=trip.runs.filter(weigh_in=None),
            pans=trip.pans.filter(weigh_in=None, mass_ug=None) if facts.with_pans else (),
            note="",
        )
    except ValidationError as error:
        raise WeighInProblem(error) from error
