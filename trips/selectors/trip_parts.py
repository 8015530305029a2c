"""The parts of a trip's page, each worked out from rows that are already fetched."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from claims.lines import Answerable, CheckLine, PhaseLines, by_phase, counts_of, worst
from claims.models import Party, Person, Site
from claims.web import show
from claims.web.asof import zone
from trips.calc.costs import TripCost
from trips.calc.daylight import daylight
from trips.calc.gold import PricePoint, Unknown, value_gold
from trips.calc.payladder import LABELS, break_even_ug, rungs
from trips.calc.settle import Payment, Transfer, settle
from trips.calc.shares import split_evenly
from trips.calc.words import say
from trips.models import Cost, HoursBlock, Trip

ACTIVITY_ORDER = {activity: place for place, activity in enumerate(HoursBlock.Activity.values)}


@dataclass(frozen=True)
class Minutes:
    """A length of time that may be unknown, with the reason."""

    minutes: int | None
    reason: str = ""


@dataclass(frozen=True)
class Step:
    """One rung of the pay ladder: money and raw gold that reach it; None with the reason."""

    label: str
    money_minor: int | None
    gold_ug: int | None
    reached: bool | None
    reason: str


@dataclass(frozen=True)
class Light:
    """Daylight at a site on a day; None with the reason."""

    minutes: int | None
    sunrise: str
    sunset: str
    note: str


@dataclass(frozen=True)
class SiteChecks:
    """Checklist lines of one site, gravest first."""

    title: str
    trigger: str
    lines: tuple[CheckLine, ...]
    site_id: int = 0
    answered: tuple[Answerable, ...] = ()

    @property
    def groups(self) -> tuple[PhaseLines, ...]:
        """The same lines by when they matter."""
        return by_phase(self.lines)

    @property
    def counts(self) -> str:
        """How many lines of each outcome, e.g. "2 stop, 5 to do"."""
        return counts_of(self.lines)

    @property
    def outcome(self) -> str:
        """The gravest of its lines."""
        return worst(self.lines)


@dataclass(frozen=True)
class ShareRow:
    """One person's part of the money: minor units."""

    name: str
    share_minor: int
    paid_minor: int


@dataclass(frozen=True)
class Shares:
    """Who carries what and who owes whom; `unnamed_minor` was paid by nobody named."""

    rows: tuple[ShareRow, ...]
    transfers: tuple[Transfer, ...]
    unnamed_minor: int


@dataclass(frozen=True)
class Worth:
    """What the gold is worth at one price, and what is left after the outlay."""

    title: str
    value_minor: int | None
    net_minor: int | None
    per_hour_minor: int | None
    note: str


@dataclass(frozen=True)
class Comparison:
    """One line of plan against record, in words."""

    label: str
    planned: str
    happened: str


def planned_minutes(trip: Trip, site: Site | None) -> Minutes:
    """Door to door: the way there and back, by car and on foot, and the work."""
    if trip.planned_work_minutes is None:
        return Minutes(None, say("The time at the creek isn't planned yet."))
    if site is None:
        return Minutes(None, say("No site is chosen."))
    missing = [
        word
        for word, value in (("drive", site.drive_minutes), ("walk", site.walk_minutes))
        if value is None
    ]
    if missing:
        way = say(" and the ").join(missing)
        return Minutes(
            None, say("How long the {way} to {site} takes isn't noted.", way=way, site=site)
        )
    return Minutes(trip.planned_work_minutes + 2 * (site.drive_minutes + site.walk_minutes))


def ladder(
    *,
    cost: TripCost,
    value_minor: int | None,
    value_reason: str,
    person_minutes: Minutes,
    price: PricePoint | Unknown,
    party: Party,
) -> tuple[Step, ...]:
    """The four rungs with the raw gold that each takes at a price."""
    steps = []
    for rung in rungs(
        value_minor, cost, person_minutes.minutes, party.hourly_figure_minor, value_reason
    ):
        even = break_even_ug(rung.threshold_minor, price, party.fineness, payable_ratio(party))
        reason = rung.reason if rung.threshold_minor is None else ""
        if rung.threshold_minor is not None and even.mass_ug is None:
            reason = even.reason
        if rung.key == "hours" and person_minutes.minutes is None and party.hourly_figure_minor:
            reason = person_minutes.reason
        steps.append(
            Step(LABELS[rung.key], rung.threshold_minor, even.mass_ug, rung.reached, reason)
        )
    return tuple(steps)


