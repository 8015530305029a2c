"""What the field page asks for: its shell, who is signed in, what to take along, the sending."""

import dataclasses
import json

from django.conf import settings
from django.core.exceptions import RequestDataTooBig
from django.http import Http404, HttpResponse, JsonResponse
from django.middleware.csrf import get_token
from django.shortcuts import render
from django.urls import NoReverseMatch, reverse
from django.utils import timezone
from django.utils.translation import (
    get_language,
    get_language_bidi,
    gettext,
    gettext_lazy,
    override,
)
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_POST

from claims.access import hand_page, reader_page
from claims.web.asof import as_of
from trips.calc.words import say
from trips.sync import shell
from trips.sync.bundle import bundle
from trips.sync.photos import LARGEST, receive_photo
from trips.sync.receive import receive
from trips.sync.settle import clock_words
from trips.sync.wire import WireError, read_batch

NAME = gettext_lazy("Gravel Ledger field page")


@require_GET
def field_page(request):
    """The shell: no person's data, so it may be kept on a phone without a log-in."""
    return _unkept(render(request, "trips/field.html", _shell_context()))


@require_GET
def field_worker(request):
    shown = _shell_context()
    page = render(None, "trips/field.html", shown).content
    others = [reverse("trips:field_manifest"), *filter(None, [shown["texts"]])]
    script = shell.worker(page, reverse("trips:field_page"), *map(str, others))
    return _unkept(HttpResponse(script, content_type="text/javascript; charset=utf-8"))


@require_GET
def field_texts(request, language):
    """The texts of the page's scripts in one of the site's languages."""
    if language not in dict(settings.LANGUAGES):
        raise Http404
    with override(language):
        script = shell.texts()
    return _unkept(HttpResponse(script, content_type="text/javascript; charset=utf-8"))


@require_GET
def field_manifest(request):
    page, base = reverse("trips:field_page"), shell.folder_address()
    icons = [
        {"src": f"{base}/icon-{size}.png", "sizes": f"{size}x{size}", "type": "image/png"}
        for size in (192, 512)
    ]
    body = {
        "id": page,
        "name": str(NAME),
        "short_name": gettext("Field"),
        "start_url": page,
        "scope": page,
        "display": "standalone",
        "background_color": "#131819",
        "theme_color": "#0e5c63",
        "icons": [*icons, {**icons[-1], "purpose": "maskable"}],
    }
    return _unkept(JsonResponse(body, content_type="application/manifest+json"))


@never_cache
@reader_page
@require_GET
def field_hello(request):
    """Who is signed in, with a fresh token: a page kept for weeks has none that holds."""
    return JsonResponse(
        {
            "csrf": get_token(request),
            "user": request.user.username,
            "party": {"id": request.party.pk, "name": request.party.name},
            "role": request.membership.role,
            "now": timezone.now().isoformat(),
        }
    )


@never_cache
@reader_page
@require_GET
def field_bundle(request):
    found = bundle(
        party=request.party,
        user=request.user,
        role=request.membership.role,
        today=as_of(request),
    )
    for trip in found["trips"]:
        trip["tables"] = _tables(trip["pk"])
    told_for = settings.TOLD_FOR.isoformat() if settings.TOLD_FOR else ""
    made_at = timezone.now().isoformat()
    return JsonResponse({**found, "made_at": made_at, "told_for": told_for})


@never_cache
@hand_page
@require_POST
def field_sync(request):
    """Take a batch; answer for each entry in the order sent."""
    now = timezone.now()
    try:
        raw = json.loads(request.body)
        batch = read_batch(raw, now=now)
    except RequestDataTooBig:
        return _refusal(
            gettext("This is too much at once; nothing was stored. Send smaller parts."), 413
        )
    except WireError as problem:
        return _refusal(str(problem), 400)
    except (ValueError, RecursionError):
        return _refusal(
            gettext("This isn't JSON as the field page sends it; nothing was stored."), 400
        )
    if raw.get("party") != request.party.pk:
        return _refusal(
            gettext(
                "These entries were made for another record than {party}, which you "
                "are signed in to. Change to theirs on the desk, then send again. "
                "Nothing was stored."
            ).format(party=request.party),
            409,
        )
    answers = receive(party=request.party, user=request.user, batch=batch)
    body = {
        # What is kept with a record is English; the phone's person reads it in theirs.
        "answers": [
            {**dataclasses.asdict(answer), "reason": say(answer.reason)} for answer in answers
        ],
        "clock": clock_words(batch.clock_ahead_s or 0),
    }
    return JsonResponse(body)


@never_cache
@hand_page
@require_POST
def field_photo(request):
    """Take one photo with what the phone says of it."""
    sent = request.FILES.get("photo")
    if sent is None or sent.size > LARGEST:
        size = gettext("at most {value} MB").format(value=LARGEST // 1024 // 1024)
        return _refusal(
            gettext("A photo of {size} was expected; nothing was stored.").format(size=size), 400
        )
    try:
        about = json.loads(request.POST.get("about", ""))
    except (ValueError, RecursionError):
        about = None
    if isinstance(about, dict) and about.get("party") not in (None, request.party.pk):
        return _refusal(gettext("This photo was made for another record. Nothing was stored."), 409)
    answer = receive_photo(
        party=request.party,
        user=request.user,
        about=about,
        content=sent.read(),
        now=timezone.now(),
    )
    return JsonResponse(dataclasses.asdict(answer))


def _refusal(reason: str, status: int) -> JsonResponse:
    return JsonResponse({"refused": reason}, status=status)


def _tables(pk: int) -> str:
    """Where the tables of a trip are; they belong to a part above this one."""
    try:
        return reverse("reports:field_tables", args=[pk])
    except NoReverseMatch:
        return ""


def _shell_context() -> dict[str, object]:
    language = get_language() or settings.LANGUAGE_CODE
    return {
        "demo": settings.DEMO,
        "folder": shell.folder_address(),
        "name": NAME,
        "language": language,
        "direction": "rtl" if get_language_bidi() else "ltr",
        "texts": reverse("trips:field_texts", args=[language]) if shell.texts() else "",
    }


def _unkept(response: HttpResponse) -> HttpResponse:
    response.headers["Cache-Control"] = "no-cache"
    return response
