"""Who changed what, and bringing back what was deleted."""

from django.contrib import messages
from django.core.exceptions import PermissionDenied, ValidationError
from django.http import Http404
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import gettext
from django.views.decorators.http import require_POST

from claims.access import hand_page, may, reader_page
from claims.models import Membership
from claims.past import UNDO_DAYS, deleted_sets, fact_models, states
from claims.services.undo import bring_back


@reader_page
def changes(request, kind, pk):
    model = fact_models().get(kind)
    told = states(model, pk, request.party) if model else ()
    if not told:
        raise Http404
    context = {"states": told, "kind": model._meta.verbose_name, "name": told[0].what}
    return render(request, "claims/changes.html", context)


@reader_page
def deleted_list(request):
    sets = deleted_sets(request.party, timezone.now())
    offered = [(one, _may_bring_back(request, one)) for one in sets]
    return render(request, "claims/deleted_list.html", {"sets": offered, "days": UNDO_DAYS})


@hand_page
@require_POST
def deleted_bring_back(request, key):
    now = timezone.now()
    found = [one for one in deleted_sets(request.party, now) if one.key == key]
    if not found:
        raise Http404
    if not _may_bring_back(request, found[0]):
        raise PermissionDenied(gettext("Somebody else deleted this; a keeper can bring it back."))
    try:
        count = bring_back(party=request.party, key=key, now=now)
    except ValidationError as problem:
        messages.error(request, " ".join(problem.messages))
    else:
        rows = (
            gettext("1 row is") if count == 1 else gettext("{count} rows are").format(count=count)
        )
        messages.success(
            request, gettext("{rows} back: {title}.").format(rows=rows, title=found[0].title)
        )
    return redirect(_onwards(request))


def _onwards(request) -> str:
    """Back to the page that offered it, if that is one of ours."""
    wanted = request.POST.get("next", "")
    if url_has_allowed_host_and_scheme(wanted, {request.get_host()}, request.is_secure()):
        return wanted
    return reverse("claims:deleted_list")


def _may_bring_back(request, one) -> bool:
    """A keeper anything, a hand what they deleted themselves."""
    if may(request, Membership.Role.KEEPER):
        return True
    return may(request, Membership.Role.HAND) and one.by == request.user.pk
