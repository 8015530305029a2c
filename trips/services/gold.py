"""Write weigh-ins and lots of gold. A weigh-in is a fact; shares are rebuilt from it here.

Every refusal is a ValidationError whose keys are the names of the fields, so that a form can
put the message beside the box it is about.
"""

import datetime as dt
from collections.abc import Iterable

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Min, Sum
from django.utils.translation import gettext

from claims.services import changes
from claims.web.show import day as day_words
from claims.web.show import grams
from trips.calc.words import say
from trips.models import GoldLot, Run, TestPan, Trip, WeighIn
from trips.services import derive


@transaction.atomic
def save_weigh_in(
    *,
    trip: Trip,
    weighed_on: dt.date,
    gross_ug: int,
    tare_ug: int,
    resolution_ug: int,
    fineness: int | None,
    runs: Iterable[Run],
    pans: Iterable[TestPan],
    note: str,
    instance: WeighIn | None = None,
) -> WeighIn:
    """Store a weigh-in over these runs and pans of one trip, then rebuild what rests on it.

    With `instance` that weigh-in is changed; runs and pans no longer named are let go.

    Raises: ValidationError keyed by field: a run or pan of another trip or already in another
        weigh-in, tare above gross, readings that are no whole steps of the scale, a day before
        the trip, or a net below the lots made from it.
    """
    weigh_in = instance or WeighIn(party=trip.party, trip=trip)
    if weigh_in.trip_id != trip.pk:
        raise ValidationError(gettext("This weigh-in belongs to another trip."))
    weigh_in.weighed_on = weighed_on
    weigh_in.gross_ug, weigh_in.tare_ug = gross_ug, tare_ug
    weigh_in.resolution_ug = resolution_ug
    weigh_in.fineness, weigh_in.note = fineness, note
    check_readings(gross_ug=gross_ug, tare_ug=tare_ug, resolution_ug=resolution_ug)
    if weighed_on < trip.starts_on:
        raise ValidationError(
            {
                "weighed_on": gettext(
                    "The trip began on {starts_on}; {weighed_on} is before that."
                ).format(starts_on=day_words(trip.starts_on), weighed_on=day_words(weighed_on))
            }
        )
    run_pks = _free_records("runs", Run, runs, weigh_in)
    pan_pks = _free_records("pans", TestPan, pans, weigh_in)
    _check_lots_fit(weigh_in)
    weigh_in.full_clean()
    weigh_in.save()
    for model, chosen in ((Run, run_pks), (TestPan, pan_pks)):
        left = model.objects.filter(weigh_in=weigh_in).exclude(pk__in=chosen)
        changes.update_each(left, weigh_in=None)
        changes.update_each(model.objects.filter(pk__in=chosen), weigh_in=weigh_in)
    derive.rebuild_trip(trip.pk)
    return weigh_in


@transaction.atomic
def delete_weigh_in(*, weigh_in: WeighIn) -> None:
    """Take a weigh-in back; its runs and pans count as not weighed again.

    Raises: ValidationError while lots rest on it.
    """
    lots = list(weigh_in.lots.values_list("name", flat=True))
    if lots:
        named = ", ".join(f"“{name}”" for name in lots[:5]) + (" …" if len(lots) > 5 else "")
        raise ValidationError(
            gettext(
                "This weigh-in can't be deleted while lots are made from it: {named}. "
                "Delete those lots first."
            ).format(named=named)
        )
    trip_id = weigh_in.trip_id
    # Row by row, so that bringing the weigh-in back finds what lay on the scale.
    for model in (Run, TestPan):
        changes.update_each(model.objects.filter(weigh_in=weigh_in), weigh_in=None)
    weigh_in.delete()
    derive.rebuild_trip(trip_id)


@transaction.atomic
def save_lot(*, lot: GoldLot) -> GoldLot:
    """Store a new or changed lot.

    Raises: ValidationError keyed by field: more gold than the weigh-in has left, a sale without
        a day or proceeds, a gift without a day, a day before the weigh-in, or a merged lot's part.
    """
    # Locked, so that two people can't hand out the same gold at the same moment.
    weigh_in = WeighIn.objects.select_for_update().get(pk=lot.weigh_in_id)
    lot.party_id, lot.weigh_in = weigh_in.party_id, weigh_in
    _check_not_merged(lot)
    if lot.state == GoldLot.State.ON_HAND:
        lot.moved_on, lot.proceeds_minor, lot.fee_minor, lot.to_whom = None, None, None, ""
    elif lot.state == GoldLot.State.GIVEN:
        lot.proceeds_minor, lot.fee_minor = None, None
    _check_move(lot, weigh_in)
    lot.full_clean()
    lot.save()
    return lot


