"""Weigh-ins, lots and prices of one party, ready for pages and sums."""

import datetime as dt
from collections import defaultdict

from django.db.models import F, Min, Q, QuerySet, Sum

from claims.models import Party
from trips.calc.holdings import LotPart, WeighedPart
from trips.models import DerivedShare, GoldLot, MergedLot, Price, Run, TestPan, Trip, WeighIn


def weigh_ins(party: Party) -> QuerySet[WeighIn]:
    """Every weigh-in with its trip, its net and the masses of its lots by state."""

    def in_lots(state):
        return Sum("lots__mass_ug", filter=Q(lots__state=state), default=0)

    return (
        WeighIn.objects.filter(party=party)
        .select_related("trip")
        .annotate(
            net=F("gross_ug") - F("tare_ug"),
            sold_ug=in_lots(GoldLot.State.SOLD),
            given_ug=in_lots(GoldLot.State.GIVEN),
        )
        .annotate(here_ug=F("net") - F("sold_ug") - F("given_ug"))
        .order_by("-weighed_on", "-pk")
    )


def lots(party: Party) -> QuerySet[GoldLot]:
    return GoldLot.objects.filter(party=party).select_related("weigh_in__trip", "merged")


def loose_lots(party: Party) -> QuerySet[GoldLot]:
    """Lots on hand that may be put together: in no merged lot and without a price of their own."""
    return GoldLot.objects.filter(
        party=party,
        state=GoldLot.State.ON_HAND,
        merged__isnull=True,
        own_value_minor__isnull=True,
    ).select_related("weigh_in")


def lots_in(merged: MergedLot) -> list[GoldLot]:
    return list(merged.lots.select_related("weigh_in").order_by("weigh_in__weighed_on", "pk"))


def merged_lots(party: Party) -> list[MergedLot]:
    """Every merged lot with `mass_ug` and `state` of its lots; one query."""
    return list(
        MergedLot.objects.filter(party=party)
        .annotate(mass_ug=Sum("lots__mass_ug"), state=Min("lots__state"))
        .order_by("-pk")
    )


def weighed_parts(party: Party) -> tuple[WeighedPart, ...]:
    """Every weigh-in with its lots as inputs of the sums; two queries."""
    lots_of: dict[int, list[LotPart]] = defaultdict(list)
    of_lot = ("mass_ug", "state", "own_value_minor", "currency")
    held = GoldLot.objects.filter(weigh_in__party=party)
    for weigh_in_id, *values in held.values_list("weigh_in_id", *of_lot):
        lots_of[weigh_in_id].append(LotPart(*values))
    rows = WeighIn.objects.filter(party=party)
    return tuple(
        WeighedPart(
            net_ug=gross_ug - tare_ug,
            fineness=fineness or party.fineness,
            lots=tuple(lots_of[pk]),
        )
        for pk, gross_ug, tare_ug, fineness in rows.values_list(
            "pk", "gross_ug", "tare_ug", "fineness"
        )
    )


def shares_of(weigh_in: WeighIn) -> list[DerivedShare]:
    """The derived shares with the run or pan each belongs to; one query."""
    return list(
        weigh_in.derived_shares.select_related("run__spot__site", "pan__spot__site").order_by("pk")
    )


def free_runs(trip: Trip, weigh_in: WeighIn | None = None) -> QuerySet[Run]:
    """Runs of the trip that are in no weigh-in, or in this one."""
    return trip.runs.filter(_free(weigh_in)).select_related("spot")


def free_pans(trip: Trip, weigh_in: WeighIn | None = None) -> QuerySet[TestPan]:
    """Test pans of the trip that are in no weigh-in, or in this one."""
    return trip.pans.filter(_free(weigh_in)).select_related("spot")


def _free(weigh_in: WeighIn | None) -> Q:
    free = Q(weigh_in__isnull=True)
    return free | Q(weigh_in=weigh_in) if weigh_in is not None and weigh_in.pk else free


def lots_of(weigh_in: WeighIn) -> list[GoldLot]:
    return list(weigh_in.lots.select_related("merged").order_by("pk"))


def stored_prices(party: Party, currency: str) -> dict[dt.date, tuple[int, str]]:
    """Day → (micros, unit) of the party's prices in a currency."""
    rows = Price.objects.filter(party=party, currency=currency).values_list(
        "day", "amount_micros", "per_unit"
    )
    return {day: (micros, unit) for day, micros, unit in rows}


def prices(party: Party) -> QuerySet[Price]:
    return Price.objects.filter(party=party)
