"""What the pages that look ahead share: the record once, and each site's day worked out from it."""

import datetime as dt
from collections import Counter, defaultdict
from dataclasses import dataclass
from functools import cached_property

from django.db.models import Q
from django.utils.translation import gettext

from claims.checklist import OF_CHECKLIST, is_open, rows_at_hand, site_checklists, worst
from claims.lines import CheckLine
from claims.models import Hole, Party, Site, Spot
from claims.rulebook import PlanFacts, RuleBook
from claims.rules.terms import first_closed_day
from claims.whole import Part, whole
from reports.figures.facts import PartyFacts, TripFacts
from reports.figures.outlook import (
    PAN_L,
    Gold,
    Habits,
    Outlook,
    Place,
    common_log_sd,
    habits,
    outlook,
    year_of_prices,
)
from reports.figures.ranking import Way, fuel_there_and_back
from reports.pages.sun import sun_minutes
from reports.selectors import facts
from reports.selectors.belief import Ground, party_ground
from reports.selectors.setup import Setup, setup_of
from trips.calc.floods import FloodEffect
from trips.calc.gold import PricePoint, Unknown, price_on
from trips.selectors.floods import floods_by_site
from trips.selectors.plan_facts import idea_facts
from trips.selectors.prices import price_points


@dataclass(frozen=True)
class Record:
    """The party's record up to a day, as the forecasts take it."""

    party: Party
    as_of: dt.date
    sites: tuple[Site, ...]
    trips: tuple[TripFacts, ...]
    its: PartyFacts
    prices: tuple[PricePoint, ...]
    ground: Ground
    habits: Habits
    setup: Setup
    papers: tuple
    holes: tuple[Hole, ...]
    book: RuleBook
    plan: PlanFacts

    @property
    def price(self) -> PricePoint | Unknown:
        """The latest price by the day shown."""
        return price_on(self.prices, self.as_of, self.its.currency)

    @property
    def pan_l(self) -> float:
        """Litres of a test pan."""
        return (self.party.pan_volume_ml or PAN_L * 1000) / 1000

    @cached_property
    def floods(self) -> dict[int, tuple[FloodEffect, ...]]:
        """Floods by site, for the page that says what they took; two queries."""
        return floods_by_site(self.party, self.as_of)

    @cached_property
    def spot_names(self) -> dict[int, str]:
        """Names of the sites' best spots, by spot; one query."""
        belief = self.ground.belief
        best = {belief.best_spot(site_id) for site_id in belief.sites} - {None}
        return dict(Spot.objects.filter(pk__in=best).values_list("pk", "name"))

    @cached_property
    def trips_at(self) -> dict[int, list[TripFacts]]:
        """Trips by each site that they visited, earliest first."""
        found: dict[int, list[TripFacts]] = defaultdict(list)
        for trip in self.trips:
            for part in trip.parts:
                found[part.site_id].append(trip)
        return found

    @cached_property
    def last_days(self) -> dict[int, dt.date]:
        """The last day of any paper of each site, where one is noted."""
        found: dict[int, dt.date] = {}
        for paper in self.papers:
            if paper.expires_on:
                for site in paper.sites.all():
                    found[site.pk] = max(found.get(site.pk, paper.expires_on), paper.expires_on)
        return found

    @cached_property
    def open_holes(self) -> Counter[int]:
        """Holes that are open on the day shown, by site."""
        return Counter(hole.site_id for hole in self.holes if is_open(hole, self.as_of))

    def gold_on(self, day: dt.date) -> Gold | Unknown:
        """What a colour will be worth on a day to come."""
        price = self.price
        if isinstance(price, Unknown):
            return price
        ground = self.ground
        return Gold(
            per_raw_g=float(price.price_per_g)
            * self.its.fineness
            / 1000
            * self.its.payable_ppt
            / 1000,
            mean_mg=ground.mean_ug / 1000,
            colour_cv=ground.colour_cv,
            psi_mean=ground.psi.mean,
            log_sd=common_log_sd(
                psi_log_sd=ground.psi.log_sd,
                mean_cv=ground.mean_cv,
                price_days=(day - price.day).days,
            ),
            currency=self.its.currency,
        )

    def price_years(self) -> list[float]:
        """Prices per gram over the year up to the latest one."""
        price = self.price
        if isinstance(price, Unknown):
            return []
        return year_of_prices(self.prices, price, self.its.currency)


