"""Log-ins: signing up, own settings and password."""

import datetime as dt

from django.conf import settings
from django.contrib import messages
from django.contrib.auth import login, update_session_auth_hash
from django.contrib.auth.decorators import login_required
from django.contrib.auth.forms import PasswordChangeForm
from django.db import IntegrityError, transaction
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.debug import sensitive_post_parameters

from claims.forms.people import OwnSettingsForm, SignUpForm
from claims.middleware import SESSION_KEY
from claims.models import Membership, User
from claims.services import parties
from claims.web.pages import FormPage


@sensitive_post_parameters()
def sign_up(request):
    """A new log-in. Where signing up is switched off, an invitation's link still opens it."""
    if request.user.is_authenticated:
        return redirect("claims:own_settings")
    now = timezone.now()
    token = request.GET.get("join", "")[:200]
    invitation = parties.open_invitation(token, now) if token else None
    if not settings.SIGN_UP and invitation is None:
        return render(request, "claims/sign_up_off.html", status=403)
    form = SignUpForm(request.POST or None)
    if request.method == "POST" and form.is_valid() and (made := _made(form, token, now)):
        user, member = made
        login(request, user, backend="claims.sign_in.WithMemberships")
        if member is None:
            messages.success(
                request,
                gettext("You are signed in as {user}. Five steps lead to a plan.").format(
                    user=user
                ),
            )
            return redirect("claims:party_create")
        request.session[SESSION_KEY] = member.party_id
        messages.success(
            request,
            gettext("You are signed in as {user}, a {role} in {party}.").format(
                user=user, role=member.role, party=member.party
            ),
        )
        return redirect("claims:party_detail")
    intro = (
        gettext("You then join {party} as a {role}.").format(
            party=invitation.party, role=invitation.role
        )
        if invitation
        else gettext("Your record stays on this installation; nothing is sent anywhere.")
    )
    page = FormPage(gettext("Sign up"), form, gettext("Sign up"), reverse("login"), intro)
    return render(request, "claims/form_page.html", {"page": page})


def _made(form: SignUpForm, token: str, now: dt.datetime) -> tuple[User, Membership | None] | None:
    """The new log-in and its place in a party; None if another came first in the same moment."""
    try:
        with transaction.atomic():
            user = form.save()
            member = parties.accept_invitation(token=token, user=user, now=now) if token else None
            if member is None and not settings.SIGN_UP:
                transaction.set_rollback(True)
                form.add_error(None, gettext("Somebody else has just used this link."))
                return None
    except IntegrityError:
        form.add_error("username", form.fields["username"].error_messages["unique"])
        return None
    return user, member


@login_required
def own_settings(request):
    # A row of its own: a refused form mustn't change the name that the bar shows.
    user = User.objects.get(pk=request.user.pk)
    form = OwnSettingsForm(request.POST or None, instance=user)
    if request.method == "POST" and form.is_valid():
        form.save()
        messages.success(request, gettext("Your settings are saved."))
        return redirect("claims:own_settings")
    page = FormPage(gettext("My settings"), form)
    return render(request, "claims/own_settings.html", {"page": page})


@sensitive_post_parameters()
@login_required
def password_change(request):
    form = PasswordChangeForm(request.user, request.POST or None)
    if request.method == "POST" and form.is_valid():
        update_session_auth_hash(request, form.save())
        messages.success(
            request, gettext("Your password is changed. Other devices are signed out.")
        )
        return redirect("claims:own_settings")
    page = FormPage(
        gettext("Change password"), form, gettext("Change password"), reverse("claims:own_settings")
    )
    return render(request, "claims/form_page.html", {"page": page})


def locked_out(request, original_response=None, credentials=None):
    """After too many wrong passwords: the same answer for any password, and for how long."""
    context = {
        "minutes": int(settings.AXES_COOLOFF_TIME.total_seconds() // 60),
        "any_name": getattr(request, "address_is_spent", False),
    }
    return render(request, "registration/locked_out.html", context, status=429)
