"""Everything noted about a paper's sites around a period: a constant number of queries."""

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import replace

from django.db.models import Model, Q

from claims.agenda import work_asked
from claims.duty_pages import amount_words
from claims.hole_rules import fill_dues
from claims.joined import at_once, joined
from claims.models import (
    ConditionMark,
    Duty,
    DutyDone,
    Hole,
    KeptFile,
    Paper,
    PaperCondition,
    Party,
)
from claims.rulebook import party_book
from claims.rules.repeats import due_days
from reports.figures import renewal_facts as facts
from reports.figures.facts import trip_name
from reports.figures.work_done import work_done
from trips.calc.words import say
from trips.models import Gear, Run, TestPan, Trip, TripSite
from trips.selectors.costing import cost_of, paper_trips, trips_for_costing
from trips.selectors.rates import car_rates

NOTHING = (0, 0, 0)


def renewal_facts(paper: Paper, first: dt.date, last: dt.date) -> facts.RenewalFacts:
    """Facts of trips that touch the period, both days included, and have to do with the sites."""
    papers = joined(paper.party.papers.all(), "sites")
    held = next(each for each in papers if each.pk == paper.pk)
    held.party = paper.party
    sites = tuple((site.pk, site.name) for site in held.sites.all())
    lines = joined(held.condition_lines.all(), "marks")
    duties = joined(held.duties.select_related("site"), "settled")
    holes = _holes(held.party, sites, last)
    _with_files(held, lines, duties, holes)
    found = facts_near(held.party, _paper(held, sites, lines), first, last, papers, holes)
    return replace(found, duties=duties_of(held, duties, found, first, last))


def facts_near(
    party: Party,
    words: facts.PaperWords,
    first: dt.date,
    last: dt.date,
    papers: Sequence[Paper] = (),
    holes: Sequence[Hole] | None = None,
) -> facts.RenewalFacts:
    """The same for any group of sites that `words` name.

    Args:
        papers: all of the party, with their sites; without them no fee is shared.
        holes: of these sites, with their files. Where they aren't given, only what work done
            rests on is fetched: sizes of holes without photos and due days, no names of gear.
    """
    sites, for_work = words.sites, holes is None
    covered = [pk for pk, _ in sites]
    near = Q(trip_sites__site__in=covered) | Q(hours__site__in=covered)
    near |= Q(runs__spot__site__in=covered) | Q(pans__spot__site__in=covered)
    trips = Trip.objects.filter(near, party=party, starts_on__lte=last, ends_on__gte=first)
    ids = list(trips.order_by("starts_on", "pk").distinct().values_list("pk", flat=True))
    loaded = {trip.pk: trip for trip in trips_for_costing(party, ids, with_spots=True)}
    made = [loaded[pk] for pk in ids]
    blocks = _blocks(made)
    runs, pans = _washed(made, "runs"), _washed(made, "pans")
    washed = (*(_of_run(run) for run in runs), *(_of_pan(pan) for pan in pans))
    return facts.RenewalFacts(
        paper=words,
        site_names=dict(sites),
        trips=_trips(party, made, covered, blocks, washed, papers),
        blocks=blocks,
        washed=washed,
        weighed=_weighed(made, (*runs, *pans)),
        gear=() if for_work else _gear(party),
        holes=tuple(_size(hole) for hole in _holes(party, sites, last))
        if for_work
        else _sizes(party, holes, papers),
    )


def _with_files(
    paper: Paper,
    lines: Iterable[PaperCondition],
    duties: Iterable[Duty],
    holes: Iterable[Hole],
) -> None:
    """Put the files at hand of a paper, marks, settled due days and holes; one query."""
    owners: dict[tuple[str, int], Model] = {("hole", hole.pk): hole for hole in holes}
    owners |= {("mark", mark.pk): mark for line in lines for mark in line.marks.all()}
    owners |= {("done", done.pk): done for duty in duties for done in duty.settled.all()}
    owners["paper", paper.pk] = paper
    found: dict[tuple[str, int], list[KeptFile]] = {key: [] for key in owners}
    branches = [
        KeptFile.objects.filter(
            **{f"{kind}__in": [pk for of, pk in owners if of == kind]}
        ).order_by()
        for kind in dict.fromkeys(kind for kind, _ in owners)
    ]
    for file in branches[0].union(*branches[1:], all=True).order_by("added_at", "pk"):
        for kind in ("hole", "mark", "done", "paper"):
            if (key := (kind, getattr(file, f"{kind}_id"))) in found:
                found[key].append(file)
    for key, owner in owners.items():
        at_once(owner, "files", found[key])


