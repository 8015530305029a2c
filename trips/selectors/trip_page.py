"""One trip, whole: everything its page shows. A constant number of queries."""

from __future__ import annotations

import copy
import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.db.models import Model, QuerySet
from django.utils.translation import gettext

from claims.checklist import checklist_rows, is_open
from claims.hole_rules import fill_dues
from claims.lines import CheckLine
from claims.models import Hole, Paper, Party, Person
from claims.rules.ground import FillDue
from claims.rules.loader import LoadedPack
from claims.web import show
from claims.web.asof import zone
from claims.web.basis import Basis
from claims.whole import Part, whole
from trips.calc.costs import TripCost
from trips.calc.gold import PricePoint, price_on
from trips.calc.words import say
from trips.models import (
    Cost,
    DerivedTripFigures,
    Gear,
    HoursBlock,
    Run,
    SignOff,
    TestPan,
    Trip,
    TripSite,
    WeighIn,
)
from trips.selectors import trip_basis as basis
from trips.selectors import trip_parts as parts
from trips.selectors.checklist import Checklist, trip_checklist
from trips.selectors.costing import cost_of, paper_trips, visited_sites
from trips.selectors.prices import price_points
from trips.selectors.rates import car_rates

State = Trip.State
_PARTS = (
    Part("gear"),
    Part("weigh_ins"),
    Part("costs", ("paid_by",)),
    Part("runs", ("spot__site", "gear", "derived_share")),
    Part("pans", ("spot__site", "derived_share")),
    Part("hours", ("person", "site")),
    Part("trip_people", ("person",)),
    Part("trip_sites", ("site",), ("rank",)),
    Part("answers"),
    Part("sign_offs"),
    Part("derived_figures"),
)


@dataclass(frozen=True)
class TripPage:
    """What templates/trips/trip_detail.html shows."""

    trip: Trip
    currency: str
    is_plan: bool
    first: TripSite | None
    fallbacks: tuple[TripSite, ...]
    visited: tuple[str, ...]
    people: tuple[Person, ...]
    gear: tuple[Gear, ...]
    zone_name: str
    back_by: str
    alarm_at: str
    plan_minutes: parts.Minutes
    light: parts.Light
    cost: TripCost
    outlay_minor: int | None
    wear_minor: int | None
    price_words: str
    steps: tuple[parts.Step, ...]
    checks: tuple[parts.SiteChecks, ...]
    cautions: tuple[CheckLine, ...]
    checklist: Checklist | None
    packs: Mapping[str, LoadedPack]
    sign_offs: tuple[SignOff, ...]
    shares: parts.Shares
    pans: tuple[TestPan, ...]
    runs: tuple[Run, ...]
    hours: tuple[HoursBlock, ...]
    activities: tuple[tuple[str, int], ...]
    costs: tuple[Cost, ...]
    weigh_ins: tuple[WeighIn, ...]
    holes: tuple[tuple[Hole, FillDue | None], ...]
    figures: DerivedTripFigures | None
    worths: tuple[parts.Worth, ...]
    compared: tuple[parts.Comparison, ...]
    prices: tuple[PricePoint, ...]
    papers: tuple[Paper, ...]

    @property
    def result_bases(self) -> tuple[Basis, ...]:
        return basis.result_bases(self)

    @property
    def ladder_bases(self) -> tuple[Basis, ...]:
        return basis.ladder_bases(self)

    @property
    def cost_bases(self) -> tuple[Basis, ...]:
        return basis.cost_bases(self)

    @property
    def has_records(self) -> bool:
        return bool(self.pans or self.runs or self.hours or self.weigh_ins)


def trip_page(*, trip: Trip, party: Party, today: dt.date, units: dict[str, str]) -> TripPage:
    """Fetch and work out one trip's page as of a day, in a person's units."""
    loaded = _loaded(party, trip)
    rows = checklist_rows(party)
    under = paper_trips(party, rows.papers)
    rates = car_rates(party, [loaded])
    cost = cost_of(loaded, under, rates)
    sites = list(loaded.trip_sites.all())
    first = sites[0] if sites else None
    people = tuple(row.person for row in loaded.trip_people.all())
    gear = tuple(loaded.gear.all())
    figures = getattr(loaded, "derived_figures", None)
    points = price_points(party)
    is_plan = loaded.state in (State.PLANNED, State.CALLED_OFF)

    now = price_on(points, today, party.currency)
    then = price_on(points, loaded.ends_on, party.currency)
    plan_minutes = parts.planned_minutes(loaded, first.site if first else None)
    outlay = cost.outlay_minor if cost.is_known("outlay") else None
    zone_name = (first.site.time_zone if first else "") or party.time_zone
    costs = tuple(sorted(loaded.costs.all(), key=lambda x: (x.stage, x.kind, x.pk)))
    worths = () if is_plan else _worths(figures, outlay, cost, then, now, today, party)
    at = {row.site_id for row in sites}
    holes = [hole for hole in rows.holes if hole.site_id in at and is_open(hole, loaded.ends_on)]
    dues = fill_dues(party, holes, rows.papers, rows.book)
    checks = (
        trip_checklist(
            party, loaded, rows, sites=sites, people=people, gear=gear, as_of=today, dues=dues
        )
        if loaded.state in (State.PLANNED, State.UNDER_WAY)
        else None
    )
    shown_price = now if is_plan else then
    value = worths[0] if worths else None
    return TripPage(
        trip=loaded,
        currency=party.currency,
        is_plan=is_plan,
        first=first,
        fallbacks=tuple(sites[1:]),
        visited=tuple(site.name for site in visited_sites(loaded)) if not is_plan else (),
        people=people,
        gear=gear,
        zone_name=zone_name,
        back_by=_clock(loaded.back_by, zone_name),
        alarm_at=_clock(loaded.alarm_at, zone_name),
        plan_minutes=plan_minutes,
        light=parts.light(first.site if first else None, loaded.starts_on, party),
        cost=cost,
        outlay_minor=outlay,
        wear_minor=cost.known_wear_minor,
        price_words=parts.price_words(shown_price),
        steps=parts.ladder(
            cost=cost,
            value_minor=value.value_minor if value else None,
            value_reason=value.note if value else "",
            person_minutes=_person_minutes(loaded, figures, plan_minutes, people, is_plan),
            price=shown_price,
            party=party,
        ),
        checks=checks.sites if checks else (),
        cautions=checks.cautions if checks else (),
        checklist=checks,
        packs=rows.book.packs,
        sign_offs=tuple(loaded.sign_offs.all()),
        shares=parts.shares(people, [c for c in costs if c.stage == Cost.Stage.PAID], outlay),
        pans=tuple(loaded.pans.all()),
        runs=tuple(loaded.runs.all()),
        hours=tuple(loaded.hours.all()),
        activities=parts.hours_by_activity(loaded.hours.all()),
        costs=costs,
        weigh_ins=tuple(loaded.weigh_ins.all()),
        holes=tuple((hole, dues.get(hole.pk)) for hole in holes),
        figures=figures,
        worths=worths,
        compared=()
        if is_plan
        else _compared(loaded, cost, under, rates, plan_minutes, figures, units),
        prices=points,
        papers=rows.papers,
    )


