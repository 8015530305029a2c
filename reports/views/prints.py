"""What leaves the screen: trip sheet, renewal record, and every table as a file."""

from django.conf import settings
from django.http import Http404
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext

from claims.access import own_paper, reader_page
from claims.restored import ground_bases
from claims.views.jobs import AskPage, ask_and_show, ask_first
from claims.web.asof import as_of
from claims.web.export import TYPES, export_response, file_response, xlsx_book
from claims.web.forms import units_of
from reports import jobs
from reports.figures.renewal import SIGNED
from reports.pages import period
from reports.pages.basis_past import washed_bases
from reports.selectors import export
from reports.selectors.left_out import LEFT_OUT
from reports.selectors.sheet import COST_HEADS
from reports.selectors.sheet import trip_sheet as sheet_of
from reports.selectors.washed import washed_by_trip
from trips.access import own_trip
from trips.calc.words import say

RECORD_FORMATS = ("pdf", "csv", "xlsx")


def _sheet(request, pk: int):
    return sheet_of(
        trip=own_trip(request, pk),
        party=request.party,
        today=as_of(request),
        units=units_of(request.user),
    )


@reader_page
def trip_sheet(request, pk: int):
    from reports.pdf.trip_sheet import sheet_pdf

    content = sheet_pdf(_sheet(request, pk), settings.PAGE_SIZE)
    return file_response(f"trip-sheet-{pk}", "pdf", content)


@reader_page
def trip_sheet_page(request, pk: int):
    from reports.pdf.trip_sheet import affected

    sheet = _sheet(request, pk)
    page = {
        "sheet": sheet,
        "trip_pk": pk,
        "affected": affected(sheet, settings.PAGE_SIZE),
        "cost_heads": [say(head) for head in COST_HEADS],
        "asked": request.GET.urlencode(),
    }
    return render(request, "reports/trip_sheet.html", page)


def _asked_record(request, pk: int):
    """The paper, the form, and the record when the period can be read."""
    paper = own_paper(request, pk)
    paper.party = request.party
    day = as_of(request)
    form = period.PeriodForm(request, paper, day)
    if not form.is_valid():
        return paper, form, None
    first, last = form.cleaned_data["first"], form.cleaned_data["last"]
    record = period.record_of(paper, first, last, day=day, units=units_of(request.user))
    return paper, form, record


@reader_page
def renewal_record(request, pk: int):
    from reports.pdf.renewal_record import affected

    paper, form, record = _asked_record(request, pk)
    bases = ()
    if record is not None and record.has_sites:
        last = min(record.last, max(record.first, record.as_of))
        bases = (
            *ground_bases(request.party, record.first, last, paper.sites.all()),
            *washed_bases(washed_by_trip(paper, record.first, record.last)),
        )
    page = {
        "bases": bases,
        "paper": paper,
        "form": form,
        "record": record,
        "affected": affected(record, settings.PAGE_SIZE) if record else (),
        "signed": say(SIGNED),
        "asked": request.GET.urlencode(),
    }
    return render(request, "reports/renewal_record.html", page)


@reader_page
def renewal_record_file(request, pk: int, fmt: str):
    if fmt not in RECORD_FORMATS:
        raise Http404(f"There is no file of kind {fmt}.")
    paper, _, record = _asked_record(request, pk)
    if record is None:
        # The page says what is wrong with the period.
        page = reverse("reports:renewal_record", args=[paper.pk])
        return redirect(f"{page}?{request.GET.urlencode()}")
    if not jobs.is_long(record):
        return file_response(jobs.renewal_name(record, paper), fmt, jobs.renewal_bytes(record, fmt))
    title = gettext("Renewal record of {paper} as {upper}").format(paper=paper, upper=fmt.upper())
    if request.method == "POST":
        asked = {
            "paper": paper.pk,
            "first": record.first.isoformat(),
            "last": record.last.isoformat(),
            "day": record.as_of.isoformat(),
            "units": units_of(request.user),
            "fmt": fmt,
        }
        return ask_and_show(request, kind="renewal", title=title, asked=asked)
    why = gettext(
        "This record is long. The file is made in the background; a page shows how far it is and "
        "then offers the file."
    )
    back = f"{reverse('reports:renewal_record', args=[paper.pk])}?{request.GET.urlencode()}"
    return ask_first(request, AskPage(title, why, gettext("Make it"), back))


@reader_page
def export_list(request):
    tables = [
        {"table": each, "rows": rows}
        for each, rows in zip(export.TABLES, export.counts_of(request.party), strict=True)
    ]
    return render(
        request,
        "reports/export_list.html",
        {"tables": tables, "left_out": LEFT_OUT.values()},
    )


@reader_page
def export_table(request, table: str, fmt: str):
    units = units_of(request.user)
    if table == "everything" and fmt == "xlsx":
        rows = sum(export.counts_of(request.party))
        if rows > jobs.MOST_ROWS_AT_ONCE:
            return _tables_behind(request, rows, units)
        sheets = (
            (each.title, *export.file_rows(each, request.party, units)) for each in export.TABLES
        )
        return file_response("everything", fmt, xlsx_book(sheets))
    found = export.table(table)
    if found is None or fmt not in TYPES:
        raise Http404(f"There is no {fmt} file of {table}.")
    return export_response(found.key, fmt, *export.file_rows(found, request.party, units))


def _tables_behind(request, rows: int, units: dict[str, str]):
    title = gettext("All tables as XLSX")
    if request.method == "POST":
        return ask_and_show(request, kind="tables", title=title, asked={"units": units})
    why = gettext(
        "There are {rows:,} rows. The book is made in the background; a page "
        "shows how far it is and then offers the file."
    ).format(rows=rows)
    return ask_first(
        request, AskPage(title, why, gettext("Make it"), reverse("reports:export_list"))
    )
