"""Duties: what is due, how often, settling a due day."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext

from claims import duty_pages
from claims.access import hand_page, keeper_page, own_duty, own_settled, reader_page
from claims.forms.duties import DutyForm, SettleForm
from claims.models import Duty, DutyDone, PaperCondition
from claims.services import duties
from claims.tables import DutyTable
from claims.views.party import form_page
from claims.web.asof import as_of
from claims.web.export import TYPES, export_response
from claims.web.forms import form_options, units_of, whole_number
from claims.web.pages import DeletePage, FormPage
from claims.web.tables import show_table
from claims.web.undoing import tell_deleted

HEADERS = ("duty", "kind", "for", "next_due", "state", "how_often", "work_done_of_due")


@reader_page
def duty_list(request):
    rows = duty_pages.list_duties(request.party, as_of(request), units_of(request.user))
    fmt = request.GET.get("export")
    if fmt in TYPES:
        bare = [(r.title, r.kind, r.about, r.next_on, r.words, r.often, r.work) for r in rows]
        return export_response("duties", fmt, HEADERS, bare)
    table = show_table(request, DutyTable(rows, units=units_of(request.user)))
    return render(request, "claims/duty_list.html", {"table": table, "count": len(rows)})


@reader_page
def duty_detail(request, pk):
    duty = own_duty(request, pk)
    duty.party = request.party
    page = duty_pages.duty_page(duty, as_of(request), units_of(request.user))
    return render(request, "claims/duty_detail.html", {"page": page})


@keeper_page
def duty_create(request):
    """Empty, or begun from a paper or one of its conditions named in the address."""
    duty = Duty(party=request.party)
    return _duty_form(
        request, duty, gettext("Add a duty"), _begun(request), reverse("claims:paper_list")
    )


def _begun(request) -> dict:
    """What the address already says about a new duty."""
    found: dict[str, object] = {"lead_span": "P30D"}
    number = whole_number(request.GET.get("condition", ""))
    conditions = PaperCondition.objects.filter(paper__party=request.party)
    condition = conditions.select_related("paper").filter(pk=number).first() if number else None
    if condition is not None:
        kinds = {kind.value for kind in Duty.Kind}
        found |= {
            "condition": condition,
            "paper": condition.paper_id,
            "title": condition.text[:160],
            "kind": condition.kind if condition.kind in kinds else Duty.Kind.OTHER,
            "source": gettext("Condition of {paper}").format(paper=condition.paper)[:300],
        }
    number = whole_number(request.GET.get("renew", ""))
    paper = request.party.papers.filter(pk=number).first() if number else None
    number = whole_number(request.GET.get("paper", ""))
    if number and request.party.papers.filter(pk=number).exists():
        found["paper"] = number
    if paper is not None:
        found |= {
            "paper": paper.pk,
            "kind": Duty.Kind.RENEWAL,
            "title": gettext("Ask for the renewal of {paper}").format(paper=paper)[:160],
            "first_due": paper.renewal.apply_by or paper.last_day,
            "send_to": paper.issuer,
        }
    return found


@keeper_page
def duty_edit(request, pk):
    duty = own_duty(request, pk)
    back = reverse("claims:duty_detail", args=[pk])
    return _duty_form(request, duty, gettext("Change {duty}").format(duty=duty), {}, back)


def _duty_form(request, duty, title, initial, cancel):
    duty.party = request.party
    form = DutyForm(request.POST or None, instance=duty, initial=initial, **form_options(request))
    if request.method == "POST" and form.is_valid():
        try:
            duties.save_duty(duty=form.instance, now=timezone.now())
        except ValidationError as error:
            form.add_error(None, error)
        else:
            messages.success(request, gettext("{duty} is saved.").format(duty=duty))
            return redirect("claims:duty_detail", duty.pk)
    return form_page(
        request,
        FormPage(title, form, gettext("Save duty"), cancel, crumb=gettext("Papers and duties")),
    )


@keeper_page
def duty_delete(request, pk):
    duty = own_duty(request, pk)
    back = reverse("claims:duty_detail", args=[pk])
    if request.method == "POST":
        duty.delete()
        tell_deleted(request, gettext("{duty} is deleted.").format(duty=duty))
        return redirect("claims:duty_list")
    settled = duty.settled.count()
    also = (
        gettext("{settled} settled due days go with it.").format(settled=settled) if settled else ""
    )
    page = DeletePage(gettext("Delete duty"), str(duty), also, back, gettext("Duty"))
    return render(request, "claims/delete_page.html", {"page": page})


@hand_page
def duty_settle(request, pk):
    duty = own_duty(request, pk)
    today = as_of(request)
    back = reverse("claims:duty_detail", args=[pk])
    done = DutyDone(duty=duty, said_by=str(request.user))
    initial = {"due_on": request.GET.get("due", ""), "done_on": today}
    form = SettleForm(
        request.POST or None, instance=done, initial=initial, today=today, **form_options(request)
    )
    if request.method == "POST" and form.is_valid():
        try:
            duties.settle(done=form.instance, now=timezone.now())
        except ValidationError as error:
            form.add_error(None, error)
        else:
            messages.success(
                request,
                gettext("{duty}: {get_outcome_display} is noted.").format(
                    duty=duty, get_outcome_display=done.get_outcome_display()
                ),
            )
            return redirect(back)
    intro = gettext("This notes what you say; it is no proof that the office has it.")
    return form_page(
        request,
        FormPage(
            gettext("Settle: {duty}").format(duty=duty),
            form,
            gettext("Save"),
            back,
            intro=intro,
            crumb=gettext("Duty"),
        ),
    )


@hand_page
def settled_delete(request, pk):
    done = own_settled(request, pk)
    back = reverse("claims:duty_detail", args=[done.duty_id])
    if request.method == "POST":
        duties.unsettle(done=done, now=timezone.now())
        tell_deleted(request, gettext("It is due again."))
        return redirect(back)
    page = DeletePage(
        gettext("Undo"), f"{done}: {done.get_outcome_display()}", "", back, gettext("Duty")
    )
    return render(request, "claims/delete_page.html", {"page": page})