_SITES = Part("sites", only=Q(is_retired=False))


def record(party: Party, as_of: dt.date) -> Record:
    """Everything on record by a day; the number of queries doesn't depend on how much there is."""
    ground = party_ground(party, as_of)
    its = whole(party, *OF_CHECKLIST, _SITES)
    rows, sites = rows_at_hand(its), tuple(its.sites.all())
    trips = facts.trip_facts(party, as_of)
    travel = {
        site.pk: 2 * (site.drive_minutes + (site.walk_minutes or 0))
        for site in sites
        if site.drive_minutes is not None
    }
    return Record(
        party=party,
        as_of=as_of,
        sites=sites,
        trips=trips,
        its=facts.party_facts(party),
        prices=price_points(party),
        ground=ground,
        habits=habits(trips, travel),
        setup=setup_of(party),
        papers=rows.papers,
        holes=rows.holes,
        book=rows.book,
        plan=idea_facts(party, sites=sites, holes=rows.holes, book=rows.book, as_of=as_of),
    )


@dataclass(frozen=True)
class SiteDay:
    """A site on a day: its checklist, daylight and outlook; the spot is None for a new one."""

    site: Site
    lines: tuple[CheckLine, ...]
    light_minutes: int | None
    fuel_basis: str
    spot_id: int | None
    outlook: Outlook


def site_days(
    record: Record,
    day: dt.date,
    *,
    creek_hours: float | None = None,
    heed_stops: bool = True,
) -> tuple[SiteDay, ...]:
    """Every site on a day, in the order of their names; no query.

    Args: creek_hours: for day trips of so many hours at the creek instead of the usual stays;
        heed_stops: whether what the checklist stops stays out.
    """
    checks = site_checklists(
        record.sites,
        day,
        papers=record.papers,
        holes=record.holes,
        book=record.book,
        plan=record.plan,
    )
    gold = record.gold_on(day)
    stopped = {pk for pk, lines in checks.items() if heed_stops and worst(lines) == "stop"}
    return tuple(
        _site_day(record, site, day, checks[site.pk], gold, creek_hours, site.pk in stopped)
        for site in record.sites
    )


def _site_day(
    record: Record,
    site: Site,
    day: dt.date,
    lines: tuple[CheckLine, ...],
    gold: Gold | Unknown,
    creek_hours: float | None,
    stopped: bool,
) -> SiteDay:
    belief = record.ground.belief
    fuel = fuel_there_and_back(
        Way(site.sealed_m, site.unsealed_m, site.track_m),
        record.setup.car,
        record.setup.fuel_price_milli_per_l,
        record.its.currency,
    )
    light = sun_minutes(record.party, site, day)
    spot_id = belief.best_spot(site.pk)
    spot = belief.spots.get(spot_id) if spot_id is not None else None
    known = belief.seen_at(site.pk)
    raw = None
    if spot is not None and spot.litres > 0:
        raw = spot.colours / spot.litres
    elif known.pans and known.litres:
        raw = known.colours / known.litres
    place = Place(
        site_id=site.pk,
        name=site.name,
        stopped=stopped,
        drive_minutes=site.drive_minutes,
        walk_minutes=site.walk_minutes,
        light_minutes=light,
        fuel_minor=None if isinstance(fuel, Unknown) else fuel[0],
        fuel_reason=fuel.reason if isinstance(fuel, Unknown) else "",
        rate=belief.new_spot(site.pk) if spot_id is None else belief.spot(spot_id),
        raw_rate=raw,
    )
    basis = fuel.reason if isinstance(fuel, Unknown) else fuel[1]
    return SiteDay(
        site, lines, light, basis, spot_id, outlook(place, record.habits, gold, creek_hours)
    )


def days_left(site: Site, last: dt.date | None, day: dt.date) -> tuple[int, str] | None:
    """Days until the first end that is noted: a closed window or the last paper's last day."""
    ends: list[tuple[dt.date, str]] = []
    closed = first_closed_day(
        day, day + dt.timedelta(days=366), site.closed_from, site.closed_until
    )
    if closed:
        ends.append((closed, gettext("until its closed window, as noted")))
    if last is not None:
        ends.append((last, gettext("until the last day of its papers, as noted")))
    if not ends:
        return None
    end, words = min(ends)
    return max(0, (end - day).days), words
