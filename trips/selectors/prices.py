"""Dated gold prices as inputs of the sums."""

from decimal import Decimal

from claims.models import Party
from trips.calc.gold import PricePoint
from trips.models import Price


def price_points(party: Party) -> tuple[PricePoint, ...]:
    """Every price of the party, oldest first; one query."""
    rows = Price.objects.filter(party=party).order_by("day")
    return tuple(
        PricePoint(day, Decimal(micros) / 1_000_000, *rest)
        for day, micros, *rest in rows.values_list(
            "day", "amount_micros", "per_unit", "currency", "source"
        )
    )
