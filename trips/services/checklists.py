"""Answers to a checklist, and its sign-off; each in one transaction."""

import datetime as dt

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext

from claims.answers import read_answer
from claims.lines import Answerable
from claims.models import Site, User
from claims.rulebook import said_at
from trips.models import SignOff, Trip, TripAnswer
from trips.selectors.checklist import Checklist
from trips.selectors.snapshot import digest, snapshot
from trips.selectors.trip_page import TripPage
from trips.services.trip_duties import keep_trip_duties


def asked(checklist: Checklist, site_id: int, key: str) -> Answerable:
    """What the checklist asks for under a key.

    Raises: ValidationError if no line of the site asks for it.
    """
    for site in checklist.sites:
        if site.site_id == site_id:
            open_ones = (each for line in site.lines for each in line.answers)
            for each in (*open_ones, *site.answered):
                if each.key == key:
                    return each
    raise ValidationError(
        gettext("The checklist doesn't ask this any more. Look at it again."), "gone"
    )


@transaction.atomic
def answer(
    *,
    trip: Trip,
    site: Site,
    question: Answerable,
    value: str,
    note: str,
    user: User,
    at: dt.datetime,
) -> None:
    """Keep an answer with whose and when; an empty value takes it back.

    Raises: ValidationError for a value that isn't among the choices or can't be read.
    """
    if value:
        try:
            value = read_answer(question, value)
        except ValueError as error:
            raise ValidationError(str(error), "answer") from error
    if question.on_site:
        _on_site(site, question.key, value, str(user), at)
        return
    row = TripAnswer.objects.filter(trip=trip, site=site, key=question.key).first()
    if not value:
        if row:
            row.delete()
        return
    row = row or TripAnswer(trip=trip, site=site, key=question.key)
    row.value, row.note, row.said_by, row.said_at = value, note, str(user), at
    row.full_clean()
    row.save()


def _on_site(site: Site, key: str, value: str, by: str, at: dt.datetime) -> None:
    """What holds for the site on every trip stands with the site."""
    site = Site.objects.select_for_update().get(pk=site.pk)
    facts = {name: entry for name, entry in site.rule_facts.items() if name != key}
    if value:
        facts[key] = {"value": value, "by": by, "on": said_at(at)}
    site.rule_facts = facts
    site.save(update_fields=["rule_facts"])


@transaction.atomic
def sign_off(*, page: TripPage, user: User, at: dt.datetime) -> SignOff:
    """Keep the checklist as it stands under somebody's name, and what its rules leave to do.

    Raises: ValidationError once the trip is over or called off.
    """
    if page.checklist is None:
        raise ValidationError(
            gettext("Only the checklist of a trip that is ahead can be signed off.")
        )
    data = snapshot(page)
    signed = SignOff(
        trip=page.trip,
        signer=str(user),
        signed_by=user,
        signed_at=at,
        snapshot=data,
        sha256=digest(data),
    )
    signed.full_clean()
    signed.save()
    keep_trip_duties(trip=page.trip, party=page.trip.party, facts=page.checklist.facts, now=at)
    return signed
