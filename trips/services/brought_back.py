"""Does the gold still add up once deleted rows are back? Said in sentences, for who brings back."""

from collections import defaultdict

from claims.models import Party
from claims.web.show import day as day_words
from claims.web.show import grams
from trips.calc.words import say
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
                say(
                    "The lot “{lot}” would have been sold or given on {moved_on}, "
                    "before its gold was weighed on {weighed_on}.",
                    lot=lot,
                    moved_on=day_words(lot.moved_on),
                    weighed_on=day_words(weigh_in.weighed_on),
                )
            )
        if lot.merged_id is not None:
            together[lot.merged_id].append(lot)
    for pk, mass_ug in in_lots.items():
        weigh_in = weigh_ins.get(pk)
        if weigh_in and mass_ug > weigh_in.net_ug:
            found.add(
                say(
                    "The lots of the weigh-in of {weighed_on} would hold {mass_ug}, "
                    "but it weighed {net_ug}. Gold of what was deleted has gone into "
                    "other lots since.",
                    weighed_on=day_words(weigh_in.weighed_on),
                    mass_ug=grams(mass_ug),
                    net_ug=grams(weigh_in.net_ug),
                )
            )
    for merged in MergedLot.objects.filter(party=party):
        lots = together[merged.pk]
        if not lots:
            found.add(say("None of the lots of “{merged}” is free any more.", merged=merged))
        elif len({(lot.state, lot.moved_on, lot.to_whom) for lot in lots}) > 1 or any(
            lot.proceeds_minor is not None or lot.own_value_minor is not None for lot in lots
        ):
            found.add(
                say(
                    "A lot of “{merged}” has been sold, given or priced by itself "
                    "since, so they can't be one again.",
                    merged=merged,
                )
            )
        elif lots[0].state == GoldLot.State.SOLD and merged.proceeds_minor is None:
            found.add(
                say(
                    "The lots of “{merged}” are sold, but what they brought would be missing.",
                    merged=merged,
                )
            )
    return found
