"""How the figures that look ahead were computed: ranking, stopping tables, the leave line."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.urls import reverse
from django.utils.translation import gettext, ngettext

from claims.web import show
from claims.web.basis import Basis, Input
from reports.decide.gammas import GammaMix
from reports.figures.outlook import Gold
from reports.figures.ranking import pct, said
from reports.pages.basis_past import trip_url
from trips.calc import local
from trips.calc.digits import main_money_range, number_range
from trips.calc.gold import Unknown
from trips.calc.words import say

if TYPE_CHECKING:
    from reports.decide.ranking import Ranked
    from reports.pages.forecast import Record, SiteDay
    from reports.pages.leave import Hole
    from reports.pages.where_card import RungChance
    from reports.selectors.creek import CreekFacts

MOST_TRIPS = 12  # of a site that are listed in a fold; all stand on the site's page


def number(value: float, places: int = 2) -> str:
    return local.fixed(value, places)


def spread(rate: GammaMix, ends: tuple[float, float]) -> str:
    shown = number_range(ends[0], rate.mean(), ends[1])
    return gettext("{number} colours per litre ({low} to {high})").format(
        number=shown.best, low=shown.low, high=shown.high
    )


def site_bases(
    found: Record,
    its: SiteDay,
    row: Ranked | None,
    ladder: tuple[RungChance, ...],
    counted: str,
    gold: Gold | Unknown,
    ends: tuple[float, float] | None,
) -> tuple[Basis, ...]:
    """Net, chance of being best and chances of the rungs of one ranked site.

    Args: ends: 10 % and 90 % points of its colours a litre.
    """
    if row is None or its.outlook.outing is None or ends is None or isinstance(gold, Unknown):
        return ()
    currency = found.its.currency
    inputs = (
        *_yield_inputs(its, counted, gold, ends),
        *_money_inputs(its, gold, currency),
        *_trip_inputs(found, its),
    )
    return (
        _net(row, inputs, currency),
        _best(row, gold, currency),
        _chances(ladder, currency),
    )


def _net(row: Ranked, inputs: tuple[Input, ...], currency: str) -> Basis:
    shown = main_money_range(row.low, row.mean, row.high, currency)
    return Basis(
        gettext("Expected net an hour or a trip"),
        gettext("{mean}, 80 % range {low} to {high}").format(
            mean=shown.best, low=shown.low, high=shown.high
        ),
        gettext(
            "Litres washed × colours per litre × what one "
            "colour brings, less fuel and other outlay; "
            "over the hours from door to door."
        ),
        inputs,
        "ranking",
        gettext("The range varies the belief, and price, mass of a colour and box together."),
    )


def _yield_inputs(
    its: SiteDay, counted: str, gold: Gold, ends: tuple[float, float]
) -> tuple[Input, ...]:
    """What a day there is believed to wash out."""
    here, stay = _page_of(its), its.outlook.stay
    if stay.trips:
        seen = ngettext("from {trips} trip", "from {trips} trips", stay.trips).format(
            trips=stay.trips
        )
    else:
        seen = gettext("assumed, no trip is wrapped up yet")
    return (
        Input(
            gettext("Believed of the gravel"),
            spread(its.outlook.outing.rate, ends),
            counted,
            f"{here}#belief",
        ),
        Input(
            gettext("Litres washed"),
            gettext("{hours} h × {litres_per_hour} L an hour").format(
                hours=number(its.outlook.creek_hours, 1),
                litres_per_hour=number(stay.litres_per_hour, 0),
            ),
            seen,
            here,
        ),
        Input(
            gettext("The box keeps"),
            number(gold.psi_mean),
            gettext("of what pans foretell"),
            f"{here}#belief",
        ),
        Input(
            gettext("A mean colour"),
            gettext("{mean_mg} mg").format(mean_mg=number(gold.mean_mg)),
            gettext("learned from weigh-ins"),
            reverse("reports:eye_and_scale"),
        ),
    )


def _money_inputs(its: SiteDay, gold: Gold, currency: str) -> tuple[Input, ...]:
    """What turns that into net an hour."""
    here = _page_of(its)
    return (
        Input(
            gettext("A gram of raw gold"),
            said(gold.per_raw_g, currency),
            gettext("price × fineness × the part that is paid"),
            reverse("trips:price_list"),
        ),
        Input(
            gettext("Fuel"),
            show.money(its.outlook.place.fuel_minor, currency),
            its.fuel_basis,
            here,
        ),
        Input(
            gettext("Other outlay"),
            show.money(its.outlook.stay.other_minor, currency),
            gettext("as on your trips there"),
        ),
        Input(
            gettext("Door to door"),
            f"{number(its.outlook.outing.hours, 1)} h",
            gettext("way and stay"),
            here,
        ),
    )


def _trip_inputs(found: Record, its: SiteDay) -> tuple[Input, ...]:
    """The latest trips there, and how many there were before them."""
    went = found.trips_at.get(its.site.pk, [])
    trips = tuple(
        Input(
            trip.name,
            gettext("{quantity}, {quantity_2} washed").format(
                quantity=show.quantity("mass", trip.mass_ug, "g"),
                quantity_2=show.quantity("volume", trip.washed_ml, "L"),
            ),
            url=trip_url(trip.trip_id),
        )
        for trip in went[-MOST_TRIPS:]
    )
    earlier = len(went) - len(trips)
    if not earlier:
        return trips
    return (*trips, Input(gettext("Earlier trips"), str(earlier), url=f"{_page_of(its)}#trips"))


def _page_of(its: SiteDay) -> str:
    return reverse("reports:site_page", args=[its.site.pk])


def _best(row: Ranked, gold: Gold, currency: str) -> Basis:
    return Basis(
        gettext("Chance of being the best"),
        pct(row.best_chance),
        gettext(
            "How often this site comes out on top over "
            "everything that the rates of all ranked sites "
            "may be; price, mass and box vary together for "
            "all."
        ),
        (
            Input(
                gettext("Given up on average"),
                said(row.regret, currency),
                gettext("against knowing the best"),
            ),
            Input(
                gettext("Varied together by"),
                pct(gold.log_sd),
                gettext("price, mass of a colour and box"),
            ),
        ),
        "ranking",
    )


def _chances(ladder: tuple[RungChance, ...], currency: str) -> Basis:
    return Basis(
        gettext("Chance that one day pays"),
        ", ".join(f"{rung.label} {rung.chance}" for rung in ladder if rung.chance)
        or say(show.UNKNOWN),
        gettext(
            "From the belief to the number of colours and "
            "their masses, how often a day brings what the "
            "rung asks for."
        ),
        tuple(
            Input(rung.label, show.money(rung.threshold_minor, currency), rung.chance)
            for rung in ladder
        ),
        "ladder",
    )


def leave_bases(facts: CreekFacts, hole: Hole) -> tuple[Basis, ...]:
    """The leave line of one hole with its clean-ups."""
    now, there = hole.now, hole.there
    if now.rate is None:
        return ()

    def mg(value: float | None) -> str:
        return (
            say(show.UNKNOWN)
            if value is None
            else gettext("{number} mg an hour").format(number=number(value / 1000, 1))
        )

    page = trip_url(facts.trip.pk)
    inputs = [
        Input(
            gettext("Clean-up {place}").format(place=place),
            gettext("{number} mg in {minutes}").format(
                number=number(row.gain / 1000, 1), minutes=show.minutes(run.minutes)
            ),
            url=f"{page}#run",
        )
        for place, (run, row) in enumerate(zip(hole.runs, hole.rows, strict=True), 1)
    ]
    inputs.append(Input(gettext("Falling rate behind them, now"), mg(now.rate)))
    inputs.append(
        Input(gettext("Running costs"), mg(hole.cost), gettext("as gold"), f"{page}#money")
    )
    inputs.append(
        Input(
            gettext("Hours left"),
            show.minutes(round(now.hours_left * 60)),
            gettext("plan and hours"),
        )
    )
    if there is None:
        inputs.append(
            Input(
                gettext("Elsewhere"), gettext("nothing known"), gettext("leaving means going home")
            )
        )
    else:
        move = show.minutes(round(there.move_hours * 60))
        inputs.append(
            Input(
                there.name, mg(there.rate), gettext("believed; {move} of moving").format(move=move)
            )
        )
    return (
        Basis(
            gettext("Leave line"),
            mg(now.line),
            gettext(
                "The rate at which staying for the hours left and going elsewhere, the move taken "
                "off, bring the same."
            ),
            tuple(inputs),
            "leaving",
        ),
    )


def table_bases(facts: CreekFacts, card) -> tuple[Basis, ...]:
    """What a stopping table of one spot was worked out from."""
    table, spot = card.table, card.spot
    url = reverse("reports:site_page", args=[card.site.pk]) + "#belief"
    shape, rate = card.ground.shape, card.ground.rate
    counted = [pan for pan in facts.pans if spot is not None and pan.spot_id == spot.pk]
    inputs = [
        Input(
            gettext("Believed before the trip"),
            gettext("{number} colours per litre").format(number=number(shape / rate)),
            gettext("worth {shape} colours in {rate} L").format(
                shape=number(shape, 1), rate=number(rate, 0)
            ),
            url,
        ),
        *(Input(told.label, told.value, told.source) for told in facts.told),
        Input(gettext("Hours left"), f"{number(table.hours, 1)} h"),
    ]
    if table.fallback is not None:
        inputs.append(
            Input(
                gettext("Second choice: {name}").format(name=table.fallback.name),
                gettext("{mean_rate} colours per litre").format(
                    mean_rate=number(table.fallback.mean_rate)
                ),
                gettext("{minutes} of moving").format(
                    minutes=show.minutes(round(table.fallback.move_hours * 60))
                ),
            )
        )
    if counted:
        litres = show.quantity("volume", sum(pan.volume_ml for pan in counted), "L")
        inputs.append(
            Input(
                gettext("Pans of this trip"),
                f"{len(counted)}, {litres}",
                gettext("looked up in the table"),
                f"{trip_url(facts.trip.pk)}#pan",
            )
        )
    method = {
        "stopping": gettext(
            "After each pan: the best of panning on, digging and moving over the hours "
            "left, worked out backwards from the last pan."
        ),
        "card": gettext("Two lines around break-even; a count beyond one decides."),
    }.get(table.method, table.why)
    return (
        Basis(
            gettext("Table and verdict for {name}").format(name=card.name),
            card.verdict.words,
            method,
            tuple(inputs),
            "stopping",
        ),
    )
