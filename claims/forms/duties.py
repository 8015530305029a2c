"""Forms about duties and their due days."""

import datetime as dt

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext, gettext_lazy

from claims.forms.papers import SpanField
from claims.models import Duty, DutyDone, PaperCondition
from claims.rules.repeats import MONTHS_BETWEEN, RepeatError, due_days, plain_repeat, read_repeat
from claims.web import show
from claims.web.fields import CountField, MinutesField, MoneyField, QuantityField
from claims.web.forms import LedgerForm
from claims.web.yeardays import MonthDayField

OFTEN = (
    ("", gettext_lazy("once")),
    ("yearly", gettext_lazy("every year")),
    ("half_yearly", gettext_lazy("every 6 months")),
    ("quarterly", gettext_lazy("every 3 months")),
    ("monthly", gettext_lazy("every month")),
    ("own", gettext_lazy("by a rule of your own")),
)
HIGHEST = 10**12


class ConditionChoice(forms.ModelChoiceField):
    def label_from_instance(self, condition):
        return f"{condition.paper.name}: {condition}"


def amount_field(measure: str, units: dict[str, str], currency: str) -> forms.Field:
    """The field that reads an amount of work as its measure wants it."""
    if measure == Duty.Measure.HOURS:
        return MinutesField(low=1, high=60_000, help_text="")
    if measure == Duty.Measure.DAYS:
        return CountField(low=1, high=3_660)
    if measure in (Duty.Measure.VOLUME, Duty.Measure.GROUND):
        return QuantityField(kind="volume", unit=units.get("volume", "L"), low=1, high=HIGHEST)
    if measure == Duty.Measure.LENGTH:
        return QuantityField(kind="length", unit="m", low=1, high=10**9)
    return MoneyField(currency=currency, low=1)


