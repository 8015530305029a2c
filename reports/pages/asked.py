"""What the address of an answer page asks for: a day to go, a season, a price basis."""

import datetime as dt
from collections.abc import Iterable
from decimal import Decimal
from urllib.parse import urlencode

from django import forms
from django.utils.functional import Promise
from django.utils.text import format_lazy
from django.utils.translation import gettext, gettext_lazy

from claims.web.forms import whole_number
from reports.decide.ranking import Per
from reports.figures.value import BASIS_WORDS, PriceBasis

PRICES = [("trip", gettext_lazy("each trip's day")), ("today", gettext_lazy("the day shown"))]
ALL = "all"
KEEP_PCT = 85  # of the gold that the trip before brought from a site; own judgement


def _day(label: str | Promise, wrong: str | Promise) -> forms.DateField:
    """A day; `wrong` says what was expected and what was taken instead."""
    return forms.DateField(
        label=label,
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={"invalid": wrong},
    )


def _whole(label: str | Promise, least: int, most: int, unit: str | Promise) -> forms.IntegerField:
    """A whole number of `unit` within bounds."""
    words = format_lazy(
        gettext_lazy(
            "Expected a whole number of {unit} from {least} to {most}; the usual one was taken."
        ),
        unit=unit,
        least=least,
        most=most,
    )
    return forms.IntegerField(
        label=label,
        required=False,
        min_value=least,
        max_value=most,
        error_messages=dict.fromkeys(("invalid", "min_value", "max_value"), words),
    )


class AskForm(forms.Form):
    """A GET form; whatever is missing or can't be read falls back to its starting value."""

    price = forms.ChoiceField(label=gettext_lazy("Gold price of"), choices=PRICES, required=False)
    as_of = forms.DateField(required=False, widget=forms.HiddenInput)

    def __init__(self, request, *, seasons=(), **starts):
        super().__init__(request.GET)
        self.starts = {"price": "trip"} | starts
        if seasons:
            self.fields["season"].choices = seasons
        if "as_of" not in request.GET:
            del self.fields["as_of"]
        # A field left out of the address shows its starting value, as a fresh page would.
        self.data = self.data.copy()
        for name, start in self.starts.items():
            if not self.data.get(name):
                self.data[name] = start
        self.is_valid()

    def chosen(self, name: str):
        """The cleaned value, or the starting value when it can't be read."""
        return self.cleaned_data.get(name) or self.starts[name]

    @property
    def query(self) -> str:
        """The same choices as the end of an address, for the files beside a page."""
        chosen = {name: self.chosen(name) for name in self.starts}
        if "as_of" in self.fields and self.cleaned_data.get("as_of"):
            chosen["as_of"] = self.cleaned_data["as_of"]
        return urlencode(chosen)

    @property
    def basis(self) -> PriceBasis:
        chosen = self.chosen("price")
        return chosen if chosen in BASIS_WORDS else "trip"


ORDERS = [
    ("hour", gettext_lazy("net per door-to-door hour")),
    ("trip", gettext_lazy("net per trip")),
]


class WhereForm(AskForm):
    """Which day to go, for how long, and what counts."""

    price = forms.ChoiceField(
        label=gettext_lazy("Value past gold at"), choices=PRICES, required=False
    )
    day = _day(
        gettext_lazy("Day of the trip"),
        gettext_lazy("Expected a date such as 2031-05-03; the day shown was taken."),
    )
    order = forms.ChoiceField(label=gettext_lazy("In order of"), choices=ORDERS, required=False)
    hours = forms.DecimalField(
        label=gettext_lazy("Hours at the creek"),
        required=False,
        min_value=Decimal("0.5"),
        max_value=Decimal(24),
        widget=forms.NumberInput(attrs={"step": "0.5", "placeholder": gettext_lazy("as usual")}),
        error_messages={
            "invalid": gettext_lazy(
                "Expected a number of hours such as 5.5; your usual hours were taken."
            ),
            "min_value": gettext_lazy("Expected at least 0.5 hours; your usual hours were taken."),
            "max_value": gettext_lazy("A day has 24 hours; your usual hours were taken."),
        },
    )
    later = _whole(gettext_lazy("Trips after this one"), 1, 60, gettext_lazy("trips"))
    field_order = ["day", "hours", "later", "order", "price"]

    def __init__(self, request, day: dt.date, later: int):
        super().__init__(request, day=day, order="hour", later=later)

    @property
    def per(self) -> Per:
        """What sites are ranked by."""
        return "trip" if self.chosen("order") == "trip" else "hour"

    @property
    def creek_hours(self) -> float | None:
        """Hours at the creek; None for as usual."""
        asked = self.cleaned_data.get("hours")
        return None if asked is None else float(asked)


