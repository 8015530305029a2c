"""What is due to an office or an owner, what was done about it, and the calendar's address."""

import uuid

from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext_lazy

from claims.models.fact import Fact
from claims.models.ground import Site, month_day
from claims.models.papers import Paper, PaperCondition
from claims.models.party import Party
from claims.rules.repeats import read_repeat
from claims.rules.spans import from_iso
from trips.calc import local
from trips.calc.words import say


class Duty(Fact):
    """Something due on one day or on every day of a rule, perhaps with work to be shown."""

    class Kind(models.TextChoices):
        REPORT = "report", gettext_lazy("report or notice")
        WORK = "work", gettext_lazy("work to keep it")
        FEE = "fee", gettext_lazy("fee")
        FILL_IN = "fill_in", gettext_lazy("filling in")
        RENEWAL = "renewal", gettext_lazy("renewal")
        OTHER = "other", gettext_lazy("other")

    class Measure(models.TextChoices):
        NONE = "", gettext_lazy("nothing is measured")
        HOURS = "hours", gettext_lazy("person hours of work")
        DAYS = "days", gettext_lazy("days on site")
        VOLUME = "volume", gettext_lazy("gravel washed in boxes")
        GROUND = "ground", gettext_lazy("ground moved in holes")
        LENGTH = "length", gettext_lazy("length of ground opened")
        MONEY = "money", gettext_lazy("money spent")

    party = models.ForeignKey(Party, on_delete=models.CASCADE, related_name="duties")
    uuid = models.UUIDField(default=uuid.uuid4, editable=False)
    kind = models.CharField(max_length=8, choices=Kind, default=Kind.REPORT)
    title = models.CharField(max_length=160)
    paper = models.ForeignKey(
        Paper, null=True, blank=True, on_delete=models.CASCADE, related_name="duties"
    )
    condition = models.ForeignKey(
        PaperCondition, null=True, blank=True, on_delete=models.SET_NULL, related_name="duties"
    )
    site = models.ForeignKey(
        Site, null=True, blank=True, on_delete=models.PROTECT, related_name="duties"
    )
    first_due = models.DateField()
    # RFC 5545 without DTSTART, always with COUNT or UNTIL; empty: due once.
    repeat = models.CharField(max_length=200, blank=True)
    due_time = models.TimeField(null=True, blank=True)
    lead_span = models.CharField(max_length=8, blank=True, default="P30D")
    # Work to be shown for each due day: minutes, days, ml, mm or minor units of money.
    measure = models.CharField(max_length=8, choices=Measure, blank=True, default=Measure.NONE)
    work_amount = models.BigIntegerField(null=True, blank=True)
    hour_value_minor = models.BigIntegerField(null=True, blank=True)
    work_from = models.DateField(null=True, blank=True)
    work_year_end = models.CharField(max_length=5, blank=True, validators=[month_day])
    source = models.CharField(max_length=300, blank=True)
    send_to = models.CharField(max_length=200, blank=True)
    notes = models.TextField(blank=True)
    # Set when a rule made the duty: the same rule on the same trip makes it only once.
    origin_key = models.CharField(max_length=200, blank=True, editable=False)
    # When what calendars show of it last changed.
    changed_at = models.DateTimeField(default=timezone.now, editable=False)

    class Meta:
        verbose_name_plural = "duties"
        ordering = ["first_due", "title", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["party", "uuid"], name="claims_duty_uuid"),
            models.UniqueConstraint(
                fields=["party", "origin_key"],
                condition=~Q(origin_key=""),
                name="claims_duty_origin",
            ),
            models.CheckConstraint(
                condition=Q(measure="", work_amount__isnull=True)
                | (~Q(measure="") & Q(work_amount__gt=0)),
                name="claims_duty_amount",
                violation_error_message=gettext_lazy(
                    "Say how much work is due, and in what it is measured."
                ),
            ),
        ]

    def __str__(self) -> str:
        return self.title

    def clean_fields(self, exclude=None):
        """Refuse a rule or a length that no page could count, wherever the row comes from."""
        super().clean_fields(exclude=exclude)
        for name in {"repeat", "lead_span"} - set(exclude or ()):
            value = getattr(self, name)
            try:
                if value and name == "repeat":
                    read_repeat(value, self.first_due)
                elif value:
                    from_iso(value)
            except ValueError as error:
                raise ValidationError({name: str(error)}) from error


class DutyDone(Fact):
    """One due day settled: done, or not needed, by whom and with what evidence."""

    party_way = "duty__party"

    class Outcome(models.TextChoices):
        DONE = "done", gettext_lazy("done")
        NOT_NEEDED = "not_needed", gettext_lazy("not needed")

    duty = models.ForeignKey(Duty, on_delete=models.CASCADE, related_name="settled")
    due_on = models.DateField()
    done_on = models.DateField()
    outcome = models.CharField(max_length=12, choices=Outcome, default=Outcome.DONE)
    evidence = models.CharField(max_length=300, blank=True)
    said_by = models.CharField(max_length=160, blank=True)

    class Meta:
        verbose_name_plural = gettext_lazy("duties done")
        ordering = ["duty_id", "due_on", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["duty", "due_on"],
                name="claims_dutydone_once",
                violation_error_message=gettext_lazy("This due day is settled already."),
            )
        ]

    def __str__(self) -> str:
        return f"{self.duty}, {local.day(self.due_on)}"


class CalendarFeed(models.Model):
    """The party's secret calendar address. Only its SHA-256 is kept; empty: none is in use.

    The row stays when the address is withdrawn, so that events keep their identity.
    """

    party = models.OneToOneField(Party, on_delete=models.CASCADE, related_name="calendar_feed")
    uuid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    token_sha256 = models.CharField(max_length=64, blank=True, db_index=True)
    made_at = models.DateTimeField(default=timezone.now, editable=False)

    def __str__(self) -> str:
        return say("Calendar of {party}", party=self.party)
