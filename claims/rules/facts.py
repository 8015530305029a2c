"""What is known about a plan when rules are looked at. None is always "not known", never "no".

Amounts are in the base units of `claims.rules.quantities`; minutes of a day count from local
midnight. The site's code gathers these; a file of situations writes them by hand.
"""

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field

from claims.rules.windows import Sun
from claims.rules.words import USES


@dataclass(frozen=True, kw_only=True)
class Gear:
    """One piece of gear in the plan; `numbers` holds what is known of its numbers.

    `steps` is what a number is kept in whole steps of: a bore noted in whole millimetres is
    compared in whole millimetres.
    """

    name: str
    cls: str | None = None
    power: str | None = None
    uses: tuple[str, ...] | None = None
    numbers: Mapping[str, int] = field(default_factory=dict)
    steps: Mapping[str, int] = field(default_factory=dict)
    count: int = 1

    @property
    def used_for(self) -> tuple[str, ...] | None:
        """What it is put to: as noted, otherwise what its class is for."""
        if self.uses is not None:
            return self.uses
        return None if self.cls is None else USES.get(self.cls)


@dataclass(frozen=True, kw_only=True)
class PersonFact:
    """Somebody who comes along; `age` in years, or between `age` and `age_up_to`."""

    name: str
    age: int | None = None
    age_up_to: int | None = None
    is_adult: bool | None = None
    supervised: bool | None = None

    def under(self, years: int) -> bool | None:
        """Whether the person is younger; an adult counts as 18 or older."""
        if self.age is not None:
            most = self.age if self.age_up_to is None else self.age_up_to
            if most < years or self.age >= years:
                return most < years
            return None
        if self.is_adult is True and years <= 18:
            return False
        if self.is_adult is False and years >= 18:
            return True
        return None


@dataclass(frozen=True, kw_only=True)
class PaperFact:
    """A paper held. `code` is the packs' code; None: which it is hasn't been said."""

    name: str
    kind: str
    code: str | None = None
    holder: str = ""
    issued_on: dt.date | None = None
    expires_on: dt.date | None = None
    ends_openly: bool = False

    def covers(self, day: dt.date) -> bool | None:
        """Whether the printed dates include the day; no printed end is not known."""
        if self.issued_on is not None and day < self.issued_on:
            return False
        if self.expires_on is not None:
            return day <= self.expires_on
        return True if self.ends_openly else None


@dataclass(frozen=True, kw_only=True)
class AmountFact:
    """One line of the party's record that counts towards a cap; `base` None is not noted."""

    amount: str
    day: dt.date
    base: int | None
    site: str = ""
    water: str = ""
    people: int = 1
    is_one_piece: bool = False
    evidence: str = ""


@dataclass(frozen=True, kw_only=True)
class HoleFact:
    """A hole planned or open; sides in µm."""

    name: str
    depth: int | None = None
    length: int | None = None
    width: int | None = None


@dataclass(frozen=True, kw_only=True)
class Place:
    """Where; `areas` says of each area by id whether the site lies in it."""

    name: str = ""
    land: str | None = None
    title: str | None = None
    water: str | None = None
    zones: tuple[str, ...] | None = None
    areas: Mapping[str, bool] = field(default_factory=dict)
    distances: Mapping[str, int] = field(default_factory=dict)


@dataclass(frozen=True, kw_only=True)
class Situation:
    """A planned trip to one site on one or more days, as far as it is known.

    `as_of` is the day on which somebody looks; lead times count from it. `answers` are by question
    id, for yes-or-no as bool. `met` says of a rule (by "pack/rule") that what it asks for has been
    seen to. `planned` is what the plan adds to an amount. `uncounted` are amounts that the record
    doesn't keep at all. `free` says, by "pack/rule", how much of an amount doesn't count for a
    limit that leaves big single pieces out.
    """

    first_day: dt.date
    last_day: dt.date
    as_of: dt.date | None = None
    hours: tuple[int, int] | None = None
    sun: Sun = Sun()
    place: Place = Place()
    gear: tuple[Gear, ...] | None = None
    people: tuple[PersonFact, ...] | None = None
    papers: tuple[PaperFact, ...] | None = None
    amounts: tuple[AmountFact, ...] | None = None
    uncounted: frozenset[str] = frozenset()
    free: Mapping[str, int] = field(default_factory=dict)
    planned: Mapping[str, int] = field(default_factory=dict)
    holes: tuple[HoleFact, ...] | None = None
    open_holes: int | None = None
    purpose: str | None = None
    answers: Mapping[str, bool | str] = field(default_factory=dict)
    met: Mapping[str, bool] = field(default_factory=dict)
