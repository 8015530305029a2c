"""Write trips: the plan, and the steps of a trip's life.

planned → under way → wrapped up; a planned trip or one under way can be called off; what was
wrapped up or called off can be reopened. Every refusal is a ValidationError in plain words.
"""

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext

from claims.models import Person, Site
from trips.models import Cost, Gear, GoldLot, Trip, TripPerson, TripSite
from trips.services import derive
from trips.services.trip_duties import drop_trip_duties, follow_plan

State = Trip.State


@dataclass(frozen=True)
class Choice:
    """A site of the plan, first choice first; `trigger` is what sends you there instead."""

    site: Site
    trigger: str = ""


@transaction.atomic
def save_plan(
    *,
    trip: Trip,
    choices: Sequence[Choice],
    people: Iterable[Person],
    gear: Iterable[Gear],
    costs: Iterable[Cost] = (),
    dropped_costs: Iterable[Cost] = (),
) -> Trip:
    """Store a plan whole: the trip, its sites in order, people, gear and planned costs.

    Sites where something is recorded already stay on the trip, after the planned ones.

    Raises: ValidationError: no first choice, a site twice, or anything of another party.
    """
    if not choices:
        raise ValidationError({"site": gettext("Choose where to go first.")})
    people, gear = list(people), list(gear)
    _check_own(trip, [*(choice.site for choice in choices), *people, *gear])
    if len({choice.site.pk for choice in choices}) != len(choices):
        raise ValidationError(gettext("A site is in the plan twice; each place is named once."))
    trip.full_clean()
    trip.save()
    _store_sites(trip, choices)
    trip.gear.set(gear)
    _store_people(trip, people)
    for cost in dropped_costs:
        cost.delete()
    for cost in costs:
        cost.trip, cost.party, cost.currency = trip, trip.party, trip.party.currency
        cost.full_clean()
        cost.save()
    derive.rebuild_trip(trip.pk)
    return trip


@transaction.atomic
def fill_triggers(*, trip: Trip, words: dict[int, str]) -> list[TripSite]:
    """Give fallbacks without a trigger the words for their site; what is there stays."""
    filled = []
    for row in trip.trip_sites.filter(rank__gt=0, trigger="", site__in=words).select_related(
        "site"
    ):
        row.trigger = words[row.site_id][: TripSite._meta.get_field("trigger").max_length]
        row.save(update_fields=["trigger"])
        filled.append(row)
    return filled


def start_trip(*, trip: Trip) -> Trip:
    """The party has left home. Raises: ValidationError unless the trip is planned."""
    return _move(trip, {State.PLANNED}, State.UNDER_WAY)


def call_off(*, trip: Trip, reason: str) -> Trip:
    """The trip doesn't happen, with the reason. Raises: ValidationError after the wrap-up."""
    with transaction.atomic():
        off = _move(trip, {State.PLANNED, State.UNDER_WAY}, State.CALLED_OFF, reason=reason)
        drop_trip_duties(trip=off)
    return off


def reopen_trip(*, trip: Trip, as_of: dt.date, now: dt.datetime) -> Trip:
    """Back one step: a wrapped-up trip is under way again, a called-off one planned again.

    What its rules leave to be done comes back at once if it was signed off.
    """
    to = State.PLANNED if trip.state == State.CALLED_OFF else State.UNDER_WAY
    with transaction.atomic():
        again = _move(trip, {State.WRAPPED_UP, State.CALLED_OFF}, to)
        follow_plan(trip=again, party=again.party, as_of=as_of, now=now)
    return again


@transaction.atomic
def delete_trip(*, trip: Trip) -> None:
    """Delete a trip with all its records.

    Raises: ValidationError while lots of gold rest on its weigh-ins, or once its checklist was
    signed off.
    """
    if trip.sign_offs.exists():
        raise ValidationError(
            gettext(
                "Its checklist was signed off, and that is kept as evidence. "
                "Call the trip off instead."
            )
        )
    lots = list(GoldLot.objects.filter(weigh_in__trip=trip).values_list("name", flat=True)[:5])
    if lots:
        named = ", ".join(f"“{name}”" for name in lots)
        raise ValidationError(
            gettext(
                "Lots of gold rest on this trip's weigh-ins: {named}. Delete those lots first."
            ).format(named=named)
        )
    trip.delete()
    # A fee that is spread over trips now falls on fewer of them.
    derive.rebuild_party(trip.party)


@transaction.atomic
def visit(*, trip: Trip, site: Site) -> TripSite:
    """Note that a site was visited; one outside the plan joins the trip as its last."""
    row = trip.trip_sites.filter(site=site).first()
    if row is None:
        _check_own(trip, [site])
        last = trip.trip_sites.order_by("-rank").first()
        row = TripSite(trip=trip, site=site, rank=last.rank + 1 if last else 0)
    if row.pk and row.was_visited:
        return row
    row.was_visited = True
    row.full_clean()
    row.save()
    return row


@transaction.atomic
def _move(trip: Trip, allowed: set, to: str, *, reason: str = "") -> Trip:
    # Read anew and locked: two people may press two buttons at once.
    fresh = Trip.objects.select_for_update().get(pk=trip.pk)
    if fresh.state not in allowed:
        raise ValidationError(
            gettext(
                "This trip is {get_state_display}, so it can't become “{label}” from here."
            ).format(get_state_display=fresh.get_state_display(), label=State(to).label)
        )
    trip.state, trip.called_off_reason = to, reason
    trip.full_clean()
    trip.save(update_fields=["state", "called_off_reason"])
    derive.rebuild_trip(trip.pk)
    return trip


def _check_own(trip: Trip, rows: Iterable) -> None:
    for row in rows:
        if row.party_id != trip.party_id:
            raise ValidationError(gettext("Something chosen here isn't in this record."))


def _store_sites(trip: Trip, choices: Sequence[Choice]) -> None:
    old = {row.site_id: row for row in trip.trip_sites.select_for_update()}
    chosen = {choice.site.pk for choice in choices}
    worked = {
        *trip.pans.values_list("spot__site_id", flat=True),
        *trip.runs.values_list("spot__site_id", flat=True),
        *trip.hours.exclude(site=None).values_list("site_id", flat=True),
    }
    kept = [row for pk, row in old.items() if pk not in chosen and pk in worked]
    # Ranks are unique, so the rows first step aside.
    for aside, row in enumerate(old.values(), start=1000):
        if row.site_id in chosen or row in kept:
            row.rank = aside
            row.save(update_fields=["rank"])
        else:
            row.delete()
    for rank, choice in enumerate(choices):
        row = old.get(choice.site.pk) or TripSite(trip=trip, site=choice.site)
        row.rank, row.trigger = rank, "" if rank == 0 else choice.trigger
        row.full_clean()
        row.save()
    for rank, row in enumerate(kept, start=len(choices)):
        row.rank = rank
        row.save(update_fields=["rank"])


def _store_people(trip: Trip, people: Sequence[Person]) -> None:
    wanted = {person.pk for person in people}
    trip.trip_people.exclude(person_id__in=wanted).delete()
    there = set(trip.trip_people.values_list("person_id", flat=True))
    for person in people:
        if person.pk not in there:
            TripPerson.objects.create(trip=trip, person=person)
