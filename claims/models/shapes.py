"""The ground a site covers."""

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy

from claims.models.fact import Fact
from claims.models.ground import Site
from claims.rules.outline import OutlineError, check_stored
from trips.calc.words import say

RADIUS_M = 300


class SiteShape(Fact):
    """A site's outline, and how far from its position one still is on site.

    `outline` is a list of polygons; a polygon is a list of rings, its edge first and then what is
    cut out of it; a ring is a list of [latitude, longitude] in millionths of a degree, open.
    """

    party_way = "site__party"

    site = models.OneToOneField(Site, on_delete=models.CASCADE, related_name="shape")
    outline = models.JSONField(default=list, blank=True)
    radius_m = models.PositiveIntegerField(
        default=RADIUS_M, validators=[MinValueValidator(10), MaxValueValidator(20_000)]
    )

    class Meta:
        ordering = ["site__name"]
        constraints = [
            models.CheckConstraint(
                condition=Q(radius_m__gte=10, radius_m__lte=20_000),
                name="claims_shape_radius",
                violation_error_message=gettext_lazy("A radius is from 10 m to 20 km."),
            )
        ]

    def __str__(self) -> str:
        return say("Shape of {site}", site=self.site)

    def clean_fields(self, exclude=None) -> None:
        """As ever, and the outline too: a record brought in from a file may hold anything there."""
        super().clean_fields(exclude=exclude)
        try:
            check_stored(self.outline)
        except OutlineError as error:
            raise ValidationError({"outline": str(error)}) from error
