"""Forms about papers and their conditions."""

import datetime as dt

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext, gettext_lazy

from claims.models import ConditionMark, Paper, PaperCondition
from claims.packs import packs_of
from claims.rules.spans import from_iso, read_span
from claims.rules.term_end import TermRule, term_end
from claims.web.fields import CountField, MoneyField, RowChoices
from claims.web.forms import LedgerForm
from claims.web.yeardays import MonthDayField


class SpanField(forms.CharField):
    """A length of time as people type it, kept as an ISO 8601 duration such as P3M."""

    def __init__(self, **kwargs):
        kwargs.setdefault("max_length", 30)
        kwargs.setdefault("help_text", gettext_lazy("For example 3 months or 60 days."))
        super().__init__(**kwargs)
        self.widget.attrs["autocomplete"] = "off"

    def clean(self, value):
        text = super().clean(value)
        if not text:
            return ""
        try:
            return read_span(text).iso
        except ValueError as error:
            raise ValidationError(str(error), "span") from error

    def prepare_value(self, value):
        try:
            span = from_iso(value or "")
        except ValueError:
            return value
        return span.words if span else value


def paper_choices(paper: Paper) -> list[tuple[str, str]]:
    """Papers that the rule packs at hand ask for; what is noted stays a choice."""
    found = {
        f"{loaded.id}/{each.code}": f"{each.title} ({loaded.pack.pack.title})"
        for loaded in packs_of(paper.party.packs.all()).values()
        for each in loaded.pack.paper
        if not each.is_these_rules
    }
    if paper.rule_code:
        found.setdefault(
            paper.rule_code,
            gettext("{rule_code} (no pack at hand names it)").format(rule_code=paper.rule_code),
        )
    return sorted(found.items(), key=lambda entry: entry[1])


