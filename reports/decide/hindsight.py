"""What the same rules would have said on a day that is over, and what staying cost or won.

Nothing here was known at the time but what the rules use; the range is that of the belief about
the other place, because what was done can be weighed and what wasn't can only be expected.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from reports.decide.leave import CleanUp, usable
from reports.decide.leave_advice import Advice, There

Finding = Literal["cost", "won", "even"]


@dataclass(frozen=True)
class Staying:
    """From the first "leave" on: what staying brought, and what going was expected to.

    All in µg net of running cost; low and high span 80 %. lost: expected there less brought here,
    above zero where staying cost gold.
    """

    after: int
    hours: float
    brought: float
    there: str
    expected_low: float
    expected: float
    expected_high: float

    @property
    def lost_low(self) -> float:
        return self.expected_low - self.brought

    @property
    def lost(self) -> float:
        return self.expected - self.brought

    @property
    def lost_high(self) -> float:
        return self.expected_high - self.brought

    @property
    def finding(self) -> Finding:
        """Which way the whole range points; "even" where it doesn't."""
        if self.lost_low > 0:
            return "cost"
        return "won" if self.lost_high < 0 else "even"


def staying(
    rows: Sequence[CleanUp], advice: Sequence[Advice], there: There | None, cost: float = 0.0
) -> Staying | None:
    """What staying past the first "leave" cost or won; None where nobody stayed past one.

    Args: advice: after each clean-up of `rows`, in order. cost: running cost as µg an hour.
    """
    first = next((each for each in advice if each.action == "leave"), None)
    if first is None or first.hours_left <= 0:
        return None
    later = usable(rows[first.after :])
    hours = sum(h for h, _, _ in later)
    if not hours:
        return None
    brought = sum(g for _, g, _ in later) - cost * hours
    if there is None:
        return Staying(first.after, hours, brought, "", 0.0, 0.0, 0.0)
    useful = max(0.0, hours - there.move_hours)

    def net(rate: float) -> float:
        return max(0.0, rate - cost) * useful

    return Staying(
        first.after,
        hours,
        brought,
        there.name,
        net(there.gross(0.1)),
        net(there.rate),
        net(there.gross(0.9)),
    )
