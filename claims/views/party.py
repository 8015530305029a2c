"""The party: its record, defaults, people, members and invitations."""

import secrets

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.core.exceptions import ValidationError
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST

from claims.access import keeper_page, own_invitation, own_person, reader_page
from claims.forms.people import (
    MemberRoleForm,
    PartyDefaultsForm,
    PartyForm,
    PersonForm,
    RoleForm,
)
from claims.middleware import SESSION_KEY
from claims.models import Membership, Party, Person
from claims.selectors import party_page
from claims.services import duties, parties
from claims.web.forms import form_options
from claims.web.pages import DeletePage, FormPage
from trips.calc.words import say

PARTY = "claims:party_detail"


def form_page(request, page: FormPage):
    return render(request, "claims/form_page.html", {"page": page})


def own_member(request, pk: int) -> Membership:
    return get_object_or_404(
        Membership.objects.select_related("user", "party"), party=request.party, pk=pk
    )


@login_required
def party_create(request):
    first = not request.memberships
    name = gettext("{user}’s record").format(user=request.user) if first else ""
    form = PartyForm(request.POST or None, instance=Party(), initial={"name": name})
    if request.method == "POST" and form.is_valid():
        party = parties.create_party(party=form.instance, user=request.user)
        request.session[SESSION_KEY] = party.pk
        messages.success(
            request, gettext("{party} is set up. You are its keeper.").format(party=party)
        )
        return redirect("trips:first_car")
    page = FormPage(
        gettext("Your record and your home") if first else gettext("A new party"),
        form,
        gettext("Set up"),
        "" if first else reverse(PARTY),
        gettext(
            "A party is everybody who shares one record, often one person. Everything is filled in "
            "as far as it must be and can be changed later under Party, the currency only until "
            "amounts are recorded."
        ),
        step=1,
    )
    return form_page(request, page)


@reader_page
def party_detail(request):
    page = party_page(request.membership, request.user, timezone.now())
    return render(request, "claims/party_detail.html", {"page": page})


@keeper_page
def party_edit(request):
    party = Party.objects.get(pk=request.party.pk)
    form = PartyDefaultsForm(
        request.POST or None,
        instance=party,
        currency_is_fixed=parties.has_amounts(request.party),
        **form_options(request),
    )
    if request.method == "POST" and form.is_valid():
        parties.change_party(party=form.instance)
        messages.success(
            request, gettext("The party's defaults are saved; trips are worked out anew.")
        )
        return redirect(PARTY)
    page = FormPage(
        gettext("Party and defaults"), form, gettext("Save"), reverse(PARTY), crumb=gettext("Party")
    )
    return form_page(request, page)


@login_required
@require_POST
def party_switch(request):
    wanted = request.POST.get("party_id") or request.POST.get("party") or ""
    member = next((m for m in request.memberships if str(m.party_id) == wanted), None)
    if member is None:
        raise Http404
    request.session[SESSION_KEY] = member.party_id
    messages.success(
        request, gettext("You now see the record of {party}.").format(party=member.party)
    )
    return redirect("reports:where_next")


@keeper_page
def person_create(request):
    return _person_form(request, Person(party=request.party), gettext("Add a person"))


@keeper_page
def person_edit(request, pk):
    return _person_form(request, own_person(request, pk), gettext("Change a person"))


def _person_form(request, person, title):
    form = PersonForm(request.POST or None, instance=person, **form_options(request))
    if request.method == "POST" and form.is_valid():
        form.save()
        messages.success(request, gettext("{instance} is saved.").format(instance=form.instance))
        return redirect(PARTY)
    page = FormPage(
        title,
        form,
        gettext("Save"),
        reverse(PARTY),
        gettext("Somebody who comes along on trips. They need no log-in of their own."),
        gettext("Party"),
    )
    return form_page(request, page)


@keeper_page
def member_edit(request, pk):
    member = own_member(request, pk)
    form = MemberRoleForm(request.POST or None, member=member)
    if request.method == "POST" and form.is_valid():
        try:
            parties.change_role(membership=member, role=form.cleaned_data["role"])
        except ValidationError as error:
            form.add_error("role", error)
        else:
            messages.success(
                request,
                gettext("{user} is now a {role}.").format(user=member.user, role=member.role),
            )
            return redirect(PARTY)
    page = FormPage(
        gettext("Role of {user}").format(user=member.user),
        form,
        gettext("Save"),
        reverse(PARTY),
        crumb=gettext("Party"),
    )
    return form_page(request, page)


