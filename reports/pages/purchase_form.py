"""What may be typed on the page "Would a change pay?"."""

from django import forms
from django.utils.translation import gettext_lazy

from claims.models import Site
from claims.web.fields import CountField, MoneyField, QuantityField, ScaledField
from claims.web.forms import LedgerForm
from reports.decide.purchase import (
    MOST_YEARS,
    Purchase,
)
from trips.calc.money import minor_per_main
from trips.calc.words import say

KINDS = {
    "box": gettext_lazy("A pump-fed box, or other gear that washes more"),
    "site": gettext_lazy("A nearer site"),
    "person": gettext_lazy("A second person"),
    "car": gettext_lazy("A lighter car"),
}


class PurchaseForm(LedgerForm, forms.Form):
    """What it costs once, and what it changes on a trip. Empty boxes count as nothing."""

    kind = forms.ChoiceField(
        choices=list(KINDS.items()), required=False, label=gettext_lazy("Question")
    )
    price_minor = MoneyField(required=False, label=gettext_lazy("Costs once"))
    residual_minor = MoneyField(required=False, label=gettext_lazy("Fetches at the end"))
    years = CountField(
        low=1, high=MOST_YEARS, required=False, label=gettext_lazy("Used for, years")
    )
    rate_pct = ScaledField(
        scale=10,
        unit_label="%",
        low=0,
        high=500,
        required=False,
        label=gettext_lazy("Interest a year"),
    )
    trips_tenths = ScaledField(
        scale=10, low=0, high=3650, required=False, label=gettext_lazy("Trips a year")
    )
    litres_least = CountField(
        high=50_000, required=False, label=gettext_lazy("Extra litres a trip, at least")
    )
    litres_likely = CountField(high=50_000, required=False, label=gettext_lazy("likely"))
    litres_most = CountField(high=50_000, required=False, label=gettext_lazy("at most"))
    km_saved = ScaledField(
        scale=10,
        unit_label="km",
        low=0,
        high=100_000,
        required=False,
        label=gettext_lazy("Less driven a trip"),
    )
    km_milli = ScaledField(
        scale=1000,
        low=0,
        high=100_000,
        required=False,
        label=gettext_lazy("Saved by each kilometre less"),
        help_text=gettext_lazy("Fuel and wear together."),
    )
    other_site = forms.ModelChoiceField(
        Site.objects.none(),
        required=False,
        empty_label=gettext_lazy("not one on record"),
        label=gettext_lazy("The nearer site is"),
        help_text=gettext_lazy("Its grade is then what your record believes of it."),
    )
    grade_ug = QuantityField(
        kind="mass",
        unit="mg",
        high=10_000_000,
        required=False,
        label=gettext_lazy("Or its grade, a loose litre"),
        help_text=gettext_lazy(
            "Your own guess, such as 1.5 mg; it goes before the site's. Both "
            "empty: as where you go now."
        ),
    )
    saved_minor = MoneyField(required=False, label=gettext_lazy("Saved otherwise on a trip"))
    running_minor = MoneyField(
        required=False,
        label=gettext_lazy("More outlay on a trip"),
        help_text=gettext_lazy("Engine fuel, food, a fee."),
    )
    as_of = forms.DateField(required=False, widget=forms.HiddenInput)

    layout = (
        (
            gettext_lazy("What it is"),
            ("kind", ("price_minor", "residual_minor"), ("years", "rate_pct")),
        ),
        (
            gettext_lazy("What it changes on a trip"),
            (
                "trips_tenths",
                ("litres_least", "litres_likely", "litres_most"),
                ("km_saved", "km_milli"),
                ("other_site", "grade_ug"),
                ("saved_minor", "running_minor"),
            ),
        ),
    )

    def __init__(self, data, *, starts, sites, **kwargs):
        data = data.copy()
        for name, value in starts.items():
            if name not in data and value is not None:
                data[name] = value
        super().__init__(data, **kwargs)
        if "as_of" in data:
            self.fields["as_of"].widget = forms.HiddenInput()
        else:
            del self.fields["as_of"]
        self.fields["km_milli"].unit_label = say("{currency} per km", currency=self.currency)
        self.fields["other_site"].queryset = sites
        if starts["kind"] != "site":
            del self.fields["other_site"], self.fields["grade_ug"]

    def clean(self):
        data = super().clean()
        row = [data.get(name) or 0 for name in ("litres_least", "litres_likely", "litres_most")]
        wrong = {"litres_least", "litres_likely", "litres_most"} & set(self.errors)
        if not wrong and row != sorted(row):
            self.add_error("litres_most", say("At least, likely and at most must rise."))
        return data

    def purchase(self, currency: str) -> Purchase:
        """The cleaned figures; whatever was left empty counts as nothing."""
        data, scale = self.cleaned_data, minor_per_main(currency)

        def number(name: str) -> float:
            return float(data.get(name) or 0)

        per_km = number("km_saved") / 10 * number("km_milli") / 1000
        return Purchase(
            price=number("price_minor") / scale,
            residual=number("residual_minor") / scale,
            years=data.get("years") or 5,
            rate=number("rate_pct") / 1000,
            trips_a_year=number("trips_tenths") / 10,
            litres=(number("litres_least"), number("litres_likely"), number("litres_most")),
            saved=per_km + number("saved_minor") / scale,
            running=number("running_minor") / scale,
        )