class PaperForm(LedgerForm, forms.ModelForm):
    term_span = SpanField(
        required=False,
        label=gettext_lazy("How long"),
        help_text=gettext_lazy("2 years, 3 months, 14 days."),
    )
    cycle_end = MonthDayField(
        required=False,
        label=gettext_lazy("Fixed last day"),
        help_text=gettext_lazy("For example 30 June. Only for a fixed day."),
    )
    renew_from_span = SpanField(
        required=False, label=gettext_lazy("Renewal can be asked for this long before the last day")
    )
    apply_by_span = SpanField(
        required=False,
        label=gettext_lazy("Renewal must be asked for this long before the last day"),
    )
    renewal_lead_days = CountField(
        high=3650,
        label=gettext_lazy("Remind so many days ahead"),
        help_text=gettext_lazy("60 is a start of our own; offices take weeks."),
    )
    fee_minor = MoneyField(
        required=False,
        label=gettext_lazy("Fee"),
        help_text=gettext_lazy("Empty: not known, and trips say so. No fee is 0."),
    )

    layout = (
        ("", ("kind", "name", "number", "holder", "issuer", "rule_code")),
        (
            gettext_lazy("Term"),
            (
                ("issued_on", "expires_on"),
                ("term_convention", "term_span"),
                ("term_first_day", "cycle_end"),
            ),
            gettext_lazy(
                "The last day printed on the paper always "
                "counts. Where none is printed, note how long "
                "it runs: the end is then counted from the "
                "first day and shown with its reading."
            ),
        ),
        (
            gettext_lazy("Renewal"),
            (("renew_from_span", "apply_by_span"), ("apply_by_on", "renewal_lead_days")),
            gettext_lazy(
                "Both are counted back from the last day. A day noted in full counts before a span."
            ),
        ),
        (gettext_lazy("Where it holds"), ("sites",)),
        (gettext_lazy("Fee"), ("fee_minor", "fee_spread")),
        (gettext_lazy("What it says"), ("conditions", "notes")),
    )

    class Meta:
        model = Paper
        fields = [
            "kind",
            "name",
            "number",
            "holder",
            "issuer",
            "rule_code",
            "issued_on",
            "expires_on",
            "term_convention",
            "term_span",
            "term_first_day",
            "cycle_end",
            "renew_from_span",
            "apply_by_span",
            "apply_by_on",
            "renewal_lead_days",
            "sites",
            "fee_minor",
            "fee_spread",
            "conditions",
            "notes",
        ]
        labels = {
            "holder": gettext_lazy("Held by"),
            "issuer": gettext_lazy("Given by"),
            "issued_on": gettext_lazy("First day"),
            "expires_on": gettext_lazy("Last day"),
            "fee_spread": gettext_lazy("Count the fee on trips"),
            "term_convention": gettext_lazy("How it runs"),
            "term_first_day": gettext_lazy("Does the day of issue count?"),
            "apply_by_on": gettext_lazy("Last day to ask for renewal"),
            "sites": gettext_lazy("Sites it covers"),
        }
        help_texts = {
            "number": gettext_lazy("As printed."),
            "issuer": gettext_lazy("Office or owner; the one to ask."),
            "term_first_day": gettext_lazy("Not known: the earlier last day is shown."),
            "expires_on": gettext_lazy("As printed. Empty: no end is printed."),
            "conditions": gettext_lazy("Copy what it says; the paper itself decides."),
        }
        field_classes = {"sites": RowChoices}
        widgets = {
            "sites": forms.CheckboxSelectMultiple,
            "conditions": forms.Textarea(attrs={"rows": 6}),
            "notes": forms.Textarea(attrs={"rows": 3}),
        }

    def __init__(self, *args, currency: str = "EUR", **kwargs):
        instance = kwargs["instance"]
        if instance.pk is None:
            instance.currency = currency
        super().__init__(*args, currency=instance.currency, **kwargs)
        self.fields["sites"].queryset = instance.party.sites.all()
        self.fields["rule_code"] = forms.ChoiceField(
            choices=[("", gettext("not said")), *paper_choices(instance)],
            required=False,
            label=gettext("Which paper of the rules it is"),
            help_text=gettext("Rules that ask for a paper then find it. Not said: they ask."),
        )

    def clean(self):
        cleaned = super().clean()
        issued, expires = cleaned.get("issued_on"), cleaned.get("expires_on")
        if issued and expires and expires < issued:
            self._refuse(
                "expires_on", gettext("A paper can't expire before it is issued."), "order"
            )
        self._check_convention(cleaned)
        last = None if self.errors else self._last_day(cleaned)
        apply_by = cleaned.get("apply_by_on")
        if last and apply_by and apply_by > last:
            self._refuse(
                "apply_by_on",
                gettext(
                    "The last day to ask for renewal comes after the paper's own last day, {last}."
                ).format(last=last),
                "order",
            )
        over_term = cleaned.get("fee_spread") == Paper.FeeSpread.TERM
        if over_term and cleaned.get("fee_minor") and not (issued and (last or expires)):
            self._refuse(
                "fee_spread",
                gettext(
                    "To spread the fee over its days, give its first and last day; or count it "
                    "over the trips."
                ),
                "term",
            )
        return cleaned

    def _check_convention(self, cleaned) -> None:
        convention, span = cleaned.get("term_convention"), cleaned.get("term_span")
        kinds = Paper.Convention
        if convention == kinds.FROM_ISSUE and not span and "term_span" not in self.errors:
            self._refuse(
                "term_span", gettext("Say how long, for example 2 years or 3 months."), "missing"
            )
        if convention == kinds.CYCLE and not cleaned.get("cycle_end"):
            if "cycle_end" not in self.errors:
                self._refuse(
                    "cycle_end", gettext("Give the fixed last day, for example 30 June."), "missing"
                )
        elif convention != kinds.CYCLE and cleaned.get("cycle_end"):
            self._refuse(
                "cycle_end",
                gettext("A fixed last day goes with “to a fixed day, the same for all”."),
                "odd",
            )
        if span and convention in (kinds.YEAR_END, kinds.CYCLE) and not span.endswith("Y"):
            self._refuse(
                "term_span", gettext("Here only whole years can be counted, or none."), "years"
            )
        if span and convention in (kinds.PRINTED, kinds.LIFE):
            self._refuse(
                "term_span",
                gettext("A length needs “so long from the day of issue” beside it."),
                "odd",
            )
        if convention == kinds.LIFE and cleaned.get("expires_on"):
            self._refuse(
                "term_convention",
                gettext("A last day is printed, so it isn't for life. Take one out."),
                "odd",
            )

    def _last_day(self, cleaned) -> dt.date | None:
        rule = TermRule(
            cleaned["term_convention"],
            from_iso(cleaned["term_span"]),
            cleaned["term_first_day"],
            cleaned["cycle_end"],
        )
        try:
            return term_end(cleaned["issued_on"], cleaned["expires_on"], rule).last_day
        except ValueError as error:
            self._refuse("term_span", str(error), "calendar")
            return None

    def _refuse(self, field: str, message: str, code: str) -> None:
        self.add_error(field, ValidationError(message, code))


