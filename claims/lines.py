"""One line of a checklist."""

from collections.abc import Iterable
from dataclasses import dataclass

RANKS = {"stop": 0, "do": 1, "ask": 2, "know": 3}


@dataclass(frozen=True)
class CheckLine:
    """What to heed, why, where that is written and whom to ask.

    `outcome` is "stop" (don't go as planned), "do", "ask" or "know"; there is no "fine".
    `site_id` is None for a caution that holds anywhere.
    """

    outcome: str
    text: str
    why: str
    source: str
    confirm_with: str
    site_id: int | None

    @property
    def rank(self) -> int:
        """0 for stop to 3 for know."""
        return RANKS[self.outcome]


def worst(lines: Iterable[CheckLine]) -> str:
    """The gravest outcome among the lines; "ask" when there are none, because nothing is known."""
    return min((line.outcome for line in lines), key=RANKS.__getitem__, default="ask")
