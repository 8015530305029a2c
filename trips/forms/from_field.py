"""Forms around what phones and paper bring: a file or plain lines, mending one entry, many pans."""

import uuid
from collections.abc import Mapping

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy

from claims.models import KeptFile, Spot
from claims.web.forms import LedgerForm
from trips.calc.words import say
from trips.forms.records import TripOptions
from trips.models import Cost, Gear, HoursBlock, Trip
from trips.models.field import Layer
from trips.services.records import check_day
from trips.sync.importing import LARGEST_FILE

PARTS = {
    "pan": ("spot", "day", "layer", "depth", "volume", "coarse", "medium", "fine", "mass", "note"),
    "run": ("spot", "day", "gear", "layer", "minutes", "tubs", "tub", "volume", "coarse", "medium",
            "fine", "note"),
    "hours": ("activity", "day", "minutes", "person", "site", "note"),
    "cost": ("what", "amount", "paid_by", "note"),
    "hole": ("spot", "site", "opened_on", "filled_on", "length", "width", "depth", "note"),
    "spot": ("site", "name", "feature", "lat", "lon", "note"),
    "note": ("spot", "day", "text"),
    "photo": ("of", "role", "caption"),
}  # fmt: skip
LABELS = {
    "spot": gettext_lazy("Spot"),
    "day": gettext_lazy("Day"),
    "layer": gettext_lazy("Layer"),
    "depth": gettext_lazy("Depth"),
    "volume": gettext_lazy("Gravel"),
    "coarse": gettext_lazy("Coarse"),
    "medium": gettext_lazy("Medium"),
    "fine": gettext_lazy("Fine"),
    "mass": gettext_lazy("Weighed alone"),
    "note": gettext_lazy("Note"),
    "gear": gettext_lazy("Box"),
    "minutes": gettext_lazy("How long"),
    "tubs": gettext_lazy("Tubs"),
    "tub": gettext_lazy("A tub holds"),
    "activity": gettext_lazy("Activity"),
    "person": gettext_lazy("Who"),
    "site": gettext_lazy("Site"),
    "what": gettext_lazy("What for"),
    "amount": gettext_lazy("Amount"),
    "paid_by": gettext_lazy("Paid by"),
    "opened_on": gettext_lazy("Opened on"),
    "filled_on": gettext_lazy("Filled on"),
    "length": gettext_lazy("Length"),
    "width": gettext_lazy("Width"),
    "name": gettext_lazy("Name"),
    "feature": gettext_lazy("What it is"),
    "lat": gettext_lazy("Latitude"),
    "lon": gettext_lazy("Longitude"),
    "text": gettext_lazy("Note"),
    "of": gettext_lazy("Of what"),
    "role": gettext_lazy("When"),
    "caption": gettext_lazy("Caption"),
    "started_at": gettext_lazy("Started"),
    "ended_at": gettext_lazy("Ended"),
}
DAYS = {"day", "opened_on", "filled_on"}
ROWS = 12
RUN_ROWS = 3
PAN_PARTS = ("spot", "layer", "depth", "volume", "coarse", "medium", "fine", "note")
RUN_PARTS = ("spot", "gear", "volume", "minutes", "coarse", "medium", "fine", "note")


class FileForm(LedgerForm, forms.Form):
    """A file that the field page saved."""

    file = forms.FileField(label=gettext_lazy("File saved by the field page"))

    def clean_file(self):
        sent = self.cleaned_data["file"]
        if sent.size > LARGEST_FILE:
            most = LARGEST_FILE // 1024 // 1024
            raise ValidationError(
                say(
                    "“{name}” has {size:.0f} MB; at most {most} MB are taken.",
                    name=sent.name,
                    size=sent.size / 1024 / 1024,
                    most=most,
                )
            )
        return sent


