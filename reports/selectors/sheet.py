"""What goes along on paper: one trip as words and tables, the same for print page and PDF."""

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

from claims.lines import CheckLine
from claims.models import Paper, Party
from claims.rules.terms import term_on
from claims.web import show
from trips.calc.payladder import LABELS
from trips.models import Gear, Trip
from trips.selectors.trip_page import TripPage, trip_page

COST_HEADS = ("Cost", "Amount", "From what")
STEP_HEADS = ("To pay for", "Money", "Raw gold")
NOBODY = "unknown: nobody is named yet"


@dataclass(frozen=True)
class PaperOnDay:
    """A paper that covers a site of the plan, as it stands on the trip's last day."""

    title: str
    sites: str
    number: str
    holder: str
    term: str
    conditions: str


@dataclass(frozen=True)
class PlaceOnSheet:
    """A site in the plan's order, with the way there."""

    order: str
    name: str
    trigger: str
    way: str


@dataclass(frozen=True)
class TripSheet:
    """A trip sheet. Every unknown is already a word, with the reason where one is known."""

    title: str
    party_name: str
    as_of: dt.date
    state: str
    is_ahead: bool
    dates: str
    key_figures: tuple[tuple[str, str, str], ...]
    alarm: tuple[tuple[str, str], ...]
    places: tuple[PlaceOnSheet, ...]
    facts: tuple[tuple[str, str], ...]
    packing: tuple[str, ...]
    papers: tuple[PaperOnDay, ...]
    checks: tuple[tuple[str, tuple[CheckLine, ...]], ...]
    cautions: tuple[CheckLine, ...]
    costs: tuple[tuple[str, str, str], ...]
    steps: tuple[tuple[str, str, str], ...]
    money_notes: tuple[str, ...]


def trip_sheet(*, trip: Trip, party: Party, today: dt.date, units: dict[str, str]) -> TripSheet:
    """The sheet of one trip in a person's units; a constant number of queries."""
    page = trip_page(trip=trip, party=party, today=today, units=units)
    trip = page.trip
    return TripSheet(
        title=str(trip),
        party_name=party.name,
        as_of=today,
        state=str(trip.get_state_display()),
        is_ahead=trip.state in (Trip.State.PLANNED, Trip.State.UNDER_WAY),
        dates=_dates(trip.starts_on, trip.ends_on),
        key_figures=_key_figures(page, units),
        alarm=_alarm(page),
        places=_places(page, units),
        facts=_facts(page, units),
        packing=tuple(_piece(piece) for piece in page.gear),
        papers=_papers(page, party),
        checks=tuple((site.title, site.lines) for site in page.checks),
        cautions=page.cautions,
        costs=_costs(page),
        steps=_steps(page, units),
        money_notes=_money_notes(page),
    )


def _dates(first: dt.date, last: dt.date) -> str:
    if first == last:
        return f"{first:%A} {show.day(first)}"
    return f"{first:%A} {show.day(first)} to {last:%A} {show.day(last)}"


def _light(page: TripPage) -> tuple[str, str]:
    """Daylight and what to know about it."""
    light = page.light
    if light.sunrise and light.sunset:
        return (
            f"{light.sunrise} to {light.sunset}",
            f"{show.minutes(light.minutes)}, {page.zone_name}; less in a gorge",
        )
    if light.minutes is None:
        return show.UNKNOWN, light.note
    return show.minutes(light.minutes), light.note


def _key_figures(page: TripPage, units: dict[str, str]) -> tuple[tuple[str, str, str], ...]:
    outlay = next((step for step in page.steps if step.label == LABELS["outlay"]), None)
    gold = show.quantity("mass", outlay.gold_ug if outlay else None, units["mass"])
    return (
        ("Back by", page.back_by or show.UNKNOWN, page.zone_name if page.back_by else "not said"),
        (
            "Raise the alarm at",
            page.alarm_at or show.UNKNOWN,
            page.zone_name if page.alarm_at else "no time is set",
        ),
        ("Daylight", *_light(page)),
        ("Gold that pays the outlay", gold, outlay.reason if outlay else ""),
    )


def _alarm(page: TripPage) -> tuple[tuple[str, str], ...]:
    trip = page.trip
    return (
        ("Who raises the alarm", trip.alarm_name or NOBODY),
        ("How to reach them", trip.alarm_contact or "unknown: no number is noted"),
        ("Back by", page.back_by or "unknown: not said"),
        ("Alarm at", page.alarm_at or "unknown: no time is set"),
    )


