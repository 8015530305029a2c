"""Forms for weigh-ins and lots. They read what was typed; the service decides what can be."""

import datetime as dt
from decimal import Decimal

from django import forms
from django.utils.translation import gettext, gettext_lazy

from claims.models import Party
from claims.web import show
from claims.web.fields import FinenessField, MoneyField, QuantityField, RowChoices
from claims.web.forms import LedgerForm
from trips.calc import units
from trips.forms.days import not_to_come
from trips.forms.same_gold import AsksSameGold
from trips.models import GoldLot, Trip, WeighIn
from trips.selectors.gold import free_pans, free_runs

HEAVIEST_UG = 10_000_000_000  # 10 kg: more than a creek gives, less than a slip of two digits
OTHER = "other"
SCALES = (
    ("1000", gettext_lazy("0.001 g (milligrams)")),
    ("10000", "0.01 g"),
    ("100000", "0.1 g"),
    ("1000000", "1 g"),
    (OTHER, gettext_lazy("another step")),
)
NOT_FREE = gettext_lazy(
    "One that was ticked is not of this trip, or is in another weigh-in already."
)


def fineness_hint(party: Party) -> str:
    """What an empty box stands for, and where that figure is from."""
    hint = gettext("Parts of gold per thousand. Empty: the party's own figure, {fineness}").format(
        fineness=party.fineness
    )
    if party.fineness == units.DEFAULT_FINENESS:
        return gettext(
            "{hint} (average of placer gold in California: Wells, Placer Examination, 1969)."
        ).format(hint=hint)
    return gettext("{hint} (set on the page of the party).").format(hint=hint)


def on_scale(reading_ug: int, step_ug: int) -> int:
    """The reading as whole stored steps, where the scale's own unit shows that it is.

    A step of 0.1 grain is 6479.891 µg and is stored as 6480: a true reading of many such steps
    then misses the stored step by rounding alone. Anything else is returned as it is, and refused
    later.
    """
    if step_ug <= 0 or reading_ug % step_ug == 0:
        return reading_ug
    for code in ("grain", "dwt", "ozt"):
        unit = units.unit("mass", code)
        for places in range(5):
            step = units.from_base(step_ug, unit, places)
            if step > 0 and units.to_base(step, unit) == step_ug:
                count = int((Decimal(reading_ug) / (step * unit.factor)).to_integral_value())
                if units.to_base(count * step, unit) == reading_ug:
                    return count * step_ug
    return reading_ug


def _run_words(run) -> str:
    litres = (
        show.quantity("volume", run.volume_ml, "L", 0)
        if run.volume_ml
        else gettext("litres not noted")
    )
    colours = show.counts(run.coarse, run.medium, run.fine)
    return gettext("Box run {value} at {spot}, {day}: {litres}, {colours}").format(
        value=run.sequence or "",
        spot=run.spot,
        day=show.day(run.day),
        litres=litres,
        colours=colours,
    )


def _pan_words(pan) -> str:
    colours = show.counts(pan.coarse, pan.medium, pan.fine)
    return gettext("Test pan {value} at {spot}, {day}: {colours}").format(
        value=pan.sequence or "", spot=pan.spot, day=show.day(pan.day), colours=colours
    )


class _Records(RowChoices):
    """Runs or pans to tick, each told in one line."""

    widget = forms.CheckboxSelectMultiple
    default_error_messages = {"invalid_choice": NOT_FREE, "invalid_pk_value": NOT_FREE}

    def __init__(self, words, **kwargs):
        self.words = words
        super().__init__(queryset=None, required=False, **kwargs)

    def label_from_instance(self, record):
        return self.words(record)


