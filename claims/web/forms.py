"""What every form of ours shares: the person's units and the party's currency."""

from django import forms
from django.forms.utils import pretty_name
from django.utils.functional import Promise
from django.utils.translation import gettext, gettext_lazy

from claims.web.collisions import ShowsCollisions
from claims.web.fields import MoneyField, QuantityField


class LedgerForm(ShowsCollisions):
    """Mixin: `units` maps a kind of quantity to the unit this person writes in.

    A form made without it reads base trade units (g, L, km), so tests stay short.
    """

    def __init__(self, *args, units: dict[str, str] | None = None, currency: str = "EUR", **kwargs):
        super().__init__(*args, **kwargs)
        self.currency = currency
        for name, field in self.fields.items():
            # A label that a model's field or its own name gives is translated here.
            if not isinstance(field.label, Promise):
                field.label = gettext(str(field.label or pretty_name(name)))
            if isinstance(field, QuantityField) and units and field.kind in units:
                field.unit = units[field.kind]
            if isinstance(field, MoneyField):
                field.currency = currency
            if isinstance(field, forms.DateField):
                field.widget = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
            if isinstance(field, forms.DateTimeField):
                field.widget = forms.DateTimeInput(
                    attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M"
                )


class ShownRows:
    """Mixin of every set of rows in a form: no more rows come back than the page may have shown.

    What is sent says itself how many rows it has, and each is made and checked. `extra`: how many
    new rows the page offers, if otherwise than its class says. Rows that came or went meanwhile
    fit into `SPARE`.
    """

    SPARE = 20
    default_error_messages = {
        "too_many_forms": gettext_lazy(
            "More rows were sent than this page shows, and nothing has been saved. Open the page "
            "again: there are always empty rows."
        ),
        "missing_management_form": gettext_lazy(
            "What was sent doesn't say how many rows it has. Open the page again."
        ),
    }

    def __init__(self, *args, extra: int | None = None, **kwargs):
        super().__init__(*args, **kwargs)
        self.extra = self.extra if extra is None else extra
        stored = len(self.get_queryset()) if hasattr(self, "get_queryset") else 0
        self.absolute_max = stored + self.extra + self.SPARE


def whole_number(text: str) -> int | None:
    """A row's number or another whole one out of an address; None for anything else.

    Only ASCII digits: "²" is a digit to Python and no number, and five thousand of them are none
    either.
    """
    return int(text) if text.isascii() and text.isdigit() and len(text) < 19 else None


def units_of(user) -> dict[str, str]:
    """The units that this person reads and writes in, by kind of quantity."""
    return {
        "mass": user.mass_unit,
        "volume": user.volume_unit,
        "distance": user.distance_unit,
    }


def form_options(request) -> dict[str, object]:
    """What a `LedgerForm` takes from the request."""
    return {"units": units_of(request.user), "currency": request.party.currency}