def payable_ratio(party: Party) -> Decimal:
    return Decimal(party.payable_ppt) / 1000


def price_words(price: PricePoint | Unknown) -> str:
    """The price with its unit, date and source; or why there is none."""
    if isinstance(price, Unknown):
        return say("unknown: {reason}", reason=price.reason)
    unit = say("troy ounce") if price.unit == "ozt" else say("gram")
    amount = show.grouped(price.amount.normalize() + 0)
    return say(
        "{amount} {currency} a {unit} on {day}, {source}",
        amount=amount,
        currency=price.currency,
        unit=unit,
        day=show.day(price.day),
        source=price.source,
    )


def light(site: Site | None, day: dt.date, party: Party) -> Light:
    """Daylight at the site, which needs its position."""
    if site is None or site.latitude_udeg is None or site.longitude_udeg is None:
        where = say(" of {site}", site=site) if site else ""
        return Light(None, "", "", say("The position{where} isn't noted.", where=where))
    found = daylight(
        site.latitude_udeg / 1_000_000,
        site.longitude_udeg / 1_000_000,
        day,
        str(zone(site.time_zone or party.time_zone)),
    )
    return Light(
        found.minutes,
        f"{found.sunrise:%H:%M}" if found.sunrise else "",
        f"{found.sunset:%H:%M}" if found.sunset else "",
        found.note,
    )


def shares(people: Sequence[Person], costs: Iterable[Cost], outlay_minor: int | None) -> Shares:
    """Payments that carry a name, shared evenly over the people of the trip.

    Before anything is paid the rows show each person's part of the planned outlay.
    """
    costs = list(costs)
    named = [cost for cost in costs if cost.paid_by is not None]
    unnamed = sum(cost.amount_minor for cost in costs if cost.paid_by is None)
    names = [person.name for person in people]
    if not names:
        return Shares((), (), unnamed)
    if not named:
        parts = split_evenly(outlay_minor, len(names)) if outlay_minor is not None else ()
        rows = zip(names, parts, strict=False)
        return Shares(tuple(ShareRow(name, part, 0) for name, part in rows), (), unnamed)
    guests = list(dict.fromkeys(c.paid_by.name for c in named if c.paid_by.name not in names))
    done = settle(
        [*names, *guests],
        [Payment(cost.paid_by.name, cost.amount_minor) for cost in named],
        dict.fromkeys(names, 1),
    )
    rows = tuple(ShareRow(name, done.shares[name], done.paid[name]) for name in [*names, *guests])
    return Shares(rows, done.transfers, unnamed)


def worth(
    *,
    title: str,
    fine_ug: int | None,
    price: PricePoint | Unknown,
    outlay_minor: int | None,
    outlay_reason: str,
    door_minutes: int | None,
    party: Party,
) -> Worth:
    """Value at a price, net of the outlay, and per hour door to door; unknown stays unknown."""
    value = value_gold(
        mass_ug=fine_ug, fineness=1000, price=price, payable_ratio=payable_ratio(party)
    )
    note = (
        value.reason if value.amount_minor is None else say("At {price}.", price=price_words(price))
    )
    if value.amount_minor is None or outlay_minor is None:
        reason = note if value.amount_minor is None else f"{note} {outlay_reason}"
        return Worth(title, value.amount_minor, None, None, reason)
    net = value.amount_minor - outlay_minor
    per_hour = round(Decimal(net) * 60 / door_minutes) if door_minutes else None
    return Worth(title, value.amount_minor, net, per_hour, note)


def hours_by_activity(blocks: Iterable[HoursBlock]) -> tuple[tuple[str, int], ...]:
    """Minutes of each activity as noted, in the order of a day."""
    totals: dict[str, int] = {}
    for block in blocks:
        totals[block.activity] = totals.get(block.activity, 0) + block.minutes
    ordered = sorted(totals, key=ACTIVITY_ORDER.__getitem__)
    return tuple((HoursBlock.Activity(name).label, totals[name]) for name in ordered)
