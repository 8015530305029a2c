"""The whole record out as one file, and such a file into a new record."""

import tempfile
import uuid

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.core.files.storage import default_storage
from django.http import FileResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext

from claims.access import reader_page
from claims.middleware import SESSION_KEY
from claims.services.files import storage_said, unwritten
from claims.services.jobs import FOLDER
from claims.views.jobs import AskPage, ask_and_show, ask_first
from claims.web.pages import FormPage
from trips.forms.moving import BringInForm
from trips.jobs import IN_MEMORY_BYTES, MOST_BYTES_AT_ONCE, is_large
from trips.moving.bring_in import NoRecord, bring_in
from trips.moving.packed import unpacked_bytes
from trips.moving.take_out import take_out


@reader_page
def whole_record(request):
    """At once where it is small; else it is asked for, and made in the background."""
    if is_large(request.party):
        if request.method == "POST":
            return ask_and_show(
                request, kind="whole_record", title=gettext("Everything as one file"), asked={}
            )
        page = AskPage(
            gettext("Everything as one file"),
            gettext(
                "This record is large. The file is put "
                "together in the background; a page shows how "
                "far it is and then offers the file."
            ),
            gettext("Put it together"),
            reverse("reports:export_list"),
        )
        return ask_first(request, page)
    file = tempfile.SpooledTemporaryFile(max_size=IN_MEMORY_BYTES)  # noqa: SIM115 - the answer closes it
    take_out(request.party, file, now=timezone.now())
    file.seek(0)
    return FileResponse(
        file, as_attachment=True, filename="whole-record.zip", content_type="application/zip"
    )


@login_required
def bring_record_in(request):
    form = BringInForm(request.POST or None, request.FILES or None)
    if request.method == "POST" and form.is_valid():
        # Tables pack to a tenth: what reading costs goes by what they become.
        if unpacked_bytes(form.cleaned_data["file"]) > MOST_BYTES_AT_ONCE:
            return _bring_in_behind(request, form)
        try:
            party = bring_in(form.cleaned_data["file"], user=request.user, now=timezone.now())
        except NoRecord as problem:
            form.add_error("file", str(problem))
        else:
            request.session[SESSION_KEY] = party.pk
            messages.success(
                request,
                gettext("The record is here as {party}. You are its keeper.").format(party=party),
            )
            return redirect("claims:party_detail")
    return _form(request, form)


def _bring_in_behind(request, form):
    """Keep the file where every process of the site can read it, and read it in the background."""
    file = form.cleaned_data["file"]
    try:
        with storage_said():
            upload = default_storage.save(f"{FOLDER}/own/{uuid.uuid4()}-in.zip", file)
    except OSError as problem:
        form.add_error("file", unwritten(problem))
        return _form(request, form)
    return ask_and_show(
        request,
        kind="bring_in",
        title=gettext("Bring a record in"),
        asked={"upload": upload},
        own=True,
    )


def _form(request, form):
    page = FormPage(
        gettext("Bring a record in"),
        form,
        gettext("Bring it in"),
        reverse("claims:party_detail") if request.party else reverse("claims:party_create"),
        gettext(
            "A whole record that was taken out under "
            "Exports becomes a new record beside any that "
            "you have. Nothing of yours is changed; a file "
            "that can't be read whole is refused whole."
        ),
    )
    return render(request, "claims/form_page.html", {"page": page})