def duties_of(
    paper: Paper, duties: Iterable[Duty], work: facts.RenewalFacts, first: dt.date, last: dt.date
) -> tuple[facts.DutyFact, ...]:
    """Every due day of a paper's duties in a period, in order, with the work of `work` for it."""
    found = []
    for duty in duties:
        duty.paper, duty.party = paper, paper.party
        settled = {done.due_on: done for done in duty.settled.all()}
        for day in due_days(duty.repeat, duty.first_due):
            if not first <= day <= last:
                continue
            done = settled.get(day)
            found.append(
                facts.DutyFact(
                    duty_id=duty.pk,
                    condition_id=duty.condition_id,
                    title=duty.title,
                    due_on=day,
                    outcome=str(done.get_outcome_display()) if done else "",
                    done_on=done.done_on if done else None,
                    evidence=_evidence(done) if done else "",
                    work=_work_words(duty, work, day, first, last),
                )
            )
    return tuple(sorted(found, key=lambda one: (one.due_on, one.title, one.duty_id)))


def _work_words(
    duty: Duty, work: facts.RenewalFacts, day: dt.date, first: dt.date, last: dt.date
) -> str:
    """Work done against work due for a due day; empty when the period doesn't hold its days."""
    if not duty.measure:
        return ""
    asked = work_asked(duty, day)
    if asked.first < first or asked.last > last:
        return say("the work's days reach beyond this period")
    found = work_done(work, asked, last)
    units = {"mass": "g", "volume": "L", "distance": "km"}
    currency = duty.party.currency
    done = amount_words(duty.measure, found.done, currency, units)
    return say(
        "{done} in the record, {measure} due",
        done=done,
        measure=amount_words(duty.measure, duty.work_amount, currency, units),
    )


def _evidence(row: ConditionMark | DutyDone) -> str:
    """What was noted as evidence, and the files kept with it."""
    names = ", ".join(str(file) for file in row.files.all())
    return "; ".join(
        text for text in (row.evidence, say("kept: {names}", names=names) if names else "") if text
    )


def _conditions(lines: Iterable[PaperCondition]) -> tuple[facts.ConditionFact, ...]:
    return tuple(
        facts.ConditionFact(
            condition_id=line.pk,
            text=line.text,
            due_words=line.due_words,
            marks=tuple(
                facts.MarkFact(
                    mark.day, str(mark.get_state_display()), mark.how, _evidence(mark), mark.said_by
                )
                for mark in line.marks.all()
            ),
        )
        for line in lines
    )


def _paper(
    paper: Paper, sites: tuple[tuple[int, str], ...], lines: Iterable[PaperCondition]
) -> facts.PaperWords:
    end = paper.end
    return facts.PaperWords(
        title=str(paper),
        kind=str(paper.get_kind_display()),
        number=paper.number,
        holder=paper.holder,
        issuer=paper.issuer,
        issued_on=paper.issued_on,
        expires_on=end.last_day,
        conditions=paper.conditions,
        sites=sites,
        end_words="" if end.basis == "printed" else end.words,
        condition_lines=_conditions(lines),
        files=tuple(str(file) for file in paper.files.all()),
    )


def _trips(
    party: Party,
    trips: Sequence[Trip],
    covered: list[int],
    blocks: tuple[facts.Block, ...],
    washed: tuple[facts.Washed, ...],
    papers: Sequence[Paper],
) -> tuple[facts.TripWork, ...]:
    if not trips:
        return ()
    went: dict[int, set[int]] = defaultdict(set)
    for each in (*blocks, *washed):
        if each.site_id is not None:
            went[each.trip_id].add(each.site_id)
    under = paper_trips(party, papers)
    rates = car_rates(party, trips)
    return tuple(_trip(trip, covered, went[trip.pk], under, rates) for trip in trips)


def _trip(trip: Trip, covered: list[int], went: set[int], under, rates) -> facts.TripWork:
    plan: list[TripSite] = list(trip.trip_sites.all())
    visited = {row.site_id for row in plan if row.was_visited} | went
    wrapped_up = trip.state == Trip.State.WRAPPED_UP
    return facts.TripWork(
        trip_id=trip.pk,
        name=trip_name(trip.name, trip.starts_on),
        starts_on=trip.starts_on,
        ends_on=trip.ends_on,
        state=str(trip.get_state_display()),
        is_wrapped_up=wrapped_up,
        is_called_off=trip.state == Trip.State.CALLED_OFF,
        people=tuple(row.person_id for row in trip.trip_people.all()),
        visited=tuple(sorted(visited)),
        unsaid=tuple(
            row.site_id
            for row in plan
            if row.was_visited is None and row.site_id in covered and row.site_id not in visited
        ),
        covered=tuple(sorted(set(covered) & (visited | {row.site_id for row in plan}))),
        incidents=trip.incidents,
        costs=cost_of(trip, under, rates).lines if wrapped_up else (),
    )


