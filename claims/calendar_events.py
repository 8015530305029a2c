"""Everything with a day as events: what the month page shows and the calendar feed hands out."""

import datetime as dt
import uuid
from dataclasses import dataclass

from django.urls import reverse

from claims import agenda
from claims.models import CalendarFeed, Duty, Hole, Paper
from claims.rules.duties import first_up
from claims.rules.repeats import due_days
from claims.rules.spans import from_iso
from trips.calc.words import say


@dataclass(frozen=True)
class CalendarEvent:
    """One event on a whole day, or at `at` in the zone called `zone`.

    `key` is stable for the same due day of the same thing; `sequence` goes up when it changes.
    """

    key: str
    day: dt.date
    at: dt.time | None
    zone: str
    title: str
    about: str
    state: str
    words: str
    address: str
    sequence: int
    changed_at: dt.datetime
    remind_days: int | None = None

    @property
    def badge(self) -> str:
        return agenda.BADGES[self.state]


def events(book: agenda.Ledger, first: dt.date, last: dt.date) -> tuple[CalendarEvent, ...]:
    """Events from `first` to `last`, both included, in order. No queries of its own."""
    found = [event for duty in book.duties for event in _of_duty(duty, book)]
    found += [event for paper in book.papers for event in _of_paper(paper, book)]
    found += [event for hole in book.holes for event in _of_hole(hole, book)]
    here = [event for event in found if first <= event.day <= last]
    return tuple(sorted(here, key=lambda e: (e.day, e.at or dt.time.min, e.title, e.key)))


def _of_duty(duty: Duty, book: agenda.Ledger) -> list[CalendarEvent]:
    settled = {done.due_on: done for done in duty.settled.all() if done.done_on <= book.day}
    lead = from_iso(duty.lead_span)
    zone = (duty.site.time_zone if duty.site else "") or book.party.time_zone
    rows = []
    for day in due_days(duty.repeat, duty.first_due):
        remind = lead.before(day) if lead else None
        done = settled.get(day)
        rows.append(
            CalendarEvent(
                key=f"duty/{duty.uuid}/{day.isoformat()}",
                day=day,
                at=duty.due_time,
                zone=zone,
                title=duty.title,
                about=_lines(
                    agenda.about_duty(duty),
                    duty.send_to and say("To: {send_to}", send_to=duty.send_to),
                ),
                state="settled" if done else agenda.day_state(day, remind or day, book.day),
                words=str(done.get_outcome_display()) if done else "",
                address=reverse("claims:duty_detail", args=[duty.pk]),
                sequence=duty.version,
                changed_at=duty.changed_at,
                remind_days=(day - remind).days if remind and not done else None,
            )
        )
    return rows


def _of_paper(paper: Paper, book: agenda.Ledger) -> list[CalendarEvent]:
    """Last day, and from and until when its renewal is to be asked for."""
    end, renewal = paper.end, paper.renewal
    followed = agenda.followed_by(paper, book.papers) is not None
    counted = "" if end.basis == "printed" else say("Counted: {words}.", words=end.words)
    by_duty = end.last_day is not None and agenda.has_renewal_duty(paper, end.last_day, book.duties)
    days = (
        ("last-day", end.last_day, say("Last day of {paper}", paper=paper), counted, True),
        (
            "opens",
            renewal.opens_on,
            say("Renewal of {paper} may be asked for", paper=paper),
            paper.issuer,
            False,
        ),
        (
            "apply-by",
            None if by_duty else renewal.apply_by,
            say("Last day to ask for the renewal of {paper}", paper=paper),
            paper.issuer,
            True,
        ),
    )
    rows = []
    for what, day, title, about, has_to_be_met in days:
        if day is None:
            continue
        lead = paper.renewal_lead_days if has_to_be_met and not followed else None
        remind = day - dt.timedelta(days=lead) if lead else day
        state = agenda.day_state(day, remind, book.day)
        rows.append(
            CalendarEvent(
                key=f"paper/{paper.pk}/{what}",
                day=day,
                at=None,
                zone=book.party.time_zone,
                title=title,
                about=about,
                state=state if has_to_be_met and not followed else "settled",
                words=say("another paper follows it") if followed else "",
                address=reverse("claims:paper_detail", args=[paper.pk]),
                sequence=paper.version,
                changed_at=paper.changed_at,
                remind_days=lead,
            )
        )
    return rows


def _of_hole(hole: Hole, book: agenda.Ledger) -> list[CalendarEvent]:
    due = agenda.hole_due(hole, book)
    if due is None:
        return []
    is_filled = hole.filled_on is not None and hole.filled_on <= book.day
    return [
        CalendarEvent(
            key=f"hole/{hole.uuid}",
            day=due.day,
            at=None,
            zone=book.party.time_zone,
            title=say("Fill the hole at {spot}", spot=hole.spot or hole.site),
            about=_lines(str(hole.site), f"{first_up(due.words)}: {due.source}"),
            state="settled" if is_filled else agenda.day_state(due.day, due.day, book.day),
            words=say("filled") if is_filled else "",
            address=reverse("claims:hole_detail", args=[hole.pk]),
            sequence=hole.version,
            changed_at=dt.datetime.combine(
                hole.filled_on if is_filled else hole.opened_on, dt.time(), dt.UTC
            ),
        )
    ]


def _lines(*texts: str) -> str:
    return "\n".join(text for text in texts if text)


def calendar_bytes(
    feed: CalendarFeed, found: tuple[CalendarEvent, ...], *, site_address: str
) -> bytes:
    """The events as an RFC 5545 calendar in UTF-8; the same events give the same bytes.

    Args: site_address: scheme and host before each event's own address.
    """
    from icalendar import Calendar

    calendar = Calendar()
    calendar.add("prodid", "-//Gravel Ledger//Papers and duties//EN")
    calendar.add("version", "2.0")
    calendar.add("method", "PUBLISH")
    # RFC 7986: what the calendar is called and how often to look again.
    calendar.add("name", say("Papers and duties: {party}", party=feed.party))
    calendar.add("refresh-interval", dt.timedelta(hours=12), {"value": "DURATION"})
    for event in found:
        calendar.add_component(_component(feed, event, site_address))
    timed = [event.day for event in found if event.at is not None]
    if timed:
        year = dt.timedelta(days=366)
        calendar.add_missing_timezones(min(timed) - year, max(timed) + year)
    return calendar.to_ical()


def _component(feed: CalendarFeed, event: CalendarEvent, site_address: str):
    from icalendar import Alarm, Event

    from claims.web.asof import zone

    part = Event()
    part.add("uid", str(uuid.uuid5(feed.uuid, event.key)))
    part.add("dtstamp", event.changed_at.astimezone(dt.UTC))
    part.add("last-modified", event.changed_at.astimezone(dt.UTC))
    part.add("sequence", event.sequence)
    if event.at is None:
        part.add("dtstart", event.day)
        part.add("dtend", event.day + dt.timedelta(days=1))
    else:
        part.add("dtstart", dt.datetime.combine(event.day, event.at, zone(event.zone)))
    settled = event.state == "settled" and event.words
    part.add("summary", f"✓ {event.title} ({event.words})" if settled else event.title)
    if event.about:
        part.add("description", event.about)
    part.add("url", f"{site_address}{event.address}")
    # A due day doesn't make anybody busy.
    part.add("transp", "TRANSPARENT")
    if event.remind_days:
        alarm = Alarm()
        alarm.add("action", "DISPLAY")
        alarm.add("trigger", dt.timedelta(days=-event.remind_days))
        alarm.add("description", event.title)
        part.add_component(alarm)
    return part
