"""Forms for what happened at the creek: test pans, box runs, hours, costs."""

import datetime as dt

from django import forms
from django.utils.translation import gettext, gettext_lazy

from claims.models import Person, Site, Spot
from claims.web.fields import CountField, MinutesField, MoneyField, QuantityField
from claims.whole import Part, whole
from trips.forms.owned import OwnedForm
from trips.forms.wallclock import face_of, to_instant
from trips.models import Cost, Gear, HoursBlock, Run, TestPan, Trip
from trips.services.records import Place, check_day

BOXES = (
    Gear.Kind.SLUICE_STREAM,
    Gear.Kind.SLUICE_PUMPED,
    Gear.Kind.ROCKER,
    Gear.Kind.TROMMEL,
    Gear.Kind.DRY_WASHER,
    Gear.Kind.DREDGE,
)


PLAN = (Part("trip_sites", ("site",)), Part("gear"), Part("people"))


class TripOptions:
    """What the forms of one trip offer: fetched once, however many rows a page has.

    `held` is the trip with what it holds already: always its plan, records where they are asked
    for.
    """

    def __init__(self, trip: Trip, *records: Part):
        party = trip.party
        self.held = whole(trip, *PLAN, *records)
        for part in records:
            for row in getattr(self.held, part.name).all():
                row.trip = trip
        own = [row.site for row in self.held.trip_sites.all()]
        own_pks = {site.pk for site in own}
        self.trip = trip
        self.planned_sites = own
        self.sites = [*own, *party.sites.filter(is_retired=False).exclude(pk__in=own_pks)]
        spots: dict[int, list[Spot]] = {}
        for spot in Spot.objects.filter(site__in=[site.pk for site in self.sites]):
            spots.setdefault(spot.site_id, []).append(spot)
        # The trip's own sites come first.
        self.spot_choices = [("", "–")] + [
            (site.name, [(spot.pk, spot.name) for spot in spots[site.pk]])
            for site in self.sites
            if site.pk in spots
        ]
        self.spot_count = sum(len(rows) for rows in spots.values())
        self.site_choices = [("", "–"), *((site.pk, site.name) for site in self.sites)]
        gear = list(party.gear.filter(kind__in=BOXES, is_active=True))
        with_us = {piece.pk for piece in self.held.gear.all()}
        gear.sort(key=lambda piece: piece.pk not in with_us)
        self.gear_choices = [("", "–"), *((piece.pk, piece.name) for piece in gear)]
        self.people = list(self.held.people.all())
        self.pan_ml = party.pan_volume_ml or next(
            (piece.volume_ml for piece in self.held.gear.all() if piece.volume_ml), None
        )


class TripForm(OwnedForm):
    """Mixin: a form for a row of one trip; the day lies within the trip."""

    def __init__(self, *args, options: TripOptions, **kwargs):
        self.options = options
        self.given = {**(kwargs.get("initial") or {})}
        super().__init__(*args, **kwargs)
        trip = options.trip
        if self.instance.pk is None:
            self.instance.trip, self.instance.party = trip, trip.party
        if "day" in self.fields:
            self.start_with("day", trip.starts_on)
            self.fields["day"].widget.attrs |= {
                "min": trip.starts_on.isoformat(),
                "max": trip.ends_on.isoformat(),
            }

    def start_with(self, name: str, value) -> None:
        """What a new row's field holds at first, unless the caller gave it a value."""
        if self.instance.pk is None and name not in self.given and value is not None:
            self.initial[name] = value

    def clean_day(self):
        day = self.cleaned_data["day"]
        try:
            check_day(self.options.trip, day)
        except forms.ValidationError as error:
            raise forms.ValidationError(error.messages) from error
        return day


class WashedForm(TripForm):
    """Mixin for gravel that was washed: a known spot, or a new one with name and site."""

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        party = self.options.trip.party
        self.fields["spot"].queryset = Spot.objects.filter(site__party=party).select_related("site")
        self.fields["spot"].widget.choices = self.options.spot_choices
        self.fields["new_spot_site"].queryset = Site.objects.filter(party=party)
        self.fields["new_spot_site"].widget.choices = self.options.site_choices
        if self.options.planned_sites:
            self.start_with("new_spot_site", self.options.planned_sites[0].pk)
        self._own_spot()

    def _own_spot(self) -> None:
        """Keep showing the spot of a stored row, even one of a site that is out of use."""
        spot = self.instance.spot if self.instance.pk else None
        if spot is None:
            return
        self.initial["spot"] = spot.pk
        known = [pk for _, rows in self.options.spot_choices[1:] for pk, _ in rows]
        if spot.pk not in known:
            self.fields["spot"].widget.choices = [
                *self.options.spot_choices,
                (spot.site.name, [(spot.pk, spot.name)]),
            ]

    def clean(self):
        data = super().clean()
        spot, name = data.get("spot"), (data.get("new_spot_name") or "").strip()
        if "spot" in self.errors or "new_spot_site" in self.errors:
            return data
        if name and spot is not None:
            self.add_error(
                "new_spot_name", gettext("Choose a spot from the list or name a new one.")
            )
        elif name and data.get("new_spot_site") is None:
            self.add_error("new_spot_site", gettext("At which site is the new spot?"))
        elif not name and spot is None:
            self.add_error("spot", gettext("Choose the spot, or name a new one."))
        return data

    @property
    def place(self) -> Place:
        """Where it was, for a valid form."""
        data = self.cleaned_data
        return Place(data.get("spot"), data.get("new_spot_site"), data.get("new_spot_name", ""))


