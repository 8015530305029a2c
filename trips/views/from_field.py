"""What came from phones and paper, on the desk: take it in, settle what needs a look."""

from dataclasses import dataclass

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext

from claims.access import hand_page, reader_page
from claims.web.asof import as_of
from claims.web.forms import form_options
from trips.access import own_field_record, own_trip
from trips.calc.words import say
from trips.forms.from_field import LABELS, FileForm, LinesForm, MendForm, offers, pan_rows, run_rows
from trips.forms.records import TripOptions
from trips.models import FieldEntry, FieldRecord, HoursBlock, Trip
from trips.sync import decide, rows
from trips.sync.apply import own_trip as trip_of
from trips.sync.bundle import BODIES, pan_text
from trips.sync.importing import Taken, take_file, take_lines
from trips.sync.receive import receive
from trips.sync.transfer import read_rows
from trips.sync.wire import read_batch

State = FieldRecord.State
ASKING = (State.LOOK, State.CONFLICT, State.WAITING)
PAGE_ROWS = 25


@dataclass(frozen=True)
class Shown:
    """One version of a record as a person reads it."""

    key: str
    title: str
    parts: list[tuple[str, str]]
    is_removal: bool = False


@hand_page
def field_import(request):
    """Take in a saved file or plain lines; both may be sent twice."""
    which = request.POST.get("which", "")
    options = form_options(request)
    file_form = FileForm(
        request.POST if which == "file" else None,
        request.FILES if which == "file" else None,
        **options,
    )
    lines_form = LinesForm(
        request.POST if which == "lines" else None,
        party=request.party,
        initial={"day": as_of(request), "trip": _trip_under_way(request.party)},
        prefix="lines",
        **options,
    )
    taken: Taken | None = None
    form = {"file": file_form, "lines": lines_form}.get(which)
    if form is not None and form.is_valid():
        try:
            taken = _take_file(request, form) if which == "file" else _take_lines(request, form)
        except ValidationError as problem:
            form.add_error("file" if which == "file" else "text", problem)
    asking = FieldRecord.objects.filter(party=request.party, state__in=ASKING).count()
    context = {"file_form": file_form, "lines_form": lines_form, "taken": taken, "asking": asking}
    return render(request, "trips/field_import.html", context)


def _trip_under_way(party):
    return party.trips.filter(state=Trip.State.UNDER_WAY).order_by("-starts_on").first()


def _take_file(request, form) -> Taken:
    return take_file(
        party=request.party,
        user=request.user,
        content=form.cleaned_data["file"].read(),
        now=timezone.now(),
    )


def _take_lines(request, form) -> Taken:
    data = form.cleaned_data
    trip = data["trip"]
    trip.party = request.party
    return take_lines(
        trip=trip,
        site=data["site"],
        user=request.user,
        text=data["text"],
        day=data["day"],
        pan=pan_text(request.party, [trip], request.user),
        now=timezone.now(),
    )


@reader_page
def field_look(request):
    """Entries that need a person, oldest first."""
    asking = FieldRecord.objects.filter(party=request.party, state__in=ASKING)
    asking = asking.select_related("trip").order_by("pk")
    page = Paginator(asking, PAGE_ROWS).get_page(request.GET.get("page"))
    records = list(page.object_list)
    entries = FieldEntry.objects.filter(
        party=request.party, record__in=[record.uuid for record in records]
    ).select_related("sent_by")
    latest = {entry.record: entry for entry in entries.order_by("pk")}
    shown = [(record, latest.get(record.uuid)) for record in records]
    context = {"shown": shown, "page": page, "running": _running(request.party)}
    return render(request, "trips/field_look.html", context)


def _running(party):
    """Clocks that a phone started and never stopped, with their start: the phone may be lost."""
    records = list(
        FieldRecord.objects.filter(party=party, kind="hours", state=State.OPEN)
        .select_related("trip")
        .order_by("pk")[:PAGE_ROWS]
    )
    starts = FieldEntry.objects.filter(party=party, uuid__in=[record.head for record in records])
    by_key = {entry.uuid: entry for entry in starts.select_related("sent_by")}
    activities = dict(HoursBlock.Activity.choices)
    return [
        (record, entry, activities.get(entry.body.get("activity"), entry.body.get("activity")))
        for record in records
        if (entry := by_key.get(record.head)) is not None
    ]


