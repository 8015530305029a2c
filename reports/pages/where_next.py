"""The page "Where next": sites for a day, in the order that the party's own trips give."""

import datetime as dt
from dataclasses import dataclass

from claims.checklist import checklist_rows, site_checklists, worst
from claims.lines import CheckLine
from claims.models import Party, Site
from reports.charts.plots import IntervalRow, interval_plot
from reports.charts.scene import Figure
from reports.figures.facts import PanFacts, TripFacts
from reports.figures.grades import pan_rate
from reports.figures.ranking import (
    Contender,
    Thirst,
    Way,
    fuel_there_and_back,
    how_firm,
    other_price,
    ranking,
)
from reports.figures.returns import Return, at_site, returns
from reports.figures.value import BASIS_WORDS, PriceBasis, price_words, value_trips
from reports.figures.words import trips_word
from reports.pages.sun import sun_words
from reports.selectors import facts
from reports.selectors.setup import FirstSteps, first_steps, usual_car
from trips.calc.counts import Rate
from trips.calc.gold import Unknown, price_on
from trips.calc.money import minor_per_main
from trips.selectors.prices import price_points

OUTCOMES = {"stop": "stop", "do": "to do", "ask": "to ask", "know": "to know"}
NEEDS = {
    "stopped": "The checklist says do not go as planned on this day.",
    "unknown": "It has wrapped-up trips, but none whose net and hours are known.",
    "untried": "No wrapped-up trip yet. One trip with its costs, hours and a weigh-in makes a "
    "first figure; three make a range.",
}


@dataclass(frozen=True)
class SiteCard:
    """One site on the page; `rank` is None where it isn't ranked, then `needs` says why."""

    site: Site
    rank: int | None
    standing: str
    needs: str
    result: Return
    outcome: str
    settle: str
    stops: tuple[CheckLine, ...]
    lines: tuple[CheckLine, ...]
    fuel_minor: int | None
    fuel_basis: str
    sun: str
    last_visit: dt.date | None
    open_holes: int
    pans_on: dt.date | None
    pans: int
    rate: Rate | None


@dataclass(frozen=True)
class WherePage:
    """Everything that the template shows."""

    day: dt.date
    currency: str
    steps: FirstSteps
    ranked: tuple[SiteCard, ...]
    others: tuple[SiteCard, ...]
    figure: Figure | None
    firm: str
    if_price: str
    price: str
    basis: str
    trips: int


def where_next(party: Party, *, as_of: dt.date, day: dt.date, basis: PriceBasis) -> WherePage:
    """Sites that are still used, ranked for `day` from what is on record by `as_of`."""
    sites = list(party.sites.filter(is_retired=False))
    trips = facts.trip_facts(party, as_of)
    prices = price_points(party)
    its = facts.party_facts(party)
    rows = checklist_rows(party)
    checks = site_checklists(sites, day, papers=rows.papers, holes=rows.holes)

    def contenders(valued_at: PriceBasis) -> dict[int, Contender]:
        valued = value_trips(trips, its, prices, as_of=as_of, basis=valued_at)
        return {
            site.pk: Contender(
                site.pk,
                site.name,
                returns(at_site(valued, site.pk), its.currency),
                worst(checks[site.pk]) == "stop",
            )
            for site in sites
        }

    every = contenders(basis)
    ranked = ranking(list(every.values()))
    other: PriceBasis = "today" if basis == "trip" else "trip"
    ranked_other = ranking(list(contenders(other).values()))
    cards = _cards(party, sites, every, checks, trips, as_of=as_of, day=day)
    order = {each.site_id: place for place, each in enumerate(ranked, start=1)}
    by_rank = [cards[each.site_id] for each in ranked]
    rest = [card for site_id, card in cards.items() if site_id not in order]
    return WherePage(
        day=day,
        currency=its.currency,
        steps=first_steps(party, has_site=bool(sites), has_price=bool(prices)),
        ranked=tuple(by_rank),
        others=tuple(sorted(rest, key=lambda card: list(NEEDS).index(card.standing))),
        figure=_figure(by_rank, its.currency),
        firm=how_firm(ranked, its.currency),
        if_price=other_price(ranked, ranked_other, BASIS_WORDS[other]),
        price=price_words(price_on(prices, as_of, its.currency)),
        basis=BASIS_WORDS[basis],
        trips=len(trips),
    )


def _cards(
    party: Party,
    sites: list[Site],
    every: dict[int, Contender],
    checks: dict[int, tuple[CheckLine, ...]],
    trips: tuple[TripFacts, ...],
    *,
    as_of: dt.date,
    day: dt.date,
) -> dict[int, SiteCard]:
    car = usual_car(party)
    holes = facts.open_holes(party, as_of)
    visits = {part.site_id: trip.ends_on for trip in trips for part in trip.parts}
    pans: dict[int, list[PanFacts]] = {}
    for pan in facts.latest_pans(party, as_of):
        pans.setdefault(pan.site_id, []).append(pan)
    order = {each.site_id: place for place, each in enumerate(ranking(list(every.values())), 1)}
    return {
        site.pk: _card(
            party,
            site,
            every[site.pk],
            order.get(site.pk),
            checks[site.pk],
            car,
            pans.get(site.pk, []),
            day=day,
            last_visit=visits.get(site.pk),
            open_holes=holes.get(site.pk, 0),
        )
        for site in sites
    }


def _card(
    party: Party,
    site: Site,
    contender: Contender,
    rank: int | None,
    lines: tuple[CheckLine, ...],
    car: Thirst | None,
    pans: list[PanFacts],
    *,
    day: dt.date,
    last_visit: dt.date | None,
    open_holes: int,
) -> SiteCard:
    fuel = fuel_there_and_back(
        Way(site.sealed_m, site.unsealed_m, site.track_m),
        car,
        party.fuel_price_milli_per_l,
        party.currency,
    )
    standing = contender.standing
    return SiteCard(
        site=site,
        rank=rank,
        standing=standing,
        needs=NEEDS.get(standing, ""),
        result=contender.result,
        outcome=worst(lines),
        settle=_settle(lines),
        stops=tuple(line for line in lines if line.outcome == "stop"),
        lines=lines,
        fuel_minor=None if isinstance(fuel, Unknown) else fuel[0],
        fuel_basis=fuel.reason if isinstance(fuel, Unknown) else fuel[1],
        sun=sun_words(party, site, day),
        last_visit=last_visit,
        open_holes=open_holes,
        pans_on=pans[0].day if pans else None,
        pans=len(pans),
        rate=pan_rate(pans) if pans else None,
    )


def _settle(lines: tuple[CheckLine, ...]) -> str:
    """How many lines of each outcome, gravest first: "1 to do, 2 to ask"."""
    counts = [
        (sum(line.outcome == outcome for line in lines), words)
        for outcome, words in OUTCOMES.items()
    ]
    return ", ".join(f"{count} {words}" for count, words in counts if count)


def _figure(ranked: list[SiteCard], currency: str) -> Figure | None:
    scale = minor_per_main(currency)

    def main(minor: int | None) -> float | None:
        return None if minor is None else minor / scale

    return interval_plot(
        [
            IntervalRow(
                name=f"{card.rank}. {card.site.name}",
                low=main(card.result.low_minor),
                best=main(card.result.per_hour_minor),
                high=main(card.result.high_minor),
                note=trips_word(card.result.known),
            )
            for card in ranked
        ],
        title="Net per door-to-door hour of past trips",
        desc="Dot: all net over all hours of a site's trips. Bar: 80 % range; a hollow dot has "
        "too few trips for one.",
        unit=f"{currency} per hour",
    )
