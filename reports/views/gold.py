"""The gold ledger, and the eye against the scale."""

from dataclasses import dataclass

from django.conf import settings
from django.http import Http404
from django.shortcuts import render
from django.urls import reverse

from claims.access import reader_page
from claims.web.asof import as_of
from claims.web.export import export_response, file_response
from claims.web.tables import show_table
from reports.figures.ledger import Ledger, LedgerAsked, gold_ledger, ledger_report
from reports.pages.eye import eye_page
from reports.selectors.facts import party_facts
from reports.selectors.ledger import ledger_facts
from reports.tables import report_table
from trips.selectors.prices import price_points

FORMATS = ("csv", "xlsx", "pdf")


@dataclass(frozen=True)
class LedgerPage:
    ledger: Ledger
    currency: str


def _ledger(request):
    """The ledger of the day shown and its report; three queries."""
    party, day = request.party, as_of(request)
    weighings, lots = ledger_facts(party)
    ledger = gold_ledger(weighings, lots, price_points(party), party_facts(party), day)
    asked = LedgerAsked(party.name, party.currency, day, request.user.mass_unit)
    return ledger, ledger_report(ledger, asked)


@reader_page
def ledger(request):
    found, report = _ledger(request)
    page = LedgerPage(found, request.party.currency)
    table = show_table(request, report_table(report)) if report.rows else None
    context = {"page": page, "report": report, "table": table}
    return render(request, "reports/gold_ledger.html", context)


@reader_page
def ledger_file(request, fmt: str):
    if fmt not in FORMATS:
        raise Http404(f"There is no file of kind {fmt}.")
    _, report = _ledger(request)
    return _file(report, fmt)


def _file(report, fmt: str):
    if fmt == "pdf":
        from reports.pdf.table_report import build

        return file_response(report.report_id, fmt, build(report, settings.PAGE_SIZE))
    return export_response(report.report_id, fmt, report.headers, report.file_rows)


@reader_page
def eye_and_scale(request):
    page, report = eye_page(request.party, as_of(request))
    if (fmt := request.GET.get("export")) in ("csv", "xlsx"):
        return _file(report, fmt)
    ids = {each.trip: each.trip_id for each in page.eye.trips}

    def link(trip: str) -> str | None:
        return reverse("trips:trip_detail", args=[ids[trip]]) if trip in ids else None

    table = show_table(request, report_table(report, link=link)) if report.rows else None
    context = {"page": page, "report": report, "table": table}
    return render(request, "reports/eye_and_scale.html", context)