def _clock(instant: dt.datetime | None, zone_name: str) -> str:
    if instant is None:
        return ""
    face = instant.astimezone(zone(zone_name))
    return f"{show.day(face.date())}, {face:%H:%M}"


def _person_minutes(trip, figures, planned, people, is_plan) -> parts.Minutes:
    """Everybody's time together: planned, or as noted."""
    if is_plan:
        if planned.minutes is None:
            return planned
        return parts.Minutes(planned.minutes * max(1, len(people)))
    if figures is None or figures.person_minutes is None:
        return parts.Minutes(None, say("No hours are noted."))
    return parts.Minutes(figures.person_minutes)


def _worths(figures, outlay, cost, then, now, today, party) -> tuple[parts.Worth, ...]:
    common = {
        "fine_ug": figures.fine_ug if figures else None,
        "outlay_minor": outlay,
        "outlay_reason": " ".join(cost.unknown),
        "door_minutes": figures.door_minutes if figures else None,
        "party": party,
    }
    first = parts.worth(title=gettext("at the trip's day"), price=then, **common)
    if isinstance(then, PricePoint) and then == now:
        return (first,)
    title = gettext("at {day}").format(day=show.day(today))
    return (first, parts.worth(title=title, price=now, **common))


def _compared(trip, cost, under, rates, planned, figures, units) -> tuple[parts.Comparison, ...]:
    """Plan against record: where, how long, what it cost."""
    plan = _as_planned(trip)
    plan_cost = cost_of(plan, under, rates)
    money = trip.party.currency
    first = [row.site.name for row in trip.trip_sites.all() if row.rank == 0]
    return (
        parts.Comparison(
            say("Where"),
            ", ".join(first) or say(show.UNKNOWN),
            ", ".join(site.name for site in visited_sites(trip)) or say(show.UNKNOWN),
        ),
        parts.Comparison(
            say("Hours door to door"),
            show.minutes(planned.minutes),
            show.minutes(figures.door_minutes if figures else None),
        ),
        parts.Comparison(
            say("Hours of work"),
            show.minutes(trip.planned_work_minutes),
            show.minutes(figures.work_minutes if figures else None),
        ),
        parts.Comparison(
            say("Fuel"),
            show.money(plan_cost.fuel_minor if plan_cost.is_known("fuel") else None, money),
            show.money(cost.fuel_minor if cost.is_known("fuel") else None, money),
        ),
        parts.Comparison(
            say("Outlay with fuel"),
            show.money(plan_cost.outlay_minor if plan_cost.is_known("outlay") else None, money),
            show.money(cost.outlay_minor if cost.is_known("outlay") else None, money),
        ),
        parts.Comparison(
            say("Gold weighed"),
            "–",
            show.quantity("mass", figures.mass_ug if figures else None, units["mass"]),
        ),
    )


def _loaded(party: Party, trip: Trip) -> Trip:
    """The trip with every row of it that the page shows or counts; one query."""
    kept = whole(trip, *_PARTS)
    kept.party = party
    return kept


def _as_planned(trip: Trip) -> Trip:
    """The same trip as it stood in the plan: first choice, planned costs, no records; no query."""
    plan = copy.copy(trip)
    plan._prefetched_objects_cache = {
        **trip._prefetched_objects_cache,
        "costs": _kept(Cost, [x for x in trip.costs.all() if x.stage == Cost.Stage.PLANNED]),
        "runs": _kept(Run, []),
        "hours": _kept(HoursBlock, []),
        "trip_sites": _kept(TripSite, [x for x in trip.trip_sites.all() if x.rank == 0]),
    }
    plan.party, plan.state = trip.party, State.PLANNED
    plan.driven_sealed_m = plan.driven_unsealed_m = plan.driven_track_m = None
    plan.engine_fuel_ml = None
    return plan


def _kept(model: type[Model], rows: list[Any]) -> QuerySet[Any]:
    """Rows that are there already, as a query that needs no fetching."""
    found = model._default_manager.none()
    found._result_cache = rows
    return found
