"""Forms about sites, spots and holes."""

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext, gettext_lazy

from claims.forms.people import time_zones
from claims.models import Hole, Site, Spot
from claims.web.fields import MinutesField, PositionField, QuantityField
from claims.web.forms import LedgerForm
from claims.web.yeardays import MonthDayField

FAR_M = 3_000_000
HOLE_SIDE_MM = 50_000


def _road(label: str, **kwargs) -> QuantityField:
    return QuantityField(
        kind="distance", unit="km", high=FAR_M, required=False, label=label, **kwargs
    )


def _refuse_same_name(form, rows, what: str) -> str:
    name = form.cleaned_data["name"]
    if rows.filter(name=name).exclude(pk=form.instance.pk).exists():
        raise ValidationError(
            gettext("There is a {what} of this name already.").format(what=what), "unique"
        )
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
    sealed_m = _road(gettext_lazy("Sealed road"))
    unsealed_m = _road(gettext_lazy("Unsealed road"))
    track_m = _road(gettext_lazy("Track"))
    drive_minutes = MinutesField(high=2880, required=False, label=gettext_lazy("Drive"))
    walk_minutes = MinutesField(high=2880, required=False, label=gettext_lazy("Walk from the car"))
    closed_from = MonthDayField(required=False, label=gettext_lazy("First closed day"))
    closed_until = MonthDayField(required=False, label=gettext_lazy("Last closed day"))

    layout = (
        ("", ("name", "land_kind", "water_name")),
        (
            gettext_lazy("The way there"),
            (("sealed_m", "unsealed_m", "track_m"), ("drive_minutes", "walk_minutes")),
            gettext_lazy(
                "One way from home. Leave empty what you don't know yet; trips then say so. "
                "No track at all is 0."
            ),
        ),
        (gettext_lazy("On the map"), ("position", "jurisdiction", "time_zone")),
        (
            gettext_lazy("Closed every year"),
            (("closed_from", "closed_until"), "closed_reason"),
            gettext_lazy(
                "Day and month, for example 1 November. Both days are closed; the window may run "
                "over New Year."
            ),
        ),
        (gettext_lazy("Worth knowing"), ("contact", "hazards", "notes", "is_retired")),
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
            "name": gettext_lazy("Name"),
            "land_kind": gettext_lazy("Kind of land"),
            "water_name": gettext_lazy("Creek or river"),
            "jurisdiction": gettext_lazy("Whose rules apply there"),
            "closed_reason": gettext_lazy("Why closed, or whom you asked"),
            "contact": gettext_lazy("Whom to ask or tell"),
            "hazards": gettext_lazy("Dangers"),
            "is_retired": gettext_lazy("No longer used"),
        }
        help_texts = {
            "jurisdiction": gettext_lazy("Country, state or district."),
            "closed_reason": gettext_lazy(
                "If you asked and there is no closed window, write so here with "
                "the day and whom you asked."
            ),
            "contact": gettext_lazy("Owner, office or neighbour, with a number."),
            "is_retired": gettext_lazy("Stays in the record, but isn't offered for new trips."),
        }
        widgets = {
            "hazards": forms.Textarea(attrs={"rows": 3}),
            "notes": forms.Textarea(attrs={"rows": 4}),
        }

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        own = gettext("The party's own ({time_zone})").format(
            time_zone=self.instance.party.time_zone
        )
        self.fields["time_zone"] = forms.ChoiceField(
            choices=[("", own), *time_zones()], required=False, label=gettext("Time zone there")
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
                        gettext("Give both ends of the closed window, or neither."), "both_ends"
                    ),
                )
        return cleaned


class FirstSiteForm(SiteForm):
    """As much of a site as a first plan rests on; the rest waits on the site's own form."""

    asked = ("name", "land_kind", "sealed_m", "unsealed_m", "track_m", "drive_minutes")
    layout = (
        ("", ("name", "land_kind")),
        (
            gettext_lazy("The way there"),
            (("sealed_m", "unsealed_m", "track_m"), "drive_minutes"),
            gettext_lazy(
                "One way from home. What is empty is not known, and the plan says so; none at all "
                "is 0."
            ),
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
        labels = {"feature": gettext_lazy("What it is")}
        help_texts = {
            "name": gettext_lazy("So that you find it again, e.g. “below the split boulder”.")
        }
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
    length_mm = _side(gettext_lazy("Length"))
    width_mm = _side(gettext_lazy("Width"))
    depth_mm = _side(gettext_lazy("Depth"))

    layout = (
        ("", (("site", "spot"), ("opened_on", "filled_on"))),
        (
            gettext_lazy("Size"),
            (("length_mm", "width_mm", "depth_mm"),),
            gettext_lazy("Another unit may stand behind the number: 1.2 m, 80 cm, 30 in."),
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
        labels = {"opened_on": gettext_lazy("Opened"), "filled_on": gettext_lazy("Filled in")}
        help_texts = {"filled_on": gettext_lazy("Empty: still open.")}
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
        self.fields["site"].empty_label = gettext("Choose a site")
        self.fields["spot"].queryset = Spot.objects.filter(site__party=party).select_related("site")
        self.fields["spot"].empty_label = gettext("No spot noted")

    def clean(self):
        cleaned = super().clean()
        site, spot = cleaned.get("site"), cleaned.get("spot")
        if site and spot and spot.site_id != site.pk:
            self.add_error(
                "spot",
                ValidationError(
                    gettext(
                        "“{spot}” is a spot of {site}. Choose one of {site_2}, or none."
                    ).format(spot=spot, site=spot.site, site_2=site),
                    "site",
                ),
            )
        opened, filled = cleaned.get("opened_on"), cleaned.get("filled_on")
        if opened and filled and filled < opened:
            self.add_error(
                "filled_on",
                ValidationError(gettext("A hole can't be filled before it was opened."), "order"),
            )
        return cleaned
