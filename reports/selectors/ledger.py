"""Weigh-ins and lots as the gold ledger takes them; two queries."""

from collections import Counter, defaultdict

from claims.models import Party
from reports.figures.facts import trip_name
from reports.figures.ledger import Lot, LotShare, Weighing
from trips.calc.words import Said
from trips.models import GoldLot, WeighIn

READ = ("pk", "fineness", "trip_id", "weighed_on", "gross_ug", "tare_ug")
OF_TRIP = ("trip__name", "trip__starts_on", "trip__ends_on")


def ledger_facts(party: Party) -> tuple[tuple[Weighing, ...], tuple[Lot, ...]]:
    """Every weigh-in and lot of a party; the lots of a merged lot are one."""
    rows = list(
        WeighIn.objects.filter(party=party)
        .order_by("weighed_on", "pk")
        .values_list(*READ, *OF_TRIP)
    )
    # A reading is the trip, the day and both masses.
    readings = Counter(row[2:6] for row in rows)
    said = Said()
    weighings = {
        pk: Weighing(
            weigh_in_id=pk,
            trip=trip_name(name, starts_on, said),
            found_on=ends_on,
            weighed_on=weighed_on,
            net_ug=gross_ug - tare_ug,
            fineness=fineness or party.fineness,
            same_as=readings[trip_id, weighed_on, gross_ug, tare_ug] - 1,
        )
        for pk, fineness, trip_id, weighed_on, gross_ug, tare_ug, name, starts_on, ends_on in rows
    }
    together: dict[tuple, list[GoldLot]] = defaultdict(list)
    for lot in GoldLot.objects.filter(party=party).select_related("merged").order_by("pk"):
        together[_fate(lot)].append(lot)
    lots = tuple(_lot(members, weighings) for members in together.values())
    return tuple(weighings.values()), lots


def _fate(lot: GoldLot) -> tuple:
    """What moves as one. A lot that was brought back into a merged one may have moved alone."""
    if lot.merged_id is None or lot.proceeds_minor is not None:
        return ("alone", lot.pk)
    return ("merged", lot.merged_id, lot.state, lot.moved_on)


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
