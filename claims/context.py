"""What every page may show: the day it is told for."""

from claims.web.asof import as_of, chosen_day


def party_and_day(request):
    """`as_of_day`, and `as_of_note` when the address names a day other than today."""
    if getattr(request, "party", None) is None:
        return {}
    day = chosen_day(request)
    return {"as_of_day": as_of(request), "as_of_note": day}
