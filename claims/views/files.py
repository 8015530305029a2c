"""Photos and documents: shown to the party only, added to what they belong to, deleted."""

from django.contrib import messages
from django.core.exceptions import PermissionDenied, ValidationError
from django.core.files.storage import default_storage
from django.http import FileResponse, Http404
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.http import require_GET

from claims import hooks
from claims.access import (
    hand_page,
    keeper_page,
    may,
    own_file,
    own_hole,
    own_mark,
    own_paper,
    own_settled,
    own_spot,
    reader_page,
)
from claims.forms.files import LARGEST, FileForm, FilesForm
from claims.models import KeptFile, Membership
from claims.services import files
from claims.views.party import form_page
from claims.web.forms import form_options
from claims.web.pages import FormPage
from claims.web.undoing import tell_deleted

KEPT_BY_BROWSER = "private, max-age=3600"


@reader_page
@require_GET
def file_show(request, pk):
    file = own_file(request, pk)
    return _send(file, file.stored.name)


@reader_page
@require_GET
def file_small(request, pk):
    file = own_file(request, pk)
    if not file.stored_small:
        raise Http404("A document has no small picture.")
    return _send(file, file.stored_small.name)


def _send(file: KeptFile, stored: str):
    """The bytes, with headers under which a browser neither guesses nor runs anything."""
    try:
        handle = default_storage.open(stored, "rb")
    except FileNotFoundError as error:
        raise Http404("The file is missing from the storage.") from error
    response = FileResponse(
        handle,
        as_attachment=not file.is_photo,
        filename=file.name_sent if not file.is_photo else f"photo-{file.pk}.jpg",
        content_type=file.content_type,
    )
    response.headers["X-Content-Type-Options"] = "nosniff"
    response.headers["Cache-Control"] = KEPT_BY_BROWSER
    response.headers["Content-Security-Policy"] = "default-src 'none'; sandbox"
    return response


@hand_page
def hole_files_create(request, pk):
    hole = own_hole(request, pk)
    return files_form(request, hole, str(hole), reverse("claims:hole_detail", args=[pk]))


@hand_page
def spot_files_create(request, pk):
    spot = own_spot(request, pk)
    return files_form(request, spot, str(spot), reverse("claims:spot_detail", args=[pk]))


@keeper_page
def paper_files_create(request, pk):
    paper = own_paper(request, pk)
    return files_form(request, paper, str(paper), reverse("claims:paper_detail", args=[pk]))


@hand_page
def mark_files_create(request, pk):
    mark = own_mark(request, pk)
    back = reverse("claims:paper_detail", args=[mark.condition.paper_id])
    return files_form(request, mark, f"{mark}: {mark.condition}", back)


@hand_page
def settled_files_create(request, pk):
    done = own_settled(request, pk)
    back = reverse("claims:duty_detail", args=[done.duty_id])
    return files_form(request, done, str(done), back)


def files_form(request, owner, title, back, keep=files.keep):
    """A form for new files of `owner`; good ones are kept even if another one is refused."""
    form = FilesForm(request.POST or None, request.FILES or None, **form_options(request))
    if request.method == "POST" and form.is_valid():
        refused = []
        for sent in form.cleaned_data["files"]:
            try:
                _take(request, owner, sent, form.cleaned_data, keep)
            except ValidationError as error:
                refused += error.messages
        if not refused:
            return redirect(f"{back}#files")
        for problem in refused:
            form.add_error("files", problem)
    page = FormPage(
        gettext("Photos and documents: {title}").format(title=title),
        form,
        gettext("Keep"),
        back,
        _place_note(request.party),
        gettext("Back"),
    )
    return form_page(request, page)


def _place_note(party) -> str:
    if party.keeps_photo_place:
        return gettext(
            "Photos keep where and when they were taken; the party's page can switch that off."
        )
    return gettext("Photos lose where and when they were taken; only the party sees them.")


def _take(request, owner, sent, told, keep) -> None:
    name = files.clean_name(sent.name)
    if sent.size > LARGEST:  # read into memory only below that
        raise ValidationError(
            gettext(
                "“{name}” is not kept. It has {value:.0f} MB; at most {value_2} MB are "
                "taken. Send a smaller copy."
            ).format(name=name, value=sent.size / 1024 / 1024, value_2=LARGEST // 1024 // 1024)
        )
    kept = keep(
        party=request.party,
        owner=owner,
        content=sent.read(),
        name=sent.name,
        user=request.user,
        now=timezone.now(),
        caption=told["caption"],
        role=told["role"],
    )
    if kept.is_new:
        messages.success(request, gettext("“{name}” is kept.").format(name=name))
    else:
        messages.info(
            request, gettext("“{name}” was here already and is kept once.").format(name=name)
        )


@hand_page
def file_edit(request, pk):
    file = _changeable(request, pk)
    form = FileForm(request.POST or None, instance=file, **form_options(request))
    back = hooks.address_of_file(file)
    if request.method == "POST" and form.is_valid():
        files.change_file(file=form.instance)
        messages.success(request, gettext("{file} is saved.").format(file=file))
        return redirect(f"{back}#files")
    return form_page(
        request,
        FormPage(
            gettext("Change {file}").format(file=file),
            form,
            gettext("Save"),
            back,
            crumb=gettext("Back"),
        ),
    )


@hand_page
def file_delete(request, pk):
    file = _changeable(request, pk)
    back = hooks.address_of_file(file)
    if request.method == "POST":
        files.delete_file(file=file)
        tell_deleted(
            request,
            gettext("The {get_kind_display} is deleted.").format(
                get_kind_display=file.get_kind_display()
            ),
        )
        return redirect(f"{back}#files")
    return render(request, "claims/file_delete.html", {"file": file, "back": back})


def _changeable(request, pk) -> KeptFile:
    """A file this role may change: what hangs on papers is the keepers'."""
    file = own_file(request, pk)
    if file.target == KeptFile.Target.PAPER and not may(request, Membership.Role.KEEPER):
        raise PermissionDenied(
            gettext("This needs the role of a keeper in {party}.").format(party=request.party)
        )
    return file
