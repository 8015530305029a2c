"""The forms of the wrap-up page. A new row in which nothing was typed is no row."""

import datetime as dt

from django import forms
from django.utils.translation import gettext, gettext_lazy

from claims.checklist import is_open
from claims.models import Hole, Site, Spot
from claims.web.fields import FinenessField, QuantityField, RowChoices
from claims.web.forms import LedgerForm, ShownRows
from claims.whole import Part
from trips.forms.folded_rows import FoldedRow, FoldedRows
from trips.forms.owned import OwnedForm
from trips.forms.records import BOXES, CostForm, HoursForm, RunForm, TripForm, TripOptions
from trips.forms.same_gold import AsksSameGold
from trips.models import Cost, HoursBlock, Run, Trip
from trips.selectors.costing import access_leg
from trips.services.wrapup import WeighInFacts

DRIVEN = ("driven_sealed_m", "driven_unsealed_m", "driven_track_m")
FAR_M = 20_000_000
STEPS = (
    (1_000, "0.001 g"),
    (10_000, "0.01 g"),
    (100_000, "0.1 g"),
    (1_000_000, "1 g"),
)


class WrapUpForm(OwnedForm, forms.ModelForm):
    """What belongs to the trip itself: where it went, how far, the engine's fuel, the story."""

    visited = RowChoices(
        Site.objects.none(),
        required=False,
        label=gettext_lazy("Where you were"),
        widget=forms.CheckboxSelectMultiple,
    )
    other_site = forms.ModelChoiceField(
        Site.objects.none(), required=False, label=gettext_lazy("And somewhere else")
    )
    driven_sealed_m = QuantityField(
        kind="distance", unit="km", high=FAR_M, required=False, label=gettext_lazy("On sealed road")
    )
    driven_unsealed_m = QuantityField(
        kind="distance", unit="km", high=FAR_M, required=False, label=gettext_lazy("On gravel road")
    )
    driven_track_m = QuantityField(
        kind="distance", unit="km", high=FAR_M, required=False, label=gettext_lazy("On track")
    )
    engine_fuel_ml = QuantityField(
        kind="volume",
        unit="L",
        high=10_000_000,
        required=False,
        label=gettext_lazy("Fuel the engine burnt"),
        help_text=gettext_lazy("Empty: worked out from the runs' time and the gear's use."),
    )
    holes_filled = RowChoices(
        Hole.objects.none(),
        required=False,
        label=gettext_lazy("Filled in on this trip"),
        widget=forms.CheckboxSelectMultiple,
    )

    class Meta:
        model = Trip
        fields = [*DRIVEN, "engine_fuel_ml", "story", "incidents"]
        labels = {
            "story": gettext_lazy("What happened"),
            "incidents": gettext_lazy("Anything that went wrong"),
        }
        help_texts = {
            "story": gettext_lazy(
                "Water, weather, what you tried and what you would do next time."
            ),
            "incidents": gettext_lazy("Hurt, near misses, damage, spilt fuel. Empty: not noted."),
        }
        widgets = {
            "story": forms.Textarea(attrs={"rows": 4}),
            "incidents": forms.Textarea(attrs={"rows": 2}),
        }

    def __init__(self, *args, options: TripOptions, **kwargs):
        super().__init__(*args, **kwargs)
        self.options = options
        trip = options.trip
        rows = list(options.held.trip_sites.all())
        planned = [row.site for row in rows]
        self.fields["visited"].queryset = Site.objects.filter(
            party=trip.party, pk__in=[site.pk for site in planned]
        )
        self.fields["visited"].widget.choices = [(site.pk, site.name) for site in planned]
        others = [site for site in options.sites if site not in planned]
        self.fields["other_site"].queryset = Site.objects.filter(party=trip.party)
        self.fields["other_site"].widget.choices = [
            ("", "–"),
            *((site.pk, site.name) for site in others),
        ]
        self._offer_holes(trip, planned)
        self.first_visited = first_visited(options.held, rows)
        self.initial["visited"] = [site.pk for site in self.first_visited]
        self.prefill = driven_prefill(self.first_visited)
        if self.prefill and all(getattr(trip, name) is None for name in DRIVEN):
            self.initial |= dict(zip(DRIVEN, self.prefill, strict=True))

    def _offer_holes(self, trip: Trip, sites: list[Site]) -> None:
        holes = Hole.objects.filter(party=trip.party, site__in=sites).select_related("site", "spot")
        still = [hole for hole in holes if is_open(hole, trip.ends_on)]
        if not still:
            self.fields.pop("holes_filled")
            return
        self.fields["holes_filled"].queryset = holes.filter(pk__in=[hole.pk for hole in still])
        self.fields["holes_filled"].widget.choices = [(hole.pk, str(hole)) for hole in still]

    def clean(self):
        data = super().clean()
        visited = [*(data.get("visited") or ())]
        if data.get("other_site"):
            visited.append(data["other_site"])
        data["went_to"] = tuple(dict.fromkeys(visited))
        typed = tuple(data.get(name) for name in DRIVEN)
        moved = {site.pk for site in visited} != {site.pk for site in self.first_visited}
        if moved and self.prefill and typed == self.prefill:
            # The offered way belonged to other sites; empty means "from the sites visited".
            data |= dict.fromkeys(DRIVEN)
        return data


