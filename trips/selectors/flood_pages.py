"""What the flood pages show: gauges with their record, floods with their effect."""

import datetime as dt
from dataclasses import dataclass

from claims.models import Party, Site
from trips.calc.errors import OutOfRange
from trips.calc.floods import FloodEffect, Kept, kept_since
from trips.calc.return_period import FEWEST_FITTED, chance_within, fit, flow_of
from trips.calc.words import say
from trips.models import Flood, Gauge
from trips.selectors.floods import (
    MILLI,
    SinceVisit,
    effects_of,
    last_visits,
    since_last_visit,
    yearly_peaks,
)

QUANTILES = (2, 5, 10, 25)


@dataclass(frozen=True)
class FloodRow:
    """A flood with what it leaves."""

    flood: Flood
    effect: FloodEffect

    @property
    def peak(self) -> str:
        """The peak in the gauge's unit, without trailing zeros."""
        return f"{(self.flood.peak_milli or 0) / MILLI:,.3f}".rstrip("0").rstrip(".")


@dataclass(frozen=True)
class SiteRow:
    """A site with the floods since it was last visited."""

    site: Site
    since: SinceVisit


@dataclass(frozen=True)
class GaugeRow:
    gauge: Gauge
    sites: tuple[Site, ...]
    floods: int
    years: int


@dataclass(frozen=True)
class FloodListPage:
    gauges: tuple[GaugeRow, ...]
    sites: tuple[SiteRow, ...]


@dataclass(frozen=True)
class SizeRow:
    """A size of flood: years between, the fitted flow, chances in 1, 3 and 5 years."""

    years: int
    flow: float
    chances: tuple[int, int, int]


@dataclass(frozen=True)
class GaugePage:
    gauge: Gauge
    sites: tuple[Site, ...]
    rows: tuple[FloodRow, ...]
    years: int
    dropped: tuple[int, ...]
    sizes: tuple[SizeRow, ...]
    unsized: int
    fit_words: str


def flood_list(party: Party, as_of: dt.date) -> FloodListPage:
    """Every gauge, and every site that a flood reached; a constant number of queries."""
    gauges = list(Gauge.objects.filter(party=party).prefetch_related("sites", "floods"))
    since = since_last_visit(party, as_of) if gauges else {}
    sites = {site.pk: site for gauge in gauges for site in gauge.sites.all()}
    return FloodListPage(
        gauges=tuple(
            GaugeRow(
                gauge,
                tuple(gauge.sites.all()),
                len(gauge.floods.all()),
                len(yearly_peaks(gauge, gauge.floods.all()).by_year),
            )
            for gauge in gauges
        ),
        sites=tuple(
            SiteRow(site, since[site.pk])
            for site in sorted(sites.values(), key=lambda site: site.name)
            if site.pk in since
        ),
    )


def gauge_page(gauge: Gauge) -> GaugePage:
    """One gauge with its floods, latest first, and how rare which sizes are; two queries."""
    floods = list(gauge.floods.order_by("-day", "-pk"))
    yearly = yearly_peaks(gauge, floods)
    effects = effects_of(gauge, floods)
    sizes, words = _sizes(yearly.flows)
    return GaugePage(
        gauge=gauge,
        sites=tuple(gauge.sites.all()),
        rows=tuple(FloodRow(flood, effect) for flood, effect in zip(floods, effects, strict=True)),
        years=len(yearly.by_year),
        dropped=yearly.dropped,
        sizes=sizes,
        unsized=sum(effect.return_years is None for effect in effects),
        fit_words=words,
    )


def _sizes(flows: list[float]) -> tuple[tuple[SizeRow, ...], str]:
    if len(flows) < FEWEST_FITTED:
        words = say(
            "{flows} of at least {fewest_fitted} years: return periods go by rank.",
            flows=len(flows),
            fewest_fitted=FEWEST_FITTED,
        )
        return (), words
    try:
        fitted = fit(flows)
    except OutOfRange as error:
        return (), str(error)
    rows = []
    for years in QUANTILES:
        one, three, five = (round(100 * chance_within(years, span)) for span in (1, 3, 5))
        rows.append(SizeRow(years, flow_of(fitted, years), (one, three, five)))
    return tuple(rows), say("Log-Pearson III over {years} years.", years=fitted.years)


@dataclass(frozen=True)
class Change:
    """What one site's evidence of its last visit is worth before and after."""

    site: Site
    last_visit: dt.date | None
    before: Kept
    after: Kept


def changes_if(
    gauge: Gauge, floods: list[Flood], as_of: dt.date
) -> tuple[list[FloodEffect], tuple[Change, ...]]:
    """The effects if these unsaved floods were stored too, and what each site would keep.

    A flood with a number takes the place of the stored one.
    """
    taken = {flood.pk for flood in floods if flood.pk}
    stored = [flood for flood in gauge.floods.all() if flood.pk not in taken]
    together = [*stored, *floods]
    effects = effects_of(gauge, together)
    now = since_last_visit(gauge.party, as_of)
    visits = last_visits(gauge.party, as_of)
    before_here = {(e.day, e.name) for e in effects_of(gauge, list(gauge.floods.all()))}
    changes = []
    for site in gauge.sites.all():
        known, last = now.get(site.pk), visits.get(site.pk)
        others = [
            e for e in (known.kept.floods if known else ()) if (e.day, e.name) not in before_here
        ]
        later = [*others, *(e for f, e in zip(together, effects, strict=True) if f.counts)]
        none = kept_since([], as_of, as_of)
        changes.append(
            Change(
                site=site,
                last_visit=last,
                before=known.kept if known else none,
                after=kept_since(later, last, as_of) if last else none,
            )
        )
    return effects[len(stored) :], tuple(changes)
