"""The whole record out as one file, and such a file into a new record."""

import tempfile

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import FileResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone

from claims.access import reader_page
from claims.middleware import SESSION_KEY
from claims.web.pages import FormPage
from trips.forms.moving import BringInForm
from trips.moving.bring_in import NoRecord, bring_in
from trips.moving.take_out import take_out

# A record without photos stays in memory; a larger one is written to the disk on its way.
IN_MEMORY_BYTES = 5_000_000


@reader_page
def whole_record(request):
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
        try:
            party = bring_in(form.cleaned_data["file"], user=request.user, now=timezone.now())
        except NoRecord as problem:
            form.add_error("file", str(problem))
        else:
            request.session[SESSION_KEY] = party.pk
            messages.success(request, f"The record is here as {party}. You are its keeper.")
            return redirect("claims:party_detail")
    page = FormPage(
        "Bring a record in",
        form,
        "Bring it in",
        reverse("claims:party_detail") if request.party else reverse("claims:party_create"),
        "A whole record that was taken out under Exports becomes a new record beside any that you "
        "have. Nothing of yours is changed; a file that can't be read whole is refused whole.",
    )
    return render(request, "claims/form_page.html", {"page": page})
