"""What is missing from a renewal record, said plainly."""

from collections.abc import Iterable, Sequence
from datetime import date

from reports.figures.renewal_days import WAY, Day, LeftOut, site_of
from reports.figures.renewal_facts import RenewalAsked, RenewalFacts, TripWork
from reports.figures.renewal_gold import Gold
from reports.figures.renewal_lists import holes_in
from reports.figures.report import cell_text
from reports.figures.words import listed
from trips.calc.words import say, several

MOST = 8


def gaps(
    facts: RenewalFacts,
    asked: RenewalAsked,
    counted: Sequence[TripWork],
    left_out: Sequence[LeftOut],
    on_site: Sequence[Day],
    gold: Gold,
) -> tuple[str, ...]:
    """Sentences on everything that an officer might expect and won't find."""
    return (
        *_of_paper(facts, asked, on_site),
        *_of_trips(facts, counted, left_out, on_site),
        *_of_work(facts, counted, on_site),
        *_of_gold(facts, counted, gold),
        *_of_holes(facts, asked),
        *_of_incidents(counted),
    )


def _of_paper(facts: RenewalFacts, asked: RenewalAsked, on_site: Sequence[Day]) -> Iterable[str]:
    paper = facts.paper
    fields = (
        ("number", paper.number),
        ("holder", paper.holder),
        ("issuer", paper.issuer),
        (say("day of issue"), paper.issued_on),
        (say("last day"), paper.expires_on),
        ("conditions", paper.conditions),
    )
    empty = [name for name, value in fields if not value]
    if empty:
        yield say("Not noted of the paper: {empty}.", empty=listed(empty))
    if not paper.sites:
        yield say("No site is noted under this paper, so no day, hole or gold can be listed.")
    outside = [
        day.day
        for day in on_site
        if (paper.issued_on and day.day < paper.issued_on)
        or (paper.expires_on and day.day > paper.expires_on)
    ]
    if outside:
        yield say("Listed, but outside the paper's term: {outside}.", outside=_days(outside))
    if asked.last > asked.as_of:
        yield (
            say(
                "The period ends after {as_of}, the day this record is told for: "
                "what comes later can't be in it.",
                as_of=cell_text(asked.as_of),
            )
        )


def _of_trips(
    facts: RenewalFacts,
    counted: Sequence[TripWork],
    left_out: Sequence[LeftOut],
    on_site: Sequence[Day],
) -> Iterable[str]:
    if left_out:
        yield (
            several(
                "{n} trip to these sites left out, listed with the reason in the last table.",
                "{n} trips to these sites left out, listed with the reason in the last table.",
                len(left_out),
            )
        )
    if facts.paper.sites and not counted:
        yield say("No trip to these sites that is wrapped up lies in the period.")
    unsaid = [trip.name for trip in counted if trip.unsaid]
    if unsaid:
        yield say(
            "Not said of every site whether it was visited: {unsaid}.", unsaid=listed(unsaid, MOST)
        )
    bare = [day.day for day in on_site if day.minutes is None and not day.methods]
    if bare:
        yield (
            say(
                "A visit is noted, but not what was done or for how long; it "
                "stands on the trip's first day: {bare}.",
                bare=_days(bare),
            )
        )
    nameless = [trip.name for trip in counted if not trip.people]
    if nameless:
        yield say(
            "Nobody is named; the hours count for one person: {nameless}.",
            nameless=listed(nameless, MOST),
        )


def _of_work(
    facts: RenewalFacts, counted: Sequence[TripWork], on_site: Sequence[Day]
) -> Iterable[str]:
    silent = [day.day for day in on_site if day.minutes is None and day.methods]
    if silent:
        yield say("Work is noted but no hours: {silent}.", silent=_days(silent))
    trips = {trip.trip_id: trip for trip in counted}
    nowhere = sorted(
        {
            trip.name
            for block in facts.blocks
            if (trip := trips.get(block.trip_id)) is not None
            and block.activity not in WAY
            and site_of(block, trip) is None
        }
    )
    if nowhere:
        yield (
            say(
                "Some hours name no site on a trip to several; they are not in "
                "this record: {nowhere}.",
                nowhere=listed(nowhere, MOST),
            )
        )
    sites = {site for site, _ in facts.paper.sites}
    runs = [r for r in facts.washed if r.is_run and r.trip_id in trips and r.site_id in sites]
    no_volume = [run.day for run in runs if run.volume_ml is None]
    if no_volume:
        yield several(
            "{n} run without a volume: {days}.",
            "{n} runs without a volume: {days}.",
            len(no_volume),
            days=_days(no_volume),
        )
    no_gear = [run.day for run in runs if run.gear_id is None]
    if no_gear:
        yield several(
            "{n} run for which no box is noted: {days}.",
            "{n} runs for which no box is noted: {days}.",
            len(no_gear),
            days=_days(no_gear),
        )


def _of_gold(facts: RenewalFacts, counted: Sequence[TripWork], gold: Gold) -> Iterable[str]:
    trips = {trip.trip_id for trip in counted}
    sites = {site for site, _ in facts.paper.sites}
    loose = [
        each
        for each in facts.washed
        if each.trip_id in trips
        and each.site_id in sites
        and each.weigh_in_id is None
        and each.mass_ug is None
        and not each.shows_nothing
    ]
    runs = [each.day for each in loose if each.is_run]
    if runs:
        yield several(
            "{n} run not weighed: {days}.",
            "{n} runs not weighed: {days}.",
            len(runs),
            days=_days(runs),
        )
    if len(loose) > len(runs):
        yield (
            several(
                "{n} test pan not weighed; gold seen in them is not in the sum.",
                "{n} test pans not weighed; gold seen in them is not in the sum.",
                len(loose) - len(runs),
            )
        )
    unclear = [line.weighed.day for line in gold.lines if line.here_ug is None]
    if unclear:
        yield (
            several(
                "{n} weigh-in of trips to other sites, too, without runs or pans: how much is "
                "from here is not known: {days}.",
                "{n} weigh-ins of trips to other sites, too, without runs or pans: how much is "
                "from here is not known: {days}.",
                len(unclear),
                days=_days(unclear),
            )
        )


def _of_holes(facts: RenewalFacts, asked: RenewalAsked) -> Iterable[str]:
    holes = [line.hole for line in holes_in(facts, asked)]
    unsized = [
        hole.opened_on for hole in holes if None in (hole.length_mm, hole.width_mm, hole.depth_mm)
    ]
    if unsized:
        yield several(
            "{n} hole without full size, opened {days}.",
            "{n} holes without full size, opened {days}.",
            len(unsized),
            days=_days(unsized),
        )
    if not holes and facts.paper.sites:
        yield say("No hole is noted in the period. That is not the same as none dug.")


def _of_incidents(counted: Sequence[TripWork]) -> Iterable[str]:
    if counted and not any(trip.incidents for trip in counted):
        yield say("No incident is noted. That is not the same as none.")


def _days(days: Iterable[date]) -> str:
    return listed([cell_text(day) for day in sorted(set(days))], MOST)