@transaction.atomic
def delete_lot(*, lot: GoldLot) -> None:
    """Take a lot apart: its gold counts as on hand again.

    Raises: ValidationError for a lot in a merged one.
    """
    _check_not_merged(lot)
    lot.delete()


def check_readings(*, gross_ug: int, tare_ug: int, resolution_ug: int) -> None:
    """Refuse scale readings that can't be: see `save_weigh_in`."""
    if resolution_ug <= 0:
        raise ValidationError(
            {"resolution_ug": gettext("A scale's smallest step is more than zero.")}
        )
    wrong = {}
    for name, word, reading in (("gross_ug", "gross", gross_ug), ("tare_ug", "tare", tare_ug)):
        if reading % resolution_ug:
            wrong[name] = say(
                "The {word} of {reading} is not a whole number of the scale's "
                "steps of {resolution_ug}. Write what the scale showed, or choose "
                "its real step.",
                word=word,
                reading=grams(reading),
                resolution_ug=grams(resolution_ug),
            )
    if not wrong and gross_ug < tare_ug:
        wrong["tare_ug"] = say(
            "The tare of {tare_ug} is heavier than the gross weight of "
            "{gross_ug}, so less than nothing would be left.",
            tare_ug=grams(tare_ug),
            gross_ug=grams(gross_ug),
        )
    if wrong:
        raise ValidationError(wrong)


def left_ug(weigh_in: WeighIn, *, apart_from: GoldLot | None = None) -> int:
    """Micrograms of a weigh-in that are in no lot; `apart_from` isn't counted as one."""
    lots = weigh_in.lots.all()
    if apart_from is not None and apart_from.pk:
        lots = lots.exclude(pk=apart_from.pk)
    return weigh_in.net_ug - (lots.aggregate(total=Sum("mass_ug"))["total"] or 0)


def _free_records(field: str, model, records: Iterable, weigh_in: WeighIn) -> list[int]:
    """Keys of the records, read anew: of this trip and in no other weigh-in."""
    wanted = {record.pk for record in records}
    fresh = list(model.objects.select_for_update().filter(pk__in=wanted))
    word = say("run") if model is Run else say("test pan")
    if len(fresh) != len(wanted) or any(r.trip_id != weigh_in.trip_id for r in fresh):
        raise ValidationError(
            {
                field: gettext("A {word} that was ticked does not belong to this trip.").format(
                    word=word
                )
            }
        )
    for record in fresh:
        if record.weigh_in_id and record.weigh_in_id != weigh_in.pk:
            raise ValidationError(
                {
                    field: gettext(
                        "A {word} that was ticked is in another weigh-in of this trip already: "
                        "its gold would count twice."
                    ).format(word=word)
                }
            )
    return [record.pk for record in fresh]


def _check_lots_fit(weigh_in: WeighIn) -> None:
    if not weigh_in.pk:
        return
    # Locked like in `save_lot`: a lot can't be made while the weigh-in shrinks.
    WeighIn.objects.select_for_update().get(pk=weigh_in.pk)
    lots = weigh_in.lots.aggregate(total=Sum("mass_ug"), first=Min("moved_on"))
    in_lots = lots["total"] or 0
    if weigh_in.net_ug < in_lots:
        message = say(
            "The lots made from this weigh-in hold {in_lots}, more than the "
            "{net_ug} that would be left. Change the lots first.",
            in_lots=grams(in_lots),
            net_ug=grams(weigh_in.net_ug),
        )
        raise ValidationError({"gross_ug": message})
    if lots["first"] is not None and lots["first"] < weigh_in.weighed_on:
        message = say(
            "A lot made from it was sold or given on {lots} already.", lots=day_words(lots["first"])
        )
        raise ValidationError({"weighed_on": message})


def _check_not_merged(lot: GoldLot) -> None:
    if lot.merged_id is not None:
        raise ValidationError(
            gettext(
                "This lot is part of the merged lot “{merged}”. Change that one, or "
                "take it apart first."
            ).format(merged=lot.merged)
        )


def _check_move(lot: GoldLot, weigh_in: WeighIn) -> None:
    wrong = {}
    if lot.state != GoldLot.State.ON_HAND and lot.moved_on is None:
        done = say("sold") if lot.state == GoldLot.State.SOLD else say("given away")
        wrong["moved_on"] = say("Say on which day it was {done}.", done=done)
    if lot.moved_on is not None and lot.moved_on < weigh_in.weighed_on:
        wrong["moved_on"] = say(
            "It was weighed on {weighed_on}; {moved_on} is before that.",
            weighed_on=day_words(weigh_in.weighed_on),
            moved_on=day_words(lot.moved_on),
        )
    if lot.state == GoldLot.State.SOLD and lot.proceeds_minor is None:
        wrong["proceeds_minor"] = say("Say what the sale brought; write 0 if it brought nothing.")
    if wrong:
        raise ValidationError(wrong)
