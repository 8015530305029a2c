"""Forms for gold prices: one by hand, and the two steps of reading a table of them."""

import datetime as dt
import re

from django import forms
from django.utils.translation import gettext, gettext_lazy

from claims.web import show
from claims.web.fields import ScaledField
from claims.web.forms import LedgerForm
from trips.calc.price_csv import MAX_BYTES, MICROS, PriceFileError, Sheet, decode, read_sheet
from trips.models import Price

UNITS = (("ozt", gettext_lazy("troy ounce (31.103 g)")), ("g", gettext_lazy("gram")))
MARKS = ((".", gettext_lazy("point: 1234.50")), (",", gettext_lazy("comma: 1234,50")))
MONTH_DAYS = (
    (
        "last",
        gettext_lazy(
            "the last day of the month (an average is not known before the month is over)"
        ),
    ),
    ("first", gettext_lazy("the first day of the month")),
)
CHOICES = ("date_column", "price_column", "currency", "per_unit", "decimal_mark", "month_day")


def signature(choices: dict) -> str:
    """What was said about the columns as one word, to notice when it changed since it was shown."""
    return "|".join(str(choices[name]) for name in CHOICES)


def currency_of(text: str) -> str:
    """Three capital letters.

    Raises: ValidationError saying so.
    """
    code = text.strip().upper()
    if not re.fullmatch(r"[A-Z]{3}", code):
        raise forms.ValidationError(
            gettext(
                "Write the three letters of the currency, for example EUR, not “{text}”."
            ).format(text=text[:20]),
            "currency",
        )
    return code


class PriceForm(LedgerForm, forms.ModelForm):
    """The price of pure gold on one day."""

    amount_micros = ScaledField(
        scale=MICROS, low=1, high=10**15, label=gettext_lazy("Price of pure gold"), unit_label=""
    )
    per_unit = forms.ChoiceField(
        choices=UNITS, label=gettext_lazy("For one"), widget=forms.RadioSelect
    )
    currency = forms.CharField(max_length=20, label=gettext_lazy("Currency"))
    source = forms.CharField(
        max_length=160,
        label=gettext_lazy("Source"),
        help_text=gettext_lazy("Where the figure is from, as you would cite it."),
    )

    layout = (("", ("day", ("amount_micros", "currency"), "per_unit", "source")),)

    class Meta:
        model = Price
        fields = ["day", "amount_micros", "currency", "per_unit", "source"]
        labels = {"day": gettext_lazy("Day")}

    def __init__(self, *args, today: dt.date, **kwargs):
        self.today = today
        super().__init__(*args, **kwargs)

    def clean_currency(self):
        return currency_of(self.cleaned_data["currency"])

    def clean_day(self):
        day = self.cleaned_data["day"]
        if day > self.today + dt.timedelta(days=1):
            raise forms.ValidationError(
                gettext("{day} is still to come; a price can't be known yet.").format(
                    day=show.day(day)
                ),
                "future",
            )
        return day


class PriceTextForm(forms.Form):
    """Step one: a file or pasted text. `sheet` is set once the form is valid."""

    file = forms.FileField(
        required=False,
        label=gettext_lazy("A file"),
        help_text=gettext_lazy("CSV text, at most 4.5 MB and 20 000 lines."),
    )
    text = forms.CharField(
        required=False,
        strip=False,
        label=gettext_lazy("Or paste the lines here"),
        widget=forms.Textarea(attrs={"rows": 8, "spellcheck": "false"}),
        help_text=gettext_lazy(
            "The first line holds the names of the columns, for example: month,usd_per_troy_ounce"
        ),
    )

    def clean(self):
        data = super().clean()
        if self.errors:
            return data
        upload, text = data.get("file"), data.get("text", "")
        if upload and text.strip():
            raise forms.ValidationError(gettext("Choose a file or paste text, not both."), "both")
        if not upload and not text.strip():
            raise forms.ValidationError(gettext("Choose a file, or paste its text."), "nothing")
        try:
            if upload:
                if upload.size > MAX_BYTES:
                    raise PriceFileError(
                        gettext(
                            "The file has {size:,} bytes; at most {MAX_BYTES:,} were expected."
                        ).format(size=upload.size, MAX_BYTES=MAX_BYTES)
                    )
                text = decode(upload.read())
            self.sheet = read_sheet(text)
        except PriceFileError as error:
            self.add_error("file" if upload else "text", str(error))
        data["text"] = text
        return data


class PriceColumnsForm(forms.Form):
    """Step two: what the columns mean.

    The text itself travels through this form and is read anew every time: nothing that the
    preview showed is trusted, and no half-done import lies about in the session, where it would
    be loaded with every page and two open tabs would overwrite each other.
    """

    text = forms.CharField(strip=False, widget=forms.HiddenInput)
    seen = forms.CharField(required=False, widget=forms.HiddenInput)
    date_column = forms.TypedChoiceField(
        coerce=int, label=gettext_lazy("Column of the day or month")
    )
    price_column = forms.TypedChoiceField(coerce=int, label=gettext_lazy("Column of the price"))
    currency = forms.CharField(max_length=20, label=gettext_lazy("Currency"))
    per_unit = forms.ChoiceField(choices=UNITS, label=gettext_lazy("The price is for one"))
    decimal_mark = forms.ChoiceField(choices=MARKS, label=gettext_lazy("Decimal mark"))
    month_day = forms.ChoiceField(
        choices=MONTH_DAYS,
        label=gettext_lazy("A whole month's price stands on"),
        widget=forms.RadioSelect,
    )
    source = forms.CharField(
        max_length=160,
        label=gettext_lazy("Source"),
        help_text=gettext_lazy("Where the figures are from, as you would cite it."),
    )
    replace = forms.BooleanField(
        required=False,
        label=gettext_lazy("Replace stored prices that differ"),
        help_text=gettext_lazy("Without this, days that have a price keep it."),
    )

    layout = (
        (
            gettext_lazy("What the columns are"),
            (
                ("date_column", "price_column"),
                ("currency", "per_unit"),
                "decimal_mark",
                "month_day",
                "source",
                "replace",
            ),
        ),
    )

    def __init__(self, *args, sheet: Sheet, **kwargs):
        super().__init__(*args, **kwargs)
        columns = [("", "choose")] + [
            (
                str(at),
                gettext("{header} (first: {value})").format(
                    header=header, value=sheet.rows[0][1][at]
                )
                if sheet.rows
                else header,
            )
            for at, header in enumerate(sheet.headers)
        ]
        self.fields["date_column"].choices = columns
        self.fields["price_column"].choices = columns
        self.fields["per_unit"].choices = (("", "choose"), *UNITS)

    def clean_currency(self):
        return currency_of(self.cleaned_data["currency"])

    def clean(self):
        data = super().clean()
        if not self.errors and data["date_column"] == data["price_column"]:
            self.add_error("price_column", gettext("Day and price can't be in the same column."))
        return data
