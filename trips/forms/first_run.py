"""The short forms of a new record: its first car, and gear ticked from a list."""

from django import forms
from django.utils.html import format_html
from django.utils.translation import gettext, gettext_lazy

from claims.web.fields import ScaledField
from claims.web.forms import LedgerForm
from trips.forms.kit import VehicleForm
from trips.presets import GEAR

FUEL_HINT = gettext_lazy(
    "What a litre costs where you fill up; plans start from it. Empty is not known: the drive's "
    "cost is then not known either."
)


class FirstCarForm(VehicleForm):
    """A car by what it burns, and what fuel costs; wear and towing wait on the car's own form."""

    asked = ("name", "fuel", "sealed_ml_per_100km", "unsealed_ml_per_100km", "track_ml_per_100km")
    layout = (
        ("", (("name", "fuel"),)),
        (
            gettext_lazy("What it burns"),
            (("sealed_ml_per_100km", "unsealed_ml_per_100km", "track_ml_per_100km"),),
            gettext_lazy("From your own refills where you can."),
        ),
        ("", ("price",)),
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields = {name: self.fields[name] for name in self.asked}
        for name in self.asked:
            self.fields[name].help_text = ""
        self.fields["price"] = ScaledField(
            scale=1000,
            low=1,
            high=2_000_000_000,
            required=False,
            label=gettext("Fuel price"),
            unit_label=gettext("{currency} per L").format(currency=self.currency),
            help_text=FUEL_HINT,
        )
        self.initial.setdefault("price", self.instance.party.fuel_price_milli_per_l)


SOURCED = '<span>{}<br><span class="small muted">{}</span></span>'


class FirstGearForm(LedgerForm, forms.Form):
    """Ticked presets; each becomes a piece of gear that can be changed like any other."""

    gear = forms.MultipleChoiceField(
        choices=[(key, preset.words) for key, preset in GEAR.items()],
        required=False,
        label=gettext_lazy("What you have"),
        widget=forms.CheckboxSelectMultiple,
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        # Label and source together: a figure never stands without where it is from.
        self.fields["gear"].choices = [
            (key, format_html(SOURCED, preset.words, preset.source)) for key, preset in GEAR.items()
        ]
