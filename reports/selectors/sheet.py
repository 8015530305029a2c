"""What goes along on paper: one trip as words and tables, the same for print page and PDF."""

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

from claims.lines import CheckLine, PhaseLines, by_phase
from claims.models import Paper, Party
from claims.web import show
from claims.web.asof import zone
from trips.calc import local
from trips.calc.words import marked, say
from trips.models import Trip
from trips.selectors.trip_page import TripPage, trip_page

COST_HEADS = (marked("Cost"), marked("Amount"), marked("From what"))
NO_TRIGGER = marked("unknown: what sends you there isn't noted")
NOBODY = marked("unknown: nobody is named yet")


@dataclass(frozen=True)
class PaperOnDay:
    """A paper that covers a site of the plan, as it stands on the trip's last day."""

    title: str
    sites: str
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
    papers_over: int
    checks: tuple[tuple[str, tuple[CheckLine, ...]], ...]
    cautions: tuple[CheckLine, ...]
    costs: tuple[tuple[str, str, str], ...]
    steps: tuple[tuple[str, str, str], ...]
    money_notes: tuple[str, ...]

    @property
    def check_groups(self) -> tuple[tuple[str, tuple[PhaseLines, ...]], ...]:
        """The lines of each site by when they matter."""
        return tuple((title, by_phase(lines)) for title, lines in self.checks)


def trip_sheet(
    *,
    trip: Trip,
    party: Party,
    today: dt.date,
    units: dict[str, str],
    page: TripPage | None = None,
) -> TripSheet:
    """The sheet of one trip in a person's units, from its page if that is loaded already."""
    page = page or trip_page(trip=trip, party=party, today=today, units=units)
    trip = page.trip
    papers, over = _papers(page)
    return TripSheet(
        title=str(trip),
        party_name=party.name,
        as_of=today,
        state=str(trip.get_state_display()),
        is_ahead=trip.state in (Trip.State.PLANNED, Trip.State.UNDER_WAY),
        dates=_dates(trip.starts_on, trip.ends_on),
        key_figures=_key_figures(page),
        alarm=_alarm(page),
        places=_places(page, units),
        facts=_facts(page),
        packing=tuple(piece.name for piece in page.gear),
        papers=papers,
        papers_over=over,
        checks=_checks(page, papers),
        cautions=page.cautions,
        costs=_costs(page),
        steps=_steps(page, units),
        money_notes=_money_notes(page),
    )


def _dates(first: dt.date, last: dt.date) -> str:
    if first == last:
        return _weekday(first)
    return say("{first} to {last}", first=_weekday(first), last=_weekday(last))


def _weekday(day: dt.date) -> str:
    return f"{local.weekday_names()[day.weekday()][1]} {show.day(day)}"


def _light(page: TripPage) -> tuple[str, str]:
    """Daylight and what to know about it."""
    light = page.light
    if light.sunrise and light.sunset:
        return (
            f"{light.sunrise}–{light.sunset}",
            say(
                "{minutes}, {zone_name}; less in a gorge",
                minutes=show.minutes(light.minutes),
                zone_name=page.zone_name,
            ),
        )
    if light.minutes is None:
        return say(show.UNKNOWN), light.note
    return show.minutes(light.minutes), light.note


def _key_figures(page: TripPage) -> tuple[tuple[str, str, str], ...]:
    work = show.minutes(page.trip.planned_work_minutes)
    back, alarm = (_clock(at, page.zone_name) for at in (page.trip.back_by, page.trip.alarm_at))
    return (
        (say("Back by"), back or say(show.UNKNOWN), page.zone_name if back else say("not said")),
        (
            say("Raise the alarm at"),
            alarm or say(show.UNKNOWN),
            page.zone_name if alarm else say("no time is set"),
        ),
        (say("Daylight on the first day"), *_light(page)),
        (
            say("Door to door, planned"),
            show.minutes(page.plan_minutes.minutes),
            say(
                "{reason} At the creek: {work}", reason=page.plan_minutes.reason, work=work
            ).strip(),
        ),
    )


def _clock(instant: dt.datetime | None, zone_name: str) -> str:
    """Day and time by the site's clock; the sheet's own dates name the year."""
    if instant is None:
        return ""
    face = instant.astimezone(zone(zone_name))
    return f"{local.day_of_month(face.date())}, {face:%H:%M}"


def _alarm(page: TripPage) -> tuple[tuple[str, str], ...]:
    return (
        (say("Who raises the alarm"), page.trip.alarm_name or say(NOBODY)),
        (say("How to reach them"), page.trip.alarm_contact or say("unknown: no number is noted")),
    )


def _places(page: TripPage, units: dict[str, str]) -> tuple[PlaceOnSheet, ...]:
    rows = [page.first, *page.fallbacks] if page.first else []
    return tuple(
        PlaceOnSheet(
            order=say("First choice") if row.rank == 0 else say("Fallback {rank}", rank=row.rank),
            name=row.site.name,
            trigger="" if row.rank == 0 else row.trigger or say(NO_TRIGGER),
            way=_way(row.site, units),
        )
        for row in rows
    )


