"""The checklist of one trip: every site of the plan, and the cautions that the plan chooses."""

import datetime as dt
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from claims.answers import answered
from claims.checklist import ChecklistRows, WorkFacts, first_checklist, is_open
from claims.lines import CheckLine, PhaseLines, by_phase
from claims.models import Party, Person, Site, Spot
from claims.rulebook import PlanFacts
from claims.rules.ground import FillDue
from trips.models import Gear, Trip, TripSite
from trips.selectors.plan_facts import trip_facts
from trips.selectors.trip_parts import SiteChecks

WARM_NORTH = (4, 5, 6, 7, 8, 9)


@dataclass(frozen=True)
class Checklist:
    """Lines of each site in the plan's order, the cautions, and what all of it rests on."""

    sites: tuple[SiteChecks, ...]
    cautions: tuple[CheckLine, ...]
    facts: PlanFacts

    @property
    def caution_groups(self) -> tuple[PhaseLines, ...]:
        """The cautions by when they matter."""
        return by_phase(self.cautions)


def trip_checklist(
    party: Party,
    trip: Trip,
    rows: ChecklistRows,
    *,
    sites: Iterable[TripSite],
    people: Iterable[Person],
    gear: Iterable[Gear],
    as_of: dt.date,
    dues: Mapping[int, FillDue] | None = None,
) -> Checklist:
    """The checklist of a plan; fallbacks get theirs in the same go."""
    sites, people, gear = tuple(sites), tuple(people), tuple(gear)
    places = [row.site for row in sites]
    plan = trip_facts(
        trip,
        party,
        sites=places,
        gear=gear,
        people=people,
        holes=rows.holes,
        book=rows.book,
        as_of=as_of,
    )
    lines = first_checklist(
        party,
        places,
        trip.starts_on,
        papers=rows.papers,
        holes=rows.holes,
        until=trip.ends_on,
        facts=_work(trip, places, people, gear, rows),
        book=rows.book,
        plan=plan,
        dues=dues,
    )
    return Checklist(
        tuple(
            SiteChecks(
                str(row),
                row.trigger,
                tuple(line for line in lines if line.site_id == row.site_id),
                row.site_id,
                answered(row.site, rows.book, plan),
            )
            for row in sites
        ),
        tuple(line for line in lines if line.site_id is None),
        plan,
    )


def _work(
    trip: Trip,
    places: list[Site],
    people: tuple[Person, ...],
    gear: tuple[Gear, ...],
    rows: ChecklistRows,
) -> WorkFacts:
    """What the cautions hang on."""
    at = {site.pk for site in places}
    depths = [
        hole.depth_mm
        for hole in rows.holes
        if hole.site_id in at and is_open(hole, trip.starts_on) and hole.depth_mm
    ]
    tailings = Spot.objects.filter(site_id__in=at, feature=Spot.Feature.TAILINGS).exists()
    return WorkFacts(
        has_engine=any(piece.power == Gear.Power.ENGINE for piece in gear) if gear else None,
        has_winch=any(piece.kind == Gear.Kind.WINCH for piece in gear) if gear else None,
        is_alone=len(people) == 1 if people else None,
        deepest_mm=max(depths, default=None),
        is_warm_season=_is_warm(trip, places),
        near_old_workings=True if tailings else None,
    )


def _is_warm(trip: Trip, places: list[Site]) -> bool | None:
    """Whether the trip falls in the warmer half of the year there; None without a position."""
    north = {site.latitude_udeg >= 0 for site in places if site.latitude_udeg is not None}
    if len(north) != 1:
        return None
    months = {trip.starts_on.month, trip.ends_on.month}
    warm = {month in WARM_NORTH for month in months}
    if len(warm) != 1:
        return None
    return warm.pop() is north.pop()
