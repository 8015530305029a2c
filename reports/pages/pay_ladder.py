"""The page "Pay ladder by …": which site, gear, method, month or year pays."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from django import forms
from django.utils.translation import gettext, gettext_lazy

from claims.models import Party
from reports.charts.plots import Figure, IntervalRow, interval_plot
from reports.figures.facts import TripFacts
from reports.figures.pay_groups import GROUP_WORDS, Basis, GroupBy, PayGroup, grouped, pay_groups
from reports.figures.pay_ladder import pay_ladder_report
from reports.figures.report import Report
from reports.figures.site_returns import NUGGET, Asked
from reports.figures.value import value_trips
from reports.figures.words import trips_word
from reports.pages.asked import SeasonForm
from reports.pages.does_it_pay import Sites, of_season
from reports.selectors import facts
from reports.selectors.belief import party_colours
from trips.calc.gold import price_on
from trips.calc.money import minor_per_main
from trips.calc.words import say
from trips.selectors.prices import price_points

MOST_DRAWN = 20


class LadderForm(SeasonForm):
    """Which season and price, and what to group by."""

    by = forms.ChoiceField(
        label=gettext_lazy("Group by"),
        required=False,
        choices=[(key, gettext_lazy(words)) for key, words in GROUP_WORDS.source()],
    )
    field_order = ["by", "season", "price"]

    def __init__(self, request, years, start):
        super().__init__(request, years, start, by="site")

    @property
    def group_by(self) -> GroupBy:
        chosen = self.chosen("by")
        return chosen if chosen in GROUP_WORDS else "site"


@dataclass(frozen=True)
class LadderPage:
    by: str
    currency: str
    season: str
    groups: tuple[PayGroup, ...]
    figure: Figure | None
    left_out: int
    nugget: str
    words: str


def pay_ladder(
    party: Party,
    sites: Sites,
    trips: Sequence[TripFacts],
    form: LadderForm,
    *,
    as_of: dt.date,
    mass_unit: str,
) -> tuple[LadderPage, Report]:
    """The page and its report; at most six queries beside the trips and sites."""
    its, prices, by = facts.party_facts(party), price_points(party), form.group_by
    valued = value_trips(of_season(trips, form.year), its, prices, as_of=as_of, basis=form.basis)
    today = price_on(prices, as_of, its.currency)
    learned = party_colours(party, as_of)
    groups = pay_groups(
        grouped(
            valued,
            by,
            [(pk, name) for pk, name, _ in sites],
            facts.gear_names(party) if by in ("gear", "method") else {},
        ),
        Basis(its, today, learned.mean),
    )
    asked = Asked(party.name, party.currency, as_of, form.season_words, form.basis, mass_unit)
    report = pay_ladder_report(groups, by, asked, today, its.hourly_figure_minor is not None)
    drawn = [group for group in groups if group.result.per_hour_minor is not None]
    if by in ("site", "gear", "method"):
        drawn.sort(key=lambda group: -(group.result.per_hour_minor or 0))
    page = LadderPage(
        by=GROUP_WORDS[by],
        currency=its.currency,
        season=form.season_words,
        groups=groups,
        figure=_figure(drawn[:MOST_DRAWN], GROUP_WORDS[by], its.currency),
        left_out=max(0, len(drawn) - MOST_DRAWN),
        nugget=say(NUGGET),
        words=learned.words,
    )
    return page, report


def _figure(groups: Sequence[PayGroup], by: str, currency: str) -> Figure | None:
    scale = minor_per_main(currency)

    def main(minor: int | None) -> float | None:
        return None if minor is None else minor / scale

    rows = [
        IntervalRow(
            group.name,
            main(group.result.low_minor),
            main(group.result.per_hour_minor),
            main(group.result.high_minor),
            trips_word(group.result.known),
        )
        for group in groups
    ]
    best = max(rows, key=lambda row: row.best or 0, default=None)
    return interval_plot(
        rows,
        title=gettext("Net per door-to-door hour by {by}").format(by=by),
        desc=""
        if best is None
        else gettext("Highest: {name}. A hollow dot has too few trips for a range.").format(
            name=best.name
        ),
        unit=say("{currency} an hour", currency=currency),
    )
