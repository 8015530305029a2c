"""Put lots together, part them, and move what was put together. No microgram comes or goes.

Every refusal is a ValidationError whose keys are names of fields, as in `trips.services.gold`.
A lot with a price of its own is one piece: it is neither merged nor split.
"""

import datetime as dt
from collections.abc import Iterable, Sequence

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext

from claims.models import Party
from claims.services import changes
from claims.web.show import day as day_words
from claims.web.show import quantity
from trips.calc.shares import largest_remainder
from trips.calc.words import say
from trips.models import GoldLot, MergedLot, WeighIn

ON_HAND, SOLD, GIVEN = GoldLot.State.ON_HAND, GoldLot.State.SOLD, GoldLot.State.GIVEN


@transaction.atomic
def merge_lots(*, party: Party, lots: Iterable[GoldLot], name: str, note: str = "") -> MergedLot:
    """Put lots on hand together under one name; each keeps its mass and its weigh-in.

    Raises: ValidationError keyed by field: fewer than two lots, one that isn't on hand, is in
        another merged lot, has a price of its own, or is of another party or currency.
    """
    wanted = {lot.pk for lot in lots}
    rows = list(GoldLot.objects.select_for_update().filter(pk__in=wanted, party=party))
    if len(rows) != len(wanted):
        raise ValidationError({"lots": gettext("A lot that was ticked is not there any more.")})
    if len(rows) < 2:
        raise ValidationError({"lots": gettext("Tick at least two lots to put together.")})
    for lot in rows:
        _check_loose(lot, "lots")
    if len({lot.currency for lot in rows}) > 1:
        raise ValidationError({"lots": gettext("These lots are kept in different currencies.")})
    merged = MergedLot(party=party, name=name, note=note, currency=rows[0].currency)
    merged.full_clean()
    merged.save()
    changes.update_each(GoldLot.objects.filter(pk__in=wanted), merged=merged)
    return merged


@transaction.atomic
def save_merged(
    *,
    merged: MergedLot,
    state: str,
    moved_on: dt.date | None,
    to_whom: str,
) -> MergedLot:
    """Store a merged lot with the fate of all its lots: kept, sold or given as one.

    Raises: ValidationError keyed by field: a sale without day or proceeds, a gift without a day,
        a day before one of the weigh-ins.
    """
    lots = _locked(merged)
    if state == ON_HAND:
        moved_on, to_whom = None, ""
        merged.proceeds_minor = merged.fee_minor = None
    elif state == GIVEN:
        merged.proceeds_minor = merged.fee_minor = None
    wrong = {}
    if state != ON_HAND and moved_on is None:
        wrong["moved_on"] = say("Say on which day it was sold or given.")
    latest = max(lot.weigh_in.weighed_on for lot in lots)
    if moved_on is not None and moved_on < latest:
        wrong["moved_on"] = say(
            "Some of it was weighed on {latest}; {moved_on} is before that.",
            latest=day_words(latest),
            moved_on=day_words(moved_on),
        )
    if state == SOLD and merged.proceeds_minor is None:
        wrong["proceeds_minor"] = say("Say what the sale brought; write 0 if it brought nothing.")
    if wrong:
        raise ValidationError(wrong)
    merged.full_clean()
    merged.save()
    changes.update_each(merged.lots.all(), state=state, moved_on=moved_on, to_whom=to_whom)
    return merged


@transaction.atomic
def take_apart(*, merged: MergedLot) -> None:
    """Let the lots of a merged lot stand alone again.

    Raises: ValidationError while it is sold or given away.
    """
    if any(lot.state != ON_HAND for lot in _locked(merged)):
        raise ValidationError(gettext("It is no longer on hand, so it can't be taken apart."))
    changes.update_each(merged.lots.all(), merged=None)
    merged.delete()


@transaction.atomic
def split_lot(*, lot: GoldLot, mass_ug: int, name: str) -> GoldLot:
    """Part some micrograms of a lot on hand into a new lot of the same weigh-in.

    Raises: ValidationError keyed by field: not on hand, merged, with a price of its own, or a
        mass that leaves nothing on one side.
    """
    WeighIn.objects.select_for_update().get(pk=lot.weigh_in_id)
    lot = GoldLot.objects.select_for_update().get(pk=lot.pk)
    _check_loose(lot, None)
    _check_part(mass_ug, lot.mass_ug)
    return _part_off(lot, mass_ug, name, None)


@transaction.atomic
def split_merged(*, merged: MergedLot, mass_ug: int, name: str) -> MergedLot:
    """Part some micrograms of a merged lot into a new one, from each of its lots in proportion.

    Raises: ValidationError keyed by field: not on hand, or a mass that leaves nothing on one side.
    """
    lots = _locked(merged)
    if any(lot.state != ON_HAND for lot in lots):
        raise ValidationError(gettext("It is no longer on hand, so it can't be split."))
    _check_part(mass_ug, sum(lot.mass_ug for lot in lots))
    new = MergedLot(party=merged.party, name=name, currency=merged.currency)
    new.full_clean()
    new.save()
    parts = largest_remainder(mass_ug, [lot.mass_ug for lot in lots])
    for lot, part_ug in zip(lots, parts, strict=True):
        if part_ug == lot.mass_ug:
            lot.merged = new
            lot.save(update_fields=["merged"])
        elif part_ug:
            _part_off(lot, part_ug, lot.name, new)
    return new


def _part_off(lot: GoldLot, mass_ug: int, name: str, merged: MergedLot | None) -> GoldLot:
    lot.mass_ug -= mass_ug
    lot.save(update_fields=["mass_ug"])
    new = GoldLot(
        party_id=lot.party_id,
        weigh_in_id=lot.weigh_in_id,
        merged=merged,
        name=name,
        mass_ug=mass_ug,
        currency=lot.currency,
    )
    new.full_clean()
    new.save()
    return new


def _locked(merged: MergedLot) -> Sequence[GoldLot]:
    rows = merged.lots.select_for_update().select_related("weigh_in").order_by("pk")
    lots = list(rows)
    if not lots:
        raise ValidationError(gettext("This merged lot is not there any more."))
    return lots


def _check_loose(lot: GoldLot, field: str | None) -> None:
    reason = ""
    if lot.merged_id is not None:
        reason = say("“{lot}” is part of a merged lot already. Take that apart first.", lot=lot)
    elif lot.state != ON_HAND:
        reason = say("“{lot}” is no longer on hand.", lot=lot)
    elif lot.own_value_minor is not None:
        reason = say("“{lot}” has a price of its own, so it counts as one piece.", lot=lot)
    if reason:
        raise ValidationError({field: reason} if field else reason)


def _check_part(mass_ug: int, whole_ug: int) -> None:
    if not 0 < mass_ug < whole_ug:
        whole = quantity("mass", whole_ug, "g", 6)
        raise ValidationError(
            {
                "mass_ug": gettext(
                    "Expected more than nothing and less than the whole of {whole}."
                ).format(whole=whole)
            }
        )
