"""What a rule asks for where its tests hold. `type = "…"` in the pack chooses the class.

No effect says that something is allowed: a closed list or a free method only adds "know".
"""

from dataclasses import dataclass
from typing import ClassVar, Literal

from claims.rules import words
from claims.rules.quantities import Quantity
from claims.rules.reading import Day, Slug, doc
from claims.rules.when import AtCreek, Bounded, Condition, GearFilter, Period
from claims.rules.windows import DayWindow, HourWindow, MonthDay


@dataclass(frozen=True, kw_only=True)
class Prohibit:
    """Stop: not as planned."""

    TAG: ClassVar[str] = "prohibit"


@dataclass(frozen=True, kw_only=True)
class GearList:
    """A closed list: gear that fits none of these stops the plan."""

    TAG: ClassVar[str] = "only_gear"
    allow: tuple[GearFilter, ...] = doc("Which gear is on the list.")


@dataclass(frozen=True, kw_only=True)
class OnlyIf:
    """Stop unless these hold, e.g. only in a listed area, only with the holder there."""

    TAG: ClassVar[str] = "only_if"
    that: tuple[Condition, ...] = doc("Tests; all must hold.")


@dataclass(frozen=True, kw_only=True)
class NeedPaper:
    """A paper (or all, or any of several) must be held and cover the day."""

    TAG: ClassVar[str] = "paper"
    all_of: tuple[Slug, ...] = doc("Codes of papers, all needed at once.", ())
    any_of: tuple[Slug, ...] = doc("Codes of papers, one is enough.", ())
    each_person: bool = doc("Everybody needs one of their own.", False)
    exempt_under_age: int | None = doc("Younger people need none of their own …", None)
    exempt_with_adult: bool = doc("… if an adult supervises them.", True)


@dataclass(frozen=True, kw_only=True)
class NeedConsent:
    """Somebody's consent must be had."""

    TAG: ClassVar[str] = "consent"
    of: tuple[str, ...] = doc("Whose, in words: owner, holder of the title.")
    need: Literal["all", "any"] = doc("Consent of all of them, or of one.", "all")
    form: Literal["any", "written"] = doc("In which form.", "any")
    lead_days: int | None = doc("To be asked for this many days ahead.", None)


@dataclass(frozen=True, kw_only=True)
class GiveNotice:
    """Somebody must be told, without having to agree."""

    TAG: ClassVar[str] = "notice"
    to: tuple[str, ...] = doc("Whom, in words.")
    lead_days: int | None = doc("This many days ahead.", None)
    working_days: bool = doc("The lead counts working days, weekends left out.", False)
    form: Literal["any", "written"] = doc("In which form.", "any")
    content: tuple[str, ...] = doc("What the notice must say.", ())
    again_on_leaving: bool = doc("Tell them again when leaving.", False)


@dataclass(frozen=True, kw_only=True)
class GearLimit(GearFilter, Bounded):
    """A number on the gear must lie within the bound."""

    TAG: ClassVar[str] = "gear_limit"
    number: words.GearNumber = doc("Which number.")
    add_up: bool = doc("Add it up over all pieces that fit (ganged units).", False)
    each_alone: bool = doc(
        "The text bounds each piece by itself. Neither this nor add_up: the text is silent, and "
        "pieces that only together pass the bound ask.",
        False,
    )


@dataclass(frozen=True, kw_only=True)
class GearCount(GearFilter, Bounded):
    """How many pieces of this gear there may be."""

    TAG: ClassVar[str] = "gear_count"
    per_person: bool = doc("The bound holds for each person.", False)


@dataclass(frozen=True, kw_only=True)
class AmountLimit(Bounded):
    """An amount so far, from the record, must stay within the bound."""

    TAG: ClassVar[str] = "amount_limit"
    amount: words.Amount = doc("What is counted.")
    per: words.Per = doc("Over whom or what.", "party")
    period: Period = doc("Over which time.")
    big_nuggets_free: Quantity | None = doc("Nuggets of this mass or more don't count.", None)


@dataclass(frozen=True, kw_only=True)
class HoleLimit:
    """A hole may be at most this big."""

    TAG: ClassVar[str] = "hole_limit"
    depth: Quantity | None = doc("Greatest depth.", None)
    length: Quantity | None = doc("Greatest length.", None)
    width: Quantity | None = doc("Greatest width.", None)
    inclusive: bool = doc("A hole of just this size is within the limit.", True)


@dataclass(frozen=True, kw_only=True)
class CountLimit(Bounded):
    """How many people or open holes there may be."""

    TAG: ClassVar[str] = "count_limit"
    of: Literal["people", "adults", "children", "people_per_device", "open_holes"] = doc("What.")
    per_person: bool = doc("The bound holds for each person.", False)


@dataclass(frozen=True, kw_only=True)
class Setback(Bounded):
    """Keep a distance."""

    TAG: ClassVar[str] = "setback"
    to: Slug = doc("From what, e.g. pearl_mussel.")
    known: AtCreek = doc(
        "Whether it can be known before the trip; otherwise it reminds.", "at_creek"
    )


