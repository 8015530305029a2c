"""How the figures on a trip's page were computed, from rows that the page has. No queries."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.urls import reverse

from claims.web import show
from claims.web.basis import Basis, Input
from trips.calc.words import say

if TYPE_CHECKING:
    from trips.selectors.trip_page import TripPage


def result_bases(page: TripPage) -> tuple[Basis, ...]:
    """Value, net and net per hour of a trip that went."""
    if not page.worths:
        return ()
    party, money = page.trip.party, page.currency
    weighed = tuple(
        Input(
            say("Weigh-in of {weighed_on}", weighed_on=show.day(row.weighed_on)),
            say(
                "{words} raw, {fineness}\u202f‰ fine",
                words=show.quantity("mass", row.net_ug, "g"),
                fineness=row.fineness or party.fineness,
            ),
            "" if row.fineness else say("the party's own fineness"),
            reverse("trips:weighin_detail", args=[row.pk]),
        )
        for row in page.weigh_ins
    )
    figures, first = page.figures, page.worths[0]
    fine = figures.fine_ug if figures else None
    value = Basis(
        say("Value of the gold"),
        show.money(first.value_minor, money),
        say("Mass × fineness × price × the part that is paid."),
        (
            *(weighed or (Input(say("Weigh-ins"), say("none")),)),
            Input(say("Pure gold in all"), show.quantity("mass", fine, "g")),
            Input(say("Price"), page.price_words, url=reverse("trips:price_list")),
            _paid(page),
        ),
        "value",
    )
    net = Basis(
        say("Net"),
        show.money(first.net_minor, money),
        say("Value less outlay. An hour: net over the hours from door to door."),
        (
            Input(say("Value"), show.money(first.value_minor, money)),
            Input(
                say("Outlay"),
                show.money(page.outlay_minor, money),
                say("lines under costs"),
                "#money",
            ),
            Input(
                say("Door to door"),
                show.minutes(figures.door_minutes if figures else None),
                say("blocks under hours"),
                "#hours",
            ),
            Input(say("Net an hour"), show.money(first.per_hour_minor, money)),
        ),
        "mean",
    )
    return (value, net)


def _paid(page: TripPage) -> Input:
    share = f"{page.trip.party.payable_ppt / 10:g}\u202f%"
    return Input(say("Part that is paid"), share, say("Party"), reverse("claims:party_detail"))


def ladder_bases(page: TripPage) -> tuple[Basis, ...]:
    """The rungs and the gold that reaches them."""
    money = page.currency
    hourly = page.trip.party.hourly_figure_minor
    return (
        Basis(
            say("Raw gold to pay for it"),
            ", ".join(
                show.quantity("mass", step.gold_ug, "g") for step in page.steps if step.gold_ug
            )
            or say(show.UNKNOWN),
            say(
                "Money of the rung ÷ (price × fineness × the part that is paid), "
                "rounded up. Each rung holds those above it."
            ),
            (
                *(Input(step.label, show.money(step.money_minor, money)) for step in page.steps),
                Input(say("Price"), page.price_words, url=reverse("trips:price_list")),
                Input(
                    say("Fineness"), f"{page.trip.party.fineness}\u202f‰", say("Party"), _party()
                ),
                _paid(page),
                Input(
                    say("Own figure per hour"), show.money(hourly, money), say("Party"), _party()
                ),
            ),
            "ladder",
        ),
    )


def _party() -> str:
    return reverse("claims:party_detail")


def cost_bases(page: TripPage) -> tuple[Basis, ...]:
    """Fuel, outlay and wear, down to the ways, the car and the receipts."""
    trip, money = page.trip, page.currency
    rows = []
    roads = (say("{length} sealed"), say("{length} unsealed"), say("{length} track"))
    for row in (page.first, *page.fallbacks):
        if row is not None:
            site = row.site
            parts = (site.sealed_m, site.unsealed_m, site.track_m)
            told = ", ".join(
                said.format(length=show.quantity("distance", part, "km"))
                for part, said in zip(parts, roads, strict=True)
                if part
            )
            rows.append(
                Input(
                    say("One way to {site}", site=site),
                    told or say(show.UNKNOWN),
                    url=reverse("reports:site_page", args=[site.pk]),
                )
            )
    driven = (trip.driven_sealed_m, trip.driven_unsealed_m, trip.driven_track_m)
    if any(part is not None for part in driven):
        whole = show.quantity("distance", sum(part or 0 for part in driven), "km")
        rows.append(Input(say("Driven, as noted"), whole))
    if trip.vehicle:
        rows.append(
            Input(say("Car"), str(trip.vehicle), say("its use and wear"), reverse("trips:kit_list"))
        )
    rows += [
        Input(each.name, say("gear taken along"), url=reverse("trips:kit_list"))
        for each in page.gear
    ]
    rows += [
        Input(line.label, show.money(line.amount_minor, money), line.basis)
        for line in page.cost.lines
    ]
    return (
        Basis(
            say("Outlay and wear"),
            say(
                "{outlay_minor} and {wear_minor}",
                outlay_minor=show.money(page.outlay_minor, money),
                wear_minor=show.money(page.wear_minor, money),
            ),
            say(
                "Fuel: kilometres by kind of road × use × price, and the engine's "
                "hours × use. Wear: (price \u2212 what it will fetch) ÷ life × use. A "
                "receipt for fuel replaces the estimate."
            ),
            tuple(rows),
            "cost",
        ),
    )
