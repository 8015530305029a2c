"""The page "Would a change pay?": a box, a nearer site, a second person or a lighter car."""

import datetime as dt
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.utils.translation import gettext_lazy

from claims.models import Party, Site
from claims.web import show
from reports.charts.plots import Figure, IntervalRow, interval_plot, percent
from reports.decide.next_trip import Fed
from reports.decide.purchase import (
    Grade,
    Worth,
    ground_of,
    sensitivities,
)
from reports.figures.facts import TripFacts
from reports.figures.ranking import pct
from reports.figures.returns import washed_ml
from reports.figures.season import Spent, worn
from reports.figures.value import price_words
from reports.pages.purchase_form import KINDS, PurchaseForm
from reports.selectors import facts
from reports.selectors.belief import party_colours, party_ground
from trips.calc.costs import CostLine
from trips.calc.digits import main_money_range
from trips.calc.gold import Unknown, minor_per_ug, price_on
from trips.calc.money import minor_per_main, round_minor
from trips.calc.words import say
from trips.models import Gear
from trips.selectors.costing import access_leg
from trips.selectors.prices import price_points
from trips.selectors.rates import driven_by_car

GUESS_CV = 0.5  # how far a guessed grade is off (own judgement)


@dataclass(frozen=True)
class MeanTrip:
    """What the party's trips come to on the mean; None where not known."""

    trips_a_year: float
    litres: float | None
    run_hours: float | None
    km: float | None
    food_minor: int | None
    fed: tuple[Fed, ...]


@dataclass(frozen=True)
class WearLine:
    """One piece of gear or car: wear so far, and what is left of its price."""

    name: str
    worn: str
    price: str
    life: str
    book: str
    note: str


@dataclass(frozen=True)
class PurchasePage:
    currency: str
    trips: int
    result: Worth | None
    rows: tuple[tuple[str, ...], ...]
    figure: Figure | None
    gold_words: str
    there: tuple[str, ...]
    price: str
    wear: tuple[WearLine, ...]
    headers = (
        gettext_lazy("What if"),
        gettext_lazy("Mean present value"),
        "80 % range",
        gettext_lazy("Chance above zero"),
    )


def mean_trip(
    trips: Sequence[TripFacts],
    lines: Mapping[int, tuple[CostLine, ...] | None],
    km: float | None,
) -> MeanTrip:
    """What wrapped-up trips come to on the mean.

    Args: lines: of each trip's cost, None where it was kept without them.
    """
    fed = tuple(
        Fed(trip.mass_ug, ml / 1000)
        for trip in trips
        if trip.mass_ug is not None and (ml := washed_ml(trip))
    )
    years = {trip.ends_on.year for trip in trips}
    hours = [
        sum(part.minutes or 0 for part in gear) / 60
        for gear in (trip.gear for trip in trips)
        if gear and all(part.minutes is not None for part in gear)
    ]
    food = [
        sum(line.amount_minor or 0 for line in its if line.kind == "food")
        for its in lines.values()
        if its is not None
    ]
    return MeanTrip(
        trips_a_year=len(trips) / len(years) if years else 0.0,
        litres=sum(each.litres for each in fed) / len(fed) if fed else None,
        run_hours=sum(hours) / len(hours) if hours else None,
        km=km,
        food_minor=round_minor(Decimal(sum(food)) / len(food)) if food else None,
        fed=fed,
    )


def starts_of(kind: str, mean: MeanTrip, car_milli: int | None, currency: str) -> dict[str, str]:
    """First figures for a question, from the record where it says anything; all can be changed."""
    litres = mean.litres or 0
    starts = {
        "kind": kind,
        "years": "5",
        "rate_pct": "3",
        "trips_tenths": f"{mean.trips_a_year:.1f}",
    }

    def extra(least: float, likely: float, most: float) -> None:
        for name, share in (("least", least), ("likely", likely), ("most", most)):
            starts[f"litres_{name}"] = str(round(litres * share))

    per_km = "" if car_milli is None else f"{car_milli / 1000:.3f}"
    if kind == "box":
        extra(0.5, 1, 2)
    elif kind == "site":
        starts |= {"km_saved": f"{(mean.km or 0) / 2:.1f}", "km_milli": per_km}
        extra(0, 0.1, 0.2)
    elif kind == "person":
        extra(0.2, 0.5, 0.8)
        if mean.food_minor:
            starts["running_minor"] = str(mean.food_minor / minor_per_main(currency))
    elif kind == "car":
        starts |= {"km_saved": f"{mean.km or 0:.1f}", "km_milli": "0.05"}
    return starts


def purchase_page(
    party: Party, trips: Sequence[TripFacts], data, *, as_of: dt.date, options: dict
) -> tuple[PurchaseForm, PurchasePage]:
    """The form with its starting figures, and the page; a constant number of queries."""
    driven = driven_by_car(party, as_of)
    drives = [drive.distance_m for rows, _ in driven.values() for drive in rows]
    km = sum(drives) / len(drives) / 1000 if drives else None
    kept = facts.kept_lines(party, trips, kinds=("food", "wear"))
    mean = mean_trip(trips, kept, km)
    cars = list(party.vehicles.values_list("name", "wear_milli_per_km"))
    car_milli = next((milli for name, milli in cars if name in driven and milli), None)
    kind = data.get("kind") if data.get("kind") in KINDS else "box"
    starts = starts_of(kind, mean, car_milli, party.currency)
    form = PurchaseForm(data, starts=starts, sites=party.sites.filter(is_retired=False), **options)
    price = price_on(price_points(party), as_of, party.currency)
    learned = party_colours(party, as_of)
    per_mg = None
    if not isinstance(price, Unknown):
        per_ug = minor_per_ug(price, party.fineness, Decimal(party.payable_ppt) / 1000)
        per_mg = float(per_ug) * 1000 / minor_per_main(party.currency)
    there, there_words = _there(party, form, mean, as_of)
    ground = ground_of(mean.fed, learned.mean, per_mg, there)
    rows: tuple[tuple[str, Worth], ...] = ()
    # Without a price every purchase would pay.
    if form.is_valid() and form.cleaned_data.get("price_minor") is not None:
        rows = sensitivities(form.purchase(party.currency), ground)
    page = PurchasePage(
        currency=party.currency,
        trips=len(trips),
        result=rows[0][1] if rows else None,
        rows=tuple(_cells(name, each, party.currency) for name, each in rows),
        figure=_figure(rows, party.currency),
        gold_words=_gold_words(mean, ground is not None, per_mg, learned.words),
        there=there_words,
        price=price_words(price),
        wear=_wear(party, worn(facts.cost_lines(party, trips, kept)), cars),
    )
    return form, page