@dataclass(frozen=True, kw_only=True)
class ClosedHours:
    """No work (or none of this kind) within these hours."""

    TAG: ClassVar[str] = "closed_hours"
    within: HourWindow = doc("The closed hours.")


@dataclass(frozen=True, kw_only=True)
class Duty:
    """Something to be done, with a due point."""

    TAG: ClassVar[str] = "duty"
    due: words.DuePoint = doc("When.")
    days: int | None = doc("For after_end and after_paper_end: within this many days.", None)
    on: MonthDay | None = doc("For on_date: the day of the year.", None)
    paper: Slug | None = doc("The paper it belongs to.", None)
    holes: bool = doc("It is about holes: filling, levelling, making safe.", False)


@dataclass(frozen=True, kw_only=True)
class Remind:
    """A date of the calendar: a fee, a report, a filing, work to keep a claim."""

    TAG: ClassVar[str] = "remind"
    on: MonthDay | None = doc("Day of every year.", None)
    on_day: Day | None = doc("One day, once.", None)
    lead_days: int = doc("Remind this many days before.", 30)
    paper: Slug | None = doc("The paper it belongs to.", None)
    roll: Literal["none", "next_business_day", "not_known"] = doc(
        "What happens on a weekend; not known: the earlier day is shown.", "not_known"
    )
    work_minor: int | None = doc("Work due a year, in minor units of `currency`.", None)
    currency: str | None = doc("Three capital letters.", None)
    blocks_renewal: bool = doc("Without it there is no renewal.", False)
    period: Literal["none", "previous_calendar_year", "assessment_year"] = doc(
        "Which time a report is about.", "none"
    )


@dataclass(frozen=True, kw_only=True)
class Apply:
    """A paper has to be asked for by a date."""

    TAG: ClassVar[str] = "apply"
    paper: Slug = doc("Code of the paper.")
    by: MonthDay | None = doc("By this day of the year.", None)
    window: DayWindow | None = doc("Only in this window.", None)
    lead_days: int | None = doc("This many days before the trip.", None)
    lead_months: int | None = doc("This many months before the trip.", None)
    working_days: bool = doc("The lead counts working days.", False)


@dataclass(frozen=True, kw_only=True)
class Standdown:
    """A wait after issue before the paper can be used."""

    TAG: ClassVar[str] = "standdown"
    paper: Slug = doc("Code of the paper.")
    days: int = doc("Days after the day of issue.")
    ended_by: Slug | None = doc("A question whose yes ends the wait early.", None)


@dataclass(frozen=True, kw_only=True)
class PaperTerm:
    """How long a paper runs. A printed last day always comes first."""

    TAG: ClassVar[str] = "term"
    paper: Slug = doc("Code of the paper.")
    years: tuple[int, ...] = doc("Terms in years that are sold.", ())
    months: tuple[int, ...] = doc("Terms in months.", ())
    days: tuple[int, ...] = doc("Terms in days.", ())
    until: Literal["from_issue", "year_end", "fixed_day", "for_life"] = doc(
        "From when to when it counts.", "from_issue"
    )
    fixed_day: Day | None = doc("For fixed_day: the end for everybody.", None)
    renewals: int | None = doc("How often it can be renewed.", None)


@dataclass(frozen=True, kw_only=True)
class Fee:
    """What a paper costs. Shown, never added to a trip by itself."""

    TAG: ClassVar[str] = "fee"
    amount_minor: int | None = doc("In minor units; left out: not known.", None)
    currency: str = doc("Three capital letters.")
    per: str = doc('Per what, in words: "a year", "20 acres or part".', "")
    unit_size: Quantity | None = doc("For a fee by size: per this, or part of it.", None)
    paper: Slug | None = doc("Code of the paper.", None)


@dataclass(frozen=True, kw_only=True)
class Warn:
    """Old, second-hand, conflicting or without a figure: check it."""

    TAG: ClassVar[str] = "warn"


@dataclass(frozen=True, kw_only=True)
class Ask:
    """Look it up, or ask the office."""

    TAG: ClassVar[str] = "ask"


@dataclass(frozen=True, kw_only=True)
class Inform:
    """Good to know: who owns what is found, penalties, what needs no licence."""

    TAG: ClassVar[str] = "inform"


@dataclass(frozen=True, kw_only=True)
class Switch:
    """Which of two effects holds hangs on further tests; not known asks."""

    TAG: ClassVar[str] = "switch"
    when: tuple[Condition, ...] = doc("Tests; all must hold for `then`.")
    then: "SimpleEffect" = doc("Effect where they hold.")
    otherwise: "SimpleEffect" = doc("Effect where they don't.")


SimpleEffect = (
    Prohibit
    | GearList
    | OnlyIf
    | NeedPaper
    | NeedConsent
    | GiveNotice
    | GearLimit
    | GearCount
    | AmountLimit
    | HoleLimit
    | CountLimit
    | Setback
    | ClosedHours
    | Duty
    | Remind
    | Apply
    | Standdown
    | PaperTerm
    | Fee
    | Warn
    | Ask
    | Inform
)
Effect = SimpleEffect | Switch
