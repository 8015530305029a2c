"""The page "Where next": sites for a day, in the order that the party's belief gives."""

import datetime as dt
from dataclasses import dataclass

from django.utils.translation import gettext

from claims.checklist import worst
from claims.lines import CheckLine
from claims.models import Party
from reports.charts.plots import IntervalRow, interval_plot
from reports.charts.scene import Figure
from reports.decide.chances import rung_chances
from reports.decide.gammas import ends_of
from reports.decide.ranking import Per, Ranked, Ranking, rank
from reports.figures.outlook import Gold, effects, turning
from reports.figures.ranking import (
    PER_WORDS,
    effect_words,
    evidence_words,
    how_firm,
    minor,
    pct,
    said,
    share_words,
    turning_words,
)
from reports.figures.returns import Outing, by_site, returns
from reports.figures.value import BASIS_WORDS, PriceBasis, price_words, value_trips
from reports.pages import where_why as why
from reports.pages.basis_ahead import site_bases
from reports.pages.forecast import Record, SiteDay, days_left, record, site_days
from reports.pages.sun import sun_words
from reports.pages.where_answer import Answer, answer
from reports.pages.where_card import RungChance, SiteCard
from reports.selectors.setup import FirstSteps
from trips.calc.gold import Unknown
from trips.calc.money import minor_per_main
from trips.calc.payladder import LABELS, RungKey
from trips.calc.words import Spoken, marked, say, several

LATER_TRIPS = 6  # still to come, unless one says otherwise
OUTCOMES = Spoken(
    {
        "stop": marked("stop"),
        "do": marked("to do"),
        "ask": marked("to ask"),
        "know": marked("to know"),
    }
)


@dataclass(frozen=True)
class WherePage:
    """Everything that the template shows."""

    day: dt.date
    currency: str
    per: str
    steps: FirstSteps
    answer: Answer
    ranked: tuple[SiteCard, ...]
    others: tuple[SiteCard, ...]
    figure: Figure | None
    firm: str
    turning: str
    explore: str
    taught: str
    if_price: str
    thin: tuple[str, ...]
    price: str
    basis: str
    habits: tuple[str, ...]
    psi: str
    trips: int


def where_next(
    party: Party,
    *,
    as_of: dt.date,
    day: dt.date,
    basis: PriceBasis,
    per: Per = "hour",
    creek_hours: float | None = None,
    later: int = LATER_TRIPS,
) -> WherePage:
    """Sites that are still used, ranked for `day` from what is on record by `as_of`."""
    found = record(party, as_of)
    days = site_days(found, day, creek_hours=creek_hours)
    gold = found.gold_on(day)
    outings = [each.outlook.outing for each in days if each.outlook.outing is not None]
    order = rank(outings, 0.0 if isinstance(gold, Unknown) else gold.log_sd, per)
    names = {site.pk: site.name for site in found.sites}
    cards = _cards(found, days, order, gold, as_of=as_of, day=day, basis=basis, per=per)
    looks = [each.outlook for each in days]
    turn = turning(
        looks,
        order.rows,
        per,
        pan_l=found.pan_l,
        dispersion=found.ground.belief.region.dispersion,
    )
    psi = found.ground.psi
    by_rank = tuple(cards[row.site_id] for row in order.rows)
    ranked_ids = {row.site_id for row in order.rows}
    others = tuple(
        sorted(
            (card for pk, card in cards.items() if pk not in ranked_ids),
            key=lambda card: card.standing != "stopped",
        )
    )
    taught = why.taught(found, looks, order, later, per)
    return WherePage(
        day=day,
        currency=found.its.currency,
        per=PER_WORDS[per],
        steps=found.setup.steps(has_site=bool(found.sites), has_price=bool(found.prices)),
        answer=answer(
            by_rank,
            others,
            order,
            counted=found.ground.belief.is_counted,
            teaches=names[taught.site_id] if taught else "",
            currency=found.its.currency,
            per=per,
        ),
        ranked=by_rank,
        others=others,
        figure=_figure(by_rank, found.its.currency, per),
        firm=how_firm(order, names, found.its.currency, per),
        turning=turning_words(turn, names, found.pan_l),
        explore=why.explore(outings, order, names, found, day, per),
        taught=taught.words if taught else "",
        if_price=why.if_price(found, looks, order, names, per),
        thin=why.thin(found),
        price=price_words(found.price),
        basis=BASIS_WORDS[basis],
        habits=found.habits.words,
        psi=several(
            "{median:.2f}, learned from {n} spot",
            "{median:.2f}, learned from {n} spots",
            psi.spots,
            median=psi.median,
        )
        if psi.spots
        else gettext(
            "{median:.2f}, a starting value: no run of yours was weighed at a spot with pans"
        ).format(median=psi.median),
        trips=len(found.trips),
    )


