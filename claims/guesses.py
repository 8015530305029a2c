"""Guessing of passwords: how many wrong ones are taken, by name, by address and by browser.

Three counts, each for a span of its own (`trips/project/settings.py`):

- by name and address: nobody can be locked out of their record from afar;
- by address over all names: one password can't be tried on everybody's name;
- a browser in which somebody has signed in before has a count of its own for that name, and
  neither of the others stops it: those who share its address can't lock its owner out.
"""

import datetime as dt
import secrets
from typing import Any

from axes.handlers.database import AxesDatabaseHandler  # type: ignore[import-untyped]
from axes.models import AccessFailureLog  # type: ignore[import-untyped]
from django.conf import settings
from django.contrib.auth.views import LoginView
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils.crypto import salted_hmac

COOKIE = "known_browser"
MOST_NAMES = 5  # that a browser is known by, the last ones
SPAN = dt.timedelta(hours=1)  # over which an address is counted


def lockout_parameters(request: HttpRequest, credentials: dict | None) -> list[list[str]]:
    """What wrong passwords are counted by: name and address, or name and known browser."""
    return [["username", "user_agent" if _is_known(request, credentials) else "ip_address"]]


class GuessHandler(AxesDatabaseHandler):  # type: ignore[misc]
    """The library's counts by name, and beside them one by address over all names."""

    def is_allowed(self, request: HttpRequest, credentials: dict | None = None) -> bool:
        if _is_known(request, credentials):
            request.axes_user_agent = _own_count(request)
        return bool(super().is_allowed(request, credentials))

    def is_locked(self, request: HttpRequest, credentials: dict | None = None) -> bool:
        if super().is_locked(request, credentials):
            return True
        request.address_is_spent = not _is_known(request, credentials) and _is_spent(request)
        return bool(request.address_is_spent)

    def user_login_failed(
        self, sender: Any, credentials: dict, request: HttpRequest | None = None, **more: Any
    ) -> None:
        super().user_login_failed(sender, credentials, request, **more)
        AccessFailureLog.objects.filter(attempt_time__lt=request.axes_attempt_time - SPAN).delete()
        if not request.axes_locked_out and self.is_locked(request, credentials):
            request.axes_locked_out = True
            request.axes_credentials = credentials


def _is_spent(request: HttpRequest) -> bool:
    """Whether as many wrong passwords came from the address as are taken from one."""
    since = request.axes_attempt_time - SPAN
    wrong = AccessFailureLog.objects.filter(
        ip_address=request.axes_ip_address, attempt_time__gte=since
    )
    return bool(wrong.count() >= settings.WRONG_PASSWORDS_PER_ADDRESS)


# --- Browsers in which somebody has signed in ---------------------------------------------------
class SignIn(LoginView):
    """The sign-in page; a browser that got in is known from then on."""

    redirect_authenticated_user = True

    def form_valid(self, form: Any) -> HttpResponse:
        key, names = _known(self.request)
        mark = _mark(form.get_user().get_username())
        names = [mark, *(name for name in names if name != mark)][:MOST_NAMES]
        response = super().form_valid(form)
        response.set_signed_cookie(
            COOKIE,
            ".".join([key or secrets.token_hex(16), *names]),
            max_age=dt.timedelta(days=365),
            path=reverse("login"),
            secure=settings.SESSION_COOKIE_SECURE,
            httponly=True,
            samesite="Lax",
        )
        return response


def _known(request: HttpRequest) -> tuple[str, list[str]]:
    """The browser's own key and the marks of the names it is known by; empty ones if it isn't."""
    key, *names = request.get_signed_cookie(COOKIE, default="").split(".")
    return key, names


def _is_known(request: HttpRequest, credentials: dict | None) -> bool:
    name = (credentials or {}).get("username")
    return bool(name) and _mark(name) in _known(request)[1]


def _mark(name: str) -> str:
    """Stands for a name; whoever reads the cookie doesn't learn it."""
    return salted_hmac(COOKIE, name).hexdigest()[:16]


def _own_count(request: HttpRequest) -> str:
    """Stands where the library notes a browser's kind; nobody else can name this one's key."""
    return f"known browser {_known(request)[0]}"
