"""Forms about sites, spots and holes."""

from django import forms
from django.core.exceptions import ValidationError

from claims.forms.people import time_zones
from claims.models import Hole, Site, Spot
from claims.rules.terms import month_day
from claims.web.fields import MinutesField, PositionField, QuantityField
from claims.web.forms import LedgerForm

FAR_M = 3_000_000
HOLE_SIDE_MM = 50_000


class MonthDayField(forms.CharField):
    """A day of every year, kept as "MM-DD"; a day that no year has is refused in words."""

    def __init__(self, **kwargs):
        kwargs.setdefault("max_length", 12)
        super().__init__(**kwargs)
        self.widget.attrs.update(autocomplete="off", inputmode="numeric")

    def clean(self, value):
        text = super().clean(value)
        if not text:
            return ""
        try:
            return month_day(text)
        except ValueError as error:
            raise ValidationError(str(error), "month_day") from error


def _road(label: str, **kwargs) -> QuantityField:
    return QuantityField(
        kind="distance", unit="km", high=FAR_M, required=False, label=label, **kwargs
    )


def _refuse_same_name(form, rows, what: str) -> str:
    name = form.cleaned_data["name"]
    if rows.filter(name=name).exclude(pk=form.instance.pk).exists():
        raise ValidationError(f"There is a {what} of this name already.", "unique")
    return name


class _Positioned(LedgerForm, forms.ModelForm):
    """A form with one box for latitude and longitude."""

    position = PositionField(required=False)

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        row = self.instance
        if row.latitude_udeg is not None:
            self.initial.setdefault("position", (row.latitude_udeg, row.longitude_udeg))

    def clean(self):
        cleaned = super().clean()
        if "position" in cleaned:
            lat, lon = cleaned["position"] or (None, None)
            self.instance.latitude_udeg, self.instance.longitude_udeg = lat, lon
        return cleaned


class SiteForm(_Positioned):
    sealed_m = _road("Sealed road")
    unsealed_m = _road("Unsealed road")
    track_m = _road("Track")
    drive_minutes = MinutesField(high=2880, required=False, label="Drive")
    walk_minutes = MinutesField(high=2880, required=False, label="Walk from the car")
    closed_from = MonthDayField(required=False, label="First closed day")
    closed_until = MonthDayField(required=False, label="Last closed day")

    layout = (
        ("", ("name", "land_kind", "water_name")),
        (
            "The way there",
            (("sealed_m", "unsealed_m", "track_m"), ("drive_minutes", "walk_minutes")),
            "One way from home. Leave empty what you don't know yet; trips then say so. "
            "No track at all is 0.",
        ),
        ("On the map", ("position", "jurisdiction", "time_zone")),
        (
            "Closed every year",
            (("closed_from", "closed_until"), "closed_reason"),
            "Month and day as MM-DD, for example 11-01. Both days are closed; the window may run "
            "over New Year.",
        ),
        ("Worth knowing", ("contact", "hazards", "notes", "is_retired")),
    )

    class Meta:
        model = Site
        fields = [
            "name",
            "land_kind",
            "water_name",
            "sealed_m",
            "unsealed_m",
            "track_m",
            "drive_minutes",
            "walk_minutes",
            "jurisdiction",
            "time_zone",
            "closed_from",
            "closed_until",
            "closed_reason",
            "contact",
            "hazards",
            "notes",
            "is_retired",
        ]
        labels = {
            "name": "Name",
            "land_kind": "Kind of land",
            "water_name": "Creek or river",
            "jurisdiction": "Whose rules apply there",
            "closed_reason": "Why closed, or whom you asked",
            "contact": "Whom to ask or tell",
            "hazards": "Dangers",
            "is_retired": "No longer used",
        }
        help_texts = {
            "jurisdiction": "Country, state or district.",
            "closed_reason": "If you asked and there is no closed window, write so here with "
            "the day and whom you asked.",
            "contact": "Owner, office or neighbour, with a number.",
            "is_retired": "Stays in the record, but isn't offered for new trips.",
        }
        widgets = {
            "hazards": forms.Textarea(attrs={"rows": 3}),
            "notes": forms.Textarea(attrs={"rows": 4}),
        }

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        own = f"The party's own ({self.instance.party.time_zone})"
        self.fields["time_zone"] = forms.ChoiceField(
            choices=[("", own), *time_zones()], required=False, label="Time zone there"
        )

    def clean_name(self):
        return _refuse_same_name(self, Site.objects.filter(party=self.instance.party), "site")

    def clean(self):
        cleaned = super().clean()
        if {"closed_from", "closed_until"} <= cleaned.keys():
            missing = [n for n in ("closed_from", "closed_until") if not cleaned[n]]
            if len(missing) == 1:
                self.add_error(
                    missing[0],
                    ValidationError(
                        "Give both ends of the closed window, or neither.", "both_ends"
                    ),
                )
        return cleaned