def _cards(
    found: Record,
    days: tuple[SiteDay, ...],
    order: Ranking,
    gold: Gold | Unknown,
    *,
    as_of: dt.date,
    day: dt.date,
    basis: PriceBasis,
    per: Per,
) -> dict[int, SiteCard]:
    valued = value_trips(found.trips, found.its, found.prices, as_of=as_of, basis=basis)
    outings = by_site(valued)
    visits = {part.site_id: trip.ends_on for trip in found.trips for part in trip.parts}
    years, price = found.price_years(), found.price
    ratio = None
    if len(years) > 1 and not isinstance(price, Unknown):
        ratio = sum(years) / len(years) / float(price.price_per_g)
    moved = effects([each.outlook for each in days], found.habits, gold, per, ratio)
    places = {row.site_id: (n, row) for n, row in enumerate(order.rows, start=1)}
    rates = {each.site.pk: out.rate for each in days if (out := each.outlook.outing) is not None}
    ends = dict(zip(rates, ends_of(list(rates.values())), strict=True))
    return {
        each.site.pk: _card(
            found,
            each,
            places.get(each.site.pk),
            effect_words(moved.get(each.site.pk, ()), found.its.currency),
            gold,
            outings.get(each.site.pk, ()),
            last_visit=visits.get(each.site.pk),
            day=day,
            ends=ends.get(each.site.pk),
        )
        for each in days
    }


def _card(
    found: Record,
    its: SiteDay,
    place: tuple[int, Ranked] | None,
    moved: tuple[str, ...],
    gold: Gold | Unknown,
    outings: tuple[Outing, ...],
    *,
    last_visit: dt.date | None,
    day: dt.date,
    ends: tuple[float, float] | None,
) -> SiteCard:
    site, currency, belief = its.site, found.its.currency, found.ground.belief
    row = place[1] if place else None
    if its.spot_id is None:
        shares = belief.site_shares(site.pk)
    else:
        shares = belief.spot_shares(its.spot_id, site.pk)
    ladder, evidence = _ladder(found, its, gold), evidence_words(belief.seen_at(site.pk))
    counted = _counted(found, its, evidence)
    return SiteCard(
        site=site,
        rank=place[0] if place else None,
        standing=its.outlook.standing,
        needs=its.outlook.reason,
        mean_minor=minor(row.mean, currency) if row else None,
        low_minor=minor(row.low, currency) if row else None,
        high_minor=minor(row.high, currency) if row else None,
        best=pct(row.best_chance) if row else "",
        regret=said(row.regret, currency) if row else "",
        ladder=ladder,
        effects=moved,
        counted=counted,
        evidence=evidence,
        borrowed=share_words(shares),
        flood=why.flood(found, site, last_visit),
        left=days_left(site, found.last_days.get(site.pk), day),
        result=returns(outings, currency),
        outcome=worst(its.lines),
        settle=_settle(its.lines),
        stops=tuple(line for line in its.lines if line.outcome == "stop"),
        lines=its.lines,
        fuel_minor=its.outlook.place.fuel_minor,
        fuel_basis=its.fuel_basis,
        sun=sun_words(found.party, site, day),
        creek_minutes=round(60 * its.outlook.creek_hours),
        stay_days=its.outlook.stay.days,
        last_visit=last_visit,
        open_holes=found.open_holes[site.pk],
        bases=site_bases(found, its, row, ladder, counted, gold, ends),
    )


