"""The page "Does it pay": a season against its costs, rung by rung."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.utils.translation import gettext

from claims.models import Party
from claims.web.basis import Basis
from reports.charts.plots import Figure, Rung, StairPoint, value_against_cost
from reports.charts.plots import hours_by_activity as hours_figure
from reports.charts.plots import pay_ladder as ladder_figure
from reports.figures.facts import TripFacts
from reports.figures.report import Report
from reports.figures.returns import Gap, Return, mean_of_ratios_minor, returns, whole_trips
from reports.figures.season import Ladder, Spent, hours_of, ladder, spent, stairs, worn
from reports.figures.site_returns import NUGGET, Asked, SiteName, site_returns
from reports.figures.value import BASIS_WORDS, PriceBasis, ValuedTrip, price_words, value_trips
from reports.pages.asked import SeasonForm
from reports.pages.basis_past import return_bases
from reports.selectors import facts
from trips.calc.gold import PricePoint, price_on
from trips.calc.money import minor_per_main
from trips.calc.payladder import BreakEven, break_even_ug
from trips.calc.words import say
from trips.models import HoursBlock
from trips.selectors.prices import price_points

Sites = Sequence[tuple[int, str, bool]]  # id, name, retired


@dataclass(frozen=True)
class AtPrice:
    """The season valued at one price basis."""

    words: str
    result: Return
    chosen: bool


@dataclass(frozen=True)
class PayPage:
    """Everything that the template shows."""

    season: str
    currency: str
    trips: int
    result: Return
    mean_of_ratios_minor: int | None
    at_prices: tuple[AtPrice, ...]
    wear_minor: int | None
    break_even: BreakEven
    price: str
    ladder: Ladder
    ladder_figure: Figure | None
    stairs_figure: Figure | None
    stairs_gaps: tuple[Gap, ...]
    hours_figure: Figure | None
    spent: tuple[Spent, ...]
    worn: tuple[Spent, ...]
    has_hourly_figure: bool
    nugget: str
    bases: tuple[Basis, ...]


def season_years(trips: Sequence[TripFacts]) -> tuple[int, ...]:
    """Calendar years with wrapped-up trips, by the trips' last day."""
    return tuple(sorted({trip.ends_on.year for trip in trips}))


def of_season(trips: Sequence[TripFacts], year: int | None) -> tuple[TripFacts, ...]:
    """The trips of a calendar year; all of them for None."""
    return tuple(trip for trip in trips if year is None or trip.ends_on.year == year)


def does_it_pay(
    party: Party,
    sites: Sites,
    trips: Sequence[TripFacts],
    form: SeasonForm,
    *,
    as_of: dt.date,
    mass_unit: str,
) -> tuple[PayPage, Report]:
    """The page and its report by site.

    Args: trips: of the season that the form asks for.
    """
    its = facts.party_facts(party)
    prices = price_points(party)
    by_basis: dict[PriceBasis, tuple[ValuedTrip, ...]] = {
        basis: value_trips(trips, its, prices, as_of=as_of, basis=basis) for basis in BASIS_WORDS
    }
    valued = by_basis[form.basis]
    outings = whole_trips(valued)
    result = returns(outings, its.currency)
    today = price_on(prices, as_of, its.currency)
    rungs = ladder(valued, its)
    steps, gaps = stairs(valued)
    lines = facts.cost_lines(party, trips, facts.kept_lines(party, trips))
    hours = hours_of(trips)
    scale = minor_per_main(its.currency)
    page = PayPage(
        season=form.season_words,
        currency=its.currency,
        trips=len(trips),
        result=result,
        mean_of_ratios_minor=mean_of_ratios_minor(outings),
        at_prices=tuple(
            AtPrice(words, returns(whole_trips(by_basis[basis]), its.currency), basis == form.basis)
            for basis, words in BASIS_WORDS.items()
        ),
        wear_minor=_wear(trips),
        break_even=break_even_ug(
            result.outlay_minor, today, its.fineness, Decimal(its.payable_ppt) / 1000
        ),
        price=price_words(today),
        ladder=rungs,
        ladder_figure=_ladder_figure(rungs, its.currency, scale),
        stairs_figure=value_against_cost(
            [StairPoint(s.day, s.value_minor / scale, s.outlay_minor / scale) for s in steps],
            title=gettext("Value of the gold against outlay, trip by trip"),
            desc=gettext(
                "Solid: value so far. Dashed: outlay so far. Trips with an unknown value or "
                "outlay are in neither."
            ),
            unit=its.currency,
        ),
        stairs_gaps=gaps,
        hours_figure=hours_figure(
            [
                (words.capitalize(), hours[key])
                for key, words in HoursBlock.Activity.choices
                if hours.get(key)
            ],
            title=gettext("Hours by activity"),
            desc=gettext("Everybody's hours added up."),
        ),
        spent=spent(lines),
        worn=worn(lines),
        has_hourly_figure=its.hourly_figure_minor is not None,
        nugget=say(NUGGET),
        bases=return_bases(
            result, outings, its.currency, BASIS_WORDS[form.basis], price_words(today)
        ),
    )
    return page, _report(party, sites, valued, form, today, as_of=as_of, mass_unit=mass_unit)


def returns_report(
    party: Party,
    sites: Sites,
    trips: Sequence[TripFacts],
    form: SeasonForm,
    *,
    as_of: dt.date,
    mass_unit: str,
) -> Report:
    """The report by site alone, for its own page and files."""
    its = facts.party_facts(party)
    prices = price_points(party)
    valued = value_trips(of_season(trips, form.year), its, prices, as_of=as_of, basis=form.basis)
    today = price_on(prices, as_of, its.currency)
    return _report(party, sites, valued, form, today, as_of=as_of, mass_unit=mass_unit)


def _report(
    party: Party,
    sites: Sites,
    valued: Sequence[ValuedTrip],
    form: SeasonForm,
    today: PricePoint,
    *,
    as_of: dt.date,
    mass_unit: str,
) -> Report:
    asked = Asked(party.name, party.currency, as_of, form.season_words, form.basis, mass_unit)
    return site_returns(site_names(sites, valued), valued, asked, today)


def all_sites(party: Party) -> tuple[tuple[int, str, bool], ...]:
    """Id, name and whether it is retired, of every site; one query."""
    return tuple(party.sites.order_by("name", "pk").values_list("pk", "name", "is_retired"))


def site_names(sites: Sites, valued: Sequence[ValuedTrip]) -> tuple[SiteName, ...]:
    """Sites still used, and retired ones that the trips visited."""
    visited = {share.site_id for each in valued for share in each.shares}
    return tuple(SiteName(pk, name) for pk, name, retired in sites if not retired or pk in visited)


def _wear(trips: Sequence[TripFacts]) -> int | None:
    """Wear of all trips in minor units; None if that of any is unknown."""
    wear = [trip.wear_minor for trip in trips]
    return None if None in wear else sum(wear)


def _ladder_figure(rungs: Ladder, currency: str, scale: int) -> Figure | None:
    if rungs.value_minor is None:
        return None
    return ladder_figure(
        [
            Rung(
                name=rung.label.capitalize(),
                threshold=None if rung.threshold_minor is None else rung.threshold_minor / scale,
                chance=gettext("{reached} of {known} trips").format(
                    reached=rung.share.reached, known=rung.share.known
                ),
            )
            for rung in rungs.rungs
        ],
        value=rungs.value_minor / scale,
        title=gettext("The pay ladder"),
        desc=gettext(
            "What {common} trips with every figure known brought in together, "
            "against what each rung asks for."
        ).format(common=rungs.common),
        unit=currency,
    )