def _places(page: TripPage, units: dict[str, str]) -> tuple[PlaceOnSheet, ...]:
    rows = [page.first, *page.fallbacks] if page.first else []
    return tuple(
        PlaceOnSheet(
            order="First choice" if row.rank == 0 else f"Fallback {row.rank}",
            name=row.site.name,
            trigger=""
            if row.rank == 0
            else row.trigger or "unknown: what sends you there isn't noted",
            way=_way(row.site, units),
        )
        for row in rows
    )


def _way(site, units: dict[str, str]) -> str:
    legs = [leg for leg in (site.sealed_m, site.unsealed_m, site.track_m) if leg is not None]
    distance = show.quantity("distance", sum(legs) if legs else None, units["distance"])
    drive, walk = show.minutes(site.drive_minutes), show.minutes(site.walk_minutes)
    return f"{distance} one way, {drive} drive, {walk} walk"


def _facts(page: TripPage, units: dict[str, str]) -> tuple[tuple[str, str], ...]:
    trip = page.trip
    people = ", ".join(f"{p.name} ({p.phone})" if p.phone else p.name for p in page.people)
    car = "none noted"
    if trip.vehicle:
        car = f"{trip.vehicle}{', with a trailer' if trip.is_towing else ''}"
    hours = show.minutes(page.plan_minutes.minutes)
    if page.plan_minutes.reason:
        hours = f"{hours}: {page.plan_minutes.reason}"
    rows = [
        ("Who goes", people or NOBODY),
        ("Car", car),
        ("At the creek, planned", show.minutes(trip.planned_work_minutes)),
        ("Door to door, planned", hours),
        ("Daylight on the first day", ", ".join(filter(None, _light(page)))),
    ]
    if trip.plan_note:
        rows.append(("Note", trip.plan_note))
    return tuple(rows)


def _piece(gear: Gear) -> str:
    kind = str(gear.get_kind_display())
    return gear.name if kind.casefold() in gear.name.casefold() else f"{gear.name} ({kind})"


def _papers(page: TripPage, party: Party) -> tuple[PaperOnDay, ...]:
    names = {row.site_id: row.site.name for row in (page.first, *page.fallbacks) if row}
    papers = party.papers.filter(sites__in=list(names)).distinct().prefetch_related("sites")
    return tuple(_on_day(paper, page.trip, names) for paper in papers)


def _on_day(paper: Paper, trip: Trip, names: dict[int, str]) -> PaperOnDay:
    term = term_on(trip.starts_on, paper.issued_on, paper.expires_on, paper.renewal_lead_days)
    if term.code != "not_begun":
        term = term_on(trip.ends_on, paper.issued_on, paper.expires_on, paper.renewal_lead_days)
    expires = show.day(paper.expires_on) if paper.expires_on else "unknown: no end is noted"
    covered = [site.pk for site in paper.sites.all()]
    return PaperOnDay(
        title=paper.name,
        sites=", ".join(name for pk, name in names.items() if pk in covered),
        number=paper.number or "not noted",
        holder=paper.holder or "not noted",
        term=f"Last day {expires}. On this trip: {term.words}.",
        conditions=paper.conditions or "not noted: read the paper itself",
    )


def _costs(page: TripPage) -> tuple[tuple[str, str, str], ...]:
    lines = [
        (line.label, show.money(line.amount_minor, page.currency), line.basis)
        for line in page.cost.lines
    ]
    if not lines:
        return ()
    return (
        *lines,
        ("Outlay, fuel included", show.money(page.outlay_minor, page.currency), ""),
        ("Wear on top", show.money(page.wear_minor, page.currency), ""),
    )


def _steps(page: TripPage, units: dict[str, str]) -> tuple[tuple[str, str, str], ...]:
    return tuple(
        (
            step.label.capitalize(),
            show.money(step.money_minor, page.currency),
            show.quantity("mass", step.gold_ug, units["mass"]),
        )
        for step in page.steps
    )


def _money_notes(page: TripPage) -> tuple[str, ...]:
    party = page.trip.party
    return (
        f"Gold price: {page.price_words}.",
        f"Raw gold of {party.fineness} ‰, a buyer paying {party.payable_ppt / 10:g} % of its "
        "metal value. Each line holds the lines above it.",
        *(f"{step.label.capitalize()}: unknown. {step.reason}" for step in _unknown(page)),
    )


def _unknown(page: TripPage) -> Iterable:
    return (step for step in page.steps if step.reason)