@keeper_page
def member_remove(request, pk):
    """Asks first: it takes effect at once, on every device."""
    member = own_member(request, pk)
    is_own = member.user_id == request.user.pk
    if request.method != "POST":
        return render(request, "claims/delete_page.html", {"page": _removal_page(member, is_own)})
    try:
        parties.remove_member(membership=member)
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
        return redirect(PARTY)
    messages.success(
        request, gettext("{user} can't open this record any more.").format(user=member.user)
    )
    if is_own:
        return redirect("reports:where_next")
    if duties.has_address(request.party):
        messages.warning(request, _calendar_still_open())
    return redirect(PARTY)


def _calendar_still_open() -> str:
    return gettext(
        "The calendar's address still shows titles and days of papers and duties to whoever has "
        "it. Make a new one under Papers and duties if they do."
    )


def _removal_page(member: Membership, is_own: bool) -> DeletePage:
    who = gettext("You") if is_own else str(member.user)
    also = gettext(
        "Everything {value} noted stays in the record, with {value_2} name "
        "where it says who changed what. To come back, {value_3} a new "
        "invitation."
    ).format(
        value="you" if is_own else "they",
        value_2="your" if is_own else "their",
        value_3=say("you need") if is_own else say("they need"),
    )
    if duties.has_address(member.party):
        also = f"{also} {_calendar_still_open()}"
    return DeletePage(
        gettext("Leave {party}").format(party=member.party)
        if is_own
        else gettext("Remove {user}").format(user=member.user),
        gettext(
            "{who} can then no longer open the record of {party}, from the next "
            "page on and on every device. What is still on a phone and wasn't sent "
            "can't be sent any more."
        ).format(who=who, party=member.party),
        also,
        reverse(PARTY),
        gettext("Party"),
    )


@keeper_page
@never_cache
def invitation_create(request):
    """The link is shown in this one answer and kept nowhere, so there is no redirect."""
    form = RoleForm(request.POST or None, initial={"role": Membership.Role.HAND})
    if request.method == "POST" and form.is_valid():
        token = secrets.token_urlsafe(32)
        invitation = parties.invite(
            party=request.party,
            role=form.cleaned_data["role"],
            created_by=request.user,
            token=token,
            now=timezone.now(),
        )
        link = request.build_absolute_uri(reverse("claims:invitation_accept", args=[token]))
        return render(
            request, "claims/invitation_made.html", {"invitation": invitation, "link": link}
        )
    page = FormPage(
        gettext("Invite somebody"),
        form,
        gettext("Make a link"),
        reverse(PARTY),
        gettext(
            "You get a link to send yourself. It works once, for {INVITATION_DAYS} "
            "days. Whoever has it can use it."
        ).format(INVITATION_DAYS=parties.INVITATION_DAYS),
        gettext("Party"),
    )
    return form_page(request, page)


@keeper_page
@require_POST
def invitation_revoke(request, pk):
    own_invitation(request, pk).delete()
    messages.success(request, gettext("The invitation is taken back; its link no longer works."))
    return redirect(PARTY)


@never_cache
def invitation_accept(request, token):
    """Every link that isn't good, for whatever reason, gets the same page.

    Only whoever came in by it, and lost the answer on the way, is led in again.
    """
    now = timezone.now()
    if request.user.is_authenticated and (member := parties.joined_by(token, request.user)):
        request.session[SESSION_KEY] = member.party_id
        return redirect(PARTY)
    invitation = parties.open_invitation(token, now)
    if invitation is None:
        return render(request, "claims/invitation_off.html", status=404)
    if request.method == "POST" and request.user.is_authenticated:
        member = parties.accept_invitation(token=token, user=request.user, now=now)
        if member is None:
            return render(request, "claims/invitation_off.html", status=404)
        request.session[SESSION_KEY] = member.party_id
        messages.success(
            request,
            gettext("You are a {role} in {party}.").format(role=member.role, party=member.party),
        )
        return redirect(PARTY)
    return render(
        request, "claims/invitation_accept.html", {"invitation": invitation, "token": token}
    )