def _there(
    party: Party, form: PurchaseForm, mean: MeanTrip, as_of: dt.date
) -> tuple[Grade | None, tuple[str, ...]]:
    """The grade of the nearer site, typed or believed, and what it rests on."""
    if "other_site" not in form.fields or not form.is_valid():
        return None, ()
    site, typed = form.cleaned_data["other_site"], form.cleaned_data["grade_ug"]
    words = _way_words(site, mean) if site else ()
    if typed is not None:
        said = say(
            "Grade there {typed:g} mg a loose litre, your guess, taken as ± {guess_cv}",
            typed=typed / 1000,
            guess_cv=percent(GUESS_CV),
        )
        return Grade(typed / 1000, GUESS_CV), (say("{said} (own judgement).", said=said), *words)
    if site is None:
        return None, (say("The nearer site is taken to be as good as the places you go to now."),)
    ground = party_ground(party, as_of)
    spot = ground.belief.best_spot(site.pk)
    rate = ground.belief.new_spot(site.pk) if spot is None else ground.belief.spot(spot)
    shape, per = rate.moment_gamma()
    grade = Grade(
        shape / per * ground.psi.mean * ground.mean_ug / 1000,
        math.sqrt(1 / shape + ground.psi.log_sd**2 + ground.mean_cv**2),
    )
    return grade, (
        say(
            "Grade at {site}: {mg_per_l:.2g} mg a loose litre ± {cv}, what "
            "your record believes of {words}.",
            site=site,
            mg_per_l=grade.mg_per_l,
            cv=percent(grade.cv),
            words=say("its best tested spot") if spot else say("a new spot there"),
        ),
        *words,
    )


def _way_words(site: Site, mean: MeanTrip) -> tuple[str, ...]:
    leg = access_leg(site)
    if leg is None:
        return (say("The way to {site} isn't noted, so what it saves is as typed.", site=site),)
    usual = say("unknown") if mean.km is None else say("{km:.0f} km", km=mean.km)
    return (
        say(
            "The way to {site} and back is {leg:.0f} km; yours is {usual} on the mean.",
            site=site,
            leg=sum(leg) / 500,
            usual=usual,
        ),
    )


def _cells(name: str, each: Worth, currency: str) -> tuple[str, ...]:
    shown = main_money_range(each.low, each.mean, each.high, currency)
    span = say("{low} to {high}", low=shown.low, high=shown.high)
    return (name, shown.best, span, pct(each.chance))


def _figure(rows: Sequence[tuple[str, Worth]], currency: str) -> Figure | None:
    if not rows:
        return None
    first = rows[0][1]
    return interval_plot(
        [IntervalRow(name, each.low, each.mean, each.high) for name, each in rows],
        title=say("Worth today"),
        desc=say(
            "As entered: {words}, above zero in {words_2} of 100 draws.",
            words=_cells("", first, currency)[1],
            words_2=round(100 * first.chance),
        ),
        unit=currency,
    )


def _gold_words(mean: MeanTrip, has_ground: bool, per_mg: float | None, learned: str) -> str:
    if has_ground:
        litres = f"{mean.litres:.0f}" if mean.litres else "no"
        return say(
            "Gold per litre from {fed} trips that washed {litres} L on the "
            "mean, as if the extra gravel were like it. {learned}",
            fed=len(mean.fed),
            litres=litres,
            learned=learned,
        )
    if per_mg is None:
        return say("Without a gold price the extra litres bring nothing here.")
    return say("No trip has both litres and weighed gold, so the extra litres bring nothing here.")


def _wear(party: Party, rows: Sequence[Spent], cars) -> tuple[WearLine, ...]:
    """Wear by units of production: so far, and what is left of each price."""
    gear = {say("Wear of {name}", name=row.name): row for row in Gear.objects.filter(party=party)}
    lines = []
    for row in rows:
        piece, currency = gear.get(row.label), party.currency
        note = say("{not_known} trips unknown", not_known=row.not_known) if row.not_known else ""
        if piece is None:
            lines.append(
                WearLine(row.label, show.money(row.amount_minor, currency), "", "", "", note)
            )
            continue
        book = None
        if piece.price_minor is not None:
            book = max(piece.residual_minor or 0, piece.price_minor - row.amount_minor)
            if piece.price_minor - row.amount_minor < (piece.residual_minor or 0):
                note = say("its noted life is used up: look at it again")
        lines.append(
            WearLine(
                name=piece.name,
                worn=show.money(row.amount_minor, currency),
                price=show.money(piece.price_minor, currency),
                life=show.minutes(piece.life_minutes),
                book=show.money(book, currency),
                note=note,
            )
        )
    return tuple(lines)
