"""Past trips from a spreadsheet, in steps: file → columns → look → saved."""

import datetime as dt
from dataclasses import dataclass

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext, gettext_lazy

from claims.access import hand_page
from claims.views.jobs import ask_and_show
from claims.web import show
from claims.web.asof import as_of
from claims.web.export import TYPES, export_response
from claims.web.forms import units_of
from trips.access import own_batch
from trips.calc.sheet_columns import TARGETS
from trips.calc.sheet_rows import EXAMPLE
from trips.calc.words import say
from trips.forms.importing import ImportColumnsForm, ImportFileForm
from trips.jobs import MOST_LINES_AT_ONCE
from trips.models import ImportBatch
from trips.services.importing import Plan, plan_of, save_batch

KEPT = dt.timedelta(days=30)
SHOWN = 50
EXAMPLES = (
    {
        "date": "2031-05-03", "site": "Old bend", "spot": "head of the bar", "people": "Ann; Ben",
        "work": "6.5", "drive": "1:40", "km": "88", "volume": "240", "mass": "0.31",
        "coarse": "1", "medium": "6", "fine": "40", "fuel": "14.20", "food": "8.00",
        "note": f"{EXAMPLE}: one day, gold weighed",
    },
    {
        "date": "2031-05-10", "end": "2031-05-11", "site": "Upper meadow", "work": "11",
        "note": f"{EXAMPLE}: two days, nothing weighed",
    },
)  # fmt: skip


@dataclass(frozen=True)
class PreviewPage:
    batch: ImportBatch
    plan: Plan
    first: tuple[tuple[str, ...], ...]
    refused: tuple[tuple[str, str, str], ...]
    more_refused: int
    first_headers = (
        gettext_lazy("Line"),
        gettext_lazy("Day"),
        gettext_lazy("Site"),
        gettext_lazy("At the creek"),
        gettext_lazy("Washed"),
        gettext_lazy("Gold"),
        gettext_lazy("Costs"),
    )
    refused_headers = (gettext_lazy("Line"), gettext_lazy("Column"), gettext_lazy("Why"))


@hand_page
def import_start(request):
    posted = request.method == "POST"
    form = ImportFileForm(*((request.POST, request.FILES) if posted else ()))
    if posted and form.is_valid():
        sheet = form.cleaned_data["sheet"]
        old = timezone.now() - KEPT
        ImportBatch.objects.filter(party=request.party, created_at__lt=old).delete()
        batch = ImportBatch.objects.create(
            party=request.party,
            created_by=request.user,
            name_shown=form.cleaned_data["name"],
            headers=list(sheet.headers),
            lines=[[line.number, list(line.cells), line.problem] for line in sheet.lines],
        )
        return redirect("trips:import_match", pk=batch.pk)
    return render(request, "trips/import_start.html", {"form": form})


@hand_page
def import_match(request, pk):
    batch = own_batch(request, pk)
    form = ImportColumnsForm(
        request.POST or None, headers=batch.headers, units_here=units_of(request.user)
    )
    if request.method == "POST" and form.is_valid():
        batch.choices = form.choices()
        batch.save(update_fields=["choices"])
        return redirect("trips:import_preview", pk=batch.pk)
    return render(request, "trips/import_match.html", {"form": form, "batch": batch})


@hand_page
def import_preview(request, pk):
    batch = own_batch(request, pk)
    if not batch.choices:
        return redirect("trips:import_match", pk=batch.pk)
    today = as_of(request)
    plan, refused = plan_of(batch, party=request.party, today=today)
    if request.method == "POST":
        if len(plan.new) > MOST_LINES_AT_ONCE:
            title = gettext("Save {new} past trips").format(new=len(plan.new))
            asked = {"batch": batch.pk, "today": today.isoformat()}
            return ask_and_show(request, kind="import", title=title, asked=asked)
        try:
            save_batch(batch, party=request.party, today=today)
        except ValidationError as error:
            messages.error(
                request,
                gettext("Nothing was saved. {messages}").format(messages=" ".join(error.messages)),
            )
            return redirect("trips:import_preview", pk=batch.pk)
        return redirect("trips:import_done", pk=batch.pk)
    page = PreviewPage(
        batch=batch,
        plan=plan,
        first=tuple(_row_words(request, row) for _, row in plan.new[:SHOWN]),
        refused=tuple((str(r.line), r.column or "–", r.reason) for r in refused[:SHOWN]),
        more_refused=max(0, len(refused) - SHOWN),
    )
    context = {"page": page, "refused_count": len(refused)}
    return render(request, "trips/import_preview.html", context)


@hand_page
def import_done(request, pk):
    batch = own_batch(request, pk)
    if not batch.result:
        return redirect("trips:import_preview", pk=batch.pk)
    return render(request, "trips/import_done.html", {"batch": batch, "result": batch.result})


@hand_page
def import_refused(request, pk, fmt):
    """The refused lines as they came, with the reason behind, to be mended and sent again."""
    batch = own_batch(request, pk)
    if fmt not in TYPES:
        raise Http404
    reasons = {
        line: (f"{column}: {reason}" if column else reason)
        for line, column, reason in batch.result.get("refused", [])
    }
    rows = [
        [*cells, number, reasons[number]] for number, cells, _ in batch.lines if number in reasons
    ]
    return export_response(
        "refused-lines", fmt, [*batch.headers, say("Line was"), say("Why not")], rows
    )


@hand_page
def import_template(request, fmt):
    if fmt not in TYPES:
        raise Http404
    headers = [target.name for target in TARGETS]
    rows = [[example.get(target.key, "") for target in TARGETS] for example in EXAMPLES]
    return export_response("past-trips", fmt, headers, rows)


def _row_words(request, row) -> tuple[str, ...]:
    chosen = units_of(request.user)
    days = show.day(row.starts_on)
    if row.ends_on != row.starts_on:
        days = gettext("{days} to {ends_on}").format(days=days, ends_on=show.day(row.ends_on))
    costs = sum(row.costs_minor.values()) if row.costs_minor else None
    return (
        str(row.line),
        days,
        row.site,
        show.minutes(row.work_minutes),
        show.quantity("volume", row.volume_ml, chosen["volume"]),
        show.quantity("mass", row.mass_ug, chosen["mass"]),
        show.money(costs, request.party.currency),
    )
