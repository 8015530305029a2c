"""Which part of a paper's fee does a trip carry? By the days of its term, or by its trips.

Both ways share whole minor units by largest remainder, so every day, or every trip, together
carries exactly the fee. Days outside the term carry nothing.
"""

from collections.abc import Sequence
from datetime import date

from trips.calc.errors import OutOfRange
from trips.calc.shares import split_evenly
from trips.calc.words import say


def fee_by_days(
    fee_minor: int, term_first: date, term_last: date, trip_first: date, trip_last: date
) -> int:
    """Minor units of the fee on the trip's days; both periods include their last day.

    Each day of the term carries an even whole share, the first days one unit more where the
    fee does not divide.
    Raises: OutOfRange for a negative fee or a period that ends before it begins.
    """
    days = (term_last - term_first).days + 1
    if fee_minor < 0 or days < 1 or trip_last < trip_first:
        raise OutOfRange(
            f"A fee of {fee_minor} from {term_first} to {term_last} for a trip from {trip_first} "
            f"to {trip_last}: zero or more, and periods in order, were expected."
        )
    first = max(0, (trip_first - term_first).days)
    after = min(days, (trip_last - term_first).days + 1)
    if after <= first:
        return 0
    base, longer = divmod(fee_minor, days)
    return base * (after - first) + max(0, min(after, longer) - first)


def fee_by_trips(fee_minor: int, trip_keys: Sequence[str]) -> dict[str, int]:
    """Minor units of the fee per trip, even whole shares, earlier trips one unit more.

    Raises: OutOfRange for a negative fee or a trip named twice; BadShares without trips.
    """
    if fee_minor < 0 or len(set(trip_keys)) != len(trip_keys):
        raise OutOfRange(
            f"A fee of {fee_minor} over {len(trip_keys)} trips: zero or more, and each trip once, "
            "were expected."
        )
    return dict(zip(trip_keys, split_evenly(fee_minor, len(trip_keys)), strict=True))


def fee_basis(days: int | None, trips: int | None) -> str:
    """The basis of a share in words, for the cost line."""
    if days is not None:
        return say("fee spread over the {days} days of its term", days=days)
    return say("fee spread over its {trips} trips", trips=trips)
