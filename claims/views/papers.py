"""Papers held and how long they run."""

from django.contrib import messages
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext

from claims import agenda
from claims.access import keeper_page, own_paper, reader_page
from claims.duty_pages import work_words
from claims.forms.papers import PaperForm
from claims.models import Paper
from claims.paper_pages import list_papers, paper_page
from claims.services import papers
from claims.tables import PaperTable
from claims.views.party import form_page
from claims.web.asof import as_of
from claims.web.export import TYPES, export_response
from claims.web.forms import form_options, units_of
from claims.web.pages import FormPage
from claims.web.tables import show_table

NEXT_ROWS = 25
HEADERS = (
    "paper",
    "kind",
    "number",
    "given_by",
    "issued_on",
    "expires_on",
    "days_left",
    "state",
    "sites",
)


@reader_page
def paper_list(request):
    day = as_of(request)
    book = agenda.ledger(request.party, day)
    rows = list_papers(book.papers, day)
    fmt = request.GET.get("export")
    if fmt in TYPES:
        return export_response("papers", fmt, HEADERS, [_bare(row) for row in rows])
    table = show_table(request, PaperTable(rows, units=units_of(request.user)))
    units, currency = units_of(request.user), request.party.currency
    items = agenda.agenda(book)
    context = {
        "table": table,
        "count": len(rows),
        "items": [
            (item, work_words(item.work, currency, units) if item.work else "")
            for item in items[:NEXT_ROWS]
        ],
        "hidden": max(0, len(items) - NEXT_ROWS),
        "late": sum(item.state == "late" for item in items),
    }
    return render(request, "claims/paper_list.html", context)


def _bare(row):
    return (
        row.name,
        row.kind,
        row.number,
        row.issuer,
        row.issued_on,
        row.expires_on,
        row.days_left,
        row.state,
        row.sites,
    )


@reader_page
def paper_detail(request, pk):
    paper = own_paper(request, pk)
    page = paper_page(paper, as_of(request))
    context = {"page": page, "files": tuple(paper.files.all())}
    return render(request, "claims/paper_detail.html", context)


@keeper_page
def paper_create(request):
    return _paper_form(
        request, Paper(party=request.party), gettext("Add a paper"), reverse("claims:paper_list")
    )


@keeper_page
def paper_edit(request, pk):
    paper = own_paper(request, pk)
    back = reverse("claims:paper_detail", args=[paper.pk])
    return _paper_form(request, paper, gettext("Change {paper}").format(paper=paper), back)


def _paper_form(request, paper, title, cancel):
    paper.party = request.party
    form = PaperForm(request.POST or None, instance=paper, **form_options(request))
    if request.method == "POST" and form.is_valid():
        papers.save_paper(paper=form.instance, sites=form.cleaned_data["sites"], now=timezone.now())
        messages.success(request, gettext("{paper} is saved.").format(paper=paper))
        return redirect("claims:paper_detail", paper.pk)
    return form_page(request, FormPage(title, form, gettext("Save paper"), cancel))
