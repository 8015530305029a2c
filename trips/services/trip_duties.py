"""What rules leave to be done after a trip, among the party's duties.

A sign-off makes them; from then on they follow the plan. They are those of the place where the
party goes or was, not those of every fallback.
"""

import datetime as dt

from django.db import transaction

from claims.checklist import ChecklistRows, checklist_rows, is_open
from claims.models import Party
from claims.rulebook import PlanFacts
from claims.rulecheck import evaluation
from claims.rules.due import DutyDue
from claims.services.rule_duties import is_kept, keep_rule_duties, withdraw_rule_duties
from trips.models import Trip, TripSite
from trips.selectors.plan_facts import trip_facts


@transaction.atomic
def keep_trip_duties(*, trip: Trip, party: Party, facts: PlanFacts, now: dt.datetime) -> int:
    """Store what the rules of a trip's place leave to be done; returns how many are new.

    Args: facts: what is known of the plan, as its checklist saw it.
    """
    return _keep(trip, party, checklist_rows(party), _places(trip), facts, now)


@transaction.atomic
def follow_plan(*, trip: Trip, party: Party, as_of: dt.date, now: dt.datetime) -> None:
    """After a change of plan: duties of a trip that was signed off become those of the new plan."""
    if not trip.sign_offs.exists() or trip.state not in (Trip.State.PLANNED, Trip.State.UNDER_WAY):
        return
    rows, places = checklist_rows(party), _places(trip)
    facts = trip_facts(
        trip,
        party,
        sites=[row.site for row in trip.trip_sites.select_related("site")],
        gear=trip.gear.all(),
        people=[row.person for row in trip.trip_people.select_related("person")],
        holes=rows.holes,
        book=rows.book,
        as_of=as_of,
    )
    _keep(trip, party, rows, places, facts, now)


def drop_trip_duties(*, trip: Trip) -> int:
    """Withdraw what nobody has touched, because the trip doesn't happen; returns how many."""
    return withdraw_rule_duties(party=trip.party, visit=_visit(trip))


def _visit(trip: Trip) -> str:
    return f"trip-{trip.uuid}"


def _places(trip: Trip) -> list[TripSite]:
    """Where the party was; before that, its first choice."""
    rows = list(trip.trip_sites.select_related("site").order_by("rank"))
    return [row for row in rows if row.was_visited] or rows[:1]


def _keep(
    trip: Trip,
    party: Party,
    rows: ChecklistRows,
    places: list[TripSite],
    facts: PlanFacts,
    now: dt.datetime,
) -> int:
    open_holes = [hole for hole in rows.holes if is_open(hole, trip.starts_on)]
    new = 0
    given: list[tuple[str, list[DutyDue]]] = []
    for place in places:
        site, visit = place.site, f"{_visit(trip)}/{place.site_id}"
        papers = [paper for paper in rows.papers if site in paper.sites.all()]
        said = evaluation(
            rows.book,
            site,
            trip.starts_on,
            max(trip.starts_on, trip.ends_on),
            papers=papers,
            holes=open_holes,
            plan=facts,
        )
        dues = [due for due in said.duties if is_kept(due)]
        made = keep_rule_duties(
            party=party, site=site, visit=visit, dues=dues, now=now, papers=papers
        )
        new += len(made)
        given.append((visit, dues))
    withdraw_rule_duties(party=party, visit=_visit(trip), but=given)
    return new
