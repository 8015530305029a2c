"""How is a whole number of units shared out so that the parts add up to it exactly?

Largest remainder on exact fractions: floors first, leftovers to the largest fractions, ties by
order. Never floats; a negative whole is shared like its positive and turned round.
"""

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction

from trips.calc.errors import BadShares


def largest_remainder(total: int, weights: Sequence[Decimal | int | Fraction]) -> tuple[int, ...]:
    """Whole units per weight, in the order given, summing to `total`.

    Raises: BadShares for no weights, a negative weight, or only zero weights (an empty or
        zero-weight sharing of 0 is allowed).
    """
    exact = [Fraction(weight) for weight in weights]
    if any(weight < 0 for weight in exact):
        raise BadShares(f"A share's weight is {min(weights)}; zero or more was expected.")
    whole = sum(exact, Fraction(0))
    if total == 0:
        return tuple(0 for _ in exact)
    if whole == 0:
        raise BadShares(f"{total} cannot be shared: every weight is zero or there is none.")
    if total < 0:
        return tuple(-share for share in largest_remainder(-total, weights))
    quotas = [total * weight / whole for weight in exact]
    shares = [quota.numerator // quota.denominator for quota in quotas]
    left = total - sum(shares)
    by_fraction = sorted(range(len(quotas)), key=lambda at: (shares[at] - quotas[at], at))
    for at in by_fraction[:left]:
        shares[at] += 1
    return tuple(shares)


def split_evenly(total: int, parts: int) -> tuple[int, ...]:
    """`total` in `parts` whole shares that differ by at most one, the larger ones first.

    Raises: BadShares when there are no parts.
    """
    if parts < 1:
        raise BadShares(f"{total} cannot be shared among {parts}; at least one was expected.")
    return largest_remainder(total, [1] * parts)