class WeighInForm(LedgerForm, AsksSameGold):
    """What the scale showed, and what lay on it."""

    weighed_on = forms.DateField(label=gettext_lazy("Weighed on"))
    gross_ug = QuantityField(
        kind="mass",
        unit="g",
        high=HEAVIEST_UG,
        label=gettext_lazy("Gross"),
        help_text=gettext_lazy(
            "Gold and dish together, dry. Another unit can be written behind the number."
        ),
    )
    tare_ug = QuantityField(
        kind="mass",
        unit="g",
        high=HEAVIEST_UG,
        label=gettext_lazy("Tare"),
        help_text=gettext_lazy(
            "The empty dish. Write 0 if the scale was set to zero with the dish on it."
        ),
    )
    scale = forms.ChoiceField(
        choices=SCALES, label=gettext_lazy("Smallest step of the scale"), widget=forms.RadioSelect
    )
    resolution_ug = QuantityField(
        kind="mass",
        unit="g",
        low=1,
        high=100_000_000,
        required=False,
        label=gettext_lazy("The other step"),
        help_text=gettext_lazy("Only for another step, for example 0.1 grain or 0.05 dwt."),
    )
    fineness = FinenessField(required=False, label=gettext_lazy("Fineness"))
    runs = _Records(_run_words, label=gettext_lazy("Box runs whose gold is in it"))
    pans = _Records(_pan_words, label=gettext_lazy("Test pans whose gold is in it"))
    note = forms.CharField(max_length=200, required=False, label=gettext_lazy("Note"))

    layout = (
        (
            gettext_lazy("The scale"),
            ("weighed_on", ("gross_ug", "tare_ug"), "scale", "resolution_ug", "is_other_gold"),
        ),
        (gettext_lazy("What lay on it"), ("runs", "pans")),
        (gettext_lazy("The gold"), ("fineness", "note")),
    )

    def __init__(
        self, *args, trip: Trip, today: dt.date, instance: WeighIn | None = None, **kwargs
    ):
        self.today, self.instance, self.trip = today, instance, trip
        super().__init__(*args, initial=self._start(trip, instance, today), **kwargs)
        if not self.is_bound:
            del self.fields["is_other_gold"]
        self.fields["runs"].queryset = free_runs(trip, instance)
        self.fields["pans"].queryset = free_pans(trip, instance)
        self.fields["fineness"].help_text = fineness_hint(trip.party)
        for name, what in (("runs", "run"), ("pans", gettext("test pan"))):
            if not self.fields[name].queryset:
                self.fields[name].help_text = gettext(
                    "This trip has no {what} that is not weighed yet."
                ).format(what=what)

    @staticmethod
    def _start(trip: Trip, instance: WeighIn | None, today: dt.date) -> dict:
        if instance is None:
            # Usually all runs of a trip are dried and weighed together.
            return {
                "weighed_on": max(today, trip.starts_on),
                "scale": "10000",
                "runs": list(free_runs(trip)),
            }
        step = str(instance.resolution_ug)
        known = step in dict(SCALES)
        return {
            "weighed_on": instance.weighed_on,
            "gross_ug": instance.gross_ug,
            "tare_ug": instance.tare_ug,
            "scale": step if known else OTHER,
            "resolution_ug": None if known else instance.resolution_ug,
            "fineness": instance.fineness,
            "runs": list(instance.runs.all()),
            "pans": list(instance.pans.all()),
            "note": instance.note,
        }

    def clean_weighed_on(self):
        return not_to_come(self.cleaned_data["weighed_on"], self.today)

    def clean(self):
        data = super().clean()
        scale = data.get("scale")
        if scale and scale != OTHER:
            # What stands in the box for another step doesn't count then, right or wrong.
            self.errors.pop("resolution_ug", None)
            data["resolution_ug"] = int(scale)
        elif data.get("resolution_ug") is None and "resolution_ug" not in self.errors:
            self.add_error(
                "resolution_ug", gettext("Write the smallest step that the scale shows.")
            )
        step = data.get("resolution_ug")
        for name in ("gross_ug", "tare_ug"):
            if step and data.get(name) is not None:
                data[name] = on_scale(data[name], step)
        self.ask_same_gold(self.trip, self.instance)
        return data

    def facts(self) -> dict:
        """What `save_weigh_in` takes."""
        return {name: value for name, value in self.cleaned_data.items() if name != "scale"}


WHERE_IT_IS = (
    gettext_lazy("Where it is"),
    ("state", "moved_on", "to_whom", ("proceeds_minor", "fee_minor")),
    gettext_lazy("Day and person only for gold that was sold or given; money only for gold sold."),
)


class FateForm(LedgerForm, forms.ModelForm):
    """What becomes of gold, asked alike of a lot and of several put together."""

    proceeds_minor = MoneyField(
        required=False,
        label=gettext_lazy("Brought"),
        help_text=gettext_lazy("What the buyer paid, before any fee."),
    )
    fee_minor = MoneyField(
        required=False,
        label=gettext_lazy("Fee"),
        help_text=gettext_lazy("What the buyer or refiner kept. May stay empty."),
    )

    def __init__(self, *args, today: dt.date, **kwargs):
        self.today = today
        super().__init__(*args, **kwargs)

    def clean_moved_on(self):
        day = self.cleaned_data["moved_on"]
        return day and not_to_come(day, self.today)


class LotForm(FateForm):
    """Part of a weigh-in with a fate of its own."""

    mass_ug = QuantityField(
        kind="mass", unit="g", low=1, high=HEAVIEST_UG, label=gettext_lazy("Mass")
    )
    own_value_minor = MoneyField(
        required=False,
        label=gettext_lazy("Own value"),
        help_text=gettext_lazy("For a specimen worth more than its metal. Empty: valued as metal."),
    )

    layout = (
        (gettext_lazy("The lot"), ("name", "mass_ug", "own_value_minor")),
        WHERE_IT_IS,
        ("", ("note",)),
    )

    class Meta:
        model = GoldLot
        fields = [
            "name",
            "mass_ug",
            "own_value_minor",
            "state",
            "moved_on",
            "to_whom",
            "proceeds_minor",
            "fee_minor",
            "note",
        ]
        labels = {
            "name": gettext_lazy("Name"),
            "state": gettext_lazy("State"),
            "moved_on": gettext_lazy("Sold or given on"),
            "to_whom": gettext_lazy("To whom"),
            "note": gettext_lazy("Note"),
        }
        help_texts = {
            "name": gettext_lazy("What you will know it by, for example “the bean from the bend”.")
        }

    def __init__(self, *args, left: str, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["mass_ug"].help_text = gettext(
            "{left} of this weigh-in is in no other lot."
        ).format(left=left)
        self.fields["moved_on"].required = False

    def clean(self):
        data = super().clean()
        # Said here beside the box; the constraint behind it could only speak for the whole form.
        if (
            data.get("state") in (GoldLot.State.SOLD, GoldLot.State.GIVEN)
            and data.get("moved_on") is None
            and "moved_on" not in self.errors
        ):
            self.add_error("moved_on", gettext("Say on which day it was sold or given."))
        return data
