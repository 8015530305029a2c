"""A paper's conditions, line by line, and how each was kept."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext
from django.views.decorators.http import require_POST

from claims.access import hand_page, keeper_page, own_condition, own_mark, own_paper
from claims.forms.papers import ConditionForm, MarkForm
from claims.models import ConditionMark, PaperCondition
from claims.services import papers
from claims.views.party import form_page
from claims.web.asof import as_of
from claims.web.forms import form_options
from claims.web.pages import DeletePage, FormPage
from claims.web.undoing import tell_deleted


@keeper_page
def condition_create(request, pk):
    condition = PaperCondition(paper=own_paper(request, pk))
    return _condition_form(request, condition, gettext("Add a condition"))


@keeper_page
def condition_edit(request, pk):
    return _condition_form(request, own_condition(request, pk), gettext("Change condition"))


def _condition_form(request, condition, title):
    back = reverse("claims:paper_detail", args=[condition.paper.pk])
    form = ConditionForm(request.POST or None, instance=condition, **form_options(request))
    if request.method == "POST" and form.is_valid():
        papers.save_condition(condition=form.instance)
        messages.success(request, gettext("The condition is saved."))
        return redirect(back)
    page = FormPage(title, form, gettext("Save condition"), back, crumb=condition.paper.name)
    return form_page(request, page)


@keeper_page
@require_POST
def paper_take_apart(request, pk):
    paper = own_paper(request, pk)
    try:
        lines = papers.take_apart(paper=paper)
    except ValidationError as error:
        messages.error(
            request,
            gettext("Nothing changed: {messages}").format(messages=" ".join(error.messages)),
        )
    else:
        count = len(lines)
        said = gettext("1 line") if count == 1 else gettext("{count} lines").format(count=count)
        messages.success(
            request, gettext("{said} made. Check what each is about.").format(said=said)
        )
    return redirect("claims:paper_detail", paper.pk)


@keeper_page
def condition_delete(request, pk):
    condition = own_condition(request, pk)
    back = reverse("claims:paper_detail", args=[condition.paper.pk])
    if request.method == "POST":
        condition.delete()
        tell_deleted(request, gettext("The condition is deleted."))
        return redirect(back)
    marks = condition.marks.count()
    said = gettext("What was said about keeping it goes with it.") if marks else ""
    return render(
        request,
        "claims/delete_page.html",
        {
            "page": DeletePage(
                gettext("Delete condition"), str(condition), said, back, condition.paper.name
            )
        },
    )


@hand_page
def mark_create(request, pk):
    mark = ConditionMark(condition=own_condition(request, pk), said_by=str(request.user))
    return _mark_form(request, mark, gettext("How it was kept"), {"day": as_of(request)})


@hand_page
def mark_edit(request, pk):
    return _mark_form(request, own_mark(request, pk), gettext("Change how it was kept"), {})


def _mark_form(request, mark, title, initial):
    paper = mark.condition.paper
    back = reverse("claims:paper_detail", args=[paper.pk])
    form = MarkForm(request.POST or None, instance=mark, initial=initial, **form_options(request))
    if request.method == "POST" and form.is_valid():
        papers.mark_condition(mark=form.instance)
        messages.success(request, gettext("It is noted."))
        return redirect(back)
    page = FormPage(title, form, gettext("Save"), back, intro=mark.condition.text, crumb=paper.name)
    return form_page(request, page)


@hand_page
def mark_delete(request, pk):
    mark = own_mark(request, pk)
    back = reverse("claims:paper_detail", args=[mark.condition.paper.pk])
    if request.method == "POST":
        mark.delete()
        tell_deleted(request, gettext("The note is deleted."))
        return redirect(back)
    page = DeletePage(
        gettext("Delete note"), f"{mark}: {mark.how}", "", back, mark.condition.paper.name
    )
    return render(request, "claims/delete_page.html", {"page": page})
