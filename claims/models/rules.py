"""Rules that a party brings along: its own terms, and packs of its own."""

from django.db import models
from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext_lazy

from claims.models.fact import Fact
from claims.models.ground import Site, month_day
from claims.models.party import Party, User
from claims.rules import words


class OwnRule(Fact):
    """A term of a landowner, a club or the party itself; it evaluates like a rule of a pack."""

    class Shape(models.TextChoices):
        CLOSED = "closed", gettext_lazy("closed on these days")
        NO_GEAR = "no_gear", gettext_lazy("this gear stays at home")
        NO_ENGINE = "no_engine", gettext_lazy("nothing with an engine or battery")
        CONSENT = "consent", gettext_lazy("ask somebody first")
        NOTICE = "notice", gettext_lazy("tell somebody first")
        VOLUME = "volume", gettext_lazy("no more gravel than")
        PEOPLE = "people", gettext_lazy("no more people than")
        DEPTH = "depth", gettext_lazy("no hole deeper than")
        FILL = "fill", gettext_lazy("fill the holes")
        DUTY = "duty", gettext_lazy("something else to do")
        ASK = "ask", gettext_lazy("ask, because nobody knows")

    class Period(models.TextChoices):
        DAY = "day", gettext_lazy("in a day")
        TRIP = "trip", gettext_lazy("on one trip")
        YEAR = "calendar_year", gettext_lazy("in a calendar year")

    class Due(models.TextChoices):
        BEFORE_START = "before_start", gettext_lazy("before you start")
        DURING = "during", gettext_lazy("while you work")
        SAME_DAY = "same_day", gettext_lazy("on the same day")
        BEFORE_LEAVING = "before_leaving", gettext_lazy("before you leave")
        AFTER_END = "after_end", gettext_lazy("within days of the end")

    party = models.ForeignKey(Party, on_delete=models.CASCADE, related_name="own_rules")
    site = models.ForeignKey(
        Site, null=True, blank=True, on_delete=models.CASCADE, related_name="own_rules"
    )
    shape = models.CharField(max_length=10, choices=Shape)
    text = models.CharField(max_length=400)
    agreed_with = models.CharField(max_length=160)
    written_where = models.CharField(max_length=200)
    dated = models.CharField(max_length=60)
    closed_from = models.CharField(max_length=5, blank=True, validators=[month_day])
    closed_until = models.CharField(max_length=5, blank=True, validators=[month_day])
    gear_class = models.CharField(
        max_length=24,
        blank=True,
        choices=[(code, gettext_lazy(text)) for code, text in words.GEAR_WORDS.source()],
    )
    most_ml = models.PositiveBigIntegerField(null=True, blank=True)
    most_mm = models.PositiveIntegerField(null=True, blank=True)
    most_people = models.PositiveSmallIntegerField(null=True, blank=True)
    period = models.CharField(max_length=14, choices=Period, blank=True)
    due = models.CharField(max_length=14, choices=Due, blank=True)
    lead_days = models.PositiveSmallIntegerField(null=True, blank=True)
    valid_from = models.DateField(null=True, blank=True)
    valid_to = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["site__name", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(valid_from__isnull=True)
                | Q(valid_to__isnull=True)
                | Q(valid_to__gte=models.F("valid_from")),
                name="claims_own_rule_term",
                violation_error_message=gettext_lazy("A rule can't end before it begins."),
            )
        ]

    def __str__(self) -> str:
        return self.text if len(self.text) <= 80 else f"{self.text[:79].rstrip()}…"


class PartyPack(models.Model):
    """A rule pack that a party uploaded; it takes the place of one of the same id."""

    party = models.ForeignKey(Party, on_delete=models.CASCADE, related_name="packs")
    pack_id = models.CharField(max_length=80)
    title = models.CharField(max_length=400)
    text = models.TextField()
    sha256 = models.CharField(max_length=64)
    added_by = models.ForeignKey(User, null=True, on_delete=models.SET_NULL, related_name="+")
    added_at = models.DateTimeField(default=timezone.now, editable=False)

    class Meta:
        ordering = ["pack_id"]
        constraints = [
            models.UniqueConstraint(
                fields=["party", "pack_id"],
                name="claims_party_pack_once",
                violation_error_message=gettext_lazy("The party has a pack of this id already."),
            )
        ]

    def __str__(self) -> str:
        return self.title