class ConditionForm(LedgerForm, forms.ModelForm):
    """One line of what a paper demands."""

    fill_span = SpanField(
        required=False, label=gettext_lazy("Within"), help_text=gettext_lazy("E.g. 14 days.")
    )
    fill_by = MonthDayField(
        required=False, label=gettext_lazy("By"), help_text=gettext_lazy("For example 31 October.")
    )

    layout = (
        ("", ("text", "kind", "due_words")),
        (
            gettext_lazy("On checklists"),
            ("own_rule",),
            gettext_lazy("An own rule says the same in a form that checklists can evaluate."),
        ),
        (
            gettext_lazy("Only for filling in"),
            ("fill_due", ("fill_span", "fill_by")),
            gettext_lazy(
                "By when a hole dug under this paper is to be "
                "filled. Open holes are then told when they "
                "are due."
            ),
        ),
    )

    class Meta:
        model = PaperCondition
        fields = ["text", "kind", "due_words", "own_rule", "fill_due", "fill_span", "fill_by"]
        labels = {
            "own_rule": gettext_lazy("Own rule that keeps it"),
            "text": gettext_lazy("What it demands"),
            "kind": gettext_lazy("What it is about"),
            "due_words": gettext_lazy("When, in its words"),
            "fill_due": gettext_lazy("Holes to be filled"),
        }
        help_texts = {"text": gettext_lazy("In the paper's own words; the paper itself decides.")}
        widgets = {"text": forms.Textarea(attrs={"rows": 4})}

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["own_rule"].queryset = self.instance.paper.party.own_rules.select_related(
            "site"
        )
        self.fields["own_rule"].empty_label = gettext("None")

    def clean(self):
        cleaned = super().clean()
        due = cleaned.get("fill_due")
        fill_in = cleaned.get("kind") == PaperCondition.Kind.FILL_IN
        if due and not fill_in:
            self._refuse("fill_due", gettext("This goes with a condition about filling in."))
        for name, wanted in (
            ("fill_span", PaperCondition.FillDue.WITHIN),
            ("fill_by", PaperCondition.FillDue.FIXED),
        ):
            if name in self.errors:
                continue
            if due == wanted and not cleaned.get(name):
                example = gettext("14 days") if name == "fill_span" else gettext("31 October")
                self._refuse(
                    name, gettext("Say it here, for example {example}.").format(example=example)
                )
            if due != wanted and cleaned.get(name):
                self._refuse(name, gettext("This goes with “{label}”.").format(label=wanted.label))
        return cleaned

    def _refuse(self, field: str, message: str) -> None:
        self.add_error(field, ValidationError(message, "odd"))


class MarkForm(LedgerForm, forms.ModelForm):
    """How a condition was kept, as of a day."""

    class Meta:
        model = ConditionMark
        fields = ["day", "state", "how", "evidence"]
        labels = {
            "day": gettext_lazy("Day"),
            "state": gettext_lazy("What you say"),
            "how": gettext_lazy("How"),
            "evidence": gettext_lazy("Evidence"),
        }
        help_texts = {
            "day": gettext_lazy("The record of a period shows what was noted in it."),
            "how": gettext_lazy("For example: filled the same day, photos taken."),
            "evidence": gettext_lazy("Where it can be seen: a receipt, a letter's date, a photo."),
        }
        widgets = {"how": forms.Textarea(attrs={"rows": 3})}
