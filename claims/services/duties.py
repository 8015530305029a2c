"""Duties: saved, settled day by day, and the party's secret calendar address."""

import datetime as dt

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext

from claims.models import CalendarFeed, Duty, DutyDone, Party
from claims.rules.repeats import due_days
from claims.services.parties import hash_of
from trips.calc import local

CALENDAR_FACTS = (
    "title",
    "kind",
    "paper_id",
    "site_id",
    "first_due",
    "repeat",
    "due_time",
    "lead_span",
    "send_to",
    "notes",
)


@transaction.atomic
def save_duty(*, duty: Duty, now: dt.datetime) -> Duty:
    """Save a duty; calendars get a new version when what they show has changed.

    Raises: ValidationError when a day that is settled would no longer be a due day.
    """
    duty.full_clean()
    if duty.pk:
        before = Duty.objects.select_for_update().get(pk=duty.pk)
        settled = set(before.settled.values_list("due_on", flat=True))
        lost = sorted(settled - set(due_days(duty.repeat, duty.first_due)))
        if lost:
            raise ValidationError(
                {
                    "first_due": gettext(
                        "{lost} is settled already and would fall out. Undo that "
                        "first, or make a new duty."
                    ).format(lost=local.day(lost[0]))
                }
            )
        facts = [(getattr(before, name), getattr(duty, name)) for name in CALENDAR_FACTS]
        if any(old != new for old, new in facts):
            duty.changed_at = now
    else:
        duty.changed_at = now
    duty.save()
    return duty


@transaction.atomic
def settle(*, done: DutyDone, now: dt.datetime) -> DutyDone:
    """Note that one due day is done or not needed.

    Raises: ValidationError for a day on which the duty isn't due or that is settled already.
    """
    duty = Duty.objects.select_for_update().get(pk=done.duty_id)
    if done.due_on not in due_days(duty.repeat, duty.first_due):
        raise ValidationError(
            {"due_on": gettext("It isn't due on {due_on}.").format(due_on=local.day(done.due_on))}
        )
    done.full_clean()
    done.save()
    _new_version(duty, now)
    return done


@transaction.atomic
def unsettle(*, done: DutyDone, now: dt.datetime) -> None:
    """Take back that a due day is settled."""
    duty = Duty.objects.select_for_update().get(pk=done.duty_id)
    done.delete()
    _new_version(duty, now)


def _new_version(duty: Duty, now: dt.datetime) -> None:
    """Calendars take a changed event only under a higher number, which a save raises."""
    duty.changed_at = now
    duty.save()


@transaction.atomic
def make_address(*, party: Party, token: str, now: dt.datetime) -> CalendarFeed:
    """Give the party's calendar a new secret address; the one before stops at once."""
    feed, _ = CalendarFeed.objects.select_for_update().get_or_create(party=party)
    feed.token_sha256, feed.made_at = hash_of(token), now
    feed.save()
    return feed


@transaction.atomic
def withdraw_address(*, party: Party) -> None:
    """Make the calendar's address stop working; events keep their identity for a later one."""
    feed = CalendarFeed.objects.select_for_update().filter(party=party).first()
    if feed is not None:
        feed.token_sha256 = ""
        feed.save()


def has_address(party: Party) -> bool:
    """Whether the party's calendar can be read at an address, without signing in."""
    return CalendarFeed.objects.filter(party=party).exclude(token_sha256="").exists()


def feed_of(token: str) -> CalendarFeed | None:
    """The calendar with this secret, if it is in use."""
    if not token or len(token) > 200:
        return None
    feeds = CalendarFeed.objects.select_related("party")
    return feeds.filter(token_sha256=hash_of(token)).first()
