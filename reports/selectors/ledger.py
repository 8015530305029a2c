"""Weigh-ins and lots as the gold ledger takes them; two queries."""

from collections import Counter, defaultdict

from claims.models import Party
from reports.figures.ledger import Lot, LotShare, Weighing
from reports.selectors.facts import trip_name
from trips.calc.words import say
from trips.models import GoldLot, WeighIn


def ledger_facts(party: Party) -> tuple[tuple[Weighing, ...], tuple[Lot, ...]]:
    """Every weigh-in and lot of a party; the lots of a merged lot are one."""
    rows = list(
        WeighIn.objects.filter(party=party).select_related("trip").order_by("weighed_on", "pk")
    )
    readings = Counter(_reading(row) for row in rows)
    weighings = {
        row.pk: Weighing(
            weigh_in_id=row.pk,
            trip=trip_name(row.trip.name, row.trip.starts_on),
            found_on=row.trip.ends_on,
            weighed_on=row.weighed_on,
            net_ug=row.net_ug,
            fineness=row.fineness or party.fineness,
            same_as=readings[_reading(row)] - 1,
        )
        for row in rows
    }
    together: dict[str, list[GoldLot]] = defaultdict(list)
    for lot in GoldLot.objects.filter(party=party).select_related("merged").order_by("pk"):
        together[_fate(lot)].append(lot)
    lots = tuple(_lot(members, weighings) for members in together.values())
    return tuple(weighings.values()), lots


def _fate(lot: GoldLot) -> str:
    """What moves as one. A lot that was brought back into a merged one may have moved alone."""
    if lot.merged_id is None or lot.proceeds_minor is not None:
        return say("lot {pk}", pk=lot.pk)
    return say(
        "merged {merged_id} {state} {moved_on}",
        merged_id=lot.merged_id,
        state=lot.state,
        moved_on=lot.moved_on,
    )


def _reading(row: WeighIn) -> tuple:
    return (row.trip_id, row.weighed_on, row.gross_ug, row.tare_ug)


def _lot(members: list[GoldLot], weighings: dict[int, Weighing]) -> Lot:
    first = members[0]
    # A merged lot holds the money and the name.
    held = first.merged if first.merged and first.proceeds_minor is None else first
    return Lot(
        name=held.name,
        state=first.state,
        parts=tuple(
            LotShare(
                weigh_in_id=lot.weigh_in_id,
                mass_ug=lot.mass_ug,
                fineness=weighings[lot.weigh_in_id].fineness,
                found_on=weighings[lot.weigh_in_id].found_on,
            )
            for lot in members
        ),
        moved_on=first.moved_on,
        to_whom=first.to_whom,
        proceeds_minor=held.proceeds_minor,
        fee_minor=held.fee_minor,
        own_value_minor=first.own_value_minor,
        currency=held.currency,
    )