def first_visited(trip: Trip, rows) -> list[Site]:
    """Sites to tick at first: those said or seen to be visited, else the first choice.

    Args: trip: with its pans and runs and their spots.
    """
    worked = {
        *(pan.spot.site_id for pan in trip.pans.all()),
        *(run.spot.site_id for run in trip.runs.all()),
    }
    been = [row.site for row in rows if row.was_visited or row.site_id in worked]
    return been or [row.site for row in rows[:1] if row.was_visited is None]


def driven_prefill(sites: list[Site]) -> tuple[int, ...] | None:
    """Twice the farthest access leg, by kind of road; None when none is noted."""
    legs = [leg for site in sites if (leg := access_leg(site))]
    return tuple(2 * part for part in max(legs, key=sum)) if legs else None


class TypedRow:
    """Mixin: a new row counts only when something was typed into one of `typed`."""

    typed: tuple[str, ...] = ()

    def has_changed(self):
        return bool(self.instance.pk) or any(
            str(self[name].value() or "").strip() for name in self.typed
        )


class HoursRow(FoldedRow, TypedRow, HoursForm):
    typed = ("minutes", "note")
    first = ("activity", "minutes")

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        for field in self.fields.values():
            field.help_text = ""  # said once, above the rows


class CostRow(FoldedRow, TypedRow, CostForm):
    typed = ("amount_minor", "note")
    first = ("kind", "amount_minor")

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["kind"].help_text = ""


class RunRow(FoldedRow, TypedRow, RunForm):
    first = ("spot", "gear", "volume_ml", "minutes", "coarse", "medium", "fine")
    apart = ("new_spot_name", "new_spot_site")
    typed = (
        "new_spot_name",
        "volume_ml",
        "began",
        "ended",
        "minutes",
        "coarse",
        "medium",
        "fine",
        "note",
    )
    field_order = ("day", "spot", "new_spot_name", "new_spot_site", "layer", "gear", "volume_ml",
                   "began", "ended", "minutes")  # fmt: skip

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        boxes = [piece.pk for piece in self.options.held.gear.all() if piece.kind in BOXES]
        if len(boxes) == 1:
            self.start_with("gear", boxes[0])  # the only one that came along
        for field in self.fields.values():
            field.help_text = ""


class HoleRow(TypedRow, TripForm, forms.ModelForm):
    """A hole that was opened on this trip and is still open."""

    typed = ("site", "spot", "length_mm", "width_mm", "depth_mm", "notes")
    length_mm = QuantityField(
        kind="length", unit="m", high=1_000_000, required=False, label=gettext_lazy("Length")
    )
    width_mm = QuantityField(
        kind="length", unit="m", high=1_000_000, required=False, label=gettext_lazy("Width")
    )
    depth_mm = QuantityField(
        kind="length", unit="m", high=100_000, required=False, label=gettext_lazy("Depth")
    )

    class Meta:
        model = Hole
        fields = ["site", "spot", "length_mm", "width_mm", "depth_mm", "notes"]
        widgets = {"notes": forms.TextInput}

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        party = self.options.trip.party
        self.instance.opened_on = self.options.trip.ends_on
        self.fields["site"].queryset = Site.objects.filter(party=party)
        self.fields["site"].widget.choices = self.options.site_choices
        self.fields["spot"].queryset = Spot.objects.filter(site__party=party)
        self.fields["spot"].widget.choices = self.options.spot_choices

    def clean(self):
        data = super().clean()
        site, spot = data.get("site"), data.get("spot")
        if site and spot and spot.site_id != site.pk:
            self.add_error(
                "spot", gettext("{spot} isn't a spot of {site}.").format(spot=spot, site=site)
            )
        return data