@hand_page
def field_record_edit(request, pk):
    """Settle one: choose a version, mend its parts, leave it out, or try again."""
    record = own_field_record(request, pk)
    record.party = request.party
    entry = decide.newest(record)
    trip = trip_of(request.party, entry.trip_uuid)
    body = {**entry.body, **record.proposal}
    form = MendForm(
        request.POST if request.POST.get("do") == "mend" else None,
        party=request.party,
        kind=record.kind,
        body=body,
        trip=trip,
        **form_options(request),
    )
    if request.method == "POST":
        settled = _settle(request, record, form, trip)
        if settled is not None:
            return _told(request, settled)
    names = {part: dict(known) for part, known in offers(request.party).items()}
    context = {
        "record": record,
        "entry": entry,
        "form": form,
        "versions": [_shown(each, names) for each in decide.heads(record)],
        "desk": _desk_version(request, record, names) if record.about == "desk" else None,
        "sent": _shown(entry, names),
    }
    return render(request, "trips/field_record.html", context)


def _settle(request, record, form, trip):
    """Do what was pressed; None when the form has to be shown again."""
    do, now = request.POST.get("do"), timezone.now()
    if do == "mend" and form.is_valid():
        trip = form.cleaned_data.get("trip") or trip
        return decide.mend(record=record, user=request.user, now=now, body=form.mended, trip=trip)
    if do == "choose":
        entries = {str(entry.uuid): entry for entry in decide.entries_of(record)}
        entry = entries.get(request.POST.get("version", ""))
        if entry is None:
            messages.error(request, gettext("Choose one of the versions."))
            return None
        return decide.choose(record=record, entry=entry, user=request.user, now=now)
    if do == "desk":
        return decide.keep_desk(record=record)
    if do == "leave_out":
        return decide.leave_out(record=record, user=request.user, now=now)
    if do == "again":
        return decide.try_again(record=record)
    return None


def _told(request, record):
    if record.state in ASKING:
        messages.error(
            request, gettext("Still to settle: {reason}").format(reason=say(record.reason))
        )
        return redirect("trips:field_record_edit", pk=record.pk)
    messages.success(request, gettext("Settled."))
    return redirect("trips:field_look")


def _shown(entry: FieldEntry, names) -> Shown:
    who = entry.sent_by or "somebody"
    return Shown(
        str(entry.uuid),
        gettext("Sent by {who}").format(who=who),
        _parts(entry.body, names),
        entry.is_removal,
    )


def _desk_version(request, record, names) -> Shown | None:
    row = rows.own_row(request.party, record.kind, record.uuid)
    if row is None:
        return None
    body = BODIES[record.kind](row, request.party, request.user)
    return Shown("", gettext("On the desk"), _parts(body, names))


def _parts(body, names) -> list[tuple[str, str]]:
    """Parts by their labels; what is an id in the body is a name here."""
    return [
        (LABELS.get(part, part.replace("_", " ")), names.get(part, {}).get(value, value))
        for part, value in body.items()
        if value
    ]


@hand_page
def trip_transfer(request, pk):
    """Pans and runs from the printed card: one row each, by keyboard alone."""
    trip = own_trip(request, pk)
    trip.party = request.party
    options = TripOptions(trip)
    table = pan_rows(request.POST or None, options)
    runs = run_rows(request.POST or None, options)
    problems: list[str] = []
    day = request.POST.get("day") or trip.starts_on.isoformat()
    if request.method == "POST":
        entries, problems = read_rows(
            [*table, *runs], trip=trip, day=day, unit=request.user.volume_unit
        )
        if not problems and entries:
            raw = {"device": "desk", "entries": entries}
            answers = receive(
                party=request.party, user=request.user, batch=read_batch(raw, now=timezone.now())
            )
            return _transferred(request, trip, answers)
        if not problems:
            problems = [gettext("Nothing was typed. Fill in at least one row.")]
    context = {"trip": trip, "table": table, "runs": runs, "problems": problems, "day": day}
    return render(request, "trips/transfer.html", context)


def _transferred(request, trip, answers):
    count = sum(answer.answer in ("stored", "already") for answer in answers)
    if count:
        messages.success(
            request,
            gettext("{count} {value} saved.").format(
                count=count, value="row" if count == 1 else "rows"
            ),
        )
    for answer in answers:
        if answer.answer not in ("stored", "already"):
            messages.error(request, answer.reason)
    if "another" in request.POST:
        return redirect("trips:trip_transfer", pk=trip.pk)
    return redirect(f"{reverse('trips:trip_detail', args=[trip.pk])}#pan")