class FirstSiteForm(SiteForm):
    """As much of a site as a first plan rests on; the rest waits on the site's own form."""

    asked = ("name", "land_kind", "sealed_m", "unsealed_m", "track_m", "drive_minutes")
    layout = (
        ("", ("name", "land_kind")),
        (
            "The way there",
            (("sealed_m", "unsealed_m", "track_m"), "drive_minutes"),
            "One way from home. What is empty is not known, and the plan says so; none at all "
            "is 0.",
        ),
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields = {name: self.fields[name] for name in self.asked}


class SpotForm(_Positioned):
    layout = (("", ("name", "feature", "position", "notes")),)

    class Meta:
        model = Spot
        fields = ["name", "feature", "notes"]
        labels = {"feature": "What it is"}
        help_texts = {"name": "So that you find it again, e.g. “below the split boulder”."}
        widgets = {"notes": forms.Textarea(attrs={"rows": 3})}

    def clean_name(self):
        return _refuse_same_name(self, Spot.objects.filter(site=self.instance.site), "spot")


class SpotChoice(forms.ModelChoiceField):
    def label_from_instance(self, spot):
        return f"{spot.site.name}: {spot.name}"


def _side(label: str) -> QuantityField:
    return QuantityField(
        kind="length", unit="cm", low=1, high=HOLE_SIDE_MM, required=False, label=label
    )


class HoleForm(LedgerForm, forms.ModelForm):
    length_mm = _side("Length")
    width_mm = _side("Width")
    depth_mm = _side("Depth")

    layout = (
        ("", (("site", "spot"), ("opened_on", "filled_on"))),
        (
            "Size",
            (("length_mm", "width_mm", "depth_mm"),),
            "Another unit may stand behind the number: 1.2 m, 80 cm, 30 in.",
        ),
        ("", ("notes",)),
    )

    class Meta:
        model = Hole
        fields = [
            "site",
            "spot",
            "opened_on",
            "filled_on",
            "length_mm",
            "width_mm",
            "depth_mm",
            "notes",
        ]
        labels = {"opened_on": "Opened", "filled_on": "Filled in"}
        help_texts = {"filled_on": "Empty: still open."}
        field_classes = {"spot": SpotChoice}
        widgets = {"notes": forms.Textarea(attrs={"rows": 3})}

    def __init__(self, *args, units=None, **kwargs):
        super().__init__(*args, units=units, **kwargs)
        if units and units.get("distance") == "mi":
            for name in ("length_mm", "width_mm", "depth_mm"):
                self.fields[name].unit = "in"
        party = self.instance.party
        sites = party.sites.filter(is_retired=False)
        if self.instance.site_id:
            sites = sites | party.sites.filter(pk=self.instance.site_id)
        self.fields["site"].queryset = sites
        self.fields["site"].empty_label = "Choose a site"
        self.fields["spot"].queryset = Spot.objects.filter(site__party=party).select_related("site")
        self.fields["spot"].empty_label = "No spot noted"

    def clean(self):
        cleaned = super().clean()
        site, spot = cleaned.get("site"), cleaned.get("spot")
        if site and spot and spot.site_id != site.pk:
            self.add_error(
                "spot",
                ValidationError(
                    f"“{spot}” is a spot of {spot.site}. Choose one of {site}, or none.", "site"
                ),
            )
        opened, filled = cleaned.get("opened_on"), cleaned.get("filled_on")
        if opened and filled and filled < opened:
            self.add_error(
                "filled_on",
                ValidationError("A hole can't be filled before it was opened.", "order"),
            )
        return cleaned
