"""Authorities held: licence, permit, claim, consent; their conditions, and how each was met."""

import datetime as dt

from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import F, Q
from django.utils import timezone
from django.utils.translation import gettext_lazy

from claims.models.fact import Fact, History, Versioned
from claims.models.ground import Site, month_day
from claims.models.party import Party
from claims.rules.spans import from_iso
from claims.rules.term_end import Renewal, TermEnd, TermRule, renewal, term_end
from claims.rules.terms import Term, term_on
from trips.calc import local


def _check_span(row: models.Model, name: str) -> None:
    try:
        from_iso(getattr(row, name))
    except ValueError as error:
        raise ValidationError({name: str(error)}) from error


class Paper(Versioned):
    """An authority held, with its printed term. The paper's own text decides, not this row."""

    class Kind(models.TextChoices):
        LICENCE = "licence", gettext_lazy("licence")
        PERMIT = "permit", gettext_lazy("permit")
        CLAIM = "claim", gettext_lazy("claim")
        CONSENT = "consent", gettext_lazy("consent of an owner")

    class FeeSpread(models.TextChoices):
        TERM = "term", gettext_lazy("over the days of its term")
        TRIPS = "trips", gettext_lazy("over the trips made under it")
        NONE = "none", gettext_lazy("not counted on trips")

    class Convention(models.TextChoices):
        PRINTED = "", gettext_lazy("only the printed day")
        FROM_ISSUE = "from_issue", gettext_lazy("so long from the day of issue")
        YEAR_END = "year_end", gettext_lazy("to the end of the calendar year")
        CYCLE = "cycle", gettext_lazy("to a fixed day, the same for all")
        LIFE = "life", gettext_lazy("for life")

    class FirstDay(models.TextChoices):
        UNKNOWN = "", gettext_lazy("not known")
        COUNTS = "counts", gettext_lazy("the day of issue is the first day")
        NOT_COUNTED = "not_counted", gettext_lazy("the day of issue isn't counted")

    party = models.ForeignKey(Party, on_delete=models.CASCADE, related_name="papers")
    kind = models.CharField(max_length=8, choices=Kind)
    name = models.CharField(max_length=160)
    # Which paper of a rule pack it is, as "pack/code"; empty is "not said", and rules ask.
    rule_code = models.CharField(max_length=170, blank=True)
    number = models.CharField(max_length=80, blank=True)
    holder = models.CharField(max_length=160, blank=True)
    issuer = models.CharField(max_length=160, blank=True)
    issued_on = models.DateField(null=True, blank=True)
    expires_on = models.DateField(
        null=True,
        blank=True,
        help_text=gettext_lazy("The last day printed on the paper. Empty: none printed."),
    )
    # How long it runs where the paper says so in words. Spans are ISO 8601: P2Y, P3M, P14D.
    term_convention = models.CharField(
        max_length=12, choices=Convention, blank=True, default=Convention.PRINTED
    )
    term_span = models.CharField(max_length=8, blank=True)
    term_first_day = models.CharField(
        max_length=12, choices=FirstDay, blank=True, default=FirstDay.UNKNOWN
    )
    cycle_end = models.CharField(max_length=5, blank=True, validators=[month_day])
    renew_from_span = models.CharField(max_length=8, blank=True)
    apply_by_span = models.CharField(max_length=8, blank=True)
    apply_by_on = models.DateField(null=True, blank=True)
    renewal_lead_days = models.PositiveSmallIntegerField(default=60)
    conditions = models.TextField(blank=True)
    fee_minor = models.BigIntegerField(null=True, blank=True)
    currency = models.CharField(max_length=3, default="EUR")
    fee_spread = models.CharField(max_length=8, choices=FeeSpread, default=FeeSpread.TRIPS)
    sites = models.ManyToManyField(Site, blank=True, related_name="papers")
    notes = models.TextField(blank=True)
    # When what calendars show of it last changed.
    changed_at = models.DateTimeField(default=timezone.now, editable=False)
    history = History(m2m_fields=[sites])

    class Meta:
        ordering = [F("expires_on").asc(nulls_last=True), "name", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(issued_on__isnull=True)
                | Q(expires_on__isnull=True)
                | Q(expires_on__gte=F("issued_on")),
                name="claims_paper_term",
                violation_error_message=gettext_lazy("A paper can't expire before it is issued."),
            ),
            models.CheckConstraint(
                condition=Q(fee_minor__isnull=True) | Q(fee_minor__gte=0),
                name="claims_paper_fee",
                violation_error_message=gettext_lazy("A fee can't be negative."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.name} {self.number}".strip()

    def clean_fields(self, exclude=None):
        """Refuse a stored length that no page could count, wherever the row comes from."""
        super().clean_fields(exclude=exclude)
        for name in {"term_span", "renew_from_span", "apply_by_span"} - set(exclude or ()):
            _check_span(self, name)

    @property
    def term_rule(self) -> TermRule:
        """How its length is written, for `claims.rules.term_end`."""
        return TermRule(
            self.term_convention, from_iso(self.term_span), self.term_first_day, self.cycle_end
        )

    @property
    def end(self) -> TermEnd:
        """Its last day and how that is known: printed, counted, for life or unknown."""
        return term_end(self.issued_on, self.expires_on, self.term_rule)

    @property
    def last_day(self) -> dt.date | None:
        """The last day on which it holds: as printed, else counted; None if there is none."""
        return self.end.last_day

    def term_on(self, day: dt.date) -> Term:
        """How it stands on a day, by its last day as printed or counted."""
        end = self.end
        return term_on(
            day, self.issued_on, end.last_day, self.renewal_lead_days, end.basis == "life"
        )

    @property
    def renewal(self) -> Renewal:
        """From when and until when its renewal is to be asked for."""
        return renewal(
            self.last_day,
            from_iso(self.renew_from_span),
            from_iso(self.apply_by_span),
            self.apply_by_on,
        )


class PaperCondition(Fact):
    """One line of what a paper demands, in the party's own copy of its words."""

    party_way = "paper__party"

    class Kind(models.TextChoices):
        GEAR = "gear", gettext_lazy("gear and method")
        TIME = "time", gettext_lazy("season and hours")
        PLACE = "place", gettext_lazy("place and people")
        FILL_IN = "fill_in", gettext_lazy("filling in")
        REPORT = "report", gettext_lazy("report or notice")
        WORK = "work", gettext_lazy("work to be done")
        FEE = "fee", gettext_lazy("fee")
        OTHER = "other", gettext_lazy("other")

    class FillDue(models.TextChoices):
        NONE = "", gettext_lazy("no day is said")
        SAME_DAY = "same_day", gettext_lazy("the same day")
        LEAVING = "leaving", gettext_lazy("before leaving")
        WITHIN = "within", gettext_lazy("within a time")
        FIXED = "fixed", gettext_lazy("by a fixed day of the year")

    paper = models.ForeignKey(Paper, on_delete=models.CASCADE, related_name="condition_lines")
    position = models.PositiveSmallIntegerField(default=1)
    kind = models.CharField(max_length=8, choices=Kind, default=Kind.OTHER)
    text = models.TextField()
    due_words = models.CharField(max_length=160, blank=True)
    # Only where the line is about filling in: by when a hole must be closed.
    fill_due = models.CharField(max_length=8, choices=FillDue, blank=True, default=FillDue.NONE)
    fill_span = models.CharField(max_length=8, blank=True)
    fill_by = models.CharField(max_length=5, blank=True, validators=[month_day])
    # The own rule by which checklists take this condition in.
    own_rule = models.ForeignKey(
        "claims.OwnRule",
        null=True,
        blank=True,
        on_delete=models.SET_NULL,
        related_name="conditions",
    )

    class Meta:
        ordering = ["paper_id", "position", "pk"]

    def clean_fields(self, exclude=None):
        super().clean_fields(exclude=exclude)
        if "fill_span" not in (exclude or ()):
            _check_span(self, "fill_span")

    def __str__(self) -> str:
        return self.text if len(self.text) <= 80 else f"{self.text[:79].rstrip()}…"


class ConditionMark(Fact):
    """A person's word on how a condition was kept, as of a day, with the evidence."""

    party_way = "condition__paper__party"

    class State(models.TextChoices):
        KEPT = "kept", gettext_lazy("kept")
        NOT_KEPT = "not_kept", gettext_lazy("not kept")
        ASKED = "asked", gettext_lazy("asked the issuer")

    condition = models.ForeignKey(PaperCondition, on_delete=models.CASCADE, related_name="marks")
    day = models.DateField()
    state = models.CharField(max_length=8, choices=State, default=State.KEPT)
    how = models.TextField()
    evidence = models.CharField(max_length=300, blank=True)
    said_by = models.CharField(max_length=160, blank=True)

    class Meta:
        ordering = ["condition_id", "day", "pk"]

    def __str__(self) -> str:
        return f"{self.get_state_display()}, {local.day(self.day)}"
