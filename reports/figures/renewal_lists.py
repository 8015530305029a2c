"""The tables of a renewal record beside the work: gold, holes, outlay, incidents, left out."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import ROUND_HALF_EVEN, Decimal

from reports.figures.renewal_days import LeftOut, share_here
from reports.figures.renewal_facts import HoleSize, RenewalAsked, RenewalFacts, TripWork
from reports.figures.renewal_gold import Gold
from reports.figures.renewal_parts import Part, mass, mass_label
from reports.figures.report import Column, cell_text
from reports.figures.season import KIND_WORDS
from trips.calc.money import from_minor
from trips.calc.units import from_base, unit
from trips.calc.words import say, several

MM3_PER_M3 = 1_000_000_000


@dataclass(frozen=True)
class HoleLine:
    """A hole that was open at some time in the period; `is_open` at its end."""

    hole: HoleSize
    is_open: bool

    def was_filled(self, asked: RenewalAsked) -> bool:
        """Whether it was filled in the period."""
        filled = self.hole.filled_on
        return not self.is_open and filled is not None and filled >= asked.first


def state_day(asked: RenewalAsked) -> date:
    """The day at whose end holes are called open: the period's last, or the day it is told for."""
    return min(asked.last, asked.as_of)


def holes_in(facts: RenewalFacts, asked: RenewalAsked) -> tuple[HoleLine, ...]:
    """Holes at the paper's sites that were open on a day of the period, oldest first."""
    end = state_day(asked)
    lines = [
        HoleLine(hole, hole.filled_on is None or hole.filled_on > end)
        for hole in facts.holes
        if hole.opened_on <= end and (hole.filled_on is None or hole.filled_on >= asked.first)
    ]
    return tuple(sorted(lines, key=lambda line: line.hole.opened_on))


def gold_part(
    facts: RenewalFacts, asked: RenewalAsked, counted: Sequence[TripWork], gold: Gold
) -> Part:
    """Every weigh-in, with the part of it that is of the paper's sites."""
    names = {trip.trip_id: trip.name for trip in counted}
    label = mass_label(asked)
    rows: list[tuple[object, ...]] = [
        (
            line.weighed.day,
            names[line.weighed.trip_id],
            mass(line.weighed.net_ug, asked),
            _step_mg(line.weighed.resolution_ug),
            None if line.here_ug is None else mass(line.here_ug, asked),
            line.basis,
        )
        for line in gold.lines
    ]
    if gold.alone:
        alone = mass(gold.alone_ug, asked)
        rows.append(("", say("Pans weighed alone"), alone, "", alone, say("as weighed")))
    return Part(
        key="gold",
        title=say("Gold weighed"),
        columns=(
            Column("day", say("Weighed on")),
            Column("trip", say("Trip")),
            Column("net", say("Net weight"), label, "right"),
            Column("step", say("Scale's step"), "mg", "right"),
            Column("here", say("Of these sites"), label, "right"),
            Column("basis", say("How that is known")),
        ),
        rows=tuple(rows),
        totals=(say("Sum"), "", "", "", mass(gold.known_ug, asked), "")
        if gold.known_ug is not None
        else (),
        empty=say("Nothing has been weighed from these sites in this period."),
        notes=(say("Raw gold as weighed, not fine gold."),) if rows else (),
    )


def holes_part(facts: RenewalFacts, asked: RenewalAsked, holes: Sequence[HoleLine]) -> Part:
    """Holes that were open in the period, with size, due day and what became of them."""
    said = [line.hole for line in holes]
    rows = [
        (
            facts.site_names[line.hole.site_id],
            line.hole.spot,
            line.hole.opened_on,
            line.hole.fill_by or say("no day said"),
            "open" if line.hole.filled_on is None else line.hole.filled_on,
            _metres(line.hole.length_mm),
            _metres(line.hole.width_mm),
            _metres(line.hole.depth_mm),
            _cubic_metres(line.hole),
            _hole_state(line, state_day(asked)),
        )
        for line in holes
    ]
    return Part(
        key="holes",
        title=say("Holes"),
        columns=(
            Column("site", say("Site")),
            Column("spot", say("Spot")),
            Column("opened", say("Opened")),
            Column("fill-by", say("Fill by")),
            Column("filled", say("Filled")),
            Column("length", say("Length"), "m", "right"),
            Column("width", say("Width"), "m", "right"),
            Column("depth", say("Depth"), "m", "right"),
            Column("volume", say("As a box"), "m³", "right"),
            Column("state", say("On {asked}", asked=cell_text(state_day(asked)))),
        ),
        rows=tuple(rows),
        empty=say("No hole is noted at these sites in this period."),
        notes=tuple(
            dict.fromkeys(
                say("Fill {fill_words}.", fill_words=hole.fill_words)
                for hole in said
                if hole.fill_words
            )
        ),
    )


