"""The page "Would a change pay?": a box, a nearer site, a second person or a lighter car."""

import datetime as dt
import math
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from django import forms

from claims.models import Party, Site
from claims.web import show
from claims.web.fields import CountField, MoneyField, QuantityField, ScaledField
from claims.web.forms import LedgerForm
from reports.charts.plots import Figure, IntervalRow, interval_plot
from reports.decide.next_trip import Fed
from reports.decide.purchase import (
    MOST_YEARS,
    Grade,
    Purchase,
    Worth,
    ground_of,
    sensitivities,
)
from reports.figures.facts import TripFacts
from reports.figures.ranking import pct
from reports.figures.returns import washed_ml
from reports.figures.season import Spent, worn
from reports.figures.value import price_words
from reports.selectors import facts
from reports.selectors.belief import party_ground
from trips.calc.digits import main_money_range
from trips.calc.gold import Unknown, minor_per_ug, price_on
from trips.calc.money import minor_per_main, round_minor
from trips.models import Gear
from trips.selectors.costing import access_leg
from trips.selectors.prices import price_points
from trips.selectors.rates import driven_by_car

GUESS_CV = 0.5  # how far a guessed grade is off (own judgement)
KINDS = {
    "box": "A pump-fed box, or other gear that washes more",
    "site": "A nearer site",
    "person": "A second person",
    "car": "A lighter car",
}


@dataclass(frozen=True)
class MeanTrip:
    """What the party's trips come to on the mean; None where not known."""

    trips_a_year: float
    litres: float | None
    run_hours: float | None
    km: float | None
    food_minor: int | None
    fed: tuple[Fed, ...]


class PurchaseForm(LedgerForm, forms.Form):
    """What it costs once, and what it changes on a trip. Empty boxes count as nothing."""

    kind = forms.ChoiceField(choices=list(KINDS.items()), required=False, label="Question")
    price_minor = MoneyField(required=False, label="Costs once")
    residual_minor = MoneyField(required=False, label="Fetches at the end")
    years = CountField(low=1, high=MOST_YEARS, required=False, label="Used for, years")
    rate_pct = ScaledField(
        scale=10, unit_label="%", low=0, high=500, required=False, label="Interest a year"
    )
    trips_tenths = ScaledField(scale=10, low=0, high=3650, required=False, label="Trips a year")
    litres_least = CountField(high=50_000, required=False, label="Extra litres a trip, at least")
    litres_likely = CountField(high=50_000, required=False, label="likely")
    litres_most = CountField(high=50_000, required=False, label="at most")
    km_saved = ScaledField(
        scale=10, unit_label="km", low=0, high=100_000, required=False, label="Less driven a trip"
    )
    km_milli = ScaledField(
        scale=1000,
        low=0,
        high=100_000,
        required=False,
        label="Saved by each kilometre less",
        help_text="Fuel and wear together.",
    )
    other_site = forms.ModelChoiceField(
        Site.objects.none(),
        required=False,
        empty_label="not one on record",
        label="The nearer site is",
        help_text="Its grade is then what your record believes of it.",
    )
    grade_ug = QuantityField(
        kind="mass",
        unit="mg",
        high=10_000_000,
        required=False,
        label="Or its grade, a loose litre",
        help_text="Your own guess, such as 1.5 mg; it goes before the site's. Both empty: as where "
        "you go now.",
    )
    saved_minor = MoneyField(required=False, label="Saved otherwise on a trip")
    running_minor = MoneyField(
        required=False, label="More outlay on a trip", help_text="Engine fuel, food, a fee."
    )
    as_of = forms.DateField(required=False, widget=forms.HiddenInput)

    layout = (
        ("What it is", ("kind", ("price_minor", "residual_minor"), ("years", "rate_pct"))),
        (
            "What it changes on a trip",
            (
                "trips_tenths",
                ("litres_least", "litres_likely", "litres_most"),
                ("km_saved", "km_milli"),
                ("other_site", "grade_ug"),
                ("saved_minor", "running_minor"),
            ),
        ),
    )

    def __init__(self, data, *, starts, sites, **kwargs):
        data = data.copy()
        for name, value in starts.items():
            if name not in data and value is not None:
                data[name] = value
        super().__init__(data, **kwargs)
        if "as_of" in data:
            self.fields["as_of"].widget = forms.HiddenInput()
        else:
            del self.fields["as_of"]
        self.fields["km_milli"].unit_label = f"{self.currency} per km"
        self.fields["other_site"].queryset = sites
        if starts["kind"] != "site":
            del self.fields["other_site"], self.fields["grade_ug"]

    def clean(self):
        data = super().clean()
        row = [data.get(name) or 0 for name in ("litres_least", "litres_likely", "litres_most")]
        wrong = {"litres_least", "litres_likely", "litres_most"} & set(self.errors)
        if not wrong and row != sorted(row):
            self.add_error("litres_most", "At least, likely and at most must rise.")
        return data

    def purchase(self, currency: str) -> Purchase:
        """The cleaned figures; whatever was left empty counts as nothing."""
        data, scale = self.cleaned_data, minor_per_main(currency)

        def number(name: str) -> float:
            return float(data.get(name) or 0)

        per_km = number("km_saved") / 10 * number("km_milli") / 1000
        return Purchase(
            price=number("price_minor") / scale,
            residual=number("residual_minor") / scale,
            years=data.get("years") or 5,
            rate=number("rate_pct") / 1000,
            trips_a_year=number("trips_tenths") / 10,
            litres=(number("litres_least"), number("litres_likely"), number("litres_most")),
            saved=per_km + number("saved_minor") / scale,
            running=number("running_minor") / scale,
        )


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
    headers = ("What if", "Mean present value", "80 % range", "Chance above zero")


