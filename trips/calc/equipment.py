"""Does a piece of gear earn its price? Present value, internal rate and payback of yearly flows.

The first flow is at time zero and is not discounted (many spreadsheets discount it). Flows are
money in any one unit: below zero goes out, above zero comes in.
"""

from collections.abc import Sequence
from itertools import pairwise

from trips.calc.errors import OutOfRange


def npv(rate: float, flows: Sequence[float]) -> float:
    """Net present value in the flows' unit at a yearly rate (0.08 = 8 %).

    Raises: OutOfRange for a rate of -1 or less.
    """
    if rate <= -1:
        raise OutOfRange(f"A rate of {rate} was given; above -1 was expected.")
    return sum(flow / (1 + rate) ** year for year, flow in enumerate(flows))


def irr(flows: Sequence[float]) -> float | None:
    """Yearly rate at which the present value is zero; None unless the sign changes exactly once.

    With one change of sign there is exactly one such rate (Descartes' rule of signs).
    """
    signs = [flow > 0 for flow in flows if flow != 0]
    if sum(a != b for a, b in pairwise(signs)) != 1:
        return None
    first = next(year for year, flow in enumerate(flows) if flow != 0)
    used = list(flows)[first:]

    def value(discount: float) -> float:
        total = 0.0
        for flow in reversed(used):
            total = total * discount + flow
        return total

    from scipy.optimize import brentq

    high = 1.0
    while value(high) * used[0] > 0:
        high *= 2
    discount = float(brentq(value, 0.0, high, xtol=1e-15, rtol=8.9e-16))
    return 1 / discount - 1


def payback_years(flows: Sequence[float]) -> float | None:
    """Years until the sum of flows stays at zero or above; None if it never does."""
    sums = [sum(flows[: year + 1]) for year in range(len(flows))]
    behind = [year for year, total in enumerate(sums) if total < 0]
    if not behind:
        return 0.0
    last = behind[-1]
    if last + 1 == len(flows):
        return None
    return last - sums[last] / flows[last + 1]