class DutyForm(LedgerForm, forms.ModelForm):
    often = forms.ChoiceField(choices=OFTEN, required=False, label=gettext_lazy("How often"))
    until = forms.DateField(
        required=False,
        label=gettext_lazy("The last time by"),
        help_text=gettext_lazy("Empty: by the last day of the paper, if it has one."),
    )
    own_rule = forms.CharField(
        required=False,
        max_length=300,
        label=gettext_lazy("Rule of your own"),
        help_text=gettext_lazy("RFC 5545, e.g. FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=-1;COUNT=10"),
    )
    lead_span = SpanField(required=False, label=gettext_lazy("Remind so long before"))
    due_time = forms.TimeField(
        required=False,
        label=gettext_lazy("At what time"),
        help_text=gettext_lazy("Empty: any time of the day."),
        widget=forms.TimeInput(attrs={"type": "time"}, format="%H:%M"),
    )
    amount = forms.CharField(
        required=False,
        max_length=60,
        label=gettext_lazy("How much"),
        help_text=gettext_lazy(
            "20 h, 5 days, 3 m³, 12 m or an amount of money, as it is measured."
        ),
    )
    hour_value_minor = MoneyField(
        required=False,
        label=gettext_lazy("A person hour counts as"),
        help_text=gettext_lazy("Only where the office values hours of work beside money spent."),
    )
    work_year_end = MonthDayField(
        required=False,
        label=gettext_lazy("The work year ends on"),
        help_text=gettext_lazy("If it isn't the due day, for example 31 August."),
    )

    layout = (
        ("", ("title", "kind", ("paper", "site"), "condition")),
        (
            gettext_lazy("When"),
            (("first_due", "due_time"), ("often", "until"), "own_rule", "lead_span"),
            gettext_lazy(
                "A due day is never moved from a weekend by itself; the page says where it falls."
            ),
        ),
        (
            gettext_lazy("Work to be shown"),
            (("measure", "amount"), "hour_value_minor", ("work_from", "work_year_end")),
            gettext_lazy(
                "Only where work is due. How much is done is "
                "taken from your record, at the sites of the "
                "paper, and shown line by line."
            ),
        ),
        (gettext_lazy("Where it comes from"), ("source", "send_to", "notes")),
    )

    class Meta:
        model = Duty
        fields = [
            "title",
            "kind",
            "paper",
            "site",
            "condition",
            "first_due",
            "due_time",
            "lead_span",
            "measure",
            "hour_value_minor",
            "work_from",
            "work_year_end",
            "source",
            "send_to",
            "notes",
        ]
        labels = {
            "title": gettext_lazy("What is due"),
            "kind": gettext_lazy("Kind"),
            "first_due": gettext_lazy("Due on, or first due on"),
            "measure": gettext_lazy("Measured in"),
            "work_from": gettext_lazy("Work counts from"),
            "source": gettext_lazy("Where it is written"),
            "send_to": gettext_lazy("To whom"),
        }
        help_texts = {
            "title": gettext_lazy("For example: report what was moved."),
            "source": gettext_lazy("The paper, a law's section, a letter with its date."),
            "work_from": gettext_lazy(
                "For the first time only. Empty: the paper's first day, or a year before."
            ),
        }
        field_classes = {"condition": ConditionChoice}
        widgets = {"notes": forms.Textarea(attrs={"rows": 3})}

    def __init__(self, *args, units=None, currency="EUR", **kwargs):
        duty = kwargs["instance"]
        super().__init__(*args, units=units, currency=currency, **kwargs)
        self.person_units = units or {}
        party = duty.party
        self.fields["paper"].queryset = party.papers.all()
        self.fields["paper"].empty_label = gettext("No paper")
        self.fields["site"].queryset = party.sites.all()
        self.fields["site"].empty_label = gettext("No one site")
        conditions = PaperCondition.objects.filter(paper__party=party)
        self.fields["condition"].queryset = conditions.select_related("paper")
        self.fields["condition"].empty_label = gettext("No one condition")
        if duty.pk:
            self._fill_in(duty)

    def _fill_in(self, duty: Duty) -> None:
        """Show the stored rule and amount the way they were typed."""
        if duty.repeat:
            often, until = _plain(duty)
            self.initial.setdefault("often", often)
            self.initial.setdefault("until", until)
            if often == "own":
                self.initial.setdefault("own_rule", duty.repeat)
        if duty.measure and duty.work_amount is not None:
            field = amount_field(duty.measure, self.person_units, self.currency)
            label = "" if duty.measure == Duty.Measure.DAYS else getattr(field, "unit_label", "")
            if duty.measure == Duty.Measure.HOURS:
                label = ""
            shown = field.prepare_value(duty.work_amount)
            self.initial.setdefault("amount", f"{shown} {label}".strip())

    def clean(self):
        cleaned = super().clean()
        self._check_links(cleaned)
        self._read_repeat(cleaned)
        self._read_amount(cleaned)
        return cleaned

    def _check_links(self, cleaned) -> None:
        paper, condition = cleaned.get("paper"), cleaned.get("condition")
        if condition and paper is None:
            cleaned["paper"] = self.instance.paper = condition.paper
        elif condition and condition.paper_id != paper.pk:
            self._refuse(
                "condition",
                gettext("This is a condition of {paper}, not of {paper_2}.").format(
                    paper=condition.paper, paper_2=paper
                ),
            )
        first, work_from = cleaned.get("first_due"), cleaned.get("work_from")
        if first and work_from and work_from > first:
            self._refuse(
                "work_from", gettext("Work can't count from a day after the first due day.")
            )

    def _read_repeat(self, cleaned) -> None:
        self.instance.repeat = ""
        first, often = cleaned.get("first_due"), cleaned.get("often")
        until, own = cleaned.get("until"), (cleaned.get("own_rule") or "").strip()
        if own and often != "own":
            self._refuse(
                "own_rule", gettext("Choose “by a rule of your own” above, or leave this empty.")
            )
        if not often and until:
            self._refuse("until", gettext("It is due once. Say how often, or leave this empty."))
        if first is None or not often or {"own_rule", "until"} & self.errors.keys():
            return
        field = "own_rule" if often == "own" else "until"
        try:
            if often == "own":
                if until:
                    raise RepeatError(
                        gettext("Say in the rule when it ends; leave “the last time” empty.")
                    )
                self.instance.repeat = read_repeat(own, first)
                return
            paper = cleaned.get("paper")
            last = until or (paper.last_day if paper else None)
            if last is None:
                raise RepeatError(
                    gettext(
                        "This never ends. Say until when, or choose a paper that has a last day."
                    )
                )
            self.instance.repeat = read_repeat(plain_repeat(often, first, last), first)
        except RepeatError as error:
            self._refuse(field, str(error))

    def _read_amount(self, cleaned) -> None:
        measure, typed = cleaned.get("measure"), (cleaned.get("amount") or "").strip()
        self.instance.work_amount = None
        if not measure:
            if typed:
                self._refuse("amount", gettext("Say in what it is measured, or leave this empty."))
            for name in ("hour_value_minor", "work_from", "work_year_end"):
                if cleaned.get(name) not in (None, ""):
                    self._refuse(
                        name, gettext("This goes with work to be shown; say how much first.")
                    )
            return
        if cleaned.get("hour_value_minor") is not None and measure != Duty.Measure.MONEY:
            self._refuse("hour_value_minor", gettext("This goes with money spent."))
        if not typed:
            self._refuse("amount", gettext("Say how much is due."))
            return
        field = amount_field(measure, self.person_units, self.currency)
        text = typed.casefold().removesuffix("days").removesuffix("day").strip()
        # Few keyboards have a raised three.
        typed = typed.replace("m3", "m³").replace("yd3", "yd³")
        try:
            self.instance.work_amount = field.clean(text if measure == Duty.Measure.DAYS else typed)
        except ValidationError as error:
            self._refuse("amount", " ".join(error.messages))

    def _refuse(self, field: str, message: str) -> None:
        self.add_error(field, ValidationError(message, "duty"))


