"""The month page and the party's secret calendar address."""

import datetime as dt
import secrets

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_POST, require_safe

from claims import agenda, month
from claims.access import keeper_page, reader_page
from claims.calendar_events import calendar_bytes, events
from claims.models import CalendarFeed
from claims.services import duties
from claims.web.asof import as_of

BACK_DAYS, AHEAD_DAYS = 400, 3 * 366


@reader_page
def month_page(request):
    today = as_of(request)
    year, number = month.month_of(request.GET.get("month", ""), today)
    page = month.month_page(request.party, year, number, today)
    return render(request, "claims/month_page.html", {"page": page})


@reader_page
@require_GET
def calendar_address(request):
    feed = CalendarFeed.objects.filter(party=request.party).exclude(token_sha256="").first()
    return render(request, "claims/calendar_address.html", {"feed": feed, "link": ""})


@keeper_page
@never_cache
@require_POST
def address_create(request):
    """The address is shown in this one answer and kept nowhere, so there is no redirect."""
    token = secrets.token_urlsafe(32)
    feed = duties.make_address(party=request.party, token=token, now=timezone.now())
    link = request.build_absolute_uri(reverse("claims:calendar_feed", args=[token]))
    return render(request, "claims/calendar_address.html", {"feed": feed, "link": link})


@keeper_page
@require_POST
def address_revoke(request):
    duties.withdraw_address(party=request.party)
    messages.success(
        request, gettext("The address is withdrawn; calendars that use it get nothing more.")
    )
    return redirect("claims:calendar_address")


@require_safe
def calendar_feed(request, token):
    """For calendar programs, which can't sign in: whoever has the address may read it."""
    feed = duties.feed_of(token)
    if feed is None:
        raise Http404("There is no calendar at this address.")
    # What is told for today of the party; nobody is signed in here.
    request.party = feed.party
    today = as_of(request)
    first = today - dt.timedelta(days=BACK_DAYS)
    book = agenda.ledger(feed.party, today, filled_since=first)
    found = events(book, first, today + dt.timedelta(days=AHEAD_DAYS))
    content = calendar_bytes(feed, found, site_address=request.build_absolute_uri("/").rstrip("/"))
    response = HttpResponse(content, content_type="text/calendar; charset=utf-8")
    response.headers["Cache-Control"] = "private, no-cache"
    response.headers["X-Robots-Tag"] = "noindex"
    response.headers["Content-Disposition"] = gettext('inline; filename="papers-and-duties.ics"')
    return response
