"""The page of one site: what is known of it, its gravel, and what its trips returned."""

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass, replace

from django.utils.translation import gettext

from claims.models import Hole, Paper, Party, Site, Spot
from claims.rules.terms import window_words
from claims.web.basis import Basis
from claims.whole import Part, whole
from reports.charts.plots import BarRow, Figure, bars
from reports.figures.facts import TripFacts, trip_name
from reports.figures.grades import PanGrade, RunGrade, colour_masses, pan_grades, run_grades
from reports.figures.returns import Outing, Return, at_site, returns
from reports.figures.site_returns import NUGGET
from reports.figures.value import BASIS_WORDS, PriceBasis, price_words, value_trips
from reports.pages.basis_past import grade_bases, return_bases
from reports.pages.site_belief import SiteBelief, site_belief
from reports.pages.sun import sun_words
from reports.selectors import facts
from trips.calc.gold import price_on
from trips.calc.words import say
from trips.models import Trip, TripSite
from trips.models.field import Layer
from trips.selectors.prices import price_points


@dataclass(frozen=True)
class PaperRow:
    """A paper that covers the site, with its state on the day in words."""

    paper: Paper
    state: str
    covers: bool


@dataclass(frozen=True)
class HoleRow:
    """A hole with its age in days if it is open on the day."""

    hole: Hole
    is_open: bool
    age_days: int


@dataclass(frozen=True)
class TripRow:
    """A trip with its part at this site; figures only once it is wrapped up."""

    trip_id: int
    name: str
    day: dt.date
    state: str
    mass_ug: int | None
    net_minor: int | None
    minutes: int | None
    per_hour_minor: int | None
    note: str


@dataclass(frozen=True)
class SitePage:
    """Everything that the template shows; `passed_by` trips only had it as a fallback."""

    site: Site
    currency: str
    window: str
    sun: str
    day: dt.date
    result: Return
    basis: str
    price: str
    nugget: str
    spots: tuple[Spot, ...]
    belief: SiteBelief
    pans: tuple[PanGrade, ...]
    pans_figure: Figure | None
    runs: tuple[RunGrade, ...]
    papers: tuple[PaperRow, ...]
    holes: tuple[HoleRow, ...]
    trips: tuple[TripRow, ...]
    passed_by: int
    bases: tuple[Basis, ...]
    grades: tuple[Basis, ...]

    @property
    def open_holes(self) -> tuple[HoleRow, ...]:
        return tuple(row for row in self.holes if row.is_open)

    @property
    def filled_holes(self) -> tuple[HoleRow, ...]:
        return tuple(row for row in self.holes if not row.is_open)


def site_page(party: Party, site: Site, *, as_of: dt.date, basis: PriceBasis) -> SitePage:
    """One site as of a day."""
    site = whole(site, Part("papers"), Part("spots"), Part("holes", ("spot",)))
    its = facts.party_facts(party)
    prices = price_points(party)
    trips = [
        trip
        for trip in facts.trip_facts(party, as_of)
        if any(part.site_id == site.pk for part in trip.parts)
    ]
    valued = value_trips(trips, its, prices, as_of=as_of, basis=basis)
    outings = at_site(valued, site.pk)
    masses = colour_masses(party.coarse_mass_ug, party.medium_mass_ug, party.fine_mass_ug)
    pan_facts, run_facts = facts.site_pans(site.pk, as_of), facts.site_runs(site.pk, as_of)
    pans = tuple(_layered(grade) for grade in pan_grades(pan_facts, masses))
    spots = tuple(site.spots.all())
    notes = {
        share.trip.trip_id: share.basis
        for each in valued
        for share in each.shares
        if share.site_id == site.pk
    }
    result = returns(outings, its.currency)
    price = price_words(price_on(prices, as_of, its.currency))
    rows, passed_by = _trips(site, trips, outings, notes, as_of)
    return SitePage(
        site=site,
        currency=its.currency,
        window=window_words(site.closed_from, site.closed_until),
        sun=sun_words(party, site, as_of),
        day=as_of,
        result=result,
        basis=BASIS_WORDS[basis],
        price=price,
        nugget=say(NUGGET),
        spots=spots,
        belief=site_belief(
            party,
            site,
            as_of,
            {spot.pk: spot.name for spot in spots},
            [each.day for each in (*pan_facts, *run_facts)],
        ),
        pans=pans,
        pans_figure=_pans_figure(pans),
        runs=tuple(_layered(grade) for grade in run_grades(run_facts)),
        papers=_papers(site, as_of),
        holes=_holes(site, as_of),
        trips=rows,
        passed_by=passed_by,
        bases=return_bases(result, outings, its.currency, BASIS_WORDS[basis], price),
        grades=grade_bases(pan_facts, run_facts),
    )


