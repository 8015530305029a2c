"""Forms for distance rates: one's own, and which one to compare with."""

from decimal import Decimal

from django import forms
from django.utils.translation import gettext, gettext_lazy

from claims.web import show
from claims.web.fields import CountField, ScaledField
from trips.forms.owned import OwnedForm
from trips.forms.prices import currency_of
from trips.models import DistanceRate


class RateForm(OwnedForm, forms.ModelForm):
    """A published rate with its days, tiers and source."""

    currency = forms.CharField(max_length=20, label=gettext_lazy("Currency"))
    rate_milli = ScaledField(
        scale=1000, low=0, high=1_000_000, label=gettext_lazy("Rate per km or mile")
    )
    first_tier_upto = CountField(
        low=1,
        high=1_000_000,
        required=False,
        label=gettext_lazy("Holds for the first … of a year"),
        help_text=gettext_lazy(
            "Empty: however far. Without a second rate nothing is charged beyond it."
        ),
    )
    second_rate_milli = ScaledField(
        scale=1000, low=0, high=1_000_000, required=False, label=gettext_lazy("Then")
    )

    class Meta:
        model = DistanceRate
        fields = [
            "name",
            "first_day",
            "last_day",
            "unit",
            "currency",
            "rate_milli",
            "first_tier_upto",
            "second_rate_milli",
            "year_starts",
            "holds_fuel",
            "source",
        ]
        labels = {
            "name": gettext_lazy("Name"),
            "first_day": gettext_lazy("First day"),
            "last_day": gettext_lazy("Last day"),
            "unit": gettext_lazy("For one"),
            "currency": gettext_lazy("Currency"),
            "source": gettext_lazy("Source"),
            "year_starts": gettext_lazy("Its year begins on (month-day)"),
            "holds_fuel": gettext_lazy("The fuel of the drive is in the rate"),
        }
        help_texts = {
            "source": gettext_lazy("Where the rate stands, as you would cite it."),
            "year_starts": gettext_lazy(
                "Such as 04-06. The distance that fills the first rate begins anew on "
                "that day. Empty: on the first day's date. A rate that changes within its year is "
                "typed in as two of one name, both with the same beginning."
            ),
        }

    def clean_currency(self):
        return currency_of(self.cleaned_data["currency"])

    def clean(self):
        data = super().clean()
        if data.get("second_rate_milli") is not None and data.get("first_tier_upto") is None:
            self.add_error(
                "first_tier_upto", gettext("Say up to which distance the first rate holds.")
            )
        return data


class CompareForm(forms.Form):
    """Which rate to set beside the party's own wear figure."""

    rate = forms.ChoiceField(required=False, label=gettext_lazy("Rate"))
    other_km = forms.DecimalField(
        required=False,
        min_value=Decimal(0),
        max_value=Decimal(1_000_000),
        label=gettext_lazy("Kilometres driven otherwise in each year"),
        help_text=gettext_lazy("They fill the first tier before the trips do."),
    )
    as_of = forms.DateField(required=False, widget=forms.HiddenInput)

    def __init__(self, data, *, tables):
        super().__init__(data)
        names = list(dict.fromkeys(table.name for table in tables))
        choices = [
            (f"n {name}", gettext("{name}, each day's own").format(name=name)) for name in names
        ]
        choices += [
            (
                f"t {at}",
                gettext("{name}, as if {first_day} to {last_day} held on every day").format(
                    name=t.name, first_day=show.day(t.first_day), last_day=show.day(t.last_day)
                ),
            )
            for at, t in enumerate(tables)
        ]
        self.fields["rate"].choices = [("", "choose"), *choices]