def _spot_fields():
    return (
        forms.ModelChoiceField(Spot.objects.none(), required=False, label=gettext("Spot")),
        forms.CharField(max_length=120, required=False, label=gettext("or a new spot named")),
        forms.ModelChoiceField(Site.objects.none(), required=False, label=gettext_lazy("at")),
    )


class PanForm(WashedForm, forms.ModelForm):
    """One test pan."""

    spot, new_spot_name, new_spot_site = _spot_fields()
    volume_ml = QuantityField(
        kind="volume",
        unit="L",
        low=1,
        high=100_000,
        label=gettext_lazy("Gravel washed"),
        error_messages={
            "required": gettext_lazy(
                "Say how much gravel was washed: colours tell nothing without it."
            )
        },
    )
    depth_mm = QuantityField(
        kind="length",
        unit="cm",
        high=50_000,
        required=False,
        label=gettext_lazy("Depth below the surface"),
    )
    coarse = CountField(required=False, label=gettext_lazy("Coarse"))
    medium = CountField(required=False, label=gettext_lazy("Medium"))
    fine = CountField(required=False, label=gettext_lazy("Fine"))
    mass_ug = QuantityField(
        kind="mass",
        unit="mg",
        high=1_000_000_000,
        required=False,
        label=gettext_lazy("Weighed alone"),
        help_text=gettext_lazy("Only if this pan's gold was weighed by itself."),
    )

    layout = (
        (
            gettext_lazy("Where"),
            ("day", "spot", ("new_spot_name", "new_spot_site"), ("layer", "depth_mm")),
        ),
        (
            gettext_lazy("What was in it"),
            ("volume_ml", ("coarse", "medium", "fine"), "mass_ug", "note"),
            gettext_lazy(
                "Colours by size. Empty means not counted; 0 means looked and found none."
            ),
        ),
    )

    class Meta:
        model = TestPan
        fields = ["day", "layer", "depth_mm", "volume_ml", "coarse", "medium", "fine", "mass_ug"]
        fields += ["note"]

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        if self.fields["mass_ug"].unit == "g":
            self.fields["mass_ug"].unit = "mg"  # nobody thinks of a pan in grams
        self.start_with("volume_ml", self.options.pan_ml)
        self.start_with("layer", "gravel")
        _explain_classes(self)


