"""Write gold prices: one by hand, or many from a table of text."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.db import transaction

from claims.models import Party
from claims.services import changes
from trips.calc.price_csv import PriceLine, Unit, plan_import
from trips.models import Price
from trips.selectors.gold import stored_prices


@dataclass(frozen=True)
class Imported:
    """How many days were added, were there with the same price, were replaced, or left alone."""

    added: int
    same: int
    replaced: int
    left: int


@transaction.atomic
def save_price(*, price: Price) -> Price:
    """Store a new or changed price.

    Raises: ValidationError when the day has a price in that currency already.
    """
    _one_at_a_time(price.party)
    price.full_clean()
    price.save()
    return price


@transaction.atomic
def import_prices(
    *,
    party: Party,
    currency: str,
    per_unit: Unit,
    source: str,
    lines: Sequence[PriceLine],
    replace: bool,
) -> Imported:
    """Add the prices of days that have none; doing it again adds nothing.

    A day stored with another price is left as it is unless `replace` is said.
    """
    _one_at_a_time(party)
    plan = plan_import(lines, per_unit, stored_prices(party, currency))
    fixed = {"currency": currency, "per_unit": per_unit, "source": source}
    rows = [
        Price(party=party, day=line.day, amount_micros=line.amount_micros, **fixed)
        for line in plan.new
    ]
    if rows:
        # What every row shares is checked once; day and amount were checked by the reader.
        rows[0].full_clean(validate_unique=False, validate_constraints=False)
    changes.create_many(Price, rows, party=party)
    if replace:
        _replace(party, [each.line for each in plan.differing], fixed)
    differing = len(plan.differing)
    return Imported(
        added=len(rows),
        same=len(plan.same),
        replaced=differing if replace else 0,
        left=0 if replace else differing,
    )


def _replace(party: Party, lines: Sequence[PriceLine], fixed: dict) -> None:
    by_day = {line.day: line for line in lines}
    stored = party.prices.filter(currency=fixed["currency"], day__in=by_day)
    rows = list(stored.select_for_update())
    for row in rows:
        row.amount_micros = by_day[row.day].amount_micros
        row.per_unit, row.source = fixed["per_unit"], fixed["source"]
        row.version += 1
    changes.update_many(Price, rows, party=party, names=["amount_micros", "per_unit", "source"])


def _one_at_a_time(party: Party) -> None:
    """Two imports at the same moment would both find a day empty; the second waits here."""
    Party.objects.select_for_update().get(pk=party.pk)
