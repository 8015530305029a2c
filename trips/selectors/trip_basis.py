"""How the figures on a trip's page were computed, from rows that the page has. No queries."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.urls import reverse

from claims.web import show
from claims.web.basis import Basis, Input

if TYPE_CHECKING:
    from trips.selectors.trip_page import TripPage


def result_bases(page: TripPage) -> tuple[Basis, ...]:
    """Value, net and net per hour of a trip that went."""
    if not page.worths:
        return ()
    party, money = page.trip.party, page.currency
    weighed = tuple(
        Input(
            f"Weigh-in of {show.day(row.weighed_on)}",
            f"{show.quantity('mass', row.net_ug, 'g')} raw, "
            f"{row.fineness or party.fineness}\u202f‰ fine",
            "" if row.fineness else "the party's own fineness",
            reverse("trips:weighin_detail", args=[row.pk]),
        )
        for row in page.weigh_ins
    )
    figures, first = page.figures, page.worths[0]
    fine = figures.fine_ug if figures else None
    value = Basis(
        "Value of the gold",
        show.money(first.value_minor, money),
        "Mass × fineness × price × the part that is paid.",
        (
            *(weighed or (Input("Weigh-ins", "none"),)),
            Input("Pure gold in all", show.quantity("mass", fine, "g")),
            Input("Price", page.price_words, url=reverse("trips:price_list")),
            _paid(page),
        ),
        "value",
    )
    net = Basis(
        "Net",
        show.money(first.net_minor, money),
        "Value less outlay. An hour: net over the hours from door to door.",
        (
            Input("Value", show.money(first.value_minor, money)),
            Input("Outlay", show.money(page.outlay_minor, money), "lines under costs", "#money"),
            Input(
                "Door to door",
                show.minutes(figures.door_minutes if figures else None),
                "blocks under hours",
                "#hours",
            ),
            Input("Net an hour", show.money(first.per_hour_minor, money)),
        ),
        "mean",
    )
    return (value, net)


def _paid(page: TripPage) -> Input:
    share = f"{page.trip.party.payable_ppt / 10:g}\u202f%"
    return Input("Part that is paid", share, "Party", reverse("claims:party_detail"))


def ladder_bases(page: TripPage) -> tuple[Basis, ...]:
    """The rungs and the gold that reaches them."""
    money = page.currency
    hourly = page.trip.party.hourly_figure_minor
    return (
        Basis(
            "Raw gold to pay for it",
            ", ".join(
                show.quantity("mass", step.gold_ug, "g") for step in page.steps if step.gold_ug
            )
            or show.UNKNOWN,
            "Money of the rung ÷ (price × fineness × the part that is paid), rounded up. Each "
            "rung holds those above it.",
            (
                *(Input(step.label, show.money(step.money_minor, money)) for step in page.steps),
                Input("Price", page.price_words, url=reverse("trips:price_list")),
                Input("Fineness", f"{page.trip.party.fineness}\u202f‰", "Party", _party()),
                _paid(page),
                Input("Own figure per hour", show.money(hourly, money), "Party", _party()),
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
    for row in (page.first, *page.fallbacks):
        if row is not None:
            site = row.site
            parts = (site.sealed_m, site.unsealed_m, site.track_m)
            told = ", ".join(
                f"{show.quantity('distance', part, 'km')} {name}"
                for part, name in zip(parts, ("sealed", "unsealed", "track"), strict=True)
                if part
            )
            rows.append(
                Input(
                    f"One way to {site}",
                    told or show.UNKNOWN,
                    url=reverse("reports:site_page", args=[site.pk]),
                )
            )
    driven = (trip.driven_sealed_m, trip.driven_unsealed_m, trip.driven_track_m)
    if any(part is not None for part in driven):
        whole = show.quantity("distance", sum(part or 0 for part in driven), "km")
        rows.append(Input("Driven, as noted", whole))
    if trip.vehicle:
        rows.append(Input("Car", str(trip.vehicle), "its use and wear", reverse("trips:kit_list")))
    rows += [
        Input(each.name, "gear taken along", url=reverse("trips:kit_list")) for each in page.gear
    ]
    rows += [
        Input(line.label, show.money(line.amount_minor, money), line.basis)
        for line in page.cost.lines
    ]
    return (
        Basis(
            "Outlay and wear",
            f"{show.money(page.outlay_minor, money)} and {show.money(page.wear_minor, money)}",
            "Fuel: kilometres by kind of road × use × price, and the engine's hours × use. Wear: "
            "(price − what it will fetch) ÷ life × use. A receipt for fuel replaces the estimate.",
            tuple(rows),
            "cost",
        ),
    )