def _hole_state(line: HoleLine, day: date) -> str:
    late = line.hole.days_late(day)
    state = say("still open") if line.is_open else say("filled")
    return (
        several("{state}, {n} day late", "{state}, {n} days late", late, state=state)
        if late
        else state
    )


def outlay_part(facts: RenewalFacts, asked: RenewalAsked, counted: Sequence[TripWork]) -> Part:
    """Outlay on the trips counted, by kind; the part of it that falls on the paper's sites."""
    covered = {site for site, _ in facts.paper.sites}
    rows: list[tuple[object, ...]] = []
    whole = whole_estimated = 0
    for kind, words in KIND_WORDS.items():
        lines = [
            (trip, line)
            for trip in counted
            for line in trip.costs
            if line.layer != "wear" and line.kind == kind
        ]
        if not lines:
            continue
        known = [
            (share_here(trip, facts.blocks, covered, line.amount_minor), line.estimated)
            for trip, line in lines
            if line.amount_minor is not None
        ]
        amount = sum(minor for minor, _ in known)
        estimated = sum(minor for minor, worked_out in known if worked_out)
        whole, whole_estimated = whole + amount, whole_estimated + estimated
        rows.append(
            (
                words,
                from_minor(amount, asked.currency) if known else None,
                from_minor(estimated, asked.currency) if known else None,
                len(lines) - len(known),
            )
        )
    return Part(
        key="outlay",
        title=say("Outlay, by kind"),
        columns=(
            Column("kind", say("Kind")),
            Column("amount", say("Amount"), asked.currency, "right"),
            Column("estimated", say("Of it worked out"), asked.currency, "right"),
            Column("unknown", say("Lines without an amount"), align="right"),
        ),
        rows=tuple(rows),
        totals=(
            say("Sum"),
            from_minor(whole, asked.currency),
            from_minor(whole_estimated, asked.currency),
            sum(int(str(row[3])) for row in rows),
        )
        if rows
        else (),
        empty=say("No outlay is noted on these trips."),
        notes=(say("Wear of car and gear is not in it."),) if rows else (),
    )


def incidents_part(counted: Sequence[TripWork]) -> Part:
    """What the party noted under incidents."""
    return Part(
        key="incidents",
        title=say("Incidents"),
        columns=(
            Column("day", say("Trip began")),
            Column("trip", say("Trip")),
            Column("words", say("Noted")),
        ),
        rows=tuple(
            (trip.starts_on, trip.name, trip.incidents) for trip in counted if trip.incidents
        ),
        empty=say("No incident is noted. That is not the same as none."),
    )


def left_out_part(left_out: Sequence[LeftOut]) -> Part:
    """Trips to these sites that are not in the record, and why."""
    return Part(
        key="left-out",
        title=say("Trips left out"),
        columns=(
            Column("first", say("From")),
            Column("last", say("To")),
            Column("trip", say("Trip")),
            Column("why", say("Why it is not in this record")),
        ),
        rows=tuple(
            (each.trip.starts_on, each.trip.ends_on, each.trip.name, each.why) for each in left_out
        ),
        empty=say("None."),
    )


def _step_mg(resolution_ug: int) -> Decimal:
    # `normalize` alone would write ten as 1E+1.
    return Decimal(f"{from_base(resolution_ug, unit('mass', 'mg')).normalize():f}")


def _metres(length_mm: int | None) -> Decimal | None:
    return None if length_mm is None else from_base(length_mm, unit("length", "m"), 2)


def _cubic_metres(hole: HoleSize) -> Decimal | None:
    if hole.length_mm is None or hole.width_mm is None or hole.depth_mm is None:
        return None
    exact = Decimal(hole.length_mm * hole.width_mm * hole.depth_mm) / MM3_PER_M3
    return exact.quantize(Decimal("0.01"), ROUND_HALF_EVEN)