def _way(site, units: dict[str, str]) -> str:
    legs = [leg for leg in (site.sealed_m, site.unsealed_m, site.track_m) if leg is not None]
    distance = show.quantity("distance", sum(legs) if legs else None, units["distance"])
    drive, walk = show.minutes(site.drive_minutes), show.minutes(site.walk_minutes)
    return say(
        "{distance} one way, {drive} drive, {walk} walk", distance=distance, drive=drive, walk=walk
    )


def _facts(page: TripPage) -> tuple[tuple[str, str], ...]:
    trip = page.trip
    people = ", ".join(f"{p.name} ({p.phone})" if p.phone else p.name for p in page.people)
    car = say("none noted")
    if trip.vehicle:
        car = (
            say("{car}, with a trailer", car=trip.vehicle) if trip.is_towing else str(trip.vehicle)
        )
    rows = [
        (say("Who goes"), people or say(NOBODY)),
        (say("Car"), car),
    ]
    if trip.plan_note:
        rows.append((say("Note"), trip.plan_note))
    return tuple(rows)


def _checks(
    page: TripPage, papers: tuple[PaperOnDay, ...]
) -> tuple[tuple[str, tuple[CheckLine, ...]], ...]:
    """Lines by site, nothing twice: not word for word, and no plain line of a paper listed."""
    listed = tuple(f"{paper.title}:" for paper in papers)
    said: set[str] = set()
    found = []
    for site in page.checks:
        lines = tuple(
            line
            for line in site.lines
            if line.text not in said
            and not (line.outcome == "know" and line.text.startswith(listed))
        )
        said |= {line.text for line in lines}
        found.append((site.title, lines))
    return tuple(found)


def _papers(page: TripPage) -> tuple[tuple[PaperOnDay, ...], int]:
    """Papers for the sites of the plan, and how many of them ran out before the trip."""
    names = {row.site_id: row.site.name for row in (page.first, *page.fallbacks) if row}
    papers = [p for p in page.papers if any(site.pk in names for site in p.sites.all())]
    over = [p for p in papers if p.last_day is not None and p.last_day < page.trip.starts_on]
    return tuple(_on_day(p, page.trip, names) for p in papers if p not in over), len(over)


def _on_day(paper: Paper, trip: Trip, names: dict[int, str]) -> PaperOnDay:
    term = paper.term_on(trip.starts_on)
    if term.code != "not_begun":
        term = paper.term_on(trip.ends_on)
    end = paper.end
    expires = show.day(end.last_day) if end.last_day else say("unknown: no end is noted")
    if end.basis == "life":
        expires = say("none, for life")
    covered = [site.pk for site in paper.sites.all()]
    return PaperOnDay(
        title=str(paper),
        sites=", ".join(name for pk, name in names.items() if pk in covered),
        holder=paper.holder or say("not noted"),
        term=say("Last day {expires}. On this trip: {words}.", expires=expires, words=term.words),
        conditions=paper.conditions or say("not noted: read the paper itself"),
    )


def _costs(page: TripPage) -> tuple[tuple[str, str, str], ...]:
    """Outlay by line; wear as one line, because nobody pays it on the way."""
    lines = [
        (
            line.label[:1].upper() + line.label[1:],
            show.money(line.amount_minor, page.currency),
            line.basis,
        )
        for line in page.cost.lines
        if line.layer != "wear"
    ]
    if not page.cost.lines:
        return ()
    return (
        *lines,
        (
            say("Outlay, fuel included"),
            show.money(page.outlay_minor, page.currency),
            say("all of the above"),
        ),
        (say("With wear of car and gear"), show.money(_with_wear(page), page.currency), ""),
    )


def _with_wear(page: TripPage) -> int | None:
    if page.outlay_minor is None or page.wear_minor is None:
        return None
    return page.outlay_minor + page.wear_minor


def _steps(page: TripPage, units: dict[str, str]) -> tuple[tuple[str, str, str], ...]:
    return tuple(
        (
            say("Pays {label}", label=step.label).replace(
                say("own figure per hour"), say("hourly figure")
            ),
            show.quantity("mass", step.gold_ug, units["mass"]),
            say(
                "of raw gold, for {money_minor}",
                money_minor=show.money(step.money_minor, page.currency),
            ),
        )
        for step in page.steps
    )


def _money_notes(page: TripPage) -> tuple[str, ...]:
    party = page.trip.party
    return (
        say("Gold price: {price_words}.", price_words=page.price_words),
        say(
            "Raw gold of {fineness} ‰, a buyer paying {payable_ppt:g} % of its "
            "metal value. Each figure holds the ones before it.",
            fineness=party.fineness,
            payable_ppt=party.payable_ppt / 10,
        ),
        *(
            say("Pays {label}: unknown. {reason}", label=step.label, reason=step.reason)
            for step in _unknown(page)
        ),
    )


def _unknown(page: TripPage) -> Iterable:
    return (step for step in page.steps if step.reason)
