"""Photos and documents: of a paper, a hole, a spot, as evidence, or of work of other rooms."""

import uuid
from functools import reduce
from operator import or_

from django.db import models
from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext_lazy

from claims.models.duties import DutyDone
from claims.models.fact import History, Versioned
from claims.models.ground import LATITUDE, LONGITUDE, Hole, Spot
from claims.models.papers import ConditionMark, Paper
from claims.models.party import Party, User

# What a file of this room may belong to: a target's word is also its column.
PLACES = ("paper", "hole", "spot", "mark", "done")


def _only(name: str) -> Q:
    """The target called `name` is set and no other one."""
    return Q(target=name, **{f"{place}__isnull": place != name for place in PLACES})


class KeptFile(Versioned):
    """A photo or PDF; its bytes lie in the storage under `stored`, a name of our own.

    A photo is written anew when it comes in: `sha256` is of the bytes kept, `source_sha256` of
    the bytes sent, by which the same file sent twice is known.
    """

    class Kind(models.TextChoices):
        PHOTO = "photo", gettext_lazy("photo")
        DOCUMENT = "document", gettext_lazy("document")

    class Role(models.TextChoices):
        BEFORE = "before", gettext_lazy("before the work")
        AFTER = "after", gettext_lazy("after the work")
        OTHER = "other", gettext_lazy("neither, or both")

    class Target(models.TextChoices):
        PAPER = "paper", gettext_lazy("paper")
        HOLE = "hole", gettext_lazy("hole")
        SPOT = "spot", gettext_lazy("spot")
        MARK = "mark", gettext_lazy("word on a condition")
        DONE = "done", gettext_lazy("due day settled")
        # A trip or weigh-in, which this app knows nothing of; trips.TripFile says which.
        WORK = "work", gettext_lazy("trip or weigh-in")

    party = models.ForeignKey(Party, on_delete=models.CASCADE, related_name="files")
    uuid = models.UUIDField(default=uuid.uuid4, editable=False)
    kind = models.CharField(max_length=8, choices=Kind)
    target = models.CharField(max_length=8, choices=Target)
    paper = models.ForeignKey(
        Paper, null=True, blank=True, on_delete=models.CASCADE, related_name="files"
    )
    hole = models.ForeignKey(
        Hole, null=True, blank=True, on_delete=models.CASCADE, related_name="files"
    )
    spot = models.ForeignKey(
        Spot, null=True, blank=True, on_delete=models.CASCADE, related_name="files"
    )
    mark = models.ForeignKey(
        ConditionMark, null=True, blank=True, on_delete=models.CASCADE, related_name="files"
    )
    done = models.ForeignKey(
        DutyDone, null=True, blank=True, on_delete=models.CASCADE, related_name="files"
    )
    name_sent = models.CharField(
        max_length=120, blank=True, help_text=gettext_lazy("Never a path.")
    )
    content_type = models.CharField(max_length=40)
    size_bytes = models.PositiveIntegerField()
    width_px = models.PositiveIntegerField(null=True, blank=True)
    height_px = models.PositiveIntegerField(null=True, blank=True)
    sha256 = models.CharField(max_length=64)
    source_sha256 = models.CharField(max_length=64)
    stored = models.FileField(max_length=200, unique=True)
    stored_small = models.FileField(max_length=200, blank=True)
    # Only where the party's setting says that place and time are kept.
    taken_at = models.DateTimeField(null=True, blank=True)
    latitude_udeg = models.IntegerField(null=True, blank=True, validators=LATITUDE)
    longitude_udeg = models.IntegerField(null=True, blank=True, validators=LONGITUDE)
    caption = models.CharField(max_length=200, blank=True)
    role = models.CharField(max_length=8, choices=Role, default=Role.OTHER)
    added_by = models.ForeignKey(
        User, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )
    added_at = models.DateTimeField(default=timezone.now, editable=False)
    # Where and when a photo was taken is erased when the party says so, so its past has neither.
    history = History(excluded_fields=["taken_at", "latitude_udeg", "longitude_udeg"])

    class Meta:
        ordering = ["added_at", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["party", "uuid"], name="claims_file_uuid"),
            models.CheckConstraint(
                condition=reduce(or_, map(_only, (*PLACES, "work"))),
                name="claims_file_target",
                violation_error_message=gettext_lazy("A file belongs to exactly one thing."),
            ),
            models.CheckConstraint(
                condition=Q(latitude_udeg__isnull=True, longitude_udeg__isnull=True)
                | Q(latitude_udeg__isnull=False, longitude_udeg__isnull=False),
                name="claims_file_position_both",
                violation_error_message=gettext_lazy(
                    "Give both latitude and longitude, or neither."
                ),
            ),
        ]

    def __str__(self) -> str:
        return self.caption or self.name_sent or f"{self.get_kind_display()} {self.pk}"

    @property
    def is_photo(self) -> bool:
        return self.kind == self.Kind.PHOTO