class RunForm(WashedForm, forms.ModelForm):
    """What was fed through a box between two clean-ups."""

    spot, new_spot_name, new_spot_site = _spot_fields()
    volume_ml = QuantityField(
        kind="volume",
        unit="L",
        low=1,
        high=50_000_000,
        required=False,
        label=gettext_lazy("Gravel fed, loose"),
        help_text=gettext_lazy("As shovelled. Count buckets and multiply."),
    )
    began, ended = (
        forms.TimeField(
            required=False,
            label=label,
            widget=forms.TimeInput(attrs={"type": "time"}, format="%H:%M"),
        )
        for label in (gettext_lazy("Started"), gettext_lazy("Ended"))
    )
    minutes = MinutesField(
        low=1,
        required=False,
        label=gettext_lazy("Time it ran"),
        help_text=gettext_lazy(
            "Empty: from start to end. Type it where the box stood still in between."
        ),
    )
    coarse = CountField(required=False, label=gettext_lazy("Coarse"))
    medium = CountField(required=False, label=gettext_lazy("Medium"))
    fine = CountField(required=False, label=gettext_lazy("Fine"))

    layout = (
        (gettext_lazy("Where"), ("day", "spot", ("new_spot_name", "new_spot_site"), "layer")),
        (gettext_lazy("What went through"), ("gear", "volume_ml", ("began", "ended", "minutes"))),
        (
            gettext_lazy("Colours at the clean-up"),
            (("coarse", "medium", "fine"), "note"),
            gettext_lazy("Empty means not counted; 0 means looked and found none."),
        ),
    )

    class Meta:
        model = Run
        fields = ["day", "layer", "gear", "volume_ml", "minutes", "coarse", "medium", "fine"]
        fields += ["note"]
        labels = {"gear": gettext_lazy("Box")}

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        party = self.options.trip.party
        self.fields["gear"].queryset = Gear.objects.filter(party=party)
        choices = self.options.gear_choices
        if self.instance.gear_id and self.instance.gear_id not in dict(choices):
            choices = [*choices, (self.instance.gear_id, self.instance.gear.name)]
        self.fields["gear"].widget.choices = choices
        if len(choices) == 2:
            self.start_with("gear", choices[1][0])
        self.start_with("layer", "gravel")
        _explain_classes(self)
        self._show_times()

    def _show_times(self) -> None:
        run = self.instance
        if run.pk is None:
            return
        zone_name = _zone_of(run.spot.site, self.options.trip)
        self.faces = {
            name: face_of(getattr(run, f"{name}_at"), zone_name) for name in ("began", "ended")
        }
        self.initial |= {name: face and face.time() for name, face in self.faces.items()}
        if run.minutes is not None and run.minutes == run.span_minutes():
            self.initial["minutes"] = None  # it follows from start and end, also from new ones

    def clean(self):
        data = super().clean()
        if data.get("day") and not {"began", "ended"} & set(self.errors):
            self._set_times(data)
        return data

    def _set_times(self, data) -> None:
        """Instants from day and clock faces; an end before the start is on the next day."""
        spot = data.get("spot")
        site = spot.site if spot else data.get("new_spot_site")
        run, day, faces = self.instance, data["day"], {}
        for name in ("began", "ended"):
            if data.get(name):
                faces[name] = dt.datetime.combine(day, data[name])
        if len(faces) == 2 and faces["ended"] < faces["began"]:
            faces["ended"] += dt.timedelta(days=1)
        for name in ("began", "ended"):
            try:
                instant = self._instant(name, faces.get(name), _zone_of(site, self.options.trip))
            except forms.ValidationError as error:
                self.add_error(name, error)
                return
            setattr(run, f"{name}_at", instant)
        if run.began_at and run.ended_at and run.ended_at < run.began_at:
            run.ended_at = run.began_at  # within one minute: a face shows no seconds
        if data.get("minutes") is None and "minutes" not in self.errors:
            data["minutes"] = run.span_minutes()

    def _instant(self, name, face, zone_name):
        """The instant of a face; the stored one to the second where the face is unchanged."""
        stored = getattr(self, "faces", {}).get(name)
        if (
            face is not None
            and stored is not None
            and stored.replace(second=0, microsecond=0) == face
        ):
            return getattr(self.instance, f"{name}_at")
        return None if face is None else to_instant(face, zone_name)


def _zone_of(site: Site | None, trip: Trip) -> str:
    return (site.time_zone if site else "") or trip.party.time_zone


def _explain_classes(form) -> None:
    """The party's own words for what is coarse, medium and fine."""
    party = form.options.trip.party
    for name in ("coarse", "medium", "fine"):
        form.fields[name].help_text = getattr(party, f"{name}_words")


class HoursForm(TripForm, forms.ModelForm):
    """A block of hours of one activity on one day."""

    minutes = MinutesField(low=1, label=gettext_lazy("How long"))

    layout = (("", (("day", "activity"), "minutes", "person", "site", "note")),)

    class Meta:
        model = HoursBlock
        fields = ["day", "activity", "minutes", "person", "site", "note"]
        labels = {"person": gettext_lazy("Who"), "site": gettext_lazy("At which site")}
        help_texts = {"site": gettext_lazy("Empty: not at one site, such as the drive.")}

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        offer_people(self, "person", gettext("everybody on the trip"))
        self.fields["site"].queryset = Site.objects.filter(party=self.options.trip.party)
        self.fields["site"].widget.choices = self.options.site_choices


class CostForm(TripForm, forms.ModelForm):
    """Money paid for a trip."""

    amount_minor = MoneyField(label=gettext_lazy("Amount"))

    layout = (("", ("kind", "amount_minor", "paid_by", "note")),)

    class Meta:
        model = Cost
        fields = ["kind", "amount_minor", "paid_by", "note"]
        labels = {"kind": gettext_lazy("What for"), "paid_by": gettext_lazy("Paid by")}
        help_texts = {
            "kind": gettext_lazy(
                "Fuel that was paid for replaces the estimate of drive and engine fuel."
            )
        }

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        offer_people(self, "paid_by", gettext("not noted"))


def offer_people(form, name: str, empty: str) -> None:
    """Offer the people of the trip, and whoever a stored row names already."""
    field, people = form.fields[name], list(form.options.people)
    named = getattr(form.instance, name)
    if named is not None and named not in people:
        people.append(named)
    field.queryset = Person.objects.filter(pk__in=[person.pk for person in people])
    field.widget.choices = [("", empty), *((person.pk, person.name) for person in people)]
