"""What every page may show: the day it is told for."""

from django.conf import settings

from claims.web.asof import as_of, chosen_day


def party_and_day(request):
    """`as_of_day`, and `as_of_note` when that isn't today: the address or the demo names it."""
    if getattr(request, "party", None) is None:
        # Before somebody has signed in the demo says so, too.
        return {"as_of_note": settings.TOLD_FOR, "is_demo": True} if settings.DEMO else {}
    return {
        "as_of_day": as_of(request),
        "as_of_note": chosen_day(request) or settings.TOLD_FOR,
        "is_demo": settings.DEMO,
    }
