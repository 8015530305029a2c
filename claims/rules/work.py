"""Work asked for by a duty, and what the record shows of it. Filled in by whoever keeps the work.

Amounts are minutes, days, millilitres, millimetres or minor units of money, as `measure` says.
"""

import datetime as dt
from dataclasses import dataclass
from typing import Literal

Measure = Literal["hours", "days", "volume", "ground", "length", "money"]


@dataclass(frozen=True)
class WorkAsked:
    """Which work, where and when; `sites` None: everywhere. Both days are included.

    `hour_value_minor`: what the office counts for a person hour, beside money spent.
    """

    key: int
    measure: Measure
    sites: frozenset[int] | None
    first: dt.date
    last: dt.date
    hour_value_minor: int | None = None


@dataclass(frozen=True)
class WorkLine:
    """One piece of evidence: a day's work on a trip; no trip for a hole noted by itself."""

    day: dt.date
    words: str
    amount: int
    trip_id: int | None


@dataclass(frozen=True)
class WorkFound:
    """What the record shows. `done` None: something is noted, but no amount of it.

    `notes` say what is missing or left out.
    """

    done: int | None
    lines: tuple[WorkLine, ...]
    notes: tuple[str, ...]