class HeldRows(FoldedRows, ShownRows, forms.BaseInlineFormSet):
    """Rows of a trip that are at hand already."""

    def __init__(self, *args, held, **kwargs):
        self.held = list(held)
        super().__init__(*args, **kwargs)

    def get_queryset(self):
        return self.held


def _rows(model, form, extra: int, most: int):
    return forms.inlineformset_factory(
        Trip, model, form=form, formset=HeldRows, extra=extra, max_num=most, can_delete=True
    )


# What a trip's page of wrapping up starts from.
RECORDS = (
    Part("pans", ("spot",)),
    Part("runs", ("spot__site", "gear")),
    Part("hours", ("person", "site")),
    Part("costs", ("paid_by",)),
    Part("weigh_ins"),
)
HoursRows = _rows(HoursBlock, HoursRow, 3, 400)
CostRows = _rows(Cost, CostRow, 2, 200)
RunRows = _rows(Run, RunRow, 2, 300)


class NewRows(ShownRows, forms.BaseFormSet):
    """Rows of which none is stored yet."""


HoleRows = forms.formset_factory(HoleRow, formset=NewRows, extra=1, max_num=20)


class WeighInPart(LedgerForm, AsksSameGold):
    """The trip's gold on the scale, once; without a gross weight nothing is weighed."""

    weighed_on = forms.DateField(required=False, label=gettext_lazy("Weighed on"))
    gross_ug = QuantityField(
        kind="mass", unit="g", high=10**12, required=False, label=gettext_lazy("Gold with its dish")
    )
    tare_ug = QuantityField(
        kind="mass",
        unit="g",
        high=10**12,
        required=False,
        label=gettext_lazy("Dish alone"),
        help_text=gettext_lazy("Empty counts as 0."),
    )
    resolution_ug = forms.TypedChoiceField(
        coerce=int,
        choices=STEPS,
        required=False,
        empty_value=1_000,
        label=gettext_lazy("The scale shows"),
    )
    fineness = FinenessField(required=False, label=gettext_lazy("Fineness"))
    with_pans = forms.BooleanField(
        required=False, label=gettext_lazy("The gold of the test pans is in it too")
    )

    field_order = ("weighed_on", "gross_ug", "tare_ug", "resolution_ug", "is_other_gold")

    def __init__(self, *args, trip: Trip, today: dt.date, resolution_ug: int, **kwargs):
        super().__init__(*args, **kwargs)
        if not self.is_bound:
            del self.fields["is_other_gold"]
        self.trip = trip
        self.initial = {"weighed_on": today, "resolution_ug": resolution_ug} | self.initial
        self.today = today

    def clean(self):
        data = super().clean()
        typed = [name for name in ("tare_ug", "fineness") if data.get(name) is not None]
        if typed and data.get("gross_ug") is None and "gross_ug" not in self.errors:
            self.add_error("gross_ug", gettext("Say what the scale showed with the gold on it."))
        if data.get("gross_ug") is not None and not self.errors:
            data["weighed_on"] = data.get("weighed_on") or self.today
            data["tare_ug"] = data.get("tare_ug") or 0
        self.ask_same_gold(self.trip)
        return data

    @property
    def facts(self) -> WeighInFacts | None:
        """The weigh-in, for a valid form; None when nothing was weighed."""
        data = self.cleaned_data
        if data.get("gross_ug") is None:
            return None
        return WeighInFacts(
            weighed_on=data["weighed_on"],
            gross_ug=data["gross_ug"],
            tare_ug=data["tare_ug"],
            resolution_ug=data["resolution_ug"],
            fineness=data["fineness"],
            with_pans=data["with_pans"],
        )
