"""Floods of each site with what they leave of older evidence; a constant number of queries."""

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from claims.models import Party
from trips.calc.floods import FloodEffect, Kept, kept_since, usual_effect
from trips.calc.return_period import Period, return_period
from trips.calc.words import say
from trips.models import Flood, Gauge, Run, TestPan, Trip, TripSite

MILLI = 1000


@dataclass(frozen=True)
class SinceVisit:
    """A site's last visit (None: never been) and what its evidence of that day is worth now."""

    last_visit: dt.date | None
    kept: Kept


@dataclass(frozen=True)
class YearlyPeaks:
    """Highest peak of each water year in the gauge's unit; years whose highest is zero are out."""

    by_year: dict[int, float]
    dropped: tuple[int, ...]

    @property
    def flows(self) -> list[float]:
        return list(self.by_year.values())


def floods_by_site(party: Party, as_of: dt.date) -> dict[int, tuple[FloodEffect, ...]]:
    """Site id → its floods up to a day, earliest first, those that count; two queries.

    Sites without any flood are left out. With several gauges at a site, two floods of one day
    are one: the stronger.
    """
    gauges: dict[int, list[Flood]] = defaultdict(list)
    for flood in Flood.objects.filter(party=party, day__lte=as_of).select_related("gauge"):
        gauges[flood.gauge_id].append(flood)
    if not gauges:
        return {}
    reach = defaultdict(list)
    for gauge_id, site_id in _reach(party):
        reach[gauge_id].append(site_id)
    found: dict[int, dict[dt.date, FloodEffect]] = defaultdict(dict)
    for gauge_id, floods in gauges.items():
        effects = effects_of(floods[0].gauge, floods)
        for site_id in reach[gauge_id]:
            for flood, effect in zip(floods, effects, strict=True):
                if not flood.counts:
                    continue
                other = found[site_id].get(effect.day)
                if other is None or effect.spot_ratio < other.spot_ratio:
                    found[site_id][effect.day] = effect
    return {
        site_id: tuple(effect for _, effect in sorted(by_day.items()))
        for site_id, by_day in found.items()
        if by_day
    }


def _reach(party: Party) -> Iterable[tuple[int, int]]:
    through = Gauge.sites.through.objects.filter(gauge__party=party)
    return through.values_list("gauge_id", "site_id")


def since_last_visit(party: Party, as_of: dt.date) -> dict[int, SinceVisit]:
    """Site id → floods since it was last visited, for sites that any flood reached; four queries.

    A visit is a trip said to have been there, or a pan or run of that day. For a site never
    visited nothing was seen, so nothing is taken off.
    """
    floods = floods_by_site(party, as_of)
    if not floods:
        return {}
    last = last_visits(party, as_of)
    return {
        site_id: SinceVisit(last.get(site_id), kept_since(effects, last.get(site_id, as_of), as_of))
        for site_id, effects in floods.items()
    }


def last_visits(party: Party, as_of: dt.date) -> dict[int, dt.date]:
    """Site id → the last day somebody was there; three queries."""
    last: dict[int, dt.date] = {}
    for site_id, day in _visits(party, as_of):
        last[site_id] = max(day, last.get(site_id, day))
    return last


def _visits(party: Party, as_of: dt.date) -> Iterable[tuple[int, dt.date]]:
    yield from (
        TripSite.objects.filter(
            trip__party=party,
            was_visited=True,
            trip__state=Trip.State.WRAPPED_UP,
            trip__ends_on__lte=as_of,
        )
        .order_by()
        .values_list("site_id", "trip__ends_on")
    )
    for model in (TestPan, Run):
        yield from (
            model.objects.filter(party=party, day__lte=as_of)
            .order_by()
            .values_list("spot__site_id", "day")
            .distinct()
        )


def yearly_peaks(gauge: Gauge, floods: Iterable[Flood]) -> YearlyPeaks:
    """The highest peak of each water year; no query. A water year is named by its last month."""
    highest: dict[int, int] = {}
    for flood in floods:
        if flood.peak_milli is not None:
            year = water_year(flood.day, gauge.year_starts_month)
            highest[year] = max(flood.peak_milli, highest.get(year, 0))
    return YearlyPeaks(
        by_year={year: peak / MILLI for year, peak in sorted(highest.items()) if peak},
        dropped=tuple(sorted(year for year, peak in highest.items() if not peak)),
    )


def water_year(day: dt.date, first_month: int) -> int:
    """The year in which the water year of a day ends."""
    return day.year + (first_month > 1 and day.month >= first_month)


def effects_of(gauge: Gauge, floods: list[Flood]) -> list[FloodEffect]:
    """What each flood of one gauge leaves, in their order; no query."""
    yearly = yearly_peaks(gauge, floods)
    return [effect_of(flood, gauge, yearly) for flood in floods]


def effect_of(flood: Flood, gauge: Gauge, yearly: YearlyPeaks) -> FloodEffect:
    """What a flood leaves of older evidence, and from what that follows; no query."""
    period = period_of(flood, yearly)
    spot, site = usual_effect(period.years)
    basis = period.reason
    if flood.spot_keep_pct is not None and flood.site_keep_pct is not None:
        spot, site = flood.spot_keep_pct / 100, flood.site_keep_pct / 100
        basis = say("{basis} What it leaves is your own judgement.", basis=basis)
    return FloodEffect(
        day=flood.day,
        name=gauge.name,
        return_years=period.years,
        spot_ratio=spot,
        site_ratio=site,
        basis=basis,
    )


def period_of(flood: Flood, yearly: YearlyPeaks) -> Period:
    """How often such a flood comes: one's own word before the gauge's peaks; no query."""
    if flood.own_return_tenths is not None:
        return Period(
            flood.own_return_tenths / 10, "own", say("How often it comes is your own word.")
        )
    if not flood.peak_milli:
        return Period(
            None, "none", say("Neither its peak nor how often such a flood comes is noted.")
        )
    return return_period(flood.peak_milli / MILLI, yearly.flows)
