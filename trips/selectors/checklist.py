"""The checklist of one trip: every site of the plan, and the cautions that the plan chooses."""

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from claims.answers import answered
from claims.checklist import ChecklistRows, first_checklist
from claims.lines import CheckLine, PhaseLines, by_phase
from claims.models import Party, Person, Site
from claims.rulebook import PlanFacts
from claims.rules.facts import AmountFact
from claims.rules.ground import FillDue
from trips.models import Gear, Trip, TripSite
from trips.selectors.plan_facts import recorded_amounts, trip_facts
from trips.selectors.trip_parts import SiteChecks
from trips.selectors.work_facts import tailings_at, work_facts


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


@dataclass(frozen=True)
class Shared:
    """What the checklists of several trips rest on alike, fetched once."""

    amounts: tuple[AmountFact, ...]
    tailings: Sequence[tuple[int, str]]


def shared_rows(party: Party, rows: ChecklistRows, sites: Iterable[Site]) -> Shared:
    """Amounts that rules at any of these sites ask for, and their old tailings."""
    sites = list(sites)
    return Shared(
        recorded_amounts(party, rows.book.amounts_used(sites), rows.holes),
        tailings_at({site.pk for site in sites}),
    )


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
    shared: Shared | None = None,
) -> Checklist:
    """The checklist of a plan; fallbacks get theirs in the same go.

    Args: shared: what `shared_rows` fetched for several trips, this one among them.
    """
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
        amounts=shared.amounts if shared else None,
    )
    lines = first_checklist(
        party,
        places,
        trip.starts_on,
        papers=rows.papers,
        holes=rows.holes,
        until=trip.ends_on,
        facts=work_facts(
            trip, places, people, gear, rows.holes, shared.tailings if shared else None
        ),
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
