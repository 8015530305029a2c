"""Forms that put lots together, part them, and move what was put together."""

from django import forms
from django.utils.translation import gettext, gettext_lazy

from claims.web import show
from claims.web.fields import QuantityField
from claims.web.forms import LedgerForm
from trips.forms.gold import HEAVIEST_UG, WHERE_IT_IS, FateForm
from trips.models import GoldLot, MergedLot


class LotChoice(forms.ModelMultipleChoiceField):
    """Lots to tick, each with its mass and weigh-in."""

    widget = forms.CheckboxSelectMultiple
    unit = "g"

    def label_from_instance(self, lot):
        mass = show.quantity("mass", lot.mass_ug, self.unit)
        return gettext("{name}, {mass}, weighed {weighed_on}").format(
            name=lot.name, mass=mass, weighed_on=show.day(lot.weigh_in.weighed_on)
        )


class MergeForm(LedgerForm, forms.Form):
    """Which lots on hand to put together, and under which name."""

    name = forms.CharField(max_length=120, label=gettext_lazy("Name of the whole"))
    lots = LotChoice(
        queryset=GoldLot.objects.none(),
        label=gettext_lazy("Lots on hand"),
        error_messages={
            "required": gettext_lazy("Tick at least two lots."),
            "invalid_choice": gettext_lazy("A lot that was ticked is no longer on hand alone."),
        },
    )
    note = forms.CharField(max_length=200, required=False, label=gettext_lazy("Note"))

    def __init__(self, *args, lots, units, **kwargs):
        super().__init__(*args, units=units, **kwargs)
        self.fields["lots"].queryset = lots
        self.fields["lots"].unit = units["mass"]


class MergedForm(FateForm):
    """The name and the fate of a merged lot."""

    state = forms.ChoiceField(choices=GoldLot.State.choices, label=gettext_lazy("State"))
    moved_on = forms.DateField(required=False, label=gettext_lazy("Sold or given on"))
    to_whom = forms.CharField(max_length=120, required=False, label=gettext_lazy("To whom"))

    layout = (
        (gettext_lazy("The merged lot"), ("name",)),
        WHERE_IT_IS,
        ("", ("note",)),
    )

    class Meta:
        model = MergedLot
        fields = ["name", "proceeds_minor", "fee_minor", "note"]
        labels = {"name": gettext_lazy("Name"), "note": gettext_lazy("Note")}

    def __init__(self, *args, first: GoldLot | None, **kwargs):
        if first is not None:
            now = {"state": first.state, "moved_on": first.moved_on, "to_whom": first.to_whom}
            kwargs["initial"] = now
        super().__init__(*args, **kwargs)


class SplitForm(LedgerForm, forms.Form):
    """How much goes into a new lot, and its name."""

    name = forms.CharField(max_length=120, label=gettext_lazy("Name of the new lot"))
    mass_ug = QuantityField(
        kind="mass", unit="g", low=1, high=HEAVIEST_UG, label=gettext_lazy("Mass")
    )

    def __init__(self, *args, whole: str, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["mass_ug"].help_text = gettext("Less than the {whole} there are.").format(
            whole=whole
        )
