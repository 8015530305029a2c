"""Date and time as the clock at the site shows it."""

import datetime as dt

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext

from claims.web.asof import zone


class WallClockField(forms.DateTimeField):
    """Reads a date and time without a zone; the form knows whose clock it is."""

    def to_python(self, value):
        read = super().to_python(value)
        # Django takes what is typed as UTC here; only the clock's face is wanted.
        return read.replace(tzinfo=None) if read else None

    def prepare_value(self, value):
        return value


def to_instant(face: dt.datetime, zone_name: str) -> dt.datetime:
    """The instant at which a clock in that zone shows this; the earlier of two.

    Raises: ValidationError for a time that the clocks jump over.
    """
    there = zone(zone_name)
    instant = face.replace(tzinfo=there).astimezone(dt.UTC)
    if instant.astimezone(there).replace(tzinfo=None) != face:
        raise ValidationError(
            gettext(
                "{face:%H:%M} doesn't exist on that day in {zone_name}: the clocks go forward then."
            ).format(face=face, zone_name=zone_name)
        )
    return instant


def face_of(instant: dt.datetime | None, zone_name: str) -> dt.datetime | None:
    """What a clock in that zone shows at an instant."""
    return instant.astimezone(zone(zone_name)).replace(tzinfo=None) if instant else None