def _plain(duty: Duty) -> tuple[str, dt.date | None]:
    """Which of the plain choices a stored rule is, and its last day; else "own"."""
    parts = dict(part.split("=", 1) for part in duty.repeat.split(";"))
    until = parts.get("UNTIL", "")
    last = dt.date.fromisoformat(until) if len(until) == 8 else None
    for often in MONTHS_BETWEEN if last else ():
        if plain_repeat(often, duty.first_due, last) == duty.repeat:
            return often, last
    return "own", None


class SettleForm(LedgerForm, forms.ModelForm):
    """One due day settled."""

    due_on = forms.TypedChoiceField(coerce=dt.date.fromisoformat, label=gettext_lazy("Due on"))

    class Meta:
        model = DutyDone
        fields = ["due_on", "outcome", "done_on", "evidence"]
        labels = {"outcome": gettext_lazy("What you say"), "done_on": gettext_lazy("On which day")}
        help_texts = {
            "evidence": gettext_lazy(
                "Where it can be seen: a receipt's number, a letter's date, a file of the "
                "paper. For “not needed”: who said so."
            )
        }

    def __init__(self, *args, today: dt.date, **kwargs):
        super().__init__(*args, **kwargs)
        self.today = today
        duty = self.instance.duty
        settled = {done.due_on for done in duty.settled.all()}
        days = [day for day in due_days(duty.repeat, duty.first_due) if day not in settled]
        self.fields["due_on"].choices = [(day.isoformat(), show.day(day)) for day in days]

    def clean_done_on(self):
        done_on = self.cleaned_data["done_on"]
        if done_on > self.today:
            raise ValidationError(
                gettext("{done_on} hasn't come yet; today is {today}.").format(
                    done_on=show.day(done_on), today=show.day(self.today)
                ),
                "future",
            )
        return done_on

    def clean(self):
        cleaned = super().clean()
        not_needed = cleaned.get("outcome") == DutyDone.Outcome.NOT_NEEDED
        if not_needed and not cleaned.get("evidence"):
            self.add_error(
                "evidence",
                ValidationError(gettext("Say who said that it isn't needed, or why."), "why"),
            )
        return cleaned
