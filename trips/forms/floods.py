"""Forms for gauges, floods by hand, and a table of peaks."""

import datetime as dt

from django import forms
from django.utils.translation import gettext, gettext_lazy

from claims.web.fields import CountField, ScaledField
from trips.calc.peak_csv import Peaks, read_peaks
from trips.calc.sheet_file import MAX_BYTES, SheetError, read_file
from trips.forms.days import not_to_come
from trips.forms.owned import OwnedForm
from trips.models import Flood, Gauge

SEEN = ("day", "peak_milli", "own_return_tenths", "spot_keep_pct", "site_keep_pct", "counts")


class GaugeForm(OwnedForm, forms.ModelForm):
    """A gauge, stream or region, and the sites its floods reach."""

    year_starts_month = CountField(
        low=1,
        high=12,
        label=gettext_lazy("First month of the water year"),
        help_text=gettext_lazy(
            "1 for the calendar year; many gauges in North America count from 10."
        ),
    )

    class Meta:
        model = Gauge
        fields = ["name", "sites", "unit", "year_starts_month", "note"]
        labels = {
            "name": gettext_lazy("Gauge, stream or region"),
            "sites": gettext_lazy("Sites that its floods reach"),
            "unit": gettext_lazy("Peaks are given in"),
            "note": gettext_lazy("Note"),
        }
        widgets = {"sites": forms.CheckboxSelectMultiple}

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["sites"].queryset = self.instance.party.sites.order_by("name")


class FloodForm(OwnedForm, forms.ModelForm):
    """One flood: its day, its size, and what it leaves of older evidence."""

    known = ("party", "gauge")

    peak_milli = ScaledField(
        scale=1000, low=1, high=10**12, required=False, label=gettext_lazy("Peak")
    )
    own_return_tenths = ScaledField(
        scale=10,
        unit_label=gettext_lazy("years"),
        low=10,
        high=100_000,
        required=False,
        label=gettext_lazy("Such a flood comes once in"),
        help_text=gettext_lazy("Your own word. Empty: from the peaks of this gauge."),
    )
    spot_keep_pct = CountField(
        low=0,
        high=100,
        required=False,
        label=gettext_lazy("A spot's older evidence keeps, per cent"),
    )
    site_keep_pct = CountField(
        low=0,
        high=100,
        required=False,
        label=gettext_lazy("The site's older evidence keeps, per cent"),
    )
    seen = forms.CharField(required=False, widget=forms.HiddenInput)

    layout = (
        (gettext_lazy("The flood"), ("day", "peak_milli", "own_return_tenths", "source", "note")),
        (
            gettext_lazy("What it leaves"),
            (("spot_keep_pct", "site_keep_pct"), "counts"),
            gettext_lazy(
                "Empty: the usual judgement, 50 and 90 % after "
                "a flood of 2 years or more, 25 and 75 % after "
                "one of 5 years or more. No measurement stands "
                "behind these figures."
            ),
        ),
    )

    class Meta:
        model = Flood
        fields = [
            "day",
            "peak_milli",
            "own_return_tenths",
            "spot_keep_pct",
            "site_keep_pct",
            "counts",
            "source",
            "note",
        ]
        labels = {
            "day": gettext_lazy("Day of the peak"),
            "counts": gettext_lazy("Take it into account"),
            "source": gettext_lazy("Source"),
            "note": gettext_lazy("Note"),
        }

    def __init__(self, *args, today: dt.date, **kwargs):
        self.today = today
        super().__init__(*args, **kwargs)
        self.fields["peak_milli"].unit_label = self.instance.gauge.get_unit_display()

    def clean_day(self):
        return not_to_come(self.cleaned_data["day"], self.today)

    def clean(self):
        data = super().clean()
        if self.errors:
            return data
        if data.get("peak_milli") is None and data.get("own_return_tenths") is None:
            self.add_error("peak_milli", gettext("Give the peak, or how often such a flood comes."))
        spot, site = data.get("spot_keep_pct"), data.get("site_keep_pct")
        if (spot is None) != (site is None):
            missing = "spot_keep_pct" if spot is None else "site_keep_pct"
            self.add_error(missing, gettext("Give both shares, or neither."))
        elif spot is not None and spot > site:
            self.add_error("spot_keep_pct", gettext("A spot never keeps more than its site."))
        return data

    @property
    def signature(self) -> str:
        """What the effect rests on as one word, to notice when it changed since it was shown."""
        return "|".join(str(self.cleaned_data.get(name)) for name in SEEN)


class PeaksForm(forms.Form):
    """A file or pasted text of peaks. `peaks` is set once the form is valid."""

    file = forms.FileField(
        required=False,
        label=gettext_lazy("A file"),
        help_text=gettext_lazy("CSV or XLSX, at most 5 MB and 5 000 lines."),
    )
    text = forms.CharField(
        required=False,
        strip=False,
        label=gettext_lazy("Or paste the lines here"),
        widget=forms.Textarea(attrs={"rows": 8, "spellcheck": "false"}),
        help_text=gettext_lazy("The first line names the columns: date,peak"),
    )
    source = forms.CharField(
        max_length=160,
        label=gettext_lazy("Source"),
        help_text=gettext_lazy("Where the peaks are from, as you would cite it."),
    )

    def __init__(self, *args, today: dt.date, **kwargs):
        self.today = today
        super().__init__(*args, **kwargs)

    def clean(self):
        data = super().clean()
        if self.errors:
            return data
        upload, text = data.get("file"), data.get("text", "")
        if bool(upload) == bool(text.strip()):
            raise forms.ValidationError(
                gettext("Choose a file, or paste its text; one of the two."), "one"
            )
        try:
            if upload and upload.size > MAX_BYTES:
                raise SheetError(
                    gettext("The file has {size:,} bytes; at most {MAX_BYTES:,}.").format(
                        size=upload.size, MAX_BYTES=MAX_BYTES
                    )
                )
            content = upload.read() if upload else text.encode()
            sheet = read_file(content)
            self.peaks: Peaks = read_peaks(sheet, self.today + dt.timedelta(days=1))
        except SheetError as error:
            self.add_error("file" if upload else "text", str(error))
            return data
        # The text travels through the second step in a plain form and is read anew there.
        data["text"] = "date,peak\n" + "\n".join(
            f"{peak.day.isoformat()},{peak.peak_milli / 1000}" for peak in self.peaks.good
        )
        return data
