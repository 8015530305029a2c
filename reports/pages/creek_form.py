"""What may be tried out on the tables of a trip: hours, gear, cost, pans, an own break-even."""

from dataclasses import replace

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext, gettext_lazy

from claims.web.fields import MinutesField, QuantityField, ScaledField
from claims.web.forms import LedgerForm
from reports.decide.creek import PANS, Setting
from trips.calc.errors import CalcError
from trips.calc.numbers import parse_decimal

MOST_L = 100
MOST_RATE = 50  # colours a litre: nobody counts more


class PanSizesField(forms.CharField):
    """Litres of each pan in order: "5.5 5.5 2.5". The last size goes on."""

    def to_python(self, value):
        text = super().to_python(value)
        if text in self.empty_values:
            return None
        parts = text.replace(";", " ").split()
        if len(parts) > PANS:
            raise ValidationError(
                gettext("Expected at most {PANS} pans, not {parts}.").format(
                    PANS=PANS, parts=len(parts)
                ),
                "many",
            )
        sizes = []
        for part in parts:
            try:
                litres = float(parse_decimal(part))
            except CalcError as error:
                raise ValidationError(str(error), "number") from error
            if not 0 < litres <= MOST_L:
                raise ValidationError(
                    gettext("Expected litres above 0 and up to {MOST_L}, not {part}.").format(
                        MOST_L=MOST_L, part=part
                    ),
                    "range",
                )
            sizes.append(litres)
        return tuple(sizes)


class TryForm(LedgerForm, forms.Form):
    """A GET form; what is left empty is taken from the record."""

    hours = MinutesField(label=gettext_lazy("Hours left"), required=False, high=7 * 24 * 60)
    feed = QuantityField(
        label=gettext_lazy("Gravel an hour"),
        kind="volume",
        unit="L",
        high=50_000_000,
        required=False,
    )
    cost = ScaledField(
        label=gettext_lazy("Running an hour"), scale=100, low=-(10**9), high=10**9, required=False
    )
    pans = PanSizesField(label=gettext_lazy("Litres of each pan"), required=False, max_length=120)
    even = ScaledField(
        label=gettext_lazy("Break-even of your own"),
        unit_label=gettext_lazy("colours a litre"),
        scale=10_000,
        high=MOST_RATE * 10_000,
        required=False,
    )
    as_of = forms.DateField(required=False, widget=forms.HiddenInput)

    def __init__(self, data, **options):
        super().__init__(data, **options)
        self.fields["cost"].unit_label = self.currency
        if not (data or {}).get("as_of"):
            del self.fields["as_of"]

    @property
    def is_used(self) -> bool:
        """Whether anything is tried out."""
        return self.is_valid() and any(
            value not in (None, "") for name, value in self.cleaned_data.items() if name != "as_of"
        )

    def applied(self, setting: Setting) -> Setting:
        """The setting with what was typed; all of it as it was while something can't be read."""
        if not self.is_valid():
            return setting
        typed = self.cleaned_data
        if typed["hours"] is not None:
            setting = replace(setting, hours=typed["hours"] / 60)
        if typed["feed"]:
            setting = replace(setting, litres_per_hour=typed["feed"] / 1000)
        if typed["cost"] is not None:
            setting = replace(setting, cost_per_hour=typed["cost"] / 100)
        if typed["pans"]:
            setting = replace(setting, pan_litres=typed["pans"])
        if typed["even"]:
            setting = replace(setting, even_rate=typed["even"] / 10_000)
        return setting
