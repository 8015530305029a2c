"""Who carries which share of the outlay, and who owes whom? Whole minor units, sums of zero."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from trips.calc.errors import BadShares
from trips.calc.shares import largest_remainder


@dataclass(frozen=True)
class Payment:
    """Money that one person laid out for all, in minor units."""

    person: str
    amount_minor: int


@dataclass(frozen=True)
class Transfer:
    """Money that settles: from who owes to who is owed, in minor units, above zero."""

    payer: str
    payee: str
    amount_minor: int


@dataclass(frozen=True)
class Settlement:
    """Per person: share carried, paid, balance (paid less share; sums to zero); the transfers."""

    shares: Mapping[str, int]
    paid: Mapping[str, int]
    balances: Mapping[str, int]
    transfers: tuple[Transfer, ...]


def settle(
    people: Sequence[str],
    payments: Sequence[Payment],
    weights: Mapping[str, int] | None = None,
) -> Settlement:
    """Share what was paid among people (evenly unless weighted) and say who owes whom.

    Raises: BadShares for nobody, a person named twice, or a payment by somebody not among them.
    """
    if not people or len(set(people)) != len(people):
        raise BadShares("Shares need at least one person, each named once.")
    for payment in payments:
        if payment.person not in people:
            raise BadShares(f"{payment.person} paid but is not among those who share.")
    paid = dict.fromkeys(people, 0)
    for payment in payments:
        paid[payment.person] += payment.amount_minor
    each = [1 if weights is None else weights.get(person, 0) for person in people]
    whole = largest_remainder(sum(paid.values()), each)
    shares = dict(zip(people, whole, strict=True))
    balances = {person: paid[person] - shares[person] for person in people}
    return Settlement(shares, paid, balances, _transfers(balances))


def _transfers(balances: Mapping[str, int]) -> tuple[Transfer, ...]:
    """The largest debt meets the largest claim until none is left; ties by order."""
    left = dict(balances)
    moves: list[Transfer] = []
    while any(left.values()):
        payer = min(left, key=lambda person: left[person])
        payee = max(left, key=lambda person: left[person])
        amount = min(-left[payer], left[payee])
        moves.append(Transfer(payer, payee, amount))
        left[payer] += amount
        left[payee] -= amount
    return tuple(moves)
