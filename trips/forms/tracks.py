"""Forms about tracks: the file, the clock, and what to take over."""

from django import forms
from django.core.exceptions import ValidationError
from django.utils.text import format_lazy
from django.utils.translation import gettext, gettext_lazy

from claims.web.fields import MinutesField, QuantityField
from claims.web.forms import LedgerForm
from trips.calc.gpx_read import MAX_BYTES
from trips.calc.words import say
from trips.models import HoursBlock
from trips.services.tracks import Taken, TakenBlock

DAYS = 3660
FAR_M = 3_000_000
ACTIVITIES = (("", gettext_lazy("choose what was done")), *HoursBlock.Activity.choices)


class TrackFileForm(LedgerForm, forms.Form):
    file = forms.FileField(
        label=gettext_lazy("GPX file"),
        allow_empty_file=True,  # its own sentence names it
        help_text=format_lazy(
            gettext_lazy("From a phone or receiver, at most {most} MB."), most=MAX_BYTES // 2**20
        ),
        widget=forms.ClearableFileInput(attrs={"accept": ".gpx,application/gpx+xml"}),
    )

    def clean_file(self):
        file = self.cleaned_data["file"]
        if file.size > MAX_BYTES:  # read into memory only below that
            raise ValidationError(
                gettext(
                    "It has {value:.0f} MB; at most {value_2} MB are taken. Split the "
                    "track by days, or save it with fewer points."
                ).format(value=file.size / 2**20, value_2=MAX_BYTES // 2**20)
            )
        return file


class ClockForm(LedgerForm, forms.Form):
    """By how much the recorder's clock was off."""

    days = forms.IntegerField(
        required=False, min_value=-DAYS, max_value=DAYS, label=gettext_lazy("Days")
    )
    minutes = forms.IntegerField(
        required=False, min_value=-1440, max_value=1440, label=gettext_lazy("and minutes")
    )
    layout = (("", (("days", "minutes"),)),)

    @property
    def shift_minutes(self) -> int:
        told = self.cleaned_data
        return (told.get("days") or 0) * 1440 + (told.get("minutes") or 0)


class TakeOverForm(LedgerForm, forms.Form):
    """What of a track goes into the record: each block, the drive, each waypoint on its own."""

    def __init__(self, *args, page, people, **kwargs):
        super().__init__(*args, **kwargs)
        self.page = page
        for offer in page.open_offers:
            self._offer_block(offer)
        self.fields["person"] = forms.ModelChoiceField(
            people,
            required=False,
            empty_label=gettext("everybody on the trip"),
            label=gettext("Whose hours"),
        )
        if page.driven_m:
            self._offer_drive()
        if page.sites:
            self._offer_spots()
        # Once more for the person's own units, now that all fields are there.
        units = kwargs.get("units") or {}
        for field in self.fields.values():
            if isinstance(field, QuantityField) and field.kind in units:
                field.unit = units[field.kind]

    def _offer_block(self, offer):
        self.fields[f"take_{offer.slug}"] = forms.BooleanField(
            required=False,
            label=offer.title,
            initial=bool(offer.activity) and not offer.noted_minutes,
        )
        self.fields[f"activity_{offer.slug}"] = forms.ChoiceField(
            required=False,
            choices=ACTIVITIES,
            initial=offer.activity,
            label=gettext("Note it as"),
        )
        self.fields[f"minutes_{offer.slug}"] = MinutesField(
            low=1,
            initial=offer.block.minutes,
            label=gettext("Time"),
            help_text="",
            required=False,
        )

    def _offer_drive(self):
        trip = self.page.trip
        known = (trip.driven_sealed_m, trip.driven_unsealed_m, trip.driven_track_m)
        self.fields["take_drive"] = forms.BooleanField(
            required=False,
            initial=known == (None, None, None) and not self.page.is_one_way,
            label=gettext("Note what was driven, for the fuel"),
        )
        labels = (gettext("Sealed road"), gettext("Unsealed road"), gettext("Track"))
        for name, label, metres in zip(
            ("sealed_m", "unsealed_m", "track_m"), labels, self.page.by_road_m, strict=True
        ):
            self.fields[name] = QuantityField(
                kind="distance", unit="km", high=FAR_M, required=False, label=label,
                initial=metres,
            )  # fmt: skip

    def _offer_spots(self):
        for offer in self.page.waypoints:
            if offer.is_taken:
                continue
            self.fields[f"spot_{offer.number}"] = forms.BooleanField(
                required=False,
                label=gettext("{value} at {position}").format(
                    value=offer.name or say("Waypoint"), position=offer.position
                ),
            )
            self.fields[f"spot_name_{offer.number}"] = forms.CharField(
                required=False,
                max_length=120,
                initial=offer.name,
                label=gettext("Name of the spot"),
            )
        if self.page.waypoints:
            self.fields["spot_site"] = forms.ModelChoiceField(
                self.page.trip.party.sites.filter(pk__in=[site.pk for site in self.page.sites]),
                required=False,
                initial=self.page.sites[0].pk,
                label=gettext("The spots belong to"),
                empty_label=None,
            )

    @property
    def block_rows(self):
        """(offer, tick, activity, minutes) of each block that can be taken over."""
        return [
            (offer, *(self[f"{name}_{offer.slug}"] for name in ("take", "activity", "minutes")))
            for offer in self.page.open_offers
        ]

    @property
    def drive_fields(self):
        return [self[name] for name in ("sealed_m", "unsealed_m", "track_m")]

    @property
    def waypoint_rows(self):
        """(offer, tick, name) of each waypoint that isn't a spot yet."""
        return [
            (offer, self[f"spot_{offer.number}"], self[f"spot_name_{offer.number}"])
            for offer in self.page.waypoints
            if f"spot_{offer.number}" in self.fields
        ]

    def clean(self):
        cleaned = super().clean()
        for n in (offer.slug for offer in self.page.open_offers):
            if not cleaned.get(f"take_{n}"):
                continue
            if not cleaned.get(f"activity_{n}") and f"activity_{n}" not in self.errors:
                self.add_error(
                    f"activity_{n}", gettext("Choose what was done, or leave the block out.")
                )
            if cleaned.get(f"minutes_{n}") is None and f"minutes_{n}" not in self.errors:
                self.add_error(f"minutes_{n}", gettext("Give the time, or leave the block out."))
        for offer, *_ in self.waypoint_rows:
            if cleaned.get(f"spot_{offer.number}") and not cleaned.get(f"spot_name_{offer.number}"):
                self.add_error(f"spot_name_{offer.number}", gettext("Give the spot a name."))
        if cleaned.get("take_drive"):
            for name in ("sealed_m", "unsealed_m", "track_m"):
                if cleaned.get(name) is None and name not in self.errors:
                    self.add_error(name, gettext("Give a length; 0 where none of it was driven."))
        return cleaned

    def taken(self) -> Taken:
        told = self.cleaned_data
        return Taken(
            blocks=tuple(
                TakenBlock(
                    offer.key,
                    offer.block.day,
                    told[f"activity_{offer.slug}"],
                    told[f"minutes_{offer.slug}"],
                    offer.site,
                )
                for offer in self.page.open_offers
                if told.get(f"take_{offer.slug}")
            ),
            person=told.get("person"),
            driven_m=(
                (told["sealed_m"], told["unsealed_m"], told["track_m"])
                if told.get("take_drive")
                else None
            ),
            spots=tuple(
                (offer.number, told["spot_site"], told[f"spot_name_{offer.number}"])
                for offer, *_ in self.waypoint_rows
                if told.get(f"spot_{offer.number}")
            ),
        )
