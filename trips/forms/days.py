"""Days that forms take."""

import datetime as dt

from django.core.exceptions import ValidationError
from django.utils.translation import gettext

from claims.web import show


def not_to_come(day: dt.date, today: dt.date) -> dt.date:
    """The day itself, unless it is still to come.

    One day of slack: the party may be east of the zone it chose.
    Raises: ValidationError.
    """
    if day > today + dt.timedelta(days=1):
        raise ValidationError(
            gettext("{day} is still to come.").format(day=show.day(day)), "future"
        )
    return day
