"""What a person reads where a page refuses: what happened, what is kept, and the way on."""

from django.shortcuts import render
from django.template.loader import render_to_string
from django.urls import reverse

from claims.not_saved import typed


def plain_refusals(get_response):
    """Middleware: an empty refusal gets words; what somebody typed while signed out is kept."""

    def middleware(request):
        response = get_response(request)
        if response.status_code == 405 and not response.content:
            # In place, so that its header goes on naming what the address takes.
            response.content = render_to_string("405.html", {}, request)
            return response
        to_sign_in = response.get("Location", "").startswith(f"{reverse('login')}?")
        if to_sign_in and (kept := typed_here(request)):
            context = {"typed": kept, "had_files": bool(request.FILES)}
            return render(request, "session_over.html", context, status=403)
        return response

    return middleware


def csrf_failure(request, reason=""):
    """The form's mark is missing or old: after signing in anew, or without cookies."""
    kept = typed_here(request)
    context = {"typed": kept, "had_files": bool(kept and request.FILES)}
    return render(request, "403_csrf.html", context, status=403)


def typed_here(request) -> list[tuple[str, str]]:
    """What was typed into a form of this site; of a form on a foreign page nothing.

    Else another site could have its own form sent by one press here.
    """
    ours = f"{request.scheme}://{request.get_host()}"
    return typed(request) if request.headers.get("Origin") == ours else []
