"""Work in the background: how far it is, its file, and once more where it stopped."""

from dataclasses import dataclass

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.core.exceptions import PermissionDenied, ValidationError
from django.core.files.storage import default_storage
from django.http import FileResponse, Http404
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_POST

from claims.access import may, own_job, reader_page
from claims.models import Job, Membership
from claims.services import jobs

SHOWN = 50


@dataclass(frozen=True)
class JobPage:
    job: Job
    is_silent: bool
    may_start_anew: bool
    has_file: bool


@dataclass(frozen=True)
class AskPage:
    """What would be made in the background, and the way back."""

    title: str
    why: str
    submit: str
    cancel: str


@reader_page
def job_list(request):
    now = timezone.now()
    rows = [
        (job, jobs.is_silent(job, now))
        for job in request.party.jobs.select_related("asked_by")[:SHOWN]
    ]
    return render(request, "claims/job_list.html", {"rows": rows, "days": jobs.KEPT.days})


@login_required
@never_cache
@require_GET
def job_detail(request, pk):
    job = own_job(request, pk)
    silent = jobs.is_silent(job, timezone.now())
    page = JobPage(
        job=job,
        is_silent=silent,
        may_start_anew=(silent or job.state == Job.State.FAILED) and _may_start(request, job),
        has_file=bool(job.stored) and default_storage.exists(job.stored),
    )
    return render(request, "claims/job_detail.html", {"page": page, "days": jobs.KEPT.days})


@login_required
@require_GET
def job_file(request, pk):
    job = own_job(request, pk)
    if not job.stored:
        raise Http404("Nothing was made, or not yet.")
    try:
        handle = default_storage.open(job.stored, "rb")
    except FileNotFoundError as error:
        raise Http404("The file isn't kept any more; ask for it again.") from error
    response = FileResponse(
        handle, as_attachment=True, filename=job.file_name, content_type=job.content_type
    )
    response.headers["Cache-Control"] = "private, no-store"
    return response


@login_required
@require_POST
def job_anew(request, pk):
    job = own_job(request, pk)
    if not _may_start(request, job):
        raise PermissionDenied(
            gettext("This needs the role of a hand in {party}.").format(party=request.party)
        )
    job = jobs.start_anew(job, timezone.now())
    return redirect("claims:job_detail", pk=job.pk)


def _may_start(request, job: Job) -> bool:
    """Work for a record is its hands'; a record that somebody brings in is their own."""
    return job.party_id is None or may(request, Membership.Role.HAND)


def ask_and_show(request, *, kind, title, asked, party=None, own=False):
    """Have work done and lead to its page, or straight to what it led to."""
    try:
        job = jobs.ask(
            kind=kind,
            title=title,
            asked=asked,
            party=None if own else (party or request.party),
            user=request.user,
            now=timezone.now(),
        )
    except ValidationError as problem:
        messages.error(request, " ".join(problem.messages))
        return redirect("claims:job_list")
    if job.state == Job.State.DONE and job.leads_to:
        return redirect(job.leads_to)
    return redirect("claims:job_detail", pk=job.pk)


def ask_first(request, page: AskPage):
    """A page with one button: making something large is asked for, never fetched in passing."""
    return render(request, "claims/job_ask.html", {"page": page})
