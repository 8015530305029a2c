"""What a rule may test. One class a fact; `fact = "…"` in the pack chooses the class.

Every test answers yes, no or not known. A list of tests in a pack means: all of them.
"""

from dataclasses import dataclass
from typing import ClassVar, Literal

from claims.rules import words
from claims.rules.quantities import Bound, Quantity
from claims.rules.reading import Slug, doc
from claims.rules.windows import DayWindow, HourWindow, MonthDay

AtCreek = Literal["before", "at_creek"]


@dataclass(frozen=True, kw_only=True)
class GearFilter:
    """Which pieces of gear are meant; each key given must fit, a key left out fits any."""

    cls: tuple[words.GearClass, ...] = doc("Classes of gear.", (), name="class")
    power: tuple[words.Power, ...] = doc("Sources of power.", ())
    use: tuple[words.Use, ...] = doc("What it is put to; any of these.", ())
    group: Slug | None = doc("A group of gear that the pack defines.", None)
    not_cls: tuple[words.GearClass, ...] = doc("Classes left out.", (), name="not_class")


@dataclass(frozen=True, kw_only=True)
class Bounded:
    """The four ways to bound an amount; strict and inclusive are different words."""

    over: Quantity | None = doc("More than this.", None)
    at_least: Quantity | None = doc("This or more.", None)
    under: Quantity | None = doc("Less than this.", None)
    at_most: Quantity | None = doc("This or less.", None)

    @property
    def bound(self) -> Bound:
        """The sides as one bound."""
        return Bound(self.over, self.at_least, self.under, self.at_most)


@dataclass(frozen=True, kw_only=True)
class GearIs(GearFilter, Bounded):
    """Some piece of gear in the plan fits (and its number lies within the bound)."""

    TAG: ClassVar[str] = "gear"
    number: words.GearNumber | None = doc("The number on the gear that the bound is about.", None)
    add_up: bool = doc("Add the number up over all pieces that fit.", False)


@dataclass(frozen=True, kw_only=True)
class OnlyGear(GearFilter):
    """Every piece of gear in the plan fits."""

    TAG: ClassVar[str] = "only_gear"


@dataclass(frozen=True, kw_only=True)
class LandIs:
    """The kind of land is one of these."""

    TAG: ClassVar[str] = "land"
    one_of: tuple[words.Land, ...] = doc("Kinds of land.")


@dataclass(frozen=True, kw_only=True)
class TitleIs:
    """The mining title over the ground is one of these."""

    TAG: ClassVar[str] = "title"
    one_of: tuple[words.Title, ...] = doc("Kinds of mining title.")


@dataclass(frozen=True, kw_only=True)
class AreaIs:
    """The site lies in one of these areas, each defined by the pack."""

    TAG: ClassVar[str] = "area"
    one_of: tuple[Slug, ...] = doc("Ids of areas.")


@dataclass(frozen=True, kw_only=True)
class WaterIs:
    """The water is one of these, by name (capitals don't matter)."""

    TAG: ClassVar[str] = "water"
    one_of: tuple[str, ...] = doc("Names of waters.")


@dataclass(frozen=True, kw_only=True)
class ZoneIs:
    """Work is planned in one of these parts of the stream. Mostly decided at the creek."""

    TAG: ClassVar[str] = "zone"
    one_of: tuple[words.Zone, ...] = doc("Parts of the stream.")


@dataclass(frozen=True, kw_only=True)
class DistanceIs(Bounded):
    """The distance of the site to something lies within the bound."""

    TAG: ClassVar[str] = "distance"
    to: Slug = doc("To what, e.g. homestead.")


@dataclass(frozen=True, kw_only=True)
class DateIn:
    """The day lies in one of these windows, ends included."""

    TAG: ClassVar[str] = "date"
    within: tuple[DayWindow, ...] = doc('Windows: "11-01..05-31" or with years.')