def mean_trip(trips: Sequence[TripFacts], km: float | None) -> MeanTrip:
    """What wrapped-up trips come to on the mean."""
    fed = tuple(
        Fed(trip.mass_ug, ml / 1000)
        for trip in trips
        if trip.mass_ug is not None and (ml := washed_ml(trip))
    )
    years = {trip.ends_on.year for trip in trips}
    hours = [
        sum(part.minutes or 0 for part in trip.gear) / 60
        for trip in trips
        if trip.gear and all(part.minutes is not None for part in trip.gear)
    ]
    food = [
        sum(line.amount_minor or 0 for line in trip.lines if line.kind == "food")
        for trip in trips
        if trip.lines is not None
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
    mean = mean_trip(trips, km)
    cars = list(party.vehicles.values_list("name", "wear_milli_per_km"))
    car_milli = next((milli for name, milli in cars if name in driven and milli), None)
    kind = data.get("kind") if data.get("kind") in KINDS else "box"
    starts = starts_of(kind, mean, car_milli, party.currency)
    form = PurchaseForm(data, starts=starts, sites=party.sites.filter(is_retired=False), **options)
    price = price_on(price_points(party), as_of, party.currency)
    learned = party_ground(party, as_of).colours
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
        wear=_wear(party, worn(facts.cost_lines(party, trips)), cars),
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
        said = (
            f"Grade there {typed / 1000:g} mg a loose litre, your guess, taken as ± {GUESS_CV:.0%}"
        )
        return Grade(typed / 1000, GUESS_CV), (f"{said} (own judgement).", *words)
    if site is None:
        return None, ("The nearer site is taken to be as good as the places you go to now.",)
    ground = party_ground(party, as_of)
    spot = ground.belief.best_spot(site.pk)
    rate = ground.belief.new_spot(site.pk) if spot is None else ground.belief.spot(spot)
    shape, per = rate.moment_gamma()
    grade = Grade(
        shape / per * ground.psi.mean * ground.mean_ug / 1000,
        math.sqrt(1 / shape + ground.psi.log_sd**2 + ground.mean_cv**2),
    )
    return grade, (
        f"Grade at {site}: {grade.mg_per_l:.2g} mg a loose litre ± {grade.cv:.0%}, what your "
        f"record believes of {'its best tested spot' if spot else 'a new spot there'}.",
        *words,
    )


def _way_words(site: Site, mean: MeanTrip) -> tuple[str, ...]:
    leg = access_leg(site)
    if leg is None:
        return (f"The way to {site} isn't noted, so what it saves is as typed.",)
    usual = "unknown" if mean.km is None else f"{mean.km:.0f} km"
    return (
        f"The way to {site} and back is {sum(leg) / 500:.0f} km; yours is {usual} on the mean.",
    )


def _cells(name: str, each: Worth, currency: str) -> tuple[str, ...]:
    shown = main_money_range(each.low, each.mean, each.high, currency)
    span = f"{shown.low} to {shown.high}"
    return (name, shown.best, span, pct(each.chance))


def _figure(rows: Sequence[tuple[str, Worth]], currency: str) -> Figure | None:
    if not rows:
        return None
    first = rows[0][1]
    return interval_plot(
        [IntervalRow(name, each.low, each.mean, each.high) for name, each in rows],
        title="Worth today",
        desc=f"As entered: {_cells('', first, currency)[1]}, above zero in "
        f"{round(100 * first.chance)} of 100 draws.",
        unit=currency,
    )


def _gold_words(mean: MeanTrip, has_ground: bool, per_mg: float | None, learned: str) -> str:
    if has_ground:
        litres = f"{mean.litres:.0f}" if mean.litres else "no"
        return (
            f"Gold per litre from {len(mean.fed)} trips that washed {litres} L on the mean, as if "
            f"the extra gravel were like it. {learned}"
        )
    if per_mg is None:
        return "Without a gold price the extra litres bring nothing here."
    return "No trip has both litres and weighed gold, so the extra litres bring nothing here."


def _wear(party: Party, rows: Sequence[Spent], cars) -> tuple[WearLine, ...]:
    """Wear by units of production: so far, and what is left of each price."""
    gear = {f"Wear of {row.name}": row for row in Gear.objects.filter(party=party)}
    lines = []
    for row in rows:
        piece, currency = gear.get(row.label), party.currency
        note = f"{row.not_known} trips unknown" if row.not_known else ""
        if piece is None:
            lines.append(
                WearLine(row.label, show.money(row.amount_minor, currency), "", "", "", note)
            )
            continue
        book = None
        if piece.price_minor is not None:
            book = max(piece.residual_minor or 0, piece.price_minor - row.amount_minor)
            if piece.price_minor - row.amount_minor < (piece.residual_minor or 0):
                note = "its noted life is used up: look at it again"
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