class ScoutingForm(AskForm):
    """When to look, how thoroughly, and how many trips could still use it."""

    price = None
    day = _day(
        gettext_lazy("Day of the look"),
        gettext_lazy("Expected a date such as 2031-05-03; the day shown was taken."),
    )
    pans = _whole(gettext_lazy("Pans at each site"), 1, 40, gettext_lazy("pans"))
    later = _whole(gettext_lazy("Later trips that could use it"), 1, 60, gettext_lazy("trips"))
    field_order = ["day", "pans", "later"]

    def __init__(self, request, day: dt.date, pans: int, later: int):
        super().__init__(request, day=day, pans=pans, later=later)
        del self.starts["price"]


class SeasonPlanForm(AskForm):
    """Until when, how many free days, how fast a site falls off, and what is fixed already."""

    price = None
    until = _day(
        gettext_lazy("Until"),
        gettext_lazy("Expected a date such as 2031-10-31; half a year was taken."),
    )
    free = _whole(gettext_lazy("Free days a month"), 1, 31, gettext_lazy("days"))
    keep = _whole(
        gettext_lazy("A further trip brings, % of the last"), 10, 100, gettext_lazy("per cent")
    )
    field_order = ["until", "free", "keep"]

    def __init__(self, request, day: dt.date):
        self.first = day
        super().__init__(request, until=day + dt.timedelta(days=182), free=4, keep=KEEP_PCT)
        del self.starts["price"]
        self.pins = read_pins(request.GET.getlist("pin"))

    def clean_until(self):
        """A day from the day shown to two years on."""
        until = self.cleaned_data["until"]
        if until and not self.first <= until <= self.first + dt.timedelta(days=731):
            raise forms.ValidationError(
                gettext("Expected a day from the day shown to two years on; half a year was taken.")
            )
        return until


def read_pins(asked: Iterable[str]) -> dict[tuple[str, int], int]:
    """Trips fixed in the address, each "2031-05:12:2"; what can't be read is left out."""
    pins = {}
    for text in asked:
        month, _, rest = text.partition(":")
        site, _, trips = rest.partition(":")
        number = whole_number(site)
        if number and trips in ("1", "2", "3", "4", "5", "6"):
            pins[month, number] = int(trips)
    return pins


class SeasonForm(AskForm):
    """Which calendar year, or all of them."""

    season = forms.ChoiceField(label=gettext_lazy("Season"), required=False)
    field_order = ["season", "price"]

    def __init__(self, request, years: Iterable[int], start: int | None, **more):
        self.years = sorted(years, reverse=True)
        named = [(str(year), str(year)) for year in self.years]
        starts = str(start) if start else ALL
        super().__init__(
            request, seasons=[*named, (ALL, gettext("all seasons"))], season=starts, **more
        )

    @property
    def year(self) -> int | None:
        """The calendar year, or None for all of them."""
        chosen = whole_number(self.chosen("season"))
        return chosen if chosen in self.years else None

    @property
    def season_words(self) -> str:
        return gettext("all seasons") if self.year is None else str(self.year)
