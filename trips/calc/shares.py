"""How is a whole number of units shared out so that the parts add up to it exactly?

Largest remainder in whole numbers, weights brought to one denominator: floors first, leftovers to
the largest fractions, ties by order. Never floats; a negative whole is shared like its positive
and turned round.
"""

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction
from math import lcm

from trips.calc.errors import BadShares


def largest_remainder(total: int, weights: Sequence[Decimal | int | Fraction]) -> tuple[int, ...]:
    """Whole units per weight, in the order given, summing to `total`.

    Raises: BadShares for no weights, a negative weight, or only zero weights (an empty or
        zero-weight sharing of 0 is allowed).
    """
    exact = _whole(weights)
    if any(weight < 0 for weight in exact):
        raise BadShares(f"A share's weight is {min(weights)}; zero or more was expected.")
    whole = sum(exact)
    if total == 0:
        return tuple(0 for _ in exact)
    if whole == 0:
        raise BadShares(f"{total} cannot be shared: every weight is zero or there is none.")
    if total < 0:
        return tuple(-share for share in largest_remainder(-total, weights))
    quotas = [divmod(total * weight, whole) for weight in exact]
    shares = [share for share, _ in quotas]
    left = total - sum(shares)
    if left:
        by_fraction = sorted(range(len(quotas)), key=lambda at: (-quotas[at][1], at))
        for at in by_fraction[:left]:
            shares[at] += 1
    return tuple(shares)


def _whole(weights: Sequence[Decimal | int | Fraction]) -> list[int]:
    """The same proportions in whole numbers; only proportions matter."""
    if all(isinstance(weight, int) for weight in weights):
        return [int(weight) for weight in weights]
    exact = [Fraction(weight) for weight in weights]
    unit = lcm(*(weight.denominator for weight in exact))
    return [int(weight * unit) for weight in exact]


def split_evenly(total: int, parts: int) -> tuple[int, ...]:
    """`total` in `parts` whole shares that differ by at most one, the larger ones first.

    Raises: BadShares when there are no parts.
    """
    if parts < 1:
        raise BadShares(f"{total} cannot be shared among {parts}; at least one was expected.")
    return largest_remainder(total, [1] * parts)
