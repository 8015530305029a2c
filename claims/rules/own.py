"""A party's own rules as a pack, so that they evaluate, stack and show like any other.

Each comes as a plain `OwnTerm`; which fields count hangs on its shape.
"""

import datetime as dt
from dataclasses import dataclass
from typing import Literal, cast

from claims.rules import effects as e
from claims.rules import when as c
from claims.rules.quantities import Quantity
from claims.rules.reading import Slug
from claims.rules.schema import Pack, PackHead, Rule, Source
from claims.rules.when import Condition, Period
from claims.rules.windows import DayWindow
from claims.rules.words import DuePoint, GearClass, Kind
from trips.calc.words import say

PACK_ID = "own"
PeriodKind = Literal["trip", "day", "calendar_year"]
LONG_AFTER = dt.date(9999, 12, 31)


@dataclass(frozen=True, kw_only=True)
class OwnTerm:
    """One own rule: its words, where it is from, and what its shape needs."""

    id: str
    shape: str
    text: str
    agreed_with: str
    written_where: str
    dated: str
    closed_from: str = ""
    closed_until: str = ""
    gear_class: str = ""
    most_ml: int | None = None
    most_mm: int | None = None
    most_people: int | None = None
    period: str = ""
    due: str = ""
    lead_days: int | None = None
    valid_from: dt.date | None = None
    valid_to: dt.date | None = None


def own_pack(terms: tuple[OwnTerm, ...], party: str, checked_on: dt.date) -> Pack | None:
    """The pack of these rules; None without any."""
    if not terms:
        return None
    head = PackHead(
        id=Slug(PACK_ID),
        title=say("Own rules of {party}", party=party),
        level="own",
        code="own",
        version="own",
        checked_on=checked_on,
        review_by=LONG_AFTER,
        confirm_with=say("whoever set the rule"),
        sourcing="own",
    )
    return Pack(
        pack=head,
        source=tuple(_source(term) for term in terms),
        rule=tuple(_rule(term) for term in terms),
    )


def _source(term: OwnTerm) -> Source:
    return Source(
        id=Slug(term.id),
        title=say("Agreed with {agreed_with}", agreed_with=term.agreed_with),
        where=term.written_where,
        date_of_text=term.dated,
        how_known="own",
    )


def _rule(term: OwnTerm) -> Rule:
    kind, when, effect = _shape(term)
    text = term.text if term.text.rstrip().endswith((".", "!", "?")) else f"{term.text.rstrip()}."
    return Rule(
        id=Slug(term.id),
        kind=kind,
        text=text,
        sources=(Slug(term.id),),
        valid_from=term.valid_from,
        valid_to=term.valid_to,
        when=when,
        effect=effect,
        confirm_with=term.agreed_with,
    )


def _shape(term: OwnTerm) -> tuple[Kind, tuple[Condition, ...], e.Effect]:
    match term.shape:
        case "closed":
            window = DayWindow(term.closed_from, term.closed_until)
            return "season_window", (c.DateIn(within=(window,)),), e.Prohibit()
        case "no_gear":
            return (
                "equipment_prohibited",
                (c.GearIs(cls=(cast(GearClass, term.gear_class),)),),
                e.Prohibit(),
            )
        case "no_engine":
            powered = c.GearIs(power=("engine", "battery"), not_cls=("detector",))
            return "equipment_prohibited", (powered,), e.Prohibit()
        case "consent":
            return (
                "consent_required",
                (),
                e.NeedConsent(of=(term.agreed_with,), lead_days=term.lead_days),
            )
        case "notice":
            return (
                "notice_required",
                (),
                e.GiveNotice(to=(term.agreed_with,), lead_days=term.lead_days),
            )
        case "volume":
            most = Quantity("volume", term.most_ml or 0, f"{_litres(term.most_ml or 0)} L")
            period = Period(kind=cast(PeriodKind, term.period or "day"))
            return (
                "quantity_cap",
                (),
                e.AmountLimit(amount="moved_volume", per="site", period=period, at_most=most),
            )
        case "people":
            count = term.most_people or 0
            return (
                "group_limit",
                (),
                e.CountLimit(
                    of="people",
                    at_most=Quantity("count", count, f"{count} people"),
                ),
            )
        case "depth":
            deep = term.most_mm or 0
            depth = Quantity("length", deep * 1000, f"{_litres(deep)} m")
            return "depth_limit", (), e.HoleLimit(depth=depth)
        case "fill":
            return (
                "rehab_duty",
                (),
                e.Duty(due=cast(DuePoint, term.due or "before_leaving"), holes=True),
            )
        case "duty":
            return (
                "site_protection",
                (),
                e.Duty(due=cast(DuePoint, term.due or "during"), days=term.lead_days or 0),
            )
    return "area_excluded", (), e.Ask()


def _litres(thousandths: int) -> str:
    """Thousandths as a plain decimal: millilitres as litres, millimetres as metres."""
    text = f"{thousandths // 1000}.{thousandths % 1000:03d}".rstrip("0")
    return text.rstrip(".")
