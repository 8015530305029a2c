"""Tracks of a trip: read, looked at, taken over, corrected, deleted."""

from django.contrib import messages
from django.core.exceptions import PermissionDenied, ValidationError
from django.core.files.storage import default_storage
from django.http import FileResponse, Http404
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext, ngettext
from django.views.decorators.http import require_GET, require_POST

from claims.access import hand_page, may, reader_page
from claims.models import Membership, Person
from claims.views.party import form_page
from claims.web.forms import form_options
from claims.web.pages import FormPage
from claims.web.undoing import tell_deleted
from trips.access import own_track, own_trip
from trips.forms.problems import tell
from trips.forms.tracks import ClockForm, TakeOverForm, TrackFileForm
from trips.selectors.tracks import track_page
from trips.services import tracks as services


@hand_page
def track_create(request, pk):
    trip = own_trip(request, pk)
    trip.party = request.party
    posted = request.method == "POST"
    form = TrackFileForm(*((request.POST, request.FILES) if posted else ()))
    if posted and form.is_valid():
        file = form.cleaned_data["file"]
        try:
            kept = services.keep_track(
                trip=trip,
                content=file.read(),
                name=file.name,
                user=request.user,
                now=timezone.now(),
            )
        except ValidationError as error:
            form.add_error("file", error)
        else:
            if not kept.is_new:
                messages.info(
                    request,
                    gettext(
                        "This file was read before, for {trip}. Here it is; nothing was added."
                    ).format(trip=kept.track.trip),
                )
            return redirect("trips:track_detail", kept.track.pk)
    page = FormPage(
        gettext("Read a track"),
        form,
        gettext("Read it"),
        reverse("trips:trip_detail", args=[pk]),
        gettext(
            "A GPX file of this trip. It is read and shown first; what of it becomes hours, fuel "
            "distance or spots is your choice."
        ),
        str(trip),
    )
    return form_page(request, page)


@reader_page
def track_detail(request, pk):
    track = own_track(request, pk)
    track.trip.party = request.party
    page = track_page(track)
    people = Person.objects.filter(trip_people__trip=track.trip)
    if request.method == "POST" and not may(request, Membership.Role.HAND):
        raise PermissionDenied(gettext("This needs the role of a hand."))
    form = TakeOverForm(request.POST or None, page=page, people=people, **form_options(request))
    if request.method == "POST" and form.is_valid():
        try:
            hours, spots = services.take_over(track=track, taken=form.taken())
        except ValidationError as error:
            tell(form, error)
        else:
            messages.success(request, _told(hours, spots, form.taken().driven_m is not None))
            return redirect("trips:track_detail", track.pk)
    clock = ClockForm(initial=_clock_initial(page))
    return render(request, "trips/track_detail.html", {"page": page, "form": form, "clock": clock})


def _clock_initial(page) -> dict[str, int]:
    whole = page.track.clock_shift_minutes + page.days_off * 1440
    days = int(whole / 1440)
    return {"days": days, "minutes": whole - days * 1440}


def _told(hours: int, spots: int, driven: bool) -> str:
    parts = []
    if hours:
        parts.append(
            ngettext("{hours} block of hours", "{hours} blocks of hours", hours).format(hours=hours)
        )
    if driven:
        parts.append(gettext("the drive"))
    if spots:
        parts.append(ngettext("{spots} spot", "{spots} spots", spots).format(spots=spots))
    return (
        gettext("Noted from the track: {parts}.").format(parts=", ".join(parts))
        if parts
        else gettext("Nothing new was ticked.")
    )


@hand_page
@require_POST
def track_clock(request, pk):
    track = own_track(request, pk)
    form = ClockForm(request.POST)
    if form.is_valid():
        services.move_clock(track=track, minutes=form.shift_minutes)
        messages.success(request, gettext("The track's clock is corrected."))
    else:
        told = [f"{form[name].label}: {' '.join(form.errors[name])}" for name in form.errors]
        messages.error(request, gettext("Not changed. {told}").format(told=" ".join(told)))
    return redirect("trips:track_detail", track.pk)


@hand_page
@require_POST
def track_anew(request, pk):
    track = own_track(request, pk)
    track.trip.party = request.party
    try:
        services.work_out_anew(track=track)
    except FileNotFoundError:
        messages.error(request, gettext("The file of this track is missing from the storage."))
    else:
        messages.success(request, gettext("The track is worked out anew."))
    return redirect("trips:track_detail", track.pk)


@reader_page
@require_GET
def track_file(request, pk):
    """The file as it came."""
    track = own_track(request, pk)
    try:
        handle = default_storage.open(track.stored.name, "rb")
    except FileNotFoundError as error:
        raise Http404("The file is missing from the storage.") from error
    response = FileResponse(
        handle,
        as_attachment=True,
        filename=f"track-{track.pk}.gpx",
        content_type="application/gpx+xml",
    )
    response.headers["Cache-Control"] = "private, no-store"
    response.headers["X-Content-Type-Options"] = "nosniff"
    return response


@hand_page
def track_delete(request, pk):
    track = own_track(request, pk)
    if request.method == "POST":
        trip_pk = track.trip_id
        track.delete()
        tell_deleted(request, gettext("The track is deleted. Hours and spots taken from it stay."))
        return redirect("trips:trip_detail", trip_pk)
    return render(request, "trips/track_delete.html", {"track": track})
