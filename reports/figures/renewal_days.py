"""Which trips count in a renewal record, and what was done on each day at each site?"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date

from reports.figures.attribution import time_weights
from reports.figures.facts import SitePart
from reports.figures.renewal_facts import Block, RenewalAsked, RenewalFacts, TripWork, Washed
from trips.calc.shares import largest_remainder
from trips.calc.words import Spoken, marked, say

WAY = ("drive", "walk")
WORK_WORDS = Spoken(
    {
        "test": marked("test pans"),
        "strip": marked("stripping"),
        "dig": marked("digging"),
        "run": marked("running the box"),
        "clean_up": marked("clean-up"),
        "fill_in": marked("filling in"),
    }
)


@dataclass(frozen=True)
class LeftOut:
    """A trip that isn't in the record, and why."""

    trip: TripWork
    why: str


@dataclass(frozen=True)
class Day:
    """One day at one site. None: nothing of the kind was noted."""

    day: date
    site_id: int
    trip_id: int
    persons: int | None
    minutes: int | None
    methods: tuple[str, ...]
    washed_ml: int | None


@dataclass
class _Noted:
    trip: TripWork
    blocks: list[Block] = field(default_factory=list)
    washed: list[Washed] = field(default_factory=list)


def sort_trips(
    trips: Sequence[TripWork], asked: RenewalAsked
) -> tuple[tuple[TripWork, ...], tuple[LeftOut, ...]]:
    """Trips that count, and those left out with the reason.

    A trip to the paper's sites counts when it is wrapped up and lies whole in the period.
    """
    counted, left_out = [], []
    for trip in trips:
        why = _why_not(trip, asked)
        went = any(site in trip.visited for site in trip.covered)
        if why:
            left_out.append(LeftOut(trip, why))
        elif went:
            counted.append(trip)
        elif trip.unsaid:
            left_out.append(LeftOut(trip, say("Nobody has said whether the site was visited.")))
    return tuple(counted), tuple(left_out)


def _why_not(trip: TripWork, asked: RenewalAsked) -> str:
    if trip.is_wrapped_up and not (trip.unsaid or set(trip.covered) & set(trip.visited)):
        return ""
    if not trip.is_wrapped_up:
        return say("It is {state}, not wrapped up.", state=trip.state)
    if trip.ends_on > asked.as_of:
        return say("It ends after the day this record is told for.")
    if trip.starts_on < asked.first or trip.ends_on > asked.last:
        return say("It reaches beyond the period: choose a longer period to have it in.")
    return ""


def days(facts: RenewalFacts, counted: Sequence[TripWork]) -> tuple[Day, ...]:
    """Every day on each of the paper's sites, in order, with person minutes of work.

    A visit of which nothing was noted stands on the trip's first day with unknowns.
    """
    covered = {site for site, _ in facts.paper.sites}
    by_id = {trip.trip_id: trip for trip in counted}
    found: dict[tuple[date, int, int], _Noted] = {}

    def noted(day: date, site_id: int, trip: TripWork) -> _Noted:
        return found.setdefault((day, site_id, trip.trip_id), _Noted(trip))

    for block in facts.blocks:
        trip = by_id.get(block.trip_id)
        site_id = None if trip is None else site_of(block, trip)
        if trip is not None and site_id in covered and block.activity not in WAY:
            noted(block.day, site_id, trip).blocks.append(block)
    for each in facts.washed:
        trip = by_id.get(each.trip_id)
        if trip is not None and each.site_id in covered:
            noted(each.day, each.site_id, trip).washed.append(each)
    seen = {(trip_id, site_id) for _, site_id, trip_id in found}
    for trip in counted:
        for site_id in trip.visited:
            if site_id in covered and (trip.trip_id, site_id) not in seen:
                noted(trip.starts_on, site_id, trip)
    gear = {each.gear_id: each.name for each in facts.gear}
    return tuple(
        _day(day, site_id, one, gear) for (day, site_id, _), one in sorted(found.items(), key=_key)
    )


def _key(item: tuple[tuple[date, int, int], _Noted]) -> tuple[date, int, int]:
    return item[0]


def site_of(block: Block, trip: TripWork) -> int | None:
    """Where a block was worked: its own site, or the only one visited; None if not noted."""
    if block.site_id is not None:
        return block.site_id
    return trip.visited[0] if len(trip.visited) == 1 else None


def person_minutes(block: Block, trip: TripWork) -> int:
    """Minutes of everybody in a block; one person when nobody is named."""
    return block.minutes * (1 if block.person_id is not None else max(1, len(trip.people)))


def _day(day: date, site_id: int, one: _Noted, gear: dict[int, str]) -> Day:
    everybody = [block for block in one.blocks if block.person_id is None]
    persons = {block.person_id for block in one.blocks if block.person_id is not None}
    if everybody or not one.blocks:
        persons |= set(one.trip.people)
    work = [block for block in one.blocks if block.activity in WORK_WORDS]
    runs = [each for each in one.washed if each.is_run]
    known = [run.volume_ml for run in runs if run.volume_ml is not None]
    return Day(
        day=day,
        site_id=site_id,
        trip_id=one.trip.trip_id,
        persons=len(persons) or None,
        minutes=sum(person_minutes(block, one.trip) for block in work) if one.blocks else None,
        methods=_methods(one, work, gear),
        washed_ml=sum(known) if known or not runs else None,
    )


def _methods(one: _Noted, work: Sequence[Block], gear: dict[int, str]) -> tuple[str, ...]:
    boxes = [
        gear.get(each.gear_id, say("box not noted"))
        if each.gear_id is not None
        else say("box not noted")
        for each in one.washed
        if each.is_run
    ]
    pans = [say("test pans")] if any(not each.is_run for each in one.washed) else []
    doing = [
        words
        for activity, words in WORK_WORDS.items()
        if any(block.activity == activity for block in work)
        and activity != "run"  # the box itself is named
    ]
    return tuple(dict.fromkeys([*boxes, *pans, *doing]))


def share_here(trip: TripWork, blocks: Sequence[Block], covered: set[int], amount: int) -> int:
    """The part of a trip's cost that falls on the paper's sites, in whole minor units.

    Costs follow the minutes on the ground at each site visited, evenly if none are noted.
    """
    minutes = dict.fromkeys(trip.visited, 0)
    for block in blocks:
        if block.trip_id == trip.trip_id and block.activity not in WAY:
            site_id = site_of(block, trip)
            if site_id in minutes:
                minutes[site_id] += person_minutes(block, trip)
    parts = [SitePart(site_id, spent, None) for site_id, spent in minutes.items()]
    shares = largest_remainder(amount, time_weights(parts))
    return sum(share for part, share in zip(parts, shares, strict=True) if part.site_id in covered)