class LinesForm(LedgerForm, forms.Form):
    """Plain lines of one day of a trip."""

    trip = forms.ModelChoiceField(Trip.objects.none())
    site = forms.ModelChoiceField(
        None, label=gettext_lazy("Site"), help_text=gettext_lazy("Where the spots named lie.")
    )
    day = forms.DateField(label=gettext_lazy("Day"))
    text = forms.CharField(
        label=gettext_lazy("Lines"), max_length=100_000, widget=forms.Textarea(attrs={"rows": 10})
    )

    def __init__(self, *args, party, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["trip"].queryset = party.trips.exclude(state=Trip.State.CALLED_OFF)
        self.fields["site"].queryset = party.sites.filter(is_retired=False)

    def clean(self):
        data = super().clean()
        if data.get("trip") and data.get("day"):
            try:
                check_day(data["trip"], data["day"])
            except ValidationError as problem:
                self.add_error("day", problem.messages)
        return data


class MendForm(LedgerForm, forms.Form):
    """The parts of one entry as typed; they are read when it is applied."""

    def __init__(self, *args, party, kind: str, body: Mapping[str, str | None], trip, **kwargs):
        super().__init__(*args, **kwargs)
        self.kind, self.body = kind, dict(body)
        if kind not in ("hole", "spot"):
            self.fields["trip"] = forms.ModelChoiceField(
                Trip.objects.filter(party=party).exclude(state=Trip.State.CALLED_OFF),
                label=say("Trip"),
                initial=trip,
                required=kind != "photo",
            )
        offered = offers(party)
        for name in PARTS[kind]:
            value = self.body.get(name)
            label = LABELS[name]
            if name in offered:
                known = [("", "–"), *offered[name]]
                if value and value not in {code for code, _ in known}:
                    known.append((value, say("unknown: {value}", value=value[:40])))
                made = forms.ChoiceField(choices=known, label=label, required=False)
            else:
                made = forms.CharField(label=label, required=False, max_length=4000)
            if name in DAYS:
                made.widget = forms.DateInput(attrs={"type": "date"})
            elif name == "text":
                made.widget = forms.Textarea(attrs={"rows": 4})
            made.initial = value
            self.fields[name] = made

    @property
    def mended(self) -> dict[str, str | None]:
        """The whole body with what was typed; an emptied part is "not noted"."""
        typed = {name: self.cleaned_data[name] or None for name in PARTS[self.kind]}
        return {**self.body, **typed}


def offers(party) -> dict[str, list[tuple[str, str]]]:
    """What can be chosen for each part of an entry, as (what is sent, what people read)."""
    spots = Spot.objects.filter(site__party=party).select_related("site")
    holes = party.holes.select_related("site", "spot")
    people = [(str(person.pk), person.name) for person in party.people.all()]
    return {
        "spot": [(str(spot.uuid), f"{spot.site}: {spot}") for spot in spots],
        "of": [
            ("trip", say("the trip")),
            *((say("spot {uuid}", uuid=spot.uuid), f"{spot.site}: {spot}") for spot in spots),
            *((say("hole {uuid}", uuid=hole.uuid), str(hole)) for hole in holes),
        ],
        "role": KeptFile.Role.choices,
        "site": [(str(site.pk), site.name) for site in party.sites.all()],
        "gear": [(str(piece.pk), piece.name) for piece in Gear.objects.filter(party=party)],
        "person": people,
        "paid_by": people,
        "layer": Layer.choices,
        "activity": HoursBlock.Activity.choices,
        "what": Cost.Kind.choices,
        "feature": Spot.Feature.choices,
    }


class CardRow(forms.Form):
    """One line of the card. An empty spot is as in the row above; so is what a subclass names."""

    kind, start, parts = "", "", ()
    as_above = ("spot",)
    said_by = ()  # the parts that make a row one that is used
    key = forms.UUIDField(widget=forms.HiddenInput)
    spot = forms.ChoiceField(required=False)
    volume = forms.CharField(required=False, max_length=60)
    coarse = forms.CharField(required=False, max_length=10)
    medium = forms.CharField(required=False, max_length=10)
    fine = forms.CharField(required=False, max_length=10)
    note = forms.CharField(required=False, max_length=200)

    def __init__(self, *args, options: TripOptions, number: int, **kwargs):
        super().__init__(*args, prefix=f"{self.start}{number}", **kwargs)
        self.number = number
        self.fields["spot"].choices = [
            ("", "–" if number == 1 else say("as above")),
            *((site, [(str(pk), name) for pk, name in rows])
              for site, rows in options.spot_choices[1:]),
        ]  # fmt: skip
        self.offer(options, number)
        for name in self.parts:
            widget = self.fields[name].widget
            label = f"{LABELS[name]}, {self.kind} {number}"
            widget.attrs |= {"autocomplete": "off", "aria-label": label}
            if name in ("depth", "volume"):
                widget.attrs["inputmode"] = "decimal"
            elif name in ("coarse", "medium", "fine"):
                widget.attrs["inputmode"] = "numeric"

    def offer(self, options: TripOptions, number: int) -> None:
        """Fill in what else can be chosen in this row."""

    @property
    def cells(self):
        return [self[name] for name in self.parts]

    @property
    def is_used(self) -> bool:
        """Whether anything was typed that makes it a pan or run."""
        return any(self.cleaned_data.get(name) for name in self.said_by)


class PanRow(CardRow):
    """A test pan. An empty layer or volume is as in the row above, too."""

    kind, start, parts = "pan", "r", PAN_PARTS
    as_above = ("spot", "layer", "volume")
    said_by = ("depth", "volume", "coarse", "medium", "fine", "note")
    layer = forms.ChoiceField(required=False)
    depth = forms.CharField(required=False, max_length=60)

    @property
    def is_used(self) -> bool:
        """The litres that the page fills in itself make no pan; with a spot chosen they do."""
        typed = self.cleaned_data
        if self.number == 1 and not typed["spot"]:
            return any(typed[name] for name in self.said_by if name != "volume")
        return super().is_used

    def offer(self, options, number):
        if number == 1:
            self.fields["spot"].widget.attrs["autofocus"] = True
        same = [("", say("as above"))] if number > 1 else []
        self.fields["layer"].choices = [*same, *Layer.choices]


class RunRow(CardRow):
    """A box run. An empty box is as in the row above, too."""

    kind, start, parts = "run", "b", RUN_PARTS
    as_above = ("spot", "gear")
    said_by = ("volume", "minutes", "coarse", "medium", "fine", "note")
    gear = forms.ChoiceField(required=False)
    minutes = forms.CharField(required=False, max_length=60)

    def offer(self, options, number):
        same = [("", say("as above"))] if number > 1 else [("", "–")]
        self.fields["gear"].choices = [
            *same, *((str(pk), name) for pk, name in options.gear_choices[1:])
        ]  # fmt: skip


def pan_rows(data, options: TripOptions, count: int = ROWS) -> list[PanRow]:
    """The rows of the page: empty ones with ids of their own, or those that were sent.

    The id is made with the page, so that a form sent twice stores each pan once.
    """
    if data is None:
        first = {"volume": _litres(options.pan_ml), "layer": Layer.GRAVEL}
        return [
            PanRow(
                options=options,
                number=number,
                initial={"key": uuid.uuid4(), **(first if number == 1 else {})},
            )
            for number in range(1, count + 1)
        ]
    return [PanRow(data, options=options, number=number) for number in range(1, count + 1)]


def run_rows(data, options: TripOptions, count: int = RUN_ROWS) -> list[RunRow]:
    """The rows for box runs; the box is filled in where the party has just one."""
    if data is not None:
        # A page from before there were such rows sends none.
        sent = [number for number in range(1, count + 1) if f"{RunRow.start}{number}-key" in data]
        return [RunRow(data, options=options, number=number) for number in sent]
    boxes = options.gear_choices[1:]
    first = {"gear": str(boxes[0][0])} if len(boxes) == 1 else {}
    return [
        RunRow(
            options=options,
            number=number,
            initial={"key": uuid.uuid4(), **(first if number == 1 else {})},
        )
        for number in range(1, count + 1)
    ]


def _litres(volume_ml: int | None) -> str:
    return "" if volume_ml is None else f"{volume_ml / 1000:g}"
