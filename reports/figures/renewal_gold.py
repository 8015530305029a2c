"""Which weighed gold came from the sites of a paper? Parts of a weigh-in add up to it exactly."""

from collections.abc import Sequence
from dataclasses import dataclass

from reports.figures.renewal_facts import RenewalFacts, TripWork, Weighed
from trips.calc.words import say, several


@dataclass(frozen=True)
class WeighLine:
    """A weigh-in and how much of it is of the paper's sites; None where that can't be told."""

    weighed: Weighed
    here_ug: int | None
    basis: str


@dataclass(frozen=True)
class Gold:
    """Micrograms from the paper's sites: by site, not placed at one site, and by weigh-in.

    `alone_ug` is of pans weighed by themselves; it is in `by_site` too. `known_ug` is None when
    nothing was weighed at all.
    """

    lines: tuple[WeighLine, ...]
    by_site: dict[int, int]
    unplaced_ug: int
    alone_ug: int
    alone: int
    known_ug: int | None
    note: str


def gold_here(facts: RenewalFacts, counted: Sequence[TripWork]) -> Gold:
    """Gold weighed from the paper's sites on the trips counted, in micrograms."""
    covered = {site for site, _ in facts.paper.sites}
    trips = {trip.trip_id: trip for trip in counted}
    washed = [each for each in facts.washed if each.trip_id in trips]
    by_site: dict[int, int] = {}
    unplaced, lines = 0, []
    for weighed in facts.weighed:
        trip = trips.get(weighed.trip_id)
        if trip is None:
            continue
        if weighed.is_divided:
            here = 0
            for each in washed:
                if each.weigh_in_id == weighed.weigh_in_id and each.site_id in covered:
                    here += each.mass_ug or 0
                    by_site[each.site_id] = by_site.get(each.site_id, 0) + (each.mass_ug or 0)
            lines.append(WeighLine(weighed, here, _divided(weighed, here)))
        elif set(trip.visited) <= covered:
            lines.append(
                WeighLine(weighed, weighed.net_ug, say("whole: the trip went nowhere else"))
            )
            if len(trip.visited) == 1:
                site_id = trip.visited[0]
                by_site[site_id] = by_site.get(site_id, 0) + weighed.net_ug
            else:
                unplaced += weighed.net_ug
        else:
            lines.append(
                WeighLine(weighed, None, say("not known: the trip went to other sites, too"))
            )
    alone = [
        each
        for each in washed
        if each.weigh_in_id is None and each.mass_ug is not None and each.site_id in covered
    ]
    for each in alone:
        by_site[each.site_id] = by_site.get(each.site_id, 0) + (each.mass_ug or 0)
    known = [line.here_ug for line in lines if line.here_ug is not None]
    unclear = len(lines) - len(known)
    total = sum(known) + sum(each.mass_ug or 0 for each in alone)
    return Gold(
        lines=tuple(lines),
        by_site=by_site,
        unplaced_ug=unplaced,
        alone_ug=sum(each.mass_ug or 0 for each in alone),
        alone=len(alone),
        known_ug=total if known or alone else None,
        note=_note(len(lines), len(alone), unclear),
    )


def _divided(weighed: Weighed, here_ug: int) -> str:
    if here_ug == weighed.net_ug:
        return say("whole: all its runs and pans are of these sites")
    return say("worked out from its runs and pans at these sites")


def _note(weigh_ins: int, alone: int, unclear: int) -> str:
    if not weigh_ins and not alone:
        return say("nothing has been weighed")
    said = several("raw, {n} weigh-in", "raw, {n} weigh-ins", weigh_ins)
    if alone:
        said += several(", {n} pan weighed alone", ", {n} pans weighed alone", alone)
    return (
        say("at least; {said}, {unclear} can't be placed", said=said, unclear=unclear)
        if unclear
        else said
    )
