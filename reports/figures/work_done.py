"""How much of the work that a duty asks for does the record show, day by day?

Only trips that are wrapped up count, and only what was noted at the sites asked for. What is not
known is said, never guessed; a sum of which nothing is known is None, not zero.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date

from claims.rules.work import WorkAsked, WorkFound, WorkLine
from reports.figures.renewal_days import WAY, WORK_WORDS, person_minutes, share_here, site_of
from reports.figures.renewal_facts import RenewalFacts, TripWork
from reports.figures.season import KIND_WORDS
from reports.figures.words import listed
from trips.calc.words import say

MOST_NAMED = 6


@dataclass
class _Day:
    """What was noted of one trip on one day at the sites asked for."""

    trip: TripWork
    minutes: int = 0
    hours_noted: bool = False
    volume_ml: int = 0
    volume_known: bool = False
    runs: int = 0
    runs_silent: int = 0
    doing: dict[str, None] = field(default_factory=dict)


def work_done(facts: RenewalFacts, asked: WorkAsked, as_of: date) -> WorkFound:
    """The work of one duty, in the unit of its measure, with a line for each day of evidence.

    Args: facts: trips, hours, runs and holes at least of the sites and days asked for.
    """
    last = min(asked.last, as_of)
    sites = {site for site, _ in facts.paper.sites}
    if asked.sites is not None:
        sites &= asked.sites
    trips = {
        trip.trip_id: trip
        for trip in facts.trips
        if trip.starts_on <= last
        and trip.ends_on >= asked.first
        and not trip.is_called_off
        and sites & {*trip.visited, *trip.covered}
    }
    notes = []
    open_trips = [trip.name for trip in trips.values() if not trip.is_wrapped_up]
    if open_trips:
        notes.append(
            say(
                "Not counted, because not wrapped up: {open_trips}.",
                open_trips=listed(open_trips, MOST_NAMED),
            )
        )
    counted = {pk: trip for pk, trip in trips.items() if trip.is_wrapped_up}
    if asked.measure in ("ground", "length"):
        done, lines, more = _holes(facts, asked, sites, last)
    else:
        days = _days(facts, counted, sites, asked.first, last)
        done, lines, more = _work(facts, asked, counted, sites, days, last)
    ordered = tuple(sorted(lines, key=lambda line: (line.day, line.trip_id or 0)))
    return WorkFound(done, ordered, (*notes, *more))


def _days(
    facts: RenewalFacts, counted: dict[int, TripWork], sites: set[int], first: date, last: date
) -> dict[tuple[date, int], _Day]:
    found: dict[tuple[date, int], _Day] = {}
    for block in facts.blocks:
        trip = counted.get(block.trip_id)
        if trip is None or not first <= block.day <= last or block.activity in WAY:
            continue
        if site_of(block, trip) not in sites:
            continue
        row = found.setdefault((block.day, block.trip_id), _Day(trip))
        row.hours_noted = True
        if block.activity in WORK_WORDS:
            row.minutes += person_minutes(block, trip)
            row.doing[WORK_WORDS[block.activity]] = None
    for each in facts.washed:
        trip = counted.get(each.trip_id)
        if trip is None or not first <= each.day <= last or each.site_id not in sites:
            continue
        row = found.setdefault((each.day, each.trip_id), _Day(trip))
        row.doing[say("running the box") if each.is_run else say("test pans")] = None
        if each.is_run:
            row.runs += 1
            if each.volume_ml is None:
                row.runs_silent += 1
            else:
                row.volume_ml += each.volume_ml
                row.volume_known = True
    return found


def _work(
    facts: RenewalFacts,
    asked: WorkAsked,
    counted: dict[int, TripWork],
    sites: set[int],
    days: dict[tuple[date, int], _Day],
    last: date,
) -> tuple[int | None, list[WorkLine], list[str]]:
    if asked.measure == "hours":
        return _hours(counted, sites, days)
    if asked.measure == "days":
        seen: dict[date, WorkLine] = {}
        for (day, trip_id), row in days.items():
            seen.setdefault(day, WorkLine(day, _words(row), 1, trip_id))
        return len(seen), list(seen.values()), _visits_unseen(counted, sites, days)
    if asked.measure == "volume":
        return _volume(days)
    return _money(facts, asked, counted, sites, days, last)


def _hours(
    counted: dict[int, TripWork], sites: set[int], days: dict[tuple[date, int], _Day]
) -> tuple[int | None, list[WorkLine], list[str]]:
    lines = [
        WorkLine(day, _words(row), row.minutes, trip_id)
        for (day, trip_id), row in days.items()
        if row.minutes
    ]
    silent = sorted({row.trip.name for row in days.values() if not row.hours_noted})
    notes = _visits_unseen(counted, sites, days)
    if silent:
        notes.append(
            say("Work is noted, but no hours: {silent}.", silent=listed(silent, MOST_NAMED))
        )
    known = any(row.hours_noted for row in days.values())
    went = days or any(sites & {*trip.visited} for trip in counted.values())
    done = sum(line.amount for line in lines)
    return (done if known or not went else None), lines, notes


def _volume(
    days: dict[tuple[date, int], _Day],
) -> tuple[int | None, list[WorkLine], list[str]]:
    lines = [
        WorkLine(day, _words(row), row.volume_ml, trip_id)
        for (day, trip_id), row in days.items()
        if row.volume_known
    ]
    runs = sum(row.runs for row in days.values())
    silent = sum(row.runs_silent for row in days.values())
    notes = [
        say(
            "{silent} of {runs} box runs have no volume, so it is at least this.",
            silent=silent,
            runs=runs,
        )
    ]
    done = sum(line.amount for line in lines)
    return (done if lines or not runs else None), lines, notes if silent else []


def _holes(
    facts: RenewalFacts, asked: WorkAsked, sites: set[int], last: date
) -> tuple[int | None, list[WorkLine], list[str]]:
    here = [
        hole
        for hole in facts.holes
        if hole.site_id in sites and asked.first <= hole.opened_on <= last
    ]
    lines, silent = [], 0
    for hole in here:
        sides = (hole.length_mm, hole.width_mm, hole.depth_mm)
        amount = hole.length_mm
        if asked.measure == "ground":
            amount = None
            if None not in sides:
                amount = (sides[0] or 0) * (sides[1] or 0) * (sides[2] or 0) // 1000
        if amount is None:
            silent += 1
            continue
        where = hole.spot or facts.site_names[hole.site_id]
        lines.append(WorkLine(hole.opened_on, say("hole at {where}", where=where), amount, None))
    notes = [
        say(
            "{silent} of {here} holes aren't measured, so it is at least this.",
            silent=silent,
            here=len(here),
        )
    ]
    done = sum(line.amount for line in lines)
    return (done if lines or not here else None), lines, notes if silent else []


def _money(
    facts: RenewalFacts,
    asked: WorkAsked,
    counted: dict[int, TripWork],
    sites: set[int],
    days: dict[tuple[date, int], _Day],
    last: date,
) -> tuple[int | None, list[WorkLine], list[str]]:
    lines: list[WorkLine] = []
    unknown = worked_out = 0
    for trip in counted.values():
        if not asked.first <= trip.ends_on <= last:
            continue
        for cost in trip.costs:
            if cost.layer == "wear" or cost.kind == "fee":
                continue
            if cost.estimated:
                worked_out += 1
            elif cost.amount_minor is None:
                unknown += 1
            else:
                amount = share_here(trip, facts.blocks, sites, cost.amount_minor)
                words = f"{trip.name}: {KIND_WORDS[cost.kind].lower()}"
                lines.append(WorkLine(trip.ends_on, words, amount, trip.trip_id))
    notes = [say("Money on receipts; fees of papers, wear and what was worked out are not in it.")]
    if worked_out:
        notes.append(
            say(
                "{worked_out} lines were worked out, not paid on a receipt: left out.",
                worked_out=worked_out,
            )
        )
    if unknown:
        notes.append(
            say("{unknown} lines have no amount, so it is at least this.", unknown=unknown)
        )
    if asked.hour_value_minor is not None:
        for (day, trip_id), row in days.items():
            if row.minutes:
                # Rounded down: rather too little than too much in front of an office.
                amount = row.minutes * asked.hour_value_minor // 60
                words = say("{row}, valued by the hour", row=_words(row))
                lines.append(WorkLine(day, words, amount, trip_id))
    return sum(line.amount for line in lines), lines, notes


def _visits_unseen(
    counted: dict[int, TripWork], sites: set[int], days: dict[tuple[date, int], _Day]
) -> list[str]:
    """Trips that went there without anything noted of the work."""
    seen = {trip_id for _, trip_id in days}
    bare = [trip.name for pk, trip in counted.items() if pk not in seen and sites & {*trip.visited}]
    if not bare:
        return []
    return [
        say(
            "Visited, but nothing of the work is noted there: {bare}.",
            bare=listed(bare, MOST_NAMED),
        )
    ]


def _words(row: _Day) -> str:
    doing: Sequence[str] = tuple(row.doing)
    return f"{row.trip.name}: {', '.join(doing)}" if doing else row.trip.name
