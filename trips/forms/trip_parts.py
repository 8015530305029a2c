"""Small forms around a trip: a planned cost, calling it off, narrowing the list."""

from collections.abc import Sequence

from django import forms
from django.utils.translation import gettext_lazy

from claims.models import Site
from claims.web.fields import MoneyField
from claims.web.forms import LedgerForm, ShownRows
from trips.models import Cost, Trip


class PlannedCostForm(LedgerForm, forms.ModelForm):
    """One planned cost; a row without amount and note is no row."""

    amount_minor = MoneyField(label=gettext_lazy("Amount"))

    class Meta:
        model = Cost
        fields = ["kind", "amount_minor", "note"]

    def has_changed(self):
        return bool(self.instance.pk) or any(
            str(self[name].value() or "").strip() for name in ("amount_minor", "note")
        )


class PlannedCosts(ShownRows, forms.BaseInlineFormSet):
    """The planned costs of a trip."""


PlannedCostSet = forms.inlineformset_factory(
    Trip,
    Cost,
    form=PlannedCostForm,
    formset=PlannedCosts,
    extra=3,
    max_num=60,
    can_delete=True,
)


class CallOffForm(forms.Form):
    """Why a trip doesn't happen."""

    reason = forms.CharField(
        max_length=200,
        required=False,
        label=gettext_lazy("Why"),
        help_text=gettext_lazy("For example: the water was too high. It may stay empty."),
    )


class TripFilterForm(forms.Form):
    """Narrows the list of trips."""

    state = forms.ChoiceField(
        label=gettext_lazy("State"),
        choices=[("", gettext_lazy("all")), *Trip.State.choices],
        required=False,
    )
    year = forms.TypedChoiceField(
        label=gettext_lazy("Year"), coerce=int, empty_value=None, required=False
    )
    site = forms.ModelChoiceField(
        label=gettext_lazy("Site"),
        queryset=Site.objects.none(),
        required=False,
        empty_label=gettext_lazy("all"),
    )

    def __init__(self, *args, party, years: Sequence[int], **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["site"].queryset = party.sites.all()
        self.fields["year"].choices = [
            ("", gettext_lazy("all")),
            *((year, str(year)) for year in years),
        ]
