"""Write what happened at the creek: test pans, runs, hours and costs of one trip.

Each function stores one fact, notes its site as visited and rebuilds the trip's figures, all in
one transaction. Every refusal is a ValidationError keyed by the field it is about.
"""

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Max
from django.utils.translation import gettext

from claims.models import Site, Spot
from claims.web.show import day as day_words
from claims.web.show import minutes as minutes_words
from trips.calc.words import say
from trips.models import Cost, HoursBlock, Run, TestPan, Trip
from trips.services import derive
from trips.services.trips import visit

DAY_MINUTES = 24 * 60


@dataclass(frozen=True)
class Place:
    """Where gravel was tried: a known spot, or the name of a new one at a site."""

    spot: Spot | None = None
    site: Site | None = None
    new_name: str = ""


def pick_spot(place: Place) -> Spot:
    """The spot meant: a known one, one of that name at the site, or a new one."""
    if place.spot is not None:
        return place.spot
    if place.site is None or not place.new_name:
        raise ValidationError(
            {"spot": gettext("Choose a spot, or give a new one a name and a site.")}
        )
    known = place.site.spots.filter(name__iexact=place.new_name).first()
    if known is not None:
        return known
    spot = Spot(site=place.site, name=place.new_name)
    spot.full_clean()
    spot.save()
    return spot


@transaction.atomic
def save_pan(*, trip: Trip, pan: TestPan, place: Place) -> TestPan:
    """Store one test pan. Raises: ValidationError, see `check_day` and the model."""
    return store_washed(trip=trip, record=pan, place=place)


@transaction.atomic
def save_run(*, trip: Trip, run: Run, place: Place) -> Run:
    """Store what went through the box between two clean-ups. Raises: ValidationError."""
    if run.gear is not None and run.gear.party_id != trip.party_id:
        raise ValidationError({"gear": gettext("This gear isn't in this record.")})
    return store_washed(trip=trip, record=run, place=place)


@transaction.atomic
def save_hours(*, trip: Trip, block: HoursBlock) -> HoursBlock:
    """Store a block of hours. Raises: ValidationError when a day would get more than 24 h."""
    store_hours(trip=trip, block=block)
    check_hours(trip=trip)
    derive.rebuild_trip(trip.pk)
    return block


@transaction.atomic
def save_cost(*, trip: Trip, cost: Cost) -> Cost:
    """Store money paid or planned. Raises: ValidationError for another currency or payer."""
    store_cost(trip=trip, cost=cost)
    derive.rebuild_trip(trip.pk)
    return cost


@transaction.atomic
def delete_record(*, record: TestPan | Run | HoursBlock | Cost) -> None:
    """Delete one fact of a trip and rebuild what rested on it."""
    trip_id = record.trip_id
    record.delete()
    derive.rebuild_trip(trip_id)


def store_washed(*, trip: Trip, record: TestPan | Run, place: Place, rebuild: bool = True):
    """Store a pan or run without a transaction of its own."""
    check_open(trip)
    check_day(trip, record.day)
    spot = pick_spot(place)
    if spot.site.party_id != trip.party_id:
        raise ValidationError({"spot": gettext("This spot isn't in this record.")})
    record.trip, record.party, record.spot = trip, trip.party, spot
    if not record.sequence:
        rows = type(record).objects.filter(trip=trip)
        record.sequence = (rows.aggregate(last=Max("sequence"))["last"] or 0) + 1
    record.full_clean()
    record.save()
    visit(trip=trip, site=spot.site)
    if rebuild:
        derive.rebuild_trip(trip.pk)
    return record


def store_hours(*, trip: Trip, block: HoursBlock) -> HoursBlock:
    """Store a block without summing up its day: call `check_hours` after the last one."""
    check_open(trip)
    check_day(trip, block.day)
    for row, field in ((block.person, "person"), (block.site, "site")):
        if row is not None and row.party_id != trip.party_id:
            raise ValidationError({field: gettext("{row} isn't in this record.").format(row=row)})
    block.trip, block.party = trip, trip.party
    block.full_clean()
    block.save()
    if block.site is not None:
        visit(trip=trip, site=block.site)
    return block


def store_cost(*, trip: Trip, cost: Cost) -> Cost:
    """Store a cost without rebuilding."""
    check_open(trip)
    cost.currency = cost.currency or trip.party.currency
    if cost.currency != trip.party.currency:
        raise ValidationError(
            {
                "amount_minor": gettext(
                    "This record counts in {currency}, not in {currency_2}."
                ).format(currency=trip.party.currency, currency_2=cost.currency)
            }
        )
    if cost.paid_by is not None and cost.paid_by.party_id != trip.party_id:
        raise ValidationError(
            {"paid_by": gettext("{paid_by} isn't in this record.").format(paid_by=cost.paid_by)}
        )
    cost.trip, cost.party = trip, trip.party
    cost.full_clean()
    cost.save()
    return cost


def check_open(trip: Trip) -> None:
    """Refuse records on a trip that was called off."""
    if trip.state == Trip.State.CALLED_OFF:
        raise ValidationError(
            gettext("This trip was called off. Reopen it before noting what happened.")
        )


def check_day(trip: Trip, day: dt.date) -> None:
    """Refuse a day outside the trip."""
    if trip.starts_on <= day <= trip.ends_on:
        return
    span = day_words(trip.starts_on)
    if trip.ends_on != trip.starts_on:
        span = say("{span} to {ends_on}", span=span, ends_on=day_words(trip.ends_on))
    raise ValidationError(
        {
            "day": gettext("The trip is on {span}; {day} is outside it.").format(
                span=span, day=day_words(day)
            )
        }
    )


def check_hours(*, trip: Trip) -> None:
    """Refuse more than 24 hours on one day for anybody, blocks for everybody included."""
    blocks = trip.hours.select_related("person").all()
    for day, name, total in day_sums(blocks):
        if total > DAY_MINUTES:
            raise ValidationError(
                {
                    "minutes": gettext(
                        "That makes {total} on {day} for {name}; a day has 24."
                    ).format(total=minutes_words(total), day=day_words(day), name=name)
                }
            )


def day_sums(blocks: Iterable[HoursBlock]) -> list[tuple[dt.date, str, int]]:
    """(day, who, minutes), with what everybody did counted for each person too."""
    common: dict[dt.date, int] = defaultdict(int)
    own: dict[tuple[dt.date, str], int] = defaultdict(int)
    for block in blocks:
        if block.person is None:
            common[block.day] += block.minutes
        else:
            own[block.day, block.person.name] += block.minutes
    sums = [(day, "everybody", total) for day, total in common.items()]
    sums += [(day, name, total + common[day]) for (day, name), total in own.items()]
    return sorted(sums)