@dataclass(frozen=True, kw_only=True)
class DateInTable:
    """The day lies in the windows that a table of the pack gives for this water or area.

    Not known while the table isn't of this year or has no row for the place.
    """

    TAG: ClassVar[str] = "date_in_table"
    table: Slug = doc("Id of a table of the pack.")


@dataclass(frozen=True, kw_only=True)
class HoursIn:
    """Work is planned within these hours; not known until somebody says from when to when."""

    TAG: ClassVar[str] = "hours"
    within: HourWindow = doc('For example "20:00..08:00" or "sunset..sunrise".')


@dataclass(frozen=True, kw_only=True)
class AmountIs(Bounded):
    """What the record holds for a period, with what the plan adds, lies within the bound."""

    TAG: ClassVar[str] = "amount"
    amount: words.Amount = doc("What is counted.")
    per: words.Per = doc("Over whom or what it is counted.", "party")
    period: "Period" = doc("Over which time.")


@dataclass(frozen=True, kw_only=True)
class PaperHeld:
    """A paper of these codes is held and covers the day."""

    TAG: ClassVar[str] = "paper"
    any_of: tuple[Slug, ...] = doc("Codes of papers.")


@dataclass(frozen=True, kw_only=True)
class PersonIs:
    """Somebody in the party (or everybody) is of this age or supervision."""

    TAG: ClassVar[str] = "person"
    who: Literal["any", "every"] = doc("Somebody, or everybody.", "any")
    under_age: int | None = doc("Younger than this many years.", None)
    of_age: int | None = doc("At least this many years old.", None)
    supervised: bool | None = doc("With an adult who supervises.", None)


@dataclass(frozen=True, kw_only=True)
class CountIs(Bounded):
    """How many people, or holes that are open, lies within the bound."""

    TAG: ClassVar[str] = "count"
    of: Literal["people", "adults", "children", "open_holes"] = doc("What is counted.")


@dataclass(frozen=True, kw_only=True)
class PurposeIs:
    """The trip's purpose is one of these."""

    TAG: ClassVar[str] = "purpose"
    one_of: tuple[words.Purpose, ...] = doc("Purposes.")


@dataclass(frozen=True, kw_only=True)
class AnswerIs:
    """Somebody answered a question of the pack in this way."""

    TAG: ClassVar[str] = "answer"
    question: Slug = doc("Id of a question of the pack.")
    yes: bool | None = doc("For a yes-or-no question.", None)
    one_of: tuple[str, ...] = doc("For a question with choices.", ())


@dataclass(frozen=True, kw_only=True)
class AllOf:
    """All of these hold."""

    TAG: ClassVar[str] = "all"
    of: tuple["Condition", ...] = doc("Tests.")


@dataclass(frozen=True, kw_only=True)
class AnyOf:
    """At least one of these holds."""

    TAG: ClassVar[str] = "any"
    of: tuple["Condition", ...] = doc("Tests.")


@dataclass(frozen=True, kw_only=True)
class NotAll:
    """Not all of these hold."""

    TAG: ClassVar[str] = "not"
    of: tuple["Condition", ...] = doc("Tests.")


@dataclass(frozen=True, kw_only=True)
class Period:
    """Over which time an amount is counted."""

    kind: Literal["trip", "day", "rolling", "calendar_year", "assessment_year", "total"] = doc(
        "A calendar period, or one that rolls."
    )
    hours: int | None = doc("Length of a rolling period in hours, at least 24.", None)
    starts: MonthDay | None = doc("First day of an assessment year.", None)


Condition = (
    GearIs
    | OnlyGear
    | LandIs
    | TitleIs
    | AreaIs
    | WaterIs
    | ZoneIs
    | DistanceIs
    | DateIn
    | DateInTable
    | HoursIn
    | AmountIs
    | PaperHeld
    | PersonIs
    | CountIs
    | PurposeIs
    | AnswerIs
    | AllOf
    | AnyOf
    | NotAll
)
