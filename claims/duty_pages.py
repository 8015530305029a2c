"""What the pages of duties show."""

import datetime as dt
from dataclasses import dataclass

from claims import agenda
from claims.models import Duty, DutyDone, Party
from claims.rules.duties import NextDue, next_due, weekend_words
from claims.rules.repeats import due_days, repeat_words
from claims.rules.spans import from_iso
from claims.web import show
from claims.whole import whole
from trips.calc.words import say, several

SHOWN_DAYS = 12


def amount_words(measure: str, amount: int | None, currency: str, units: dict[str, str]) -> str:
    """An amount of work as people read it, e.g. "12 h 30" or "unknown"."""
    if amount is None:
        return say(show.UNKNOWN)
    if measure == Duty.Measure.HOURS:
        return show.minutes(amount)
    if measure == Duty.Measure.DAYS:
        return several("{n} day", "{n} days", amount)
    if measure == Duty.Measure.VOLUME:
        return show.quantity("volume", amount, units["volume"])
    if measure == Duty.Measure.GROUND:
        return show.quantity("volume", amount, "m3", 2)
    if measure == Duty.Measure.LENGTH:
        return show.quantity("length", amount, "m", 2)
    return show.money(amount, currency)


@dataclass(frozen=True)
class WorkView:
    """Work done against work due in words, with its evidence; `share_pct` is for a bar."""

    period: str
    measure: str
    where: str
    done: str
    due: str
    missing: str
    share_pct: int | None
    is_enough: bool
    lines: tuple[tuple[str, str, str, int | None], ...]
    notes: tuple[str, ...]


def work_view(duty: Duty, work: agenda.Work, currency: str, units: dict[str, str]) -> WorkView:
    """How far the work for one due day has come."""
    asked, found = work.asked, work.found

    def words(amount: int | None) -> str:
        return amount_words(asked.measure, amount, currency, units)

    where = str(duty.site) if duty.site else say("at the sites of the paper")
    if asked.sites is None:
        where = "everywhere"
    return WorkView(
        period=say("{first} to {last}", first=show.day(asked.first), last=show.day(asked.last)),
        measure=str(duty.get_measure_display()),
        where=where,
        done=words(work.done),
        due=words(work.due),
        missing=words(work.missing),
        share_pct=None if work.done is None else min(100, work.done * 100 // max(1, work.due)),
        is_enough=work.missing == 0,
        lines=tuple(
            (show.day(line.day), line.words, words(line.amount), line.trip_id)
            for line in (found.lines if found else ())
        ),
        notes=found.notes if found else (say("Nothing here says what was worked."),),
    )


@dataclass(frozen=True)
class DueDay:
    """One due day of a duty and what became of it."""

    day: dt.date
    state: str
    badge: str
    done: DutyDone | None
    note: str


@dataclass(frozen=True)
class DutyPage:
    """One duty as it stands on a day."""

    duty: Duty
    next: NextDue
    badge: str
    about: str
    often: str
    lead: str
    days: tuple[DueDay, ...]
    hidden: int
    work: WorkView | None


def duty_page(duty: Duty, day: dt.date, units: dict[str, str]) -> DutyPage:
    """A duty with its due days around a day, and the work for the next of them."""
    days = due_days(duty.repeat, duty.first_due)
    known = duty.settled.prefetch_related("files")
    settled = {done.due_on: done for done in known if done.done_on <= day}
    lead = from_iso(duty.lead_span)
    found = next_due(days, set(settled), lead, day)
    rows = [_due_day(each, settled.get(each), found, day) for each in days]
    # All that are late or settled lately, and the next ones.
    begin = max(0, next((i for i, each in enumerate(days) if each >= day), len(days)) - 6)
    begin = min([begin, *(i for i, row in enumerate(rows) if row.state == "late")])
    shown = rows[begin : begin + max(SHOWN_DAYS, found.late + 6)]
    work = agenda.work_of(duty.party, [duty], day).get(duty.pk) if duty.measure else None
    return DutyPage(
        duty=duty,
        next=found,
        badge=agenda.BADGES[found.state],
        about=agenda.about_duty(duty),
        often=repeat_words(duty.repeat, days),
        lead=say("{words} before", words=lead.words) if lead else say("on the day"),
        days=tuple(shown),
        hidden=len(rows) - len(shown),
        work=work_view(duty, work, duty.party.currency, units) if work else None,
    )


def _due_day(day: dt.date, done: DutyDone | None, found: NextDue, today: dt.date) -> DueDay:
    if done is not None:
        return DueDay(day, str(done.get_outcome_display()), "know", done, "")
    if day < today:
        return DueDay(day, "late", "stop", None, weekend_words(day))
    if day == found.due_on and found.state == "due":
        return DueDay(day, "due", "do", None, weekend_words(day))
    return DueDay(day, "later", "know", None, weekend_words(day))


@dataclass(frozen=True)
class DutyRow:
    """A duty in the list; `next_on` None: nothing more is due."""

    pk: int
    title: str
    kind: str
    about: str
    next_on: dt.date | None
    state: str
    words: str
    often: str
    work: str


def list_duties(party: Party, day: dt.date, units: dict[str, str]) -> tuple[DutyRow, ...]:
    """A party's duties, what is next first; the same queries for any number."""
    duties = agenda.duties_at_hand(whole(party, *agenda.OF_DUTIES))
    work = agenda.work_of(party, [duty for duty in duties if duty.measure], day)
    rows = [_duty_row(duty, day, work.get(duty.pk), party.currency, units) for duty in duties]
    place = {"late": 0, "settled": 2}
    return tuple(
        sorted(rows, key=lambda row: (place.get(row.state, 1), row.next_on or dt.date.max))
    )


def _duty_row(
    duty: Duty, day: dt.date, work: agenda.Work | None, currency: str, units: dict[str, str]
) -> DutyRow:
    days = due_days(duty.repeat, duty.first_due)
    found = next_due(days, agenda.settled_days(duty, day), from_iso(duty.lead_span), day)
    return DutyRow(
        pk=duty.pk,
        title=duty.title,
        kind=str(duty.get_kind_display()),
        about=agenda.about_duty(duty),
        next_on=found.due_on,
        state=found.state,
        words=found.words,
        often=repeat_words(duty.repeat, days),
        work=work_words(work, currency, units) if work else "",
    )


def work_words(work: agenda.Work, currency: str, units: dict[str, str]) -> str:
    """Work done against work due, e.g. "12 h 30 of 20 h"."""
    done = amount_words(work.asked.measure, work.done, currency, units)
    return say(
        "{done} of {measure}",
        done=done,
        measure=amount_words(work.asked.measure, work.due, currency, units),
    )