def _blocks(trips: Iterable[Trip]) -> tuple[facts.Block, ...]:
    rows = sorted(
        (block for trip in trips for block in trip.hours.all()), key=lambda row: (row.day, row.pk)
    )
    return tuple(
        facts.Block(row.trip_id, row.day, row.site_id, row.person_id, row.activity, row.minutes)
        for row in rows
    )


def _washed(trips: Iterable[Trip], kind: str) -> list[Run | TestPan]:
    """Runs or pans of all trips in the order in which they were made."""
    rows = (row for trip in trips for row in getattr(trip, kind).all())
    return sorted(rows, key=lambda row: (row.day, row.sequence, row.pk))


def _of_run(run: Run) -> facts.Washed:
    return facts.Washed(
        is_run=True,
        trip_id=run.trip_id,
        day=run.day,
        site_id=run.spot.site_id,
        gear_id=run.gear_id,
        volume_ml=run.volume_ml,
        minutes=run.minutes,
        weigh_in_id=run.weigh_in_id,
        mass_ug=_share(run),
        shows_nothing=(run.coarse, run.medium, run.fine) == NOTHING,
    )


def _of_pan(pan: TestPan) -> facts.Washed:
    return facts.Washed(
        is_run=False,
        trip_id=pan.trip_id,
        day=pan.day,
        site_id=pan.spot.site_id,
        gear_id=None,
        volume_ml=pan.volume_ml,
        minutes=None,
        weigh_in_id=pan.weigh_in_id,
        mass_ug=pan.mass_ug if pan.weigh_in_id is None else _share(pan),
        shows_nothing=(pan.coarse, pan.medium, pan.fine) == NOTHING,
    )


def _share(record: Run | TestPan) -> int | None:
    share = getattr(record, "derived_share", None)
    return None if share is None else share.mass_ug


def _weighed(trips: Iterable[Trip], washed: Iterable[Run | TestPan]) -> tuple[facts.Weighed, ...]:
    """Weigh-ins by day; a share is always of a run or pan of the weigh-in's own trip."""
    methods: dict[int, set[str]] = defaultdict(set)
    for row in washed:
        if (share := getattr(row, "derived_share", None)) is not None:
            methods[share.weigh_in_id].add(share.method)
    rows = sorted(
        (row for trip in trips for row in trip.weigh_ins.all()),
        key=lambda row: (row.weighed_on, row.pk),
    )
    return tuple(
        facts.Weighed(
            weigh_in_id=row.pk,
            trip_id=row.trip_id,
            day=row.weighed_on,
            net_ug=row.net_ug,
            resolution_ug=row.resolution_ug,
            is_divided=row.pk in methods,
            methods=tuple(sorted(methods.get(row.pk, ()))),
        )
        for row in rows
    )


def _gear(party: Party) -> tuple[facts.GearWords, ...]:
    return tuple(
        facts.GearWords(row.pk, row.name, str(row.get_kind_display()), _power(row))
        for row in party.gear.all()
    )


def _power(gear: Gear) -> str:
    words = str(gear.get_power_display())
    if gear.hp_hundredths is None:
        return words
    return say("{words}, {hp_hundredths:g} hp", words=words, hp_hundredths=gear.hp_hundredths / 100)


def _holes(party: Party, sites: Iterable[tuple[int, str]], last: dt.date) -> list[Hole]:
    found = party.holes.filter(site__in=[pk for pk, _ in sites], opened_on__lte=last)
    return list(found.select_related("spot", "site").order_by("opened_on", "pk"))


def _sizes(
    party: Party, rows: Sequence[Hole], papers: Sequence[Paper]
) -> tuple[facts.HoleSize, ...]:
    dues = fill_dues(party, rows, papers, party_book(party)) if rows else {}
    return tuple(
        replace(
            _size(hole),
            photos=tuple(_photo(file) for file in hole.files.all() if file.is_photo),
            fill_by=dues[hole.pk].day if hole.pk in dues else None,
            fill_words=f"{dues[hole.pk].words}: {dues[hole.pk].source}" if hole.pk in dues else "",
        )
        for hole in rows
    )


def _size(hole: Hole) -> facts.HoleSize:
    return facts.HoleSize(
        site_id=hole.site_id,
        spot=hole.spot.name if hole.spot else "",
        opened_on=hole.opened_on,
        filled_on=hole.filled_on,
        length_mm=hole.length_mm,
        width_mm=hole.width_mm,
        depth_mm=hole.depth_mm,
    )


def _photo(file: KeptFile) -> facts.PhotoFact:
    day = (file.taken_at or file.added_at).date()
    return facts.PhotoFact(file.stored.name, str(file.role), file.caption, day)
