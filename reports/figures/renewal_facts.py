"""What a renewal record is made from: filled by the selector, never by hand.

None is "not noted", never zero. Masses in micrograms, volumes in millilitres, sizes in
millimetres, money in minor units of the party's currency.
"""

from dataclasses import dataclass
from datetime import date

from trips.calc.costs import CostLine


@dataclass(frozen=True)
class MarkFact:
    """What somebody said about keeping a condition; `state` in words."""

    day: date
    state: str
    how: str
    evidence: str
    said_by: str


@dataclass(frozen=True)
class ConditionFact:
    """One condition of the paper in the party's copy of its words."""

    condition_id: int
    text: str
    due_words: str
    marks: tuple[MarkFact, ...]


@dataclass(frozen=True)
class DutyFact:
    """One due day of a duty of the paper; `done_on` None: not noted as settled.

    `work` is what the record shows of the work due, in words; empty where none is measured.
    """

    duty_id: int
    condition_id: int | None
    title: str
    due_on: date
    outcome: str
    done_on: date | None
    evidence: str
    work: str = ""


@dataclass(frozen=True)
class PhotoFact:
    """A photo of a hole: before or after the work; `key` finds its bytes."""

    key: str
    role: str
    caption: str
    day: date


@dataclass(frozen=True)
class PaperWords:
    """The paper as it was noted, and the sites it covers by id.

    `expires_on` is its last day, printed or counted; `end_words` say which; `files` are the names
    of its documents and photos.
    """

    title: str
    kind: str
    number: str
    holder: str
    issuer: str
    issued_on: date | None
    expires_on: date | None
    conditions: str
    sites: tuple[tuple[int, str], ...]
    end_words: str = ""
    condition_lines: tuple[ConditionFact, ...] = ()
    files: tuple[str, ...] = ()


@dataclass(frozen=True)
class TripWork:
    """A trip near the paper's sites: `visited` for certain, `unsaid` where nobody said yet.

    `covered` are the paper's sites in its plan; `people` are the ids of those who came along.
    """

    trip_id: int
    name: str
    starts_on: date
    ends_on: date
    state: str
    is_wrapped_up: bool
    is_called_off: bool
    people: tuple[int, ...]
    visited: tuple[int, ...]
    unsaid: tuple[int, ...]
    covered: tuple[int, ...]
    incidents: str
    costs: tuple[CostLine, ...]


@dataclass(frozen=True)
class Block:
    """A block of hours; no person: everybody on the trip."""

    trip_id: int
    day: date
    site_id: int | None
    person_id: int | None
    activity: str
    minutes: int


@dataclass(frozen=True)
class Washed:
    """A box run or a test pan. `mass_ug` is its share of its weigh-in, or what it weighed alone."""

    is_run: bool
    trip_id: int
    day: date
    site_id: int
    gear_id: int | None
    volume_ml: int | None
    minutes: int | None
    weigh_in_id: int | None
    mass_ug: int | None
    shows_nothing: bool


@dataclass(frozen=True)
class Weighed:
    """A weigh-in's net; `is_divided` when it is spread over runs and pans."""

    weigh_in_id: int
    trip_id: int
    day: date
    net_ug: int
    resolution_ug: int
    is_divided: bool
    methods: tuple[str, ...]


@dataclass(frozen=True)
class GearWords:
    """Gear as an office asks for it."""

    gear_id: int
    name: str
    kind: str
    power: str


@dataclass(frozen=True)
class HoleSize:
    """A hole with its size; a side that wasn't measured is None.

    `fill_by` is the last day that a condition or rule gave for filling it, `fill_words` which.
    """

    site_id: int
    spot: str
    opened_on: date
    filled_on: date | None
    length_mm: int | None
    width_mm: int | None
    depth_mm: int | None
    photos: tuple[PhotoFact, ...] = ()
    fill_by: date | None = None
    fill_words: str = ""

    def days_late(self, day: date) -> int:
        """By how many days it was filled too late, or is by a day while still open; 0: it isn't."""
        if self.fill_by is None:
            return 0
        filled = day if self.filled_on is None or self.filled_on > day else self.filled_on
        return max(0, (filled - self.fill_by).days)


@dataclass(frozen=True)
class RenewalFacts:
    """Everything noted about a paper's sites in and around a period."""

    paper: PaperWords
    site_names: dict[int, str]
    trips: tuple[TripWork, ...]
    blocks: tuple[Block, ...]
    washed: tuple[Washed, ...]
    weighed: tuple[Weighed, ...]
    gear: tuple[GearWords, ...]
    holes: tuple[HoleSize, ...]
    duties: tuple[DutyFact, ...] = ()


@dataclass(frozen=True)
class RenewalAsked:
    """For whom, which period (both days included), told on which day, in which units."""

    party_name: str
    currency: str
    as_of: date
    first: date
    last: date
    mass_unit: str
    volume_unit: str