def _layered(grade):
    """The grade with its layer in words instead of the stored code."""
    return replace(grade, layer=str(Layer(grade.layer).label))


def _pans_figure(grades: tuple[PanGrade, ...]) -> Figure | None:
    return bars(
        [
            BarRow(
                group=grade.spot,
                name=grade.layer,
                value=grade.rate.best,
                low=grade.rate.low,
                high=grade.rate.high,
                evidence=gettext("{colours} in {litres:g} L, {pans} pans").format(
                    colours=grade.rate.colours, litres=grade.rate.litres, pans=grade.rate.pans
                ),
            )
            for grade in grades
            if grade.rate is not None
        ],
        title=gettext("Colours per loose litre by spot and layer"),
        desc=gettext("Bar: all colours over all litres. Line: exact 95 % range of the count."),
        unit=say("colours per litre"),
        range_name=gettext("95 % range"),
        name_head=gettext("Layer"),
    )


def _papers(site: Site, day: dt.date) -> tuple[PaperRow, ...]:
    rows = []
    for paper in site.papers.all():
        term = paper.term_on(day)
        rows.append(PaperRow(paper, term.words, term.covers))
    return tuple(rows)


def _holes(site: Site, day: dt.date) -> tuple[HoleRow, ...]:
    """Holes opened by the day: open ones from the oldest, then filled ones from the newest."""
    rows = []
    for hole in site.holes.all():
        if hole.opened_on > day:
            continue
        is_open = hole.filled_on is None or hole.filled_on > day
        rows.append(HoleRow(hole, is_open, (day - hole.opened_on).days))
    return tuple(
        sorted(
            rows, key=lambda row: (not row.is_open, -row.age_days if row.is_open else row.age_days)
        )
    )


def _trips(
    site: Site,
    trips: Iterable[TripFacts],
    outings: Iterable[Outing],
    notes: dict[int, str],
    as_of: dt.date,
) -> tuple[tuple[TripRow, ...], int]:
    """Trips that went here by the day and plans to come here, newest first; and the passed by.

    A trip that is over and had the place as a fallback alone is counted, not listed.
    """
    at = {trip.trip_id: trip for trip in trips}
    rows = [_outing_row(at[each.trip_id], each, notes.get(each.trip_id, "")) for each in outings]
    seen = {row.trip_id for row in rows}
    passed_by = 0
    for named in TripSite.objects.filter(site=site).select_related("trip"):
        trip = named.trip
        if trip.pk in seen:
            continue
        over = trip.state in (Trip.State.WRAPPED_UP, Trip.State.CALLED_OFF)
        if over and named.rank and not named.was_visited:
            passed_by += trip.ends_on <= as_of
        elif trip.state != Trip.State.WRAPPED_UP:
            rows.append(_plan_row(trip, named.rank))
    return tuple(sorted(rows, key=lambda row: (row.day, row.trip_id), reverse=True)), passed_by


def _outing_row(trip: TripFacts, outing: Outing, basis: str) -> TripRow:
    return TripRow(
        trip_id=trip.trip_id,
        name=trip.name,
        day=trip.starts_on,
        state=str(Trip.State.WRAPPED_UP.label),
        mass_ug=outing.mass_ug,
        net_minor=outing.net_minor,
        minutes=outing.minutes,
        per_hour_minor=outing.per_hour_minor,
        note=outing.reason if outing.net_minor is None else basis,
    )


def _plan_row(trip: Trip, rank: int) -> TripRow:
    return TripRow(
        trip_id=trip.pk,
        name=trip_name(trip.name, trip.starts_on),
        day=trip.starts_on,
        state=str(trip.get_state_display()),
        mass_ug=None,
        net_minor=None,
        minutes=None,
        per_hour_minor=None,
        note=gettext("First choice.")
        if rank == 0
        else gettext("Fallback {rank}.").format(rank=rank),
    )