def _counted(found: Record, its: SiteDay, evidence: str) -> str:
    """Which spot the forecast is of, what was counted there, and what at the whole site."""
    known = found.ground.belief.spots.get(its.spot_id or 0)
    if known is None:
        return gettext("At a spot not tried yet. At the whole site: {evidence}.").format(
            evidence=evidence
        )
    own = evidence_words(known.seen)
    told = gettext("At {spot}: {evidence}.").format(
        spot=found.spot_names.get(its.spot_id or 0, ""), evidence=own
    )
    if own == evidence:
        return told
    return told + " " + gettext("At the whole site: {evidence}.").format(evidence=evidence)


def _ladder(found: Record, its: SiteDay, gold: Gold | Unknown) -> tuple[RungChance, ...]:
    """Chance of each rung on one day there; a rung whose cost isn't known has none."""
    outing, stay = its.outlook.outing, its.outlook.stay
    if outing is None or isinstance(gold, Unknown):
        return ()
    scale = minor_per_main(found.its.currency)
    fuel = its.outlook.place.fuel_minor or 0
    outlay = fuel + stay.other_minor
    wear = None if stay.wear_minor is None else outlay + stay.wear_minor
    own = found.its.hourly_figure_minor
    hours = None
    if wear is not None and own is not None:
        hours = wear + round(own * outing.hours * found.habits.people)
    thresholds: dict[RungKey, int | None] = {
        "fuel": fuel,
        "outlay": outlay,
        "wear": wear,
        "hours": hours,
    }
    known = {key: cost for key, cost in thresholds.items() if cost is not None}
    chances = dict(
        zip(
            known,
            rung_chances(
                outing.rate,
                kept_l=its.outlook.creek_hours * stay.litres_per_hour * gold.psi_mean,
                log_sd=gold.log_sd,
                mean_mg=gold.mean_mg,
                mass_cv=gold.colour_cv,
                thresholds_mg=[1000 * c / scale / gold.per_raw_g for c in known.values()],
            ),
            strict=True,
        )
    )
    return tuple(
        RungChance(LABELS[key], cost, pct(chances[key]) if key in chances else "")
        for key, cost in thresholds.items()
    )


def _settle(lines: tuple[CheckLine, ...]) -> str:
    """How many lines of each outcome, gravest first: "1 to do, 2 to ask"."""
    counts = [
        (sum(line.outcome == outcome for line in lines), words)
        for outcome, words in OUTCOMES.items()
    ]
    return ", ".join(f"{count} {words}" for count, words in counts if count)


def _figure(ranked: tuple[SiteCard, ...], currency: str, per: Per) -> Figure | None:
    scale = minor_per_main(currency)
    per_words = say("per hour") if per == "hour" else say("per trip")

    def main(amount: int | None) -> float | None:
        return None if amount is None else amount / scale

    return interval_plot(
        [
            IntervalRow(
                name=f"{card.rank}. {card.site.name}",
                low=main(card.low_minor),
                best=main(card.mean_minor),
                high=main(card.high_minor),
                note=gettext("best: {best}").format(best=card.best),
            )
            for card in ranked
        ],
        title=gettext("Expected net {PER_WORDS}").format(PER_WORDS=PER_WORDS[per]),
        desc=gettext(
            "Dot: what a day there brings on average, as far as is known. Bar: 80 % range of that "
            "average; a single day varies more."
        ),
        unit=f"{currency} {per_words}",
    )
