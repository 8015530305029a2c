"""Does the gold still add up once deleted rows are back? Said in sentences, for who brings back."""

from collections import defaultdict

from claims.models import Party
from claims.web.show import day as day_words
from claims.web.show import grams
from trips.models import GoldLot, MergedLot, WeighIn


def gold_troubles(party: Party) -> set[str]:
    """What doesn't hold together: lots against weigh-ins, merged lots against their parts.

    Locks the weigh-ins, so that nobody hands out the same gold meanwhile; three queries.
    """
    weigh_ins = {row.pk: row for row in WeighIn.objects.select_for_update().filter(party=party)}
    in_lots: dict[int, int] = defaultdict(int)
    together: dict[int, list[GoldLot]] = defaultdict(list)
    found = set()
    for lot in GoldLot.objects.filter(party=party).order_by("pk"):
        in_lots[lot.weigh_in_id] += lot.mass_ug
        weigh_in = weigh_ins.get(lot.weigh_in_id)
        if weigh_in and lot.moved_on and lot.moved_on < weigh_in.weighed_on:
            found.add(
                f"The lot “{lot}” would have been sold or given on {day_words(lot.moved_on)}, "
                f"before its gold was weighed on {day_words(weigh_in.weighed_on)}."
            )
        if lot.merged_id is not None:
            together[lot.merged_id].append(lot)
    for pk, mass_ug in in_lots.items():
        weigh_in = weigh_ins.get(pk)
        if weigh_in and mass_ug > weigh_in.net_ug:
            found.add(
                f"The lots of the weigh-in of {day_words(weigh_in.weighed_on)} would hold "
                f"{grams(mass_ug)}, but it weighed {grams(weigh_in.net_ug)}. Gold of what was "
                "deleted has gone into other lots since."
            )
    for merged in MergedLot.objects.filter(party=party):
        lots = together[merged.pk]
        if not lots:
            found.add(f"None of the lots of “{merged}” is free any more.")
        elif len({(lot.state, lot.moved_on, lot.to_whom) for lot in lots}) > 1 or any(
            lot.proceeds_minor is not None or lot.own_value_minor is not None for lot in lots
        ):
            found.add(
                f"A lot of “{merged}” has been sold, given or priced by itself since, so they "
                "can't be one again."
            )
        elif lots[0].state == GoldLot.State.SOLD and merged.proceeds_minor is None:
            found.add(f"The lots of “{merged}” are sold, but what they brought would be missing.")
    return found
