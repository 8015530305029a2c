"""Answering a trip's checklist, signing it off, and reading what was signed."""

from dataclasses import dataclass

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.http import require_POST

from claims.access import hand_page, own_site, reader_page
from claims.web.asof import as_of
from claims.web.forms import units_of
from trips.access import own_signoff, own_trip
from trips.calc.words import kept
from trips.forms.checks import AnswerForm
from trips.models import SignOff
from trips.selectors.snapshot import Difference, differences, snapshot
from trips.selectors.trip_page import trip_page
from trips.services import checklists


@dataclass(frozen=True)
class SignedPage:
    """A sign-off as it was signed, and what is otherwise by now."""

    signed: SignOff
    groups: tuple[tuple[str, str, tuple[dict, ...]], ...]
    is_ahead: bool
    changed: tuple[Difference, ...]


@hand_page
@require_POST
def trip_answer_edit(request, pk):
    trip = own_trip(request, pk)
    form = AnswerForm(request.POST)
    if not form.is_valid():
        messages.error(request, gettext("The answer wasn't kept: ") + form.problems)
        return _back(trip)
    data = form.cleaned_data
    site = own_site(request, data["site"])
    page = _page(request, trip)
    try:
        if page.checklist is None:
            raise ValidationError(gettext("This trip isn't ahead any more."))
        question = checklists.asked(page.checklist, site.pk, data["key"])
        checklists.answer(
            trip=trip,
            site=site,
            question=question,
            value=data["value"],
            note=data["note"],
            user=request.user,
            at=timezone.now(),
        )
    except ValidationError as error:
        messages.error(request, gettext("The answer wasn't kept: ") + " ".join(error.messages))
    else:
        messages.success(request, gettext("The answer is kept with your name and the day."))
    return _back(trip)


@hand_page
@require_POST
def trip_signoff_create(request, pk):
    trip = own_trip(request, pk)
    try:
        with kept():
            page = _page(request, trip)
        signed = checklists.sign_off(page=page, user=request.user, at=timezone.now())
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
        return _back(trip)
    messages.success(request, gettext("The checklist is kept as it stands, under your name."))
    return redirect("trips:signoff_detail", signed.pk)


@reader_page
def signoff_detail(request, pk):
    signed = own_signoff(request, pk)
    with kept():
        page = _page(request, signed.trip)
        now = snapshot(page) if page.checklist else None
    changed = differences(signed.snapshot, now) if now else ()
    groups = tuple(
        (site["title"], site["trigger"], tuple(site["lines"])) for site in signed.snapshot["sites"]
    )
    shown = SignedPage(signed, groups, page.checklist is not None, changed)
    return render(request, "trips/signoff_detail.html", {"page": shown, "trip": signed.trip})


def _page(request, trip):
    return trip_page(
        trip=trip, party=request.party, today=as_of(request), units=units_of(request.user)
    )


def _back(trip):
    return redirect(f"{reverse('trips:trip_detail', args=[trip.pk])}#checks")
