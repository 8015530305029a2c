"""Forms for planning a trip, calling it off and narrowing the list."""

import datetime as dt
from collections.abc import Sequence

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext, gettext_lazy

from claims.checklist import checklist_rows, site_checklists
from claims.models import Person, Site
from claims.rulebook import PlanFacts
from claims.web.fields import MinutesField, RowChoices, ScaledField
from claims.web.forms import whole_number
from claims.whole import Part, whole
from trips.forms.owned import OwnedForm
from trips.forms.wallclock import WallClockField, face_of, to_instant
from trips.models import Gear, Trip, Vehicle
from trips.selectors.plan_facts import gear_facts, people_facts
from trips.services.trips import Choice

LONGEST_DAYS = 60
FROM_TABLE = gettext_lazy("From the stopping table of the place before: keep, change or clear it.")
LEFT_EMPTY = gettext_lazy(
    "Left empty, it is filled in from the stopping table, where that speaks for it."
)
PLAN = (Part("trip_sites"), Part("gear"), Part("people"))
PLACES = ("site", "fallback_1", "fallback_2", "fallback_3")


class TripPlanForm(OwnedForm, forms.ModelForm):
    """The plan of a trip. `choices_in_order` holds the sites once the form is valid."""

    site = forms.ModelChoiceField(Site.objects.none(), label=gettext_lazy("First choice"))
    fallback_1 = forms.ModelChoiceField(
        Site.objects.none(), required=False, label=gettext_lazy("Fallback")
    )
    trigger_1 = forms.CharField(
        max_length=200, required=False, label=gettext_lazy("Go there if"), help_text=LEFT_EMPTY
    )
    fallback_2 = forms.ModelChoiceField(
        Site.objects.none(), required=False, label=gettext_lazy("Second fallback")
    )
    trigger_2 = forms.CharField(max_length=200, required=False, label=gettext_lazy("Go there if"))
    fallback_3 = forms.ModelChoiceField(
        Site.objects.none(), required=False, label=gettext_lazy("Third fallback")
    )
    trigger_3 = forms.CharField(max_length=200, required=False, label=gettext_lazy("Go there if"))
    ends_on = forms.DateField(
        required=False,
        label=gettext_lazy("Last day"),
        help_text=gettext_lazy("Empty: back on the same day."),
    )
    planned_work_minutes = MinutesField(
        high=60 * 24 * LONGEST_DAYS,
        required=False,
        label=gettext_lazy("Time at the creek"),
        help_text=gettext_lazy("All days together, without the way there: 6 h or 5:30."),
    )
    people = RowChoices(
        Person.objects.none(),
        required=False,
        label=gettext_lazy("Who comes along"),
        widget=forms.CheckboxSelectMultiple,
    )
    gear = RowChoices(
        Gear.objects.none(),
        required=False,
        label=gettext_lazy("What comes along"),
        widget=forms.CheckboxSelectMultiple,
    )
    fuel_price_milli_per_l = ScaledField(
        scale=1000, low=0, high=1_000_000, required=False, label=gettext_lazy("Fuel price")
    )
    back_by = WallClockField(required=False, label=gettext_lazy("Back by"))
    alarm_at = WallClockField(
        required=False,
        label=gettext_lazy("Raises the alarm at"),
        help_text=gettext_lazy("If you haven't called by then."),
    )
    keep_date = forms.BooleanField(
        required=False, label=gettext_lazy("Keep this date all the same")
    )

    layout = (
        (
            gettext_lazy("Where and when"),
            ("site", ("starts_on", "ends_on"), "keep_date", "planned_work_minutes", "name"),
        ),
        (gettext_lazy("Who, in which car, with what"), ("people", "vehicle", "is_towing", "gear")),
        (
            gettext_lazy("If the first choice doesn't work out"),
            (
                ("fallback_1", "trigger_1"),
                ("fallback_2", "trigger_2"),
                ("fallback_3", "trigger_3"),
            ),
            gettext_lazy(
                "For example: the water is above the marker stone; somebody is there already; "
                "ten pans without a colour."
            ),
        ),
        (
            gettext_lazy("Somebody who knows"),
            (("back_by", "alarm_at"), ("alarm_name", "alarm_contact")),
        ),
        (gettext_lazy("Money and notes"), ("fuel_price_milli_per_l", "plan_note")),
    )

    class Meta:
        model = Trip
        fields = [
            "name",
            "starts_on",
            "ends_on",
            "planned_work_minutes",
            "vehicle",
            "is_towing",
            "fuel_price_milli_per_l",
            "alarm_name",
            "alarm_contact",
            "plan_note",
        ]
        labels = {
            "name": gettext_lazy("A name for it"),
            "starts_on": gettext_lazy("First day"),
            "vehicle": gettext_lazy("Car"),
            "is_towing": gettext_lazy("With a trailer"),
            "alarm_name": gettext_lazy("Who raises the alarm"),
            "alarm_contact": gettext_lazy("How to reach them"),
            "plan_note": gettext_lazy("Note"),
        }
        help_texts = {"name": gettext_lazy("Empty: it is called by its day.")}
        widgets = {"plan_note": forms.Textarea(attrs={"rows": 3})}

    def __init__(self, *args, today: dt.date, **kwargs):
        super().__init__(*args, **kwargs)
        self.today = today
        party = self.instance.party
        self.party = party
        is_new = self.instance.pk is None
        # Only looked at: what is saved is fetched anew by then.
        self.held = None if is_new else whole(self.instance, *PLAN)
        self._offer_sites(party)
        self._offer_kit(party)
        self.fields["fuel_price_milli_per_l"].unit_label = gettext("{currency} per L").format(
            currency=self.currency
        )
        self.fields.pop("keep_date")
        if is_new:
            self._first_values(party, today)
        else:
            self._stored_values()
        self._name_zone()

    # ------------------------------------------------------------ what is offered

    def _offer_sites(self, party) -> None:
        self.sites = {site.pk: site for site in party.sites.all()}
        planned = {row.site_id for row in self.held.trip_sites.all()} if self.held else set()
        shown = [
            (site.pk, site.name)
            for site in self.sites.values()
            if not site.is_retired or site.pk in planned
        ]
        for name in PLACES:
            self.fields[name].queryset = party.sites.all()
            # Retired sites aren't offered; one that is sent all the same gets its reason.
            self.fields[name].widget.choices = [("", "–"), *shown]

    def _offer_kit(self, party) -> None:
        """What is still used, and what a stored plan has already; a question for each kind."""
        used = {"vehicle": set(), "gear": set(), "people": set()}
        if self.held:
            used = {
                "vehicle": {self.held.vehicle_id},
                "gear": {piece.pk for piece in self.held.gear.all()},
                "people": {person.pk for person in self.held.people.all()},
            }
        self.kit: dict[str, list[int]] = {}
        for name, model in (("vehicle", Vehicle), ("gear", Gear), ("people", Person)):
            rows = model.objects.filter(party=party)
            offered = [row for row in rows if row.is_active or row.pk in used[name]]
            self.kit[name] = [row.pk for row in offered]
            self.fields[name].queryset = rows.filter(pk__in=self.kit[name])
            none = [("", gettext("no car"))] if name == "vehicle" else []
            self.fields[name].widget.choices = none + [(row.pk, str(row)) for row in offered]

    def _first_values(self, party, today: dt.date) -> None:
        """A new plan needs few entries: what the last trip used is taken along."""
        last = party.trips.order_by("-starts_on", "-pk").first()
        cars, people = self.kit["vehicle"], self.kit["people"]
        first = {
            "starts_on": today,
            "planned_work_minutes": 360,
            "fuel_price_milli_per_l": party.fuel_price_milli_per_l,
        }
        if len(cars) == 1:
            first["vehicle"] = cars[0]
        if len(people) == 1:
            first["people"] = people
        if last is not None:
            its = whole(last, Part("gear"), Part("people"))
            first |= {
                "vehicle": last.vehicle_id or first.get("vehicle"),
                "gear": [piece.pk for piece in its.gear.all()],
                "people": [person.pk for person in its.people.all()],
                "alarm_name": last.alarm_name,
                "alarm_contact": last.alarm_contact,
            }
        self.initial = first | {k: v for k, v in self.initial.items() if v not in (None, "", [])}

    def _stored_values(self) -> None:
        trip = self.held
        rows = sorted(trip.trip_sites.all(), key=lambda row: row.rank)
        for name, row in zip(PLACES, rows, strict=False):
            self.initial[name] = row.site_id
            if row.rank:
                self.initial[f"trigger_{row.rank}"] = row.trigger
        self.initial["gear"] = [piece.pk for piece in trip.gear.all()]
        self.initial["people"] = [person.pk for person in trip.people.all()]
        first = self.sites.get(self.initial.get("site"))
        for name in ("back_by", "alarm_at"):
            self.initial[name] = face_of(getattr(trip, name), self._zone_of(first))

    @property
    def empty_triggers(self) -> list[str]:
        """Boxes of a stored plan's fallbacks that say nothing of what sends the party there."""
        rows = self.held.trip_sites.all() if self.held else ()
        return [f"trigger_{row.rank}" for row in rows if row.rank in (1, 2, 3) and not row.trigger]

    def offer_triggers(self, words: dict[int, str]) -> None:
        """Put what the stopping table says into boxes that are empty."""
        for name in self.empty_triggers:
            said = words.get(self.initial.get(name.replace("trigger", "fallback")), "")
            if said:
                self.initial[name] = said
                self.fields[name].help_text = FROM_TABLE

    @property
    def fresh_fallbacks(self) -> set[int]:
        """Sites that become a fallback with this plan; for a valid form."""
        before = {self.initial.get(name) for name in PLACES[1:]}
        return {each.site.pk for each in self.choices_in_order[1:]} - before

    def _zone_of(self, site: Site | None) -> str:
        return (site.time_zone if site else "") or self.party.time_zone

    def _name_zone(self) -> None:
        first = self.sites.get(whole_number(str(self["site"].value() or "")))
        whose = (
            gettext("at {first}").format(first=first)
            if first and first.time_zone
            else gettext("of this record")
        )
        self.fields["back_by"].help_text = gettext("By the clock {whose} ({first}).").format(
            whose=whose, first=self._zone_of(first)
        )

    # ------------------------------------------------------------ what is checked

    def clean(self):
        data = super().clean()
        if data.get("starts_on") and not data.get("ends_on") and "ends_on" not in self.errors:
            data["ends_on"] = data["starts_on"]
        self._check_sites(data)
        self._check_dates(data)
        self._read_clocks(data)
        return data

    def _check_sites(self, data) -> None:
        seen: set[int] = set()
        fallback_missing = ""
        for number, name in enumerate(PLACES):
            site = data.get(name)
            if site is None:
                if number and data.get(f"trigger_{number}"):
                    self.add_error(
                        name, gettext("Say which site this sends you to, or leave both empty.")
                    )
                fallback_missing = fallback_missing or (name if number else "")
                continue
            if site.is_retired and name in self.changed_data:
                self.add_error(
                    name,
                    gettext(
                        "{site} is out of use. Take it back into use on its page first."
                    ).format(site=site),
                )
            if site.pk in seen:
                self.add_error(
                    name,
                    gettext("{site} is in the plan twice; each place is named once.").format(
                        site=site
                    ),
                )
            seen.add(site.pk)
            if fallback_missing:
                self.add_error(
                    fallback_missing, gettext("Fill in the fallbacks from the first one on.")
                )
                fallback_missing = ""
        if seen and not self["site"].value():
            # The field's own "needed" says it too; this tells why.
            self.errors["site"] = self.error_class(
                [gettext("A fallback needs a first choice. Choose where to go first.")]
            )

    def _check_dates(self, data) -> None:
        starts_on, ends_on = data.get("starts_on"), data.get("ends_on")
        if not starts_on or not ends_on:
            return
        if ends_on < starts_on:
            self.add_error("ends_on", gettext("The last day is before the first day."))
            return
        if (ends_on - starts_on).days >= LONGEST_DAYS:
            self.add_error(
                "ends_on",
                gettext("A trip lasts at most {LONGEST_DAYS} days.").format(
                    LONGEST_DAYS=LONGEST_DAYS
                ),
            )
            return
        sites = [data[name] for name in PLACES if data.get(name)]
        problems = self._stops(sites, starts_on, ends_on)
        if problems:
            # Shown from now on, so that the person can decide; never ticked for them.
            self.fields["keep_date"] = forms.BooleanField(
                required=False, label=gettext("Keep this date all the same")
            )
            kept = self.fields["keep_date"].widget.value_from_datadict(
                self.data, self.files, self.add_prefix("keep_date")
            )
            if not kept:
                for problem in problems:
                    self.add_error("starts_on", problem)

    def _stops(self, sites, starts_on, ends_on) -> list[str]:
        """What the checklist would stop at these sites on these days."""
        rows = checklist_rows(self.party)
        by_site = site_checklists(
            sites,
            starts_on,
            papers=rows.papers,
            holes=rows.holes,
            until=ends_on,
            # A trip that lies behind is only noted; nothing about it can be asked for in time.
            book=rows.book if starts_on >= self.today else None,
            plan=self._facts(starts_on),
        )
        lines = [line for site in sites for line in by_site[site.pk] if line.outcome == "stop"]
        return [f"{line.text} {line.why}" for line in lines]

    def _facts(self, starts_on) -> PlanFacts:
        """What the form says of gear and people."""
        gear, people = (list(self.cleaned_data.get(name) or ()) for name in ("gear", "people"))
        return PlanFacts(
            as_of=self.today,
            gear=gear_facts(gear) if gear else None,
            people=people_facts(people, starts_on.year) if people else None,
        )

    def _read_clocks(self, data) -> None:
        zone_name = self._zone_of(data.get("site"))
        for name in ("back_by", "alarm_at"):
            face = data.get(name)
            if face is None:
                setattr(self.instance, name, None)
                continue
            try:
                setattr(self.instance, name, to_instant(face, zone_name))
            except ValidationError as error:
                self.add_error(name, error)
        back, alarm, starts_on = data.get("back_by"), data.get("alarm_at"), data.get("starts_on")
        if back and starts_on and back.date() < starts_on:
            self.add_error("back_by", gettext("This is before the first day of the trip."))
        if back and alarm and alarm < back:
            self.add_error("alarm_at", gettext("The alarm is raised after the time to be back."))
        if alarm and not back:
            self.add_error(
                "back_by", gettext("Say when you mean to be back, since an alarm is set.")
            )
        if alarm and not (data.get("alarm_name") and data.get("alarm_contact")):
            self.add_error("alarm_name", gettext("Say who raises the alarm and how to reach them."))

    @property
    def choices_in_order(self) -> Sequence[Choice]:
        """The sites of the plan, first choice first; for a valid form."""
        data = self.cleaned_data
        return tuple(
            Choice(data[name], data.get(f"trigger_{rank}", "") if rank else "")
            for rank, name in enumerate(PLACES)
            if data.get(name)
        )
